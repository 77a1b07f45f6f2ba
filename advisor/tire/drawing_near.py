"""Two units that lie close together, at one scale: what they share, or the shortest way between their edges.

Serial side on top, clockwise to the right, as seen from inside.
"""

from __future__ import annotations

from advisor.tire.drawing import (
    Fill,
    Label,
    Line,
    Name,
    Names,
    Picture,
    Span,
    Spot,
    length_words,
    mm_ends,
    mm_middle,
)
from advisor.tire.drawing_bands import bands
from advisor.tire.drawing_marks import Mark, corners, ends_of, name_of, shared, unit_lines
from advisor.tire.drawing_shapes import Point, clipped, in_common
from advisor.tire.layout import Patch
from advisor.tire.spans import Figures
from advisor.units import Measure, exactly

#: The room round the two units, as a share of the longer side of what they take up.
_ROOM = 0.15
_RULER: dict[Names, Measure] = {"mm": exactly(50, "mm"), "in": exactly(2, "in")}


def near_picture(
    first: Mark,
    second: Mark,
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
    link = () if common else (Line(*_link(*shapes), "thin"),)
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


def _scale(frame: tuple[float, float, float, float], names: Names) -> Span:
    """A round length to hold against the drawing."""
    long = _RULER[names]
    middle, half = (frame[0] + frame[1]) / 2, mm_ends(long)[1] / 2
    return Span(middle - half, middle + half, length_words(long, names))
