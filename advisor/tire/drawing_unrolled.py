"""The tread unrolled: injuries, earlier repairs, their units and the zones, from the valve once round.

Serial side on top, clockwise to the right, as seen from inside; valve at both ends, and what lies across it shows at
both.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

from advisor.tire.clock import clock_in_words
from advisor.tire.drawing import (
    Fill,
    Label,
    Line,
    Name,
    Names,
    Picture,
    Spot,
    length_words,
    mm_ends,
    mm_middle,
    offset_words,
    zone_words,
)
from advisor.tire.drawing_bands import Bands, bands, zone_names
from advisor.tire.drawing_marks import Mark, ends_of, name_of, reach, shared, unit_lines
from advisor.tire.drawing_shapes import clipped, in_common
from advisor.tire.layout import nearest
from advisor.tire.spans import Figures, size_of
from advisor.units import Measure, exactly, in_words

__all__ = ["Mark", "gap_words", "unrolled_picture"]

_BEYOND = 1.12
_PAIRS_TOLD = 8
#: The least length that shows as more than nothing when it is rounded.
_LEAST: dict[Names, Measure] = {"mm": exactly("0.1", "mm"), "in": exactly("0.01", "in")}


def unrolled_picture(
    marks: Sequence[Mark],
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
            named += _on_sheet(name_of(mark, around, turn), around)
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


def _clock(half: float | None, around: float, high: float) -> list[Line]:
    """The valve at both ends, and the hours along both edges."""
    lines = [Line(end, -high, end, high, "thin") for end in (0.0, around)]
    for side in (-1, 1):
        top = side * (half or high)
        lines += [Line(around * h / 12, top, around * h / 12, top - side * high / 12, "thin") for h in range(1, 12)]
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


def _across(mark: Mark) -> list[float]:
    ends = [mm_ends(size_of(mark.offset))[1]]
    if mark.patch:
        ends += [abs(y) for _, y in reach(mark.patch)]
    return ends


def _turns(mark: Mark, around: float) -> list[float]:
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


def _on_sheet(name: Name, around: float) -> list[Name]:
    """The name of what is on the sheet, for the part of it that is; none for a mere sliver."""
    left, right = max(name.left, 0.0), min(name.right, around)
    if left > right or (name.right > name.left and (right - left) * 3 < name.right - name.left):
        return []
    return [Name(left, name.top, right, name.bottom, name.text)]


def _overlaps(marks: Sequence[Mark], around: float, high: float) -> list[Fill]:
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


def _notes(marks: Sequence[Mark], circumference: Measure, edge: float | None, names: Names, by_area: bool) -> list[str]:
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


def _signs(marks: Sequence[Mark], edge: float | None, by_area: bool) -> list[str]:
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
