"""The liner unrolled: repair units laid on a strip that closes on itself, and how far apart they are.

The strip is a cylinder of the overall diameter less twice the casing thickness. Along it counts clockwise
from the valve, across it counts from the tread's center line, + towards the serial side. All lengths come
out in mm. The distance is signed: 0 where two touch, below 0 where they overlap, by the shortest move that
parts them.
Source: geometry of the cylinder; interval arithmetic as in `intervals`.

Two units on the unrolled strip, in plain figures: the least and the greatest distance in their doubt.

Every pair `(low, high)` is a range in mm, or in degrees where the name says so. The distance grows and
shrinks with each input on its own, so its ends are met at ends of the inputs; the strip's closing is met by
trying every picture of the second unit, a whole turn on or back, that may lie nearest.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

from msgspec import Struct

from advisor.domain.clock import FULL_TURN_DEG
from advisor.domain.geometry.polygons import Rectangle, polygons_apart, rectangle, rectangles_apart, swept
from advisor.domain.intervals import GRID, minus, not_below_zero, outward, plus, times
from advisor.model.problems import Misread
from advisor.model.quantity import Measure, between, exactly, in_words

_Span = tuple[float, float]
_TURN = 360.0
_NOT_YET = Rectangle(0.0, 0.0, 1.0, 0.0)


class Flat(Struct):
    """A unit on the strip; `shift` counts from `clock_deg`, or from the valve where that is None."""

    clock_deg: _Span | None
    shift: _Span
    along: _Span
    across: _Span
    length: _Span
    width: _Span
    turn_deg: _Span
    exact: bool
    half_length: _Span = (0.0, 0.0)
    half_width: _Span = (0.0, 0.0)
    upright: bool = True
    outer: Rectangle = _NOT_YET
    inner: Rectangle = _NOT_YET
    reach: float = 0.0

    def __post_init__(self) -> None:
        low, high = self.turn_deg
        self.upright = low == high and low % 90 == 0
        sides = (self.length, self.width) if low % 180 == 0 else (self.width, self.length)
        if self.upright:
            (a, b), (c, d) = sides
            self.half_length, self.half_width = (a / 2, b / 2), (c / 2, d / 2)
        self.outer, self.inner = _around(self), _within(self)
        self.reach = math.hypot(self.outer.half_length, self.outer.half_width)


def apart(first: Flat, second: Flat, round_mm: _Span) -> _Span:
    """The least and the greatest signed distance of two units on a strip that closes on itself, in plain figures of mm.

    Parameters
    ----------
    first, second : units with every figure as a range
    round_mm : the strip's length once round, as a range

    Returns
    -------
    (least, greatest) in mm, edge to edge the shorter way round; below 0 they overlap. `gap` is the same for measures

    Examples
    --------
    >>> here, there = ((at, at) for at in (10.0, 990.0))
    >>> sizes = {"length": (8.0, 8.0), "width": (5.0, 5.0), "turn_deg": (0.0, 0.0), "exact": True}
    >>> units = [Flat(None, at, at, (0.0, 0.0), **sizes) for at in (here, there)]
    >>> apart(*units, (1000.0, 1000.0))
    (12.0, 12.0)
    """
    images = _images(first, second, round_mm)
    y = (second.across[0] - first.across[1], second.across[1] - first.across[0])
    if first.upright and second.upright:
        return _upright(first, second, images, y, round_mm[1] / 2)
    reach = first.reach + second.reach
    if first.exact and second.exact and round_mm[0] == round_mm[1]:
        least = _plain_apart(first, second, images, y[0], reach)
        return least, least
    least = most = math.inf
    for x in sorted(images, key=_size):
        if least < _size(x)[0] - reach and most < _size(x)[0] - reach:
            break
        least = min(least, _least(first, second, x, y))
        most = min(most, _most(first, second, x, y))
    return least, max(least, most)


def _images(first: Flat, second: Flat, round_mm: _Span) -> list[_Span]:
    """The second unit's centre as seen from the first's, along the strip, for each turn near it."""
    short, long = round_mm
    if first.clock_deg and second.clock_deg:
        d0, d1 = second.clock_deg[0] - first.clock_deg[1], second.clock_deg[1] - first.clock_deg[0]
        s0, s1 = second.shift[0] - first.shift[1], second.shift[1] - first.shift[0]
    else:
        d0 = d1 = 0.0
        s0, s1 = second.along[0] - first.along[1], second.along[1] - first.along[0]
    spans = []
    for turn in range(math.floor(d0 / _TURN + s0 / short), math.ceil(d1 / _TURN + s1 / short) + 1):
        e0, e1 = d0 - _TURN * turn, d1 - _TURN * turn
        low = e0 * (long if e0 < 0 else short) / _TURN
        high = e1 * (long if e1 > 0 else short) / _TURN
        spans.append((low + s0, high + s1))
    return spans


def _upright(first: Flat, second: Flat, images: list[_Span], y: _Span, half_round: float) -> _Span:
    sizes = [_size(span) for span in images]
    x0 = min(size[0] for size in sizes)
    x1 = min(min(size[1] for size in sizes), half_round)
    y0, y1 = _size(y)
    (la, lb), (wa, wb) = first.half_length, first.half_width
    (lc, ld), (wc, wd) = second.half_length, second.half_width
    low = _corner(x0 - lb - ld, y0 - wb - wd)
    return low, max(low, _corner(x1 - la - lc, y1 - wa - wc))


def _corner(x: float, y: float) -> float:
    if x > 0 and y > 0:
        return math.hypot(x, y)
    return x if x > y else y


def _size(span: _Span) -> _Span:
    low, high = span
    if low > 0:
        return low, high
    if high < 0:
        return -high, -low
    return 0.0, max(-low, high)


def _plain_apart(first: Flat, second: Flat, images: list[_Span], y: float, reach: float) -> float:
    """The distance where nothing is in doubt: the nearest picture's, and of others no farther than it may still be."""
    least = math.inf
    for x, _ in sorted(images, key=_low):
        if least < abs(x) - reach:
            break
        least = min(least, rectangles_apart(first.outer, second.outer, x, y))
    return least


