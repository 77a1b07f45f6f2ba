"""Where names go in a drawing, so that none covers another, a mark, or a unit that is not its own.

Boxes are (left, top, right, bottom) on the sheet, in whatever unit it is measured in: characters or px.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct

Box = tuple[float, float, float, float]


class Named(Struct, frozen=True):
    """A thing with a name: the box that it takes, and how wide and high its name is."""

    box: Box
    wide: float
    high: float
    left_first: bool = False


def placed(things: Sequence[Named], marks: Sequence[Box], sheet: Box, gap: float) -> list[Box]:
    """A box for each name, in order: inside its own thing where there is room, else beside it.

    A name that finds no free place takes the first one inside the sheet.
    """
    taken = list(marks)
    found = []
    for thing in things:
        others = [other.box for other in things if other is not thing]
        places = [place for place in _places(thing, gap) if _holds(sheet, place)] or [_moved_in(thing, sheet)]
        free = [place for place in places if not any(_meet(place, box) for box in taken)]
        clear = [place for place in free if not any(_meet(place, box) for box in others)]
        best = (clear or free or places)[0]
        taken.append(best)
        found.append(best)
    return found


def _places(thing: Named, gap: float) -> Iterator[Box]:
    left, top, right, bottom = thing.box
    x, y = (left + right - thing.wide) / 2, (top + bottom - thing.high) / 2
    if right - left >= thing.wide + gap and bottom - top >= 2 * (thing.high + gap):
        yield _box(x, top + gap, thing)
        yield _box(x, bottom - gap - thing.high, thing)
    elif right - left >= thing.wide + gap and bottom - top >= thing.high:
        yield _box(x, y, thing)
    beside = [_box(right + gap, y, thing), _box(left - gap - thing.wide, y, thing)]
    yield from reversed(beside) if thing.left_first else beside
    yield _box(x, top - gap - thing.high, thing)
    yield _box(x, bottom + gap, thing)
    yield _box(right + gap, top - thing.high, thing)
    yield _box(left - gap - thing.wide, bottom, thing)
    yield _box(x, y, thing)


def _box(left: float, top: float, thing: Named) -> Box:
    return left, top, left + thing.wide, top + thing.high


def _moved_in(thing: Named, sheet: Box) -> Box:
    left = max(sheet[0], min((thing.box[0] + thing.box[2] - thing.wide) / 2, sheet[2] - thing.wide))
    top = max(sheet[1], min((thing.box[1] + thing.box[3] - thing.high) / 2, sheet[3] - thing.high))
    return _box(left, top, thing)


def _holds(sheet: Box, place: Box) -> bool:
    return sheet[0] <= place[0] and sheet[1] <= place[1] and place[2] <= sheet[2] and place[3] <= sheet[3]


def _meet(first: Box, second: Box) -> bool:
    return first[0] < second[2] and second[0] < first[2] and first[1] < second[3] and second[1] < first[3]
