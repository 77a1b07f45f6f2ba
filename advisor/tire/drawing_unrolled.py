"""The tread unrolled: injuries, earlier repairs, their units and the zones, from the valve once round.

Serial side on top, clockwise to the right, valve at both ends; what lies across the valve shows at both.
A new unit is drawn solid, an earlier repair dashed, the reach of a place in doubt dotted.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from advisor.quick import dataclass
from advisor.tire.clock import clock_in_words
from advisor.tire.drawing import (
    Label,
    Line,
    Names,
    Picture,
    Spot,
    Style,
    box,
    clipped,
    length_words,
    mm_ends,
    mm_middle,
    offset_words,
    zone_words,
)
from advisor.tire.layout import Patch, nearest
from advisor.tire.shapes import rectangle
from advisor.tire.spans import Figures, in_family, size_of
from advisor.tire.zones import Zones
from advisor.units import Measure, exactly, in_words

_BEYOND = 1.12
_PAIRS_TOLD = 8
#: The least length that shows as more than nothing when it is rounded.
_LEAST: dict[Names, Measure] = {"mm": exactly("0.1", "mm"), "in": exactly("0.01", "in")}
#: How far a name stands off its cross where there is no unit, as a share of the drawing's half height.
_NAME_OFF = 0.2


@dataclass(frozen=True, slots=True)
class Mark:
    """An injury or an earlier repair: a short name, its outer end or centre, its unit, its zones."""

    name: str
    kind: Literal["injury", "earlier repair"]
    clock: Measure
    offset: Measure
    patch: Patch | None = None
    zones: Zones = frozenset()


def unrolled_picture(
    marks: Sequence[Mark],
    circumference: Measure,
    tread_width: Measure | None = None,
    crown_margin: Figures | None = None,
    names: Names = "mm",
) -> Picture:
    """The unrolled tread as a picture. Without a tread width no edges and no zones are drawn."""
    around = mm_middle(circumference)
    half = mm_ends(tread_width)[1] / 2 if tread_width else 0.0
    reach = _BEYOND * max([half, *(end for mark in marks for end in _across(mark)), 1.0])
    edge = half - mm_ends(in_family(crown_margin, tread_width))[1] if tread_width and crown_margin else 0.0
    lines = _bands(half, edge, around)
    for mark in marks:
        lines += _unit(mark, around, reach)
    return Picture(
        "The tread unrolled",
        *(0.0, around, -reach, reach),
        tuple(lines),
        spots=tuple(spot for mark in marks for spot in _spots(mark, around, reach)),
        above=((Label(around / 2, "serial side"),), _hours(around)),
        below=(_valve(around),),
        beside=_zone_names(half, edge),
        notes=(*_notes(marks, circumference, names), *_distances(marks, circumference, names)),
    )


def _bands(half: float, edge: float, around: float) -> list[Line]:
    lines = [Line(0.0, 0.0, around, 0.0, "dotted")]
    for side in (-1, 1):
        if half:
            lines.append(Line(0.0, side * half, around, side * half))
        if edge > 0:
            lines.append(Line(0.0, side * edge, around, side * edge, "dashed"))
    return lines


def _zone_names(half: float, edge: float) -> tuple[tuple[float, str], ...]:
    if edge <= 0:
        return ()
    return ((-(edge + half) / 2, "shoulder"), (0.0, "crown"), ((edge + half) / 2, "shoulder"))


def _hours(around: float) -> tuple[Label, ...]:
    middle = [Label(around * hour / 12, str(hour)) for hour in range(1, 12)]
    return (Label(0.0, "12", "start"), *middle, Label(around, "12", "end"))


def _valve(around: float) -> tuple[Label, ...]:
    return Label(0.0, "valve", "start"), Label(around / 2, "other side"), Label(around, "valve", "end")


def _across(mark: Mark) -> list[float]:
    ends = [mm_ends(size_of(mark.offset))[1]]
    if mark.patch:
        ends += [abs(y) for _, y in _reach(mark.patch)]
    return ends


def _unit(mark: Mark, around: float, reach: float) -> list[Line]:
    patch = mark.patch
    if patch is None:
        return []
    style: Style = "solid" if mark.kind == "injury" else "dashed"
    turn = float(patch.turn_deg.low + patch.turn_deg.high) / 2
    shape = rectangle(mm_middle(patch.length), mm_middle(patch.width), turn).corners()
    x, y = mm_middle(patch.along_mm), -mm_middle(patch.across)
    lines = box([(x + px, y - py) for px, py in shape], style)
    if not (patch.along_mm.exact and patch.across.exact and patch.length.exact and patch.width.exact):
        lines += box(_reach(patch), "dotted")
    return _wrapped(lines, around, reach)


def _reach(patch: Patch) -> list[tuple[float, float]]:
    (x0, x1), (y0, y1) = mm_ends(patch.along_mm), mm_ends(patch.across)
    turn = float(patch.turn_deg.low + patch.turn_deg.high) / 2
    shape = rectangle(mm_ends(patch.length)[1], mm_ends(patch.width)[1], turn).corners()
    wide, high = max(px for px, _ in shape), max(py for _, py in shape)
    left, right, top, bottom = x0 - wide, x1 + wide, -(y1 + high), -(y0 - high)
    return [(left, top), (right, top), (right, bottom), (left, bottom)]


def _wrapped(lines: list[Line], around: float, reach: float) -> list[Line]:
    seen = []
    for line in lines:
        for turn in (-2, -1, 0, 1):
            moved = Line(line.x1 + turn * around, line.y1, line.x2 + turn * around, line.y2, line.style)
            part = clipped(moved, 0.0, around, -reach, reach)
            if part:
                seen.append(part)
    return seen


def _spots(mark: Mark, around: float, reach: float) -> list[Spot]:
    """The cross at an injury's outer end, and the name, kept off the cross and inside the unit."""
    degrees, offset = mark.clock.to("deg"), mm_middle(mark.offset)
    x = float(degrees.low + degrees.high) / 720 * around % around
    if mark.patch is None:
        return [*_cross(mark, x, offset), Spot(x, -(offset + _NAME_OFF * reach), mark.name)]
    along, across = mm_middle(mark.patch.along_mm) % around, mm_middle(mark.patch.across)
    if mark.kind == "injury":
        aside = mm_middle(mark.patch.width) / 4
        across += aside if across >= offset else -aside
    return [*_cross(mark, x, offset), Spot(along, -across, mark.name)]