def _low(span: _Span) -> float:
    return abs(span[0])


def _least(first: Flat, second: Flat, x: _Span, y: _Span) -> float:
    if x[0] == x[1] and y[0] == y[1]:
        return rectangles_apart(first.outer, second.outer, x[0], y[0])
    return polygons_apart(first.outer.corners(), swept(second.outer.corners(), x, y))


def _most(first: Flat, second: Flat, x: _Span, y: _Span) -> float:
    return max(rectangles_apart(first.inner, second.inner, vx, vy) for vx in set(x) for vy in set(y))


def _around(flat: Flat) -> Rectangle:
    """The unit at its largest; where its turn is in doubt, an upright rectangle that holds it in any case."""
    length, width = flat.length[1], flat.width[1]
    if flat.turn_deg[0] == flat.turn_deg[1]:
        return rectangle(length, width, flat.turn_deg[0])
    cos, sin = _largest(flat.turn_deg)
    return rectangle(length * cos + width * sin, length * sin + width * cos, 0.0)


def _within(flat: Flat) -> Rectangle:
    """The unit at its smallest; where its turn is in doubt, an upright rectangle inside it in any case."""
    length, width = flat.length[0], flat.width[0]
    if flat.turn_deg[0] == flat.turn_deg[1]:
        return rectangle(length, width, flat.turn_deg[0])
    cos, sin = _largest(flat.turn_deg)
    around = length * cos + width * sin, length * sin + width * cos
    share = min(length / around[0] if length else 0.0, width / around[1] if width else 0.0)
    return rectangle(length * share, width * share, 0.0)


