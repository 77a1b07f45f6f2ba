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
    """What the unit has left over beyond opening and margin on both sides: (along the tread, across it).

    `ellipse` is (across the slant, along the slant), as from `path.liner_ellipse`. A lean across the tread
    lays its long way across, one along the tread along, a clock direction between the two; where the lean is not
    known it may lie either way.
    """
    along, across = opening_reach(ellipse, lean)
    return _left(unit_length, along, margin), _left(unit_width, across, margin)


def opening_reach(ellipse: tuple[Measure, Measure], lean: Direction) -> tuple[Measure, Measure]:
    """How far the opening in the liner reaches: (along the tread, across it); arguments as for `cover_left`."""
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
    """What one unit has left over that is laid over two openings: (along the tread, across it).

    `unit` is its (length, width), `apart` how far the openings' centres lie apart without a sign, `openings` what
    each reaches, as from `opening_reach`; all (along, across). The unit lies square to the tread, as well as it can.
    """
    sides = zip(unit, apart, *openings, strict=True)
    along, across = (
        _left(side, plus(gap, times(plus(first, second), Fraction(1, 2))), margin) for side, gap, first, second in sides
    )
    return along, across


def edge_room(inner_offset: Measure, unit_width: Measure, tread_width: Measure, crown_margin: Figures) -> Measure:
    """How far the unit's edge stays inside the crown; below 0 it reaches into the shoulder by that much.

    In the unit in which the offset is compared. Raises Misread for a tread width of 0 or less.
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
