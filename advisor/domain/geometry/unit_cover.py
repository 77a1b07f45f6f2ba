"""Whether a repair unit fits: over the opening in the liner with its margin, and clear of the shoulder.

Each result is what is left over: 0 or more fits, below 0 does not, a range across 0 is open.
Margins come from the unit's chart or the rule set, as arguments.
"""

from __future__ import annotations

import math
from fractions import Fraction
from functools import lru_cache

from advisor.domain.geometry.injury_channel import Direction, Span, share_across, share_along, square
from advisor.domain.geometry.zones import distance_in
from advisor.domain.intervals import Figures, bare, hull, in_family, minus, outward, plus, size_of, times
from advisor.model.quantity import Measure


@lru_cache(maxsize=256)
def cover_left(
    unit_length: Measure,
    unit_width: Measure,
    ellipse: tuple[Measure, Measure],
    lean: Direction,
    margin: Measure,
) -> tuple[Measure, Measure]:
    """What a unit has left over beyond the opening and its margin on both sides.

    Parameters
    ----------
    unit_length, unit_width : lengths along the tread and across it
    ellipse : (across the slant, along the slant), as from `injury_channel.liner_ellipse`
    lean : as for `injury_channel.inner_offset`. Across the tread lays the ellipse's long way across, along the tread
        along, a clock direction between the two; not known: either way
    margin : length on each side

    Returns
    -------
    (along the tread, across it), each in the unit in which the unit's size is compared: 0 or more covers, below 0 does
    not, a range across 0 is open

    References
    ----------
    Arithmetic; the margin is a figure of the unit's chart.

    Examples
    --------
    >>> sizes, hole = (exactly(60, "mm"), exactly(50, "mm")), (exactly(6, "mm"), exactly(12, "mm"))
    >>> [str(left) for left in cover_left(*sizes, hole, "toward-shoulder", exactly(20, "mm"))]
    ['14 mm', '-2 mm']
    >>> [str(left) for left in cover_left(*sizes, hole, None, exactly(20, "mm"))]
    ['8 to 14 mm', '-2 to 4 mm']
    """
    along, across = opening_reach(ellipse, lean)
    return _left(unit_length, along, margin), _left(unit_width, across, margin)


def opening_reach(ellipse: tuple[Measure, Measure], lean: Direction) -> tuple[Measure, Measure]:
    """How far the opening in the liner reaches.

    Parameters
    ----------
    ellipse, lean : as for `cover_left`

    Returns
    -------
    (along the tread, across it), from edge to edge

    References
    ----------
    Width of a turned ellipse: the root of short² + (long² - short²) x the squared share (derived).

    Examples
    --------
    >>> hole = (exactly(6, "mm"), exactly(12, "mm"))
    >>> leans = ("along-tread", exactly(0, "deg"), exactly(45, "deg"))
    >>> [[str(way) for way in opening_reach(hole, lean)] for lean in leans]
    [['12 mm', '6 mm'], ['6 mm', '12 mm'], ['9.49 mm', '9.49 mm']]
    """
    short, long = ellipse
    if isinstance(lean, Measure):
        along, across = (_reach(ellipse, square(share(lean)), lean.exact) for share in (share_along, share_across))
        return along, across
    either = hull(short, long)
    ways = {"toward-shoulder": (short, long), "toward-centre": (short, long), "along-tread": (long, short)}
    return ways.get(lean or "", (either, either))


@lru_cache(maxsize=256)
def joint_cover_left(
    unit: tuple[Measure, Measure],
    apart: tuple[Measure, Measure],
    openings: tuple[tuple[Measure, Measure], tuple[Measure, Measure]],
    margin: Measure,
) -> tuple[Measure, Measure]:
    """What one unit that is laid over two openings has left over.

    Parameters
    ----------
    unit : (length, width); it lies square to the tread, as well as it can
    apart : how far the openings' centres lie apart without a sign
    openings : what each reaches, as from `opening_reach`
        All of them (along the tread, across it)
    margin : length on each side

    Returns
    -------
    (along the tread, across it): side - apart - half of both openings - two margins; below 0 it does not cover both

    References
    ----------
    Arithmetic; the margin is a figure of the unit's chart.

    Examples
    --------
    >>> openings = ((exactly(6, "mm"), exactly(6, "mm")), (exactly(8, "mm"), exactly(10, "mm")))
    >>> unit, apart = (exactly(90, "mm"), exactly(75, "mm")), (exactly(24, "mm"), exactly(16, "mm"))
    >>> [str(left) for left in joint_cover_left(unit, apart, openings, exactly(10, "mm"))]
    ['39 mm', '31 mm']
    """
    sides = zip(unit, apart, *openings, strict=True)
    along, across = (
        _left(side, plus(gap, times(plus(first, second), Fraction(1, 2))), margin) for side, gap, first, second in sides
    )
    return along, across


def edge_room(inner_offset: Measure, unit_width: Measure, tread_width: Measure, crown_margin: Figures) -> Measure:
    """The room left between a repair unit's edge and the shoulder.

    Parameters
    ----------
    inner_offset : length, signed, of the unit's middle from the center line (+ towards the serial side)
    unit_width, tread_width : lengths, the tread's > 0
    crown_margin : how far in from the tread's edge the crown begins, as for `zones_at`

    Returns
    -------
    length in the unit in which the offset is compared; below 0 the unit reaches into the shoulder by that much

    Raises
    ------
    Misread : a tread width of 0 or less

    References
    ----------
    The margin is a figure of the rule set; that of `trees/us-road` is common practice.

    Examples
    --------
    >>> str(edge_room(exactly(20, "mm"), exactly(60, "mm"), exactly(220, "mm"), exactly(25, "mm")))
    '35 mm'
    """
    inside = distance_in(inner_offset, tread_width)
    margin = in_family(crown_margin, inner_offset)
    half = times(size_of(bare(unit_width)), Fraction(1, 2))
    return minus(minus(inside, margin), half)


def _reach(ellipse: tuple[Measure, Measure], share: Span, exact: bool) -> Measure:
    """How far a turned ellipse reaches one way: the root of short² + (long² - short²) x the squared cosine."""
    short, long = ellipse
    ends = [
        math.sqrt(float(least) ** 2 + max(0.0, float(most) ** 2 - float(least) ** 2) * part)
        for least, most, part in zip((short.low, short.high), (long.low, long.high), share, strict=True)
    ]
    return outward(ends[0], ends[1], short.unit, exact and short.exact and long.exact)


def _left(unit: Measure, opening: Measure, margin: Measure) -> Measure:
    return minus(minus(unit, opening), times(margin, 2))
