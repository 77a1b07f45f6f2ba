"""What both views of the liner draw: units, the ends of an injury, their names, and what two units share.

y runs down, so the serial side, + in an offset, is on top. A new unit is drawn solid, an earlier repair dashed, the
reach of a place in doubt dotted.
"""

from __future__ import annotations

from typing import Literal

from advisor.quick import dataclass
from advisor.tire.drawing import Fill, Line, Name, Spot, Style, mm_ends, mm_middle
from advisor.tire.drawing_shapes import Point, box, in_common
from advisor.tire.layout import Patch
from advisor.tire.shapes import rectangle
from advisor.tire.zones import Zones
from advisor.units import Measure


@dataclass(frozen=True, slots=True)
class Mark:
    """An injury or an earlier repair: a short name, its outer end or centre, its unit, its zones."""

    name: str
    kind: Literal["injury", "earlier repair"]
    clock: Measure
    offset: Measure
    patch: Patch | None = None
    zones: Zones = frozenset()


def corners(patch: Patch, moved: float = 0.0) -> list[Point]:
    """The unit's corners, each measure at its middle, `moved` mm along."""
    turn = float(patch.turn_deg.low + patch.turn_deg.high) / 2
    shape = rectangle(mm_middle(patch.length), mm_middle(patch.width), turn).corners()
    x, y = mm_middle(patch.along_mm) + moved, -mm_middle(patch.across)
    return [(x + px, y - py) for px, py in shape]


def reach(patch: Patch) -> list[Point]:
    """The box that holds the unit wherever its doubt lets it lie."""
    (x0, x1), (y0, y1) = mm_ends(patch.along_mm), mm_ends(patch.across)
    turn = float(patch.turn_deg.low + patch.turn_deg.high) / 2
    shape = rectangle(mm_ends(patch.length)[1], mm_ends(patch.width)[1], turn).corners()
    wide, high = max(px for px, _ in shape), max(py for _, py in shape)
    left, right, top, bottom = x0 - wide, x1 + wide, -(y1 + high), -(y0 - high)
    return [(left, top), (right, top), (right, bottom), (left, bottom)]


def unit_lines(mark: Mark, patch: Patch, moved: float) -> list[Line]:
    """A unit's outline, and the reach of its doubt."""
    style: Style = "solid" if mark.kind == "injury" else "dashed"
    lines = box(corners(patch, moved), style)
    if not (patch.along_mm.exact and patch.across.exact and patch.length.exact and patch.width.exact):
        lines += box([(x + moved, y) for x, y in reach(patch)], "dotted")
    return lines


def ends_of(mark: Mark, around: float, moved: float) -> tuple[list[Spot], list[Line]]:
    """An injury's outer end, its inner end where the unit sits on it, and the way between them."""
    if mark.kind != "injury":
        return [], []
    outer = (place(mark.clock, around) + moved, -mm_middle(mark.offset))
    spots = [Spot(*outer, "x")]
    if mark.patch is None:
        return spots, []
    inner = (mm_middle(mark.patch.along_mm) + moved, -mm_middle(mark.patch.across))
    if abs(inner[0] - outer[0]) + abs(inner[1] - outer[1]) < 1:
        return spots, []
    return [*spots, Spot(*inner, "o")], [Line(*outer, *inner)]


def place(clock: Measure, around: float) -> float:
    """How far along the strip a clock position lies, in mm, the middle of it where it is in doubt."""
    turned = clock.to("deg")
    return float(turned.low + turned.high) / 720 * around


def name_of(mark: Mark, around: float, moved: float) -> Name:
    """The name, for the unit's box, or for the cross where there is no unit."""
    if mark.patch is None:
        x, y = place(mark.clock, around) + moved, -mm_middle(mark.offset)
        return Name(x, y, x, y, mark.name)
    patch = mark.patch
    if patch.turn_deg.low % 90 or not patch.turn_deg.exact:
        half = 0.35 * min(mm_middle(patch.length), mm_middle(patch.width))
        x, y = mm_middle(patch.along_mm) + moved, -mm_middle(patch.across)
        return Name(x - half, y - half, x + half, y + half, mark.name)
    shape = corners(patch, moved)
    xs, ys = [x for x, _ in shape], [y for _, y in shape]
    return Name(min(xs), min(ys), max(xs), max(ys), mark.name)


def shared(first: Patch, second: Patch, moved: float) -> Fill | None:
    """What two units cover both, the second one moved; None where they do not overlap."""
    common = in_common(corners(first), corners(second, moved))
    return Fill(tuple(common), crossed=True) if common else None
