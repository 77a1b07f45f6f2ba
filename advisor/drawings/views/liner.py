"""The tread unrolled: injuries, earlier repairs, their units and the zones, from the valve once round.

Serial side on top, clockwise to the right, as seen from inside; valve at both ends, and what lies across it shows at
both.

The tread seen from inside as bands: its edges, the crown's edges and the hatched shoulders between them.
What both views of the liner draw: units, the ends of an injury, their names, and what two units share.

y runs down, so the serial side, + in an offset, is on top. A new unit is drawn solid, an earlier repair dashed, the
reach of a place in doubt dotted.
Two units that lie close together, at one scale: what they share, or the shortest way between their edges.

Serial side on top, clockwise to the right, as seen from inside.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from typing import Literal

from msgspec import Struct

from advisor.domain.clock import clock_in_words
from advisor.domain.geometry.liner_layout import Patch, nearest
from advisor.domain.geometry.polygons import rectangle
from advisor.domain.geometry.zones import Zones
from advisor.domain.intervals import Figures, in_family, size_of
from advisor.drawings.outlines import Point, box, clipped, in_common
from advisor.drawings.scene import (
    Fill,
    Label,
    Name,
    Names,
    Picture,
    SceneSpan,
    Spot,
    Stroke,
    Style,
    length_words,
    mm_ends,
    mm_middle,
    offset_words,
    zone_words,
)
from advisor.model.quantity import Measure, exactly, in_words


class Bands(Struct, frozen=True):
    """Half the tread's width, and how far from the center line the crown ends, in mm; None where it is not known.

    `edge` is 0 where the shoulders meet in the middle.
    """

    half: float | None
    edge: float | None

    def lines(self, left: float, right: float) -> list[Stroke]:
        """Center line, the tread's edges and the crown's, from left to right mm."""
        lines = [Stroke(left, 0.0, right, 0.0, "dotted")]
        for side in (-1, 1):
            if self.half:
                lines.append(Stroke(left, side * self.half, right, side * self.half))
            if self.edge:
                lines.append(Stroke(left, side * self.edge, right, side * self.edge, "dashed"))
        return lines

    def shoulders(self, left: float, right: float) -> list[Fill]:
        """The shoulders on both sides; none where the crown's edge is not known."""
        if self.half is None or self.edge is None:
            return []
        bands = ((-self.half, -self.edge), (self.edge, self.half))
        return [Fill(((left, top), (right, top), (right, bottom), (left, bottom))) for top, bottom in bands]


def zone_names(by_area: bool) -> tuple[str, str]:
    """What lies inside and outside the edge: crown and shoulder, or a repair area and the rest of the tread."""
    return ("repair area", "outside it") if by_area else ("crown", "shoulder")


def bands(tread_width: Measure | None, crown_margin: Figures | None) -> Bands:
    """The bands of a tread, at its widest where the width is in doubt."""
    if tread_width is None:
        return Bands(None, None)
    half = mm_ends(tread_width)[1] / 2
    return Bands(half, max(0.0, half - mm_ends(in_family(crown_margin, tread_width))[1]) if crown_margin else None)


class PlaceMark(Struct, frozen=True):
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


def unit_lines(mark: PlaceMark, patch: Patch, moved: float) -> list[Stroke]:
    """A unit's outline, and the reach of its doubt."""
    style: Style = "solid" if mark.kind == "injury" else "dashed"
    lines = box(corners(patch, moved), style)
    if not (patch.along_mm.exact and patch.across.exact and patch.length.exact and patch.width.exact):
        lines += box([(x + moved, y) for x, y in reach(patch)], "dotted")
    return lines


def ends_of(mark: PlaceMark, around: float, moved: float) -> tuple[list[Spot], list[Stroke]]:
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
    return [*spots, Spot(*inner, "o")], [Stroke(*outer, *inner)]


def place(clock: Measure, around: float) -> float:
    """How far along the strip a clock position lies, in mm, the middle of it where it is in doubt."""
    turned = clock.to("deg")
    return float(turned.low + turned.high) / 720 * around


def name_of(mark: PlaceMark, around: float, moved: float) -> Name:
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


#: The room round the two units, as a share of the longer side of what they take up.
_ROOM = 0.15
_RULER: dict[Names, Measure] = {"mm": exactly(50, "mm"), "in": exactly(2, "in")}