def _cross(mark: Mark, x: float, offset: float) -> list[Spot]:
    return [Spot(x, -offset, "x")] if mark.kind == "injury" else []


def _notes(marks: Sequence[Mark], circumference: Measure, names: Names) -> list[str]:
    once = length_words(circumference, names)
    notes = [
        f"Tread unrolled clockwise from the valve, serial side on top; once round the liner {once}.",
        "Its width is drawn at a larger scale than its length.",
    ]
    if any(mark.kind == "injury" and mark.patch for mark in marks):
        notes.append("An x is an injury's outer end; its unit is centered on the inner end.")
    for mark in marks:
        place = f"at {clock_in_words(mark.clock)}, {offset_words(mark.offset, names)}"
        zone = f", {zone_words(mark.zones)}" if mark.zones else ""
        unit = ""
        if mark.patch:
            sizes = [length_words(side, names) for side in (mark.patch.length, mark.patch.width)]
            turn = mark.patch.turn_deg
            turned = "" if turn.low == turn.high == 0 else f", turned {in_words(turn)}"
            unit = f"; unit {sizes[0]} along, {sizes[1]} across{turned}"
        notes.append(f"{mark.name}: {mark.kind} {place}{zone}{unit}.")
    return notes


def _distances(marks: Sequence[Mark], circumference: Measure, names: Names) -> list[str]:
    new = [(mark, mark.patch) for mark in marks if mark.patch and mark.kind == "injury"]
    old = [(mark, mark.patch) for mark in marks if mark.patch and mark.kind != "injury"]
    both = [mark for mark, _ in (*new, *old)]
    pairs = nearest([patch for _, patch in new], [patch for _, patch in old], circumference)
    near = pairs[:_PAIRS_TOLD]
    told = [f"{both[i].name} to {both[j].name}: {gap_words(gap, names)}." for i, j, gap in near]
    rest = len(pairs) - len(told)
    return [*told, f"{rest} more pairs lie as far apart or farther."] if rest > 0 else told


def gap_words(gap: Measure, names: Names) -> str:
    """The distance between two units for people; one too small to show is never said to be 0."""
    if gap.low > 0:
        return f"{_seen(gap, names)} apart"
    if gap.low == gap.high == 0:
        return "their edges touch"
    if gap.high < 0:
        return f"they overlap by {_seen(size_of(gap), names)}"
    return f"they may overlap or touch (open): from {length_words(gap, names)}"


def _seen(length: Measure, names: Names) -> str:
    least = _LEAST[names]
    return (
        f"less than {length_words(least, names)}" if length.to(names).high < least.low else length_words(length, names)
    )
