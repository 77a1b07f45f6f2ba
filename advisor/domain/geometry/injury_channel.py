"""The injury's path through the casing: how long, how far it runs sideways, and where its inner end lies.

The casing at the injury is taken as a flat layer of even thickness, the channel as a straight line at
`angle` from square to the tread surface. Plain trigonometry; offsets count from the tread's center line,
+ towards the serial side. Results stand in the unit in which the length that went in is compared (cm as mm,
32nds as inches).

Which way the inner end lies from the outer: towards shoulder or centre, along the tread, or a clock direction.

A clock direction stands as degrees: 12:00 is towards the serial side, 3:00 on round the tire as the clock runs,
6:00 away from the serial side, 9:00 back. That is how the unrolled tread is drawn.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from fractions import Fraction
from functools import lru_cache
from typing import Literal

from advisor.domain.geometry.zones import ORDER, Zones, distance_in, worst_zones, zones_at
from advisor.domain.intervals import bare, minus, not_below_zero, outward, plus, size_of, times
from advisor.model.problems import Misread
from advisor.model.quantity import Measure, in_words

Lean = Literal["toward-shoulder", "toward-centre", "along-tread"]
#: None: not known.
Direction = Lean | Measure | None

Span = tuple[float, float]


def share_across(direction: Measure) -> Span:
    """The least and the greatest share of a run that goes across, + towards the serial side: the cosine."""
    return _cosine(float(direction.to("deg").low), float(direction.to("deg").high))


def share_along(direction: Measure) -> Span:
    """The least and the greatest share of a run that goes along, + clockwise: the sine."""
    turned = direction.to("deg")
    return _cosine(float(turned.low) - 90, float(turned.high) - 90)


def part_of(run: Measure, share: Span, exact: bool) -> Measure:
    """The part of a run, 0 or more, that goes one way; `exact` where the direction is in no doubt."""
    ends = [float(end) * part for end in (run.low, run.high) for part in share]
    return outward(min(ends), max(ends), run.unit, exact and run.exact)


def square(share: Span) -> Span:
    """The least and the greatest square of a share."""
    low, high = sorted((share[0] ** 2, share[1] ** 2))
    return (0.0 if share[0] < 0 < share[1] else low), high


def _cosine(low: float, high: float) -> Span:
    """The range of the cosine over a range of degrees."""
    ends = _cos(low), _cos(high)
    least = -1.0 if math.floor((high - 180) / 360) * 360 + 180 >= low else min(ends)
    most = 1.0 if math.floor(high / 360) * 360 >= low else max(ends)
    return least, most


def _cos(degrees: float) -> float:
    """The cosine; quarter turns come out exact."""
    quarter = degrees / 90
    return (1.0, 0.0, -1.0, 0.0)[int(quarter) % 4] if quarter.is_integer() else math.cos(math.radians(degrees))


__all__ = [
    "ORDER",
    "Direction",
    "Lean",
    "Zones",
    "channel_length",
    "channel_run",
    "check_offset",
    "distance_in",
    "inner_offset",
    "inner_shift_along",
    "liner_ellipse",
    "stem_length",
    "worst_zones",
    "zones_at",
]


@lru_cache(maxsize=256)
def channel_length(casing_thickness: Measure, angle: Measure) -> Measure:
    """Length along the channel: casing thickness / cos(angle).

    Raises Misread for a negative thickness, or an angle outside 0 to below 90 degrees.
    """
    return _at_angle(not_below_zero("casing thickness", casing_thickness), angle, lambda a: 1 / math.cos(a))


@lru_cache(maxsize=256)
def channel_run(casing_thickness: Measure, angle: Measure) -> Measure:
    """How far the inner end lies to the side of the outer: casing thickness x tan(angle).

    Raises Misread for a negative thickness, or an angle outside 0 to below 90 degrees.
    """
    return _at_angle(not_below_zero("casing thickness", casing_thickness), angle, math.tan)


@lru_cache(maxsize=256)
def inner_offset(offset: Measure, angle: Measure, casing_thickness: Measure, lean: Direction) -> Measure:
    """The offset of the channel's inner end, in the unit in which the offset is compared.

    Towards the shoulder is away from the center line on the side of the offset; at offset 0, and for a range
    that holds 0, the side is open and both ways count. Towards the centre may cross the center line. Along
    the tread keeps the offset. A clock direction takes the run's share across. None: the direction is not known,
    and both ways count.
    Raises Misread for a negative thickness or an angle outside 0 to below 90 degrees, ValueError for any
    other lean.
    """
    start = bare(offset)
    run = channel_run(casing_thickness, angle).to(start.unit)
    if isinstance(lean, Measure):
        return plus(start, part_of(run, share_across(lean), lean.exact))
    if lean == "along-tread":
        return start
    if lean is None:
        return Measure(start.low - run.high, start.high + run.high, start.unit)
    if lean == "toward-shoulder":
        return _outwards(start, run)
    if lean == "toward-centre":
        return _inwards(start, run)
    raise ValueError(f"no such lean: {lean}")


def inner_shift_along(angle: Measure, casing_thickness: Measure, lean: Direction) -> Measure:
    """How far round the tire the inner end lies from the outer, + clockwise; raises as `inner_offset`.

    0 for a lean across the tread. A clock direction takes the run's share along. Along the tread, and where the
    lean is not known, both ways count.
    """
    run = channel_run(casing_thickness, angle)
    if isinstance(lean, Measure):
        return part_of(run, share_along(lean), lean.exact)
    if lean in ("toward-shoulder", "toward-centre"):
        return Measure(Fraction(0), Fraction(0), run.unit)
    return Measure(-run.high, run.high, run.unit)


@lru_cache(maxsize=256)
def liner_ellipse(size: Measure, angle: Measure) -> tuple[Measure, Measure]:
    """The opening that a round channel leaves on the liner: (across the slant, along the slant).

    A round hole of `size`, cut at the angle, is an ellipse of size by size / cos(angle).
    Raises Misread for a negative size, or an angle outside 0 to below 90 degrees.
    """
    across = not_below_zero("size", size)
    return across, _at_angle(across, angle, lambda a: 1 / math.cos(a))


def stem_length(length_of_channel: Measure, above_liner: Measure, above_tread: Measure) -> Measure:
    """The stem needed: the channel, and what the method leaves standing above liner and tread."""
    return plus(length_of_channel, above_liner, above_tread)


def check_offset(offset: Measure, section_width: Measure, section_height: Measure) -> Measure:
    """The offset, if it lies on the tire: up to half the section width plus the section height.

    Beyond half the tread width it is a shoulder or sidewall injury, which is no mistake.
    Raises Misread with the plausible range.
    """
    farthest = plus(times(bare(section_width), Fraction(1, 2)), section_height)
    if minus(farthest, size_of(offset)).high < 0:
        limit = Measure(farthest.high, farthest.high, farthest.unit).to(offset.compared_in)
        expected = f"at most {in_words(limit)} to either side of the tread's center line"
        raise Misread(f"offset {in_words(offset)}", expected, "measure the offset again from the center line")
    return offset


def _outwards(start: Measure, run: Measure) -> Measure:
    if start.low > 0:
        return Measure(start.low + run.low, start.high + run.high, start.unit)
    if start.high < 0:
        return Measure(start.low - run.high, start.high - run.low, start.unit)
    return Measure(start.low - run.high, start.high + run.high, start.unit)


def _inwards(start: Measure, run: Measure) -> Measure:
    if start.low > 0:
        return Measure(start.low - run.high, start.high - run.low, start.unit)
    if start.high < 0:
        return Measure(start.low + run.low, start.high + run.high, start.unit)
    return Measure(min(start.low + run.low, -run.high), max(start.high - run.low, run.high), start.unit)


def _at_angle(length: Measure, angle: Measure, factor: Callable[[float], float]) -> Measure:
    turn = angle.to("deg")
    if turn.low < 0 or turn.high >= 90:
        expected = "from 0° to less than 90°, from square to the tread surface"
        raise Misread(f"angle {in_words(angle)}", expected, "read the angle from square: 0° is straight in")
    low = float(length.low) * factor(math.radians(turn.low))
    high = float(length.high) * factor(math.radians(turn.high))
    return outward(low, high, length.unit, length.exact and turn.exact)