def near_picture(
    first: PlaceMark,
    second: PlaceMark,
    circumference: Measure,
    says: str,
    tread_width: Measure | None = None,
    crown_margin: Figures | None = None,
    names: Names = "mm",
) -> Picture:
    """The two units as a picture; `says` is their distance in words. Raises ValueError for a mark without a unit."""
    if first.patch is None or second.patch is None:
        raise ValueError("a close-up needs two units")
    around = mm_middle(circumference)
    turns = [_nearest_turn(first.patch, patch, around) for patch in (first.patch, second.patch)]
    shapes = [corners(mark.patch, turn) for mark, turn in zip((first, second), turns, strict=True) if mark.patch]
    frame = _frame([point for shape in shapes for point in shape])
    tread = bands(tread_width, crown_margin)
    lines, spots, named = tread.lines(*frame[:2]), list[Spot](), list[Name]()
    for mark, turn in zip((first, second), turns, strict=True):
        more, way = ends_of(mark, around, turn)
        lines += [*way, *(unit_lines(mark, mark.patch, turn) if mark.patch else ())]
        spots += more
        named.append(name_of(mark, around, turn))
    common = shared(first.patch, second.patch, turns[1] - turns[0])
    link = () if common else (Stroke(*_link(*shapes), "thin"),)
    lines = [part for line in (*lines, *link) if (part := clipped(line, *frame))]
    return Picture(
        f"Close-up of {first.name} and {second.name}",
        *frame,
        tuple(lines),
        fills=(*_on_sheet(tread.shoulders(*frame[:2]), frame), *((common,) if common else ())),
        spots=tuple(spots),
        named=tuple(named),
        above=((Label((frame[0] + frame[1]) / 2, "serial side"),),),
        below=((_scale(frame, names),),),
        notes=(f"{first.name} and {second.name} at one scale, seen from inside, serial side on top: {says}.",),
        to_scale=True,
    )


def _nearest_turn(first: Patch, second: Patch, around: float) -> float:
    """By how many turns, in mm, the second unit is moved to lie nearest to the first."""
    return around * round((mm_middle(first.along_mm) - mm_middle(second.along_mm)) / around)


def _frame(points: list[Point]) -> tuple[float, float, float, float]:
    xs, ys = [x for x, _ in points], [y for _, y in points]
    room = _ROOM * max(max(xs) - min(xs), max(ys) - min(ys))
    return min(xs) - room, max(xs) + room, min(ys) - room, max(ys) + room


def _on_sheet(fills: list[Fill], frame: tuple[float, float, float, float]) -> list[Fill]:
    left, right, top, bottom = frame
    sheet = [(left, top), (right, top), (right, bottom), (left, bottom)]
    return [Fill(tuple(shape)) for fill in fills if (shape := in_common(fill.corners, sheet))]


def _link(first: list[Point], second: list[Point]) -> tuple[float, float, float, float]:
    """The shortest way between two shapes that do not meet: from a corner of one to a side of the other."""
    best, found = float("inf"), (0.0, 0.0, 0.0, 0.0)
    for one, other in ((first, second), (second, first)):
        for x, y in one:
            for (ax, ay), (bx, by) in zip(other, [*other[1:], other[0]], strict=True):
                dx, dy = bx - ax, by - ay
                square = dx * dx + dy * dy
                share = min(1.0, max(0.0, ((x - ax) * dx + (y - ay) * dy) / square)) if square else 0.0
                px, py = ax + share * dx, ay + share * dy
                far = (x - px) ** 2 + (y - py) ** 2
                if far < best:
                    best, found = far, (x, y, px, py)
    return found


def _scale(frame: tuple[float, float, float, float], names: Names) -> SceneSpan:
    """A round length to hold against the drawing."""
    long = _RULER[names]
    middle, half = (frame[0] + frame[1]) / 2, mm_ends(long)[1] / 2
    return SceneSpan(middle - half, middle + half, length_words(long, names))


__all__ = ["PlaceMark", "gap_words", "unrolled_picture"]

_BEYOND = 1.12
_PAIRS_TOLD = 8
#: The least length that shows as more than nothing when it is rounded.
_LEAST: dict[Names, Measure] = {"mm": exactly("0.1", "mm"), "in": exactly("0.01", "in")}


def unrolled_picture(
    marks: Sequence[PlaceMark],
    circumference: Measure,
    tread_width: Measure | None = None,
    crown_margin: Figures | None = None,
    names: Names = "mm",
    by_area: bool = False,
) -> Picture:
    """The unrolled tread as a picture. Without a tread width no edges and no zones are drawn.

    `by_area`: the margin bounds a repair area, not the crown.
    """
    around = mm_middle(circumference)
    tread = bands(tread_width, crown_margin)
    high = _BEYOND * max([tread.half or 0.0, *(end for mark in marks for end in _across(mark)), 1.0])
    frame = (0.0, around, -high, high)
    lines, spots, named = [*tread.lines(0.0, around), *_clock(tread.half, around, high)], list[Spot](), list[Name]()
    for mark in marks:
        for turn in _turns(mark, around):
            more, way = ends_of(mark, around, turn)
            units = unit_lines(mark, mark.patch, turn) if mark.patch else []
            lines += [part for line in (*units, *way) if (part := clipped(line, *frame))]
            spots += [spot for spot in more if 0 <= spot.x <= around]
            named += _shown_part(name_of(mark, around, turn), around)
    return Picture(
        "The tread unrolled",
        *frame,
        tuple(lines),
        fills=(*tread.shoulders(0.0, around), *_overlaps(marks, around, high)),
        spots=tuple(spots),
        named=tuple(named),
        above=((Label(around / 2, "serial side"),), _hours(around)),
        below=(_valve(around),),
        beside=_zone_names(tread, by_area),
        notes=(*_notes(marks, circumference, tread.edge, names, by_area), *_distances(marks, circumference, names)),
    )