def _largest(turn_deg: _Span) -> _Span:
    """The largest |cos| and |sin| over a range of turns."""
    low, high = turn_deg
    ends = [math.radians(low), math.radians(high)]
    cos = 1.0 if math.floor(high / 180) * 180 >= low else max(abs(math.cos(end)) for end in ends)
    sin = 1.0 if math.floor((high - 90) / 180) * 180 + 90 >= low else max(abs(math.sin(end)) for end in ends)
    return cos, sin


NO_TURN = exactly(0, "deg")
#: A rectangle turned by half a turn more lies as before.
ANY_TURN = between(0, FULL_TURN_DEG // 2, "deg")
_NO_SHIFT = exactly(0, "mm")


class Patch(Struct, frozen=True):
    """A unit on the liner, by its centre.

    `along_mm` clockwise from the valve, `across` from the center line, `length` along and `width` across
    before it was turned by `turn_deg` (from clockwise towards the serial side). Where `clock` is known too,
    distances are worked out from it and `shift`, so that doubt about the circumference counts only once.
    """

    along_mm: Measure
    across: Measure
    length: Measure
    width: Measure
    turn_deg: Measure = NO_TURN
    clock: Measure | None = None
    shift: Measure = _NO_SHIFT


@lru_cache(maxsize=256)
def circumference(overall_diameter: Measure, casing_thickness: Measure | None = None) -> Measure:
    """The liner's length once round: pi x (D - 2t), or pi x D where the thickness t is not known.

    Parameters
    ----------
    overall_diameter : length > 0
    casing_thickness : length >= 0, or None; without it the liner comes out longer than it is, and what lies apart by
        the clock a few percent farther apart

    Returns
    -------
    length in mm

    Raises
    ------
    Misread : a diameter of 0 or less, a negative thickness, or a casing as thick as the tire

    References
    ----------
    The circumference of a circle (derived).

    Examples
    --------
    >>> str(circumference(exactly(958, "mm"), exactly(22, "mm"))), str(circumference(exactly(958, "mm")))
    ('2871.42 mm', '3009.65 mm')
    """
    inner = not_below_zero("overall diameter", overall_diameter, zero_too=False).to("mm")
    if casing_thickness is not None:
        inner = minus(inner, times(not_below_zero("casing thickness", casing_thickness).to("mm"), 2))
    if inner.low <= 0:
        expected = f"less than half the overall diameter, {in_words(overall_diameter)}"
        raise Misread(f"casing thickness {casing_thickness}", expected, "measure the casing again")
    return outward(float(inner.low) * math.pi, float(inner.high) * math.pi, "mm", inner.exact)


@lru_cache(maxsize=256)
def place_on_liner(
    clock: Measure,
    across: Measure,
    length: Measure,
    width: Measure,
    circumference: Measure,
    turn: Measure = NO_TURN,
    shift: Measure = _NO_SHIFT,
) -> Patch:
    """A repair unit at a clock position.

    Parameters
    ----------
    clock : angle clockwise from the valve, seen from the serial side
    across : length, signed, of the unit's centre from the center line (+ towards the serial side)
    length, width : lengths >= 0, along the tread and across it before the unit is turned
    circumference : length once round the liner
    turn : angle from square to the tread, from clockwise towards the serial side
    shift : length further clockwise, such as `injury_channel.inner_shift_along`

    Returns
    -------
    the unit by its centre, in mm

    Raises
    ------
    Misread : a negative size, or a unit longer than the liner is round

    Examples
    --------
    >>> sizes, around = (exactly(80, "mm"), exactly(50, "mm")), exactly(3000, "mm")
    >>> str(place_on_liner(exactly(60, "deg"), exactly(-35, "mm"), *sizes, around, shift=exactly(10, "mm")).along_mm)
    '510 mm'
    """
    room = circumference.to("mm")
    long, wide = not_below_zero("unit length", length).to("mm"), not_below_zero("unit width", width).to("mm")
    if long.low > room.high:
        expected = f"at most once round the liner, {in_words(room)}"
        raise Misread(f"unit length {in_words(length)}", expected, "measure the unit again, along the tread")
    turned = clock.to("deg")
    start, end = turned.low * room.low / FULL_TURN_DEG, turned.high * room.high / FULL_TURN_DEG
    along = plus(Measure(start, end, "mm"), shift)
    return Patch(along, across.to("mm"), long, wide, turn.to("deg"), turned, shift.to("mm"))


def gap(first: Patch, second: Patch, circumference: Measure) -> Measure:
    """How far two units lie apart, edge to edge along the liner, the shorter way round.

    Parameters
    ----------
    first, second : units on the same liner
    circumference : length > 0 once round it

    Returns
    -------
    length in mm, signed: 0 where they touch, below 0 where they overlap, by the shortest move that parts them; a range
    holds every distance that the doubt allows

    Raises
    ------
    Misread : a circumference of 0 or less

    References
    ----------
    Geometry of the cylinder; separating axis theorem for convex polygons.

    Examples
    --------
    >>> sizes, around = (exactly(80, "mm"), exactly(50, "mm")), exactly(3000, "mm")
    >>> def at(degrees): return place_on_liner(exactly(degrees, "deg"), exactly(0, "mm"), *sizes, around)
    >>> str(gap(at(354), at(6), around)), str(gap(at(0), at(6), around))
    ('20 mm', '-30 mm')
    """
    here, there, round_mm = _flat(first), _flat(second), _ends(circumference)
    low, high = apart(here, there, round_mm)
    return outward(low, high, "mm", here.exact and there.exact and round_mm[0] == round_mm[1])


def nearest(new: Sequence[Patch], old: Sequence[Patch], circumference: Measure) -> list[tuple[int, int, Measure]]:
    """Every pair of units with a new one in it, the nearest first.

    Parameters
    ----------
    new, old : units on the same liner
    circumference : as for `gap`

    Returns
    -------
    (i, j, gap) with the gap in mm; i and j count through the new units and on through the old ones, i < j, and i is
    always a new one

    Raises
    ------
    Misread : as `gap`

    Examples
    --------
    >>> sizes, around = (exactly(80, "mm"), exactly(50, "mm")), exactly(3000, "mm")
    >>> new, old, far = (place_on_liner(exactly(d, "deg"), exactly(0, "mm"), *sizes, around) for d in (0, 12, 60))
    >>> [(i, j, str(gap)) for i, j, gap in nearest([new], [far, old], around)]
    [(0, 2, '20 mm'), (0, 1, '420 mm')]
    """
    flats = [_flat(patch) for patch in (*new, *old)]
    round_mm = _ends(circumference)
    plain = round_mm[0] == round_mm[1]
    rows = []
    for i, first in enumerate(flats[: len(new)]):
        for j in range(i + 1, len(flats)):
            low, high = apart(first, flats[j], round_mm)
            rows.append((round(low * GRID), round(high * GRID), i, j, low, high))
    rows.sort()
    return [
        (i, j, outward(low, high, "mm", plain and flats[i].exact and flats[j].exact)) for _, _, i, j, low, high in rows
    ]


def _ends(measure: Measure) -> tuple[float, float]:
    in_mm = measure.to("mm")
    if in_mm.low <= 0:
        raise Misread(f"once round {in_words(measure)}", "more than 0", "measure the tire's size again")
    return float(in_mm.low), float(in_mm.high)


def _flat(patch: Patch) -> Flat:
    parts = [patch.across.to("mm"), patch.length.to("mm"), patch.width.to("mm"), patch.turn_deg.to("deg")]
    clock, moved = patch.clock, patch.shift
    if clock is None:
        moved = patch.along_mm
    parts.append(moved.to("mm"))
    exact = all(part.exact for part in parts) and (clock is None or clock.exact)
    across, length, width, turn, shift = ((float(part.low), float(part.high)) for part in parts)
    degrees = None if clock is None else (float(clock.low), float(clock.high))
    along = (float(patch.along_mm.to("mm").low), float(patch.along_mm.to("mm").high))
    return Flat(degrees, shift, along, across, length, width, turn, exact)