def _clock(half: float | None, around: float, high: float) -> list[Stroke]:
    """The valve at both ends, and the hours along both edges."""
    lines = [Stroke(end, -high, end, high, "thin") for end in (0.0, around)]
    for side in (-1, 1):
        top = side * (half or high)
        lines += [Stroke(around * h / 12, top, around * h / 12, top - side * high / 12, "thin") for h in range(1, 12)]
    return lines


def _zone_names(tread: Bands, by_area: bool) -> tuple[tuple[float, str], ...]:
    if tread.edge is None or tread.half is None:
        return ()
    middle = (tread.edge + tread.half) / 2
    crown, shoulder = zone_names(by_area)
    return ((-middle, shoulder), *(((0.0, crown),) if tread.edge else ()), (middle, shoulder))


def _hours(around: float) -> tuple[Label, ...]:
    middle = [Label(around * hour / 12, str(hour)) for hour in range(1, 12)]
    return (Label(0.0, "12", "start"), *middle, Label(around, "12", "end"))


def _valve(around: float) -> tuple[Label, ...]:
    return Label(0.0, "valve", "start"), Label(around / 2, "other side"), Label(around, "valve", "end")


def _across(mark: PlaceMark) -> list[float]:
    ends = [mm_ends(size_of(mark.offset))[1]]
    if mark.patch:
        ends += [abs(y) for _, y in reach(mark.patch)]
    return ends


def _turns(mark: PlaceMark, around: float) -> list[float]:
    """By how much a mark is moved so that each of its pictures on the sheet is drawn: a turn back, none, a turn on."""
    spots, _ = ends_of(mark, around, 0.0)
    name = name_of(mark, around, 0.0)
    xs = [
        name.left,
        name.right,
        *(spot.x for spot in spots),
        *(x for x, _ in (reach(mark.patch) if mark.patch else ())),
    ]
    turns = [turn * around for turn in (-2, -1, 0, 1)]
    return [turn for turn in turns if min(xs) + turn < around and max(xs) + turn >= 0]


def _shown_part(name: Name, around: float) -> list[Name]:
    """The name of what is on the sheet, for the part of it that is; none for a mere sliver."""
    left, right = max(name.left, 0.0), min(name.right, around)
    if left > right or (name.right > name.left and (right - left) * 3 < name.right - name.left):
        return []
    return [Name(left, name.top, right, name.bottom, name.text)]


def _overlaps(marks: Sequence[PlaceMark], around: float, high: float) -> list[Fill]:
    """What two units cover both, wherever it shows on the sheet."""
    sheet = [(0.0, -high), (around, -high), (around, high), (0.0, high)]
    fills = []
    patches = [mark.patch for mark in marks if mark.patch]
    for first, second in combinations(patches, 2):
        for turn in (-1, 0, 1):
            fill = shared(first, second, turn * around)
            for back in (-1, 0, 1) if fill else ():
                moved = [(x + back * around, y) for x, y in fill.corners] if fill else []
                if common := in_common(moved, sheet):
                    fills.append(Fill(tuple(common), crossed=True))
    return fills


def _notes(
    marks: Sequence[PlaceMark], circumference: Measure, edge: float | None, names: Names, by_area: bool
) -> list[str]:
    once = length_words(circumference, names)
    notes = [
        f"Tread unrolled clockwise from the valve, seen from inside, serial side on top; once round the liner {once}.",
        "Its width is drawn at a larger scale than its length.",
        *_signs(marks, edge, by_area),
    ]
    for mark in marks:
        place = f"at {clock_in_words(mark.clock)}, {offset_words(mark.offset, names)}"
        zone = f", counts as {zone_words(mark.zones)}" if mark.zones else ""
        unit = ""
        if mark.patch:
            sizes = [length_words(side, names) for side in (mark.patch.length, mark.patch.width)]
            turn = mark.patch.turn_deg
            turned = "" if turn.low == turn.high == 0 else f", turned {in_words(turn)}"
            unit = f"; unit {sizes[0]} along, {sizes[1]} across{turned}"
        notes.append(f"{mark.name}: {mark.kind} {place}{zone}{unit}.")
    return notes


def _signs(marks: Sequence[PlaceMark], edge: float | None, by_area: bool) -> list[str]:
    """What the lines and signs mean, those that are drawn."""
    kinds = {mark.kind for mark in marks if mark.patch}
    says = []
    if "injury" in kinds:
        says.append("An x is an injury's outer end, an o its inner end, on which the unit is centered.")
    if kinds == {"injury", "earlier repair"}:
        says.append("Solid: a new unit. Dashed: an earlier repair. Closely dotted or crossed: where two overlap.")
    if edge is not None:
        says.append(f"{'What lies outside the repair area is' if by_area else 'The shoulders are'} dotted or hatched.")
    return says


def _distances(marks: Sequence[PlaceMark], circumference: Measure, names: Names) -> list[str]:
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
