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
    """The least and the greatest share of a run that goes across the tread: the cosine.

    Parameters
    ----------
    direction : angle on the liner, 0° towards the serial side, 90° on round the tire as the clock runs

    Returns
    -------
    two numbers from -1 to 1, + towards the serial side; exact at quarter turns

    Examples
    --------
    >>> share_across(exactly(0, "deg")), share_across(exactly(90, "deg")), share_across(between(150, 210, "deg"))[0]
    ((1.0, 1.0), (0.0, 0.0), -1.0)
    """
    return _cosine(float(direction.to("deg").low), float(direction.to("deg").high))


def share_along(direction: Measure) -> Span:
    """The least and the greatest share of a run that goes along the tread: the sine.

    Parameters
    ----------
    direction : as for `share_across`

    Returns
    -------
    two numbers from -1 to 1, + clockwise; exact at quarter turns

    Examples
    --------
    >>> share_along(exactly(90, "deg")), share_along(exactly(270, "deg")), share_along(between(60, 120, "deg"))[1]
    ((1.0, 1.0), (-1.0, -1.0), 1.0)
    """
    turned = direction.to("deg")
    return _cosine(float(turned.low) - 90, float(turned.high) - 90)


def part_of(run: Measure, share: Span, exact: bool) -> Measure:
    """The part of a run that goes one way.

    Parameters
    ----------
    run : length, 0 or more
    share : as from `share_across` or `share_along`
    exact : whether the direction is in no doubt

    Returns
    -------
    length in the run's unit, signed as the share; every length that run and direction allow

    Examples
    --------
    >>> str(part_of(between(10, 20, "mm"), (-0.5, 0.5), exact=False))
    '-10 to 10 mm'
    """
    ends = [float(end) * part for end in (run.low, run.high) for part in share]
    return outward(min(ends), max(ends), run.unit, exact and run.exact)


def square(share: Span) -> Span:
    """The least and the greatest square of a share.

    Examples
    --------
    >>> square((-0.5, 1.0)), square((-1.0, -0.5))
    ((0.0, 1.0), (0.25, 1.0))
    """
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
    """The length along the channel: casing thickness / cos(angle).

    Parameters
    ----------
    casing_thickness : length >= 0, at the injury, square to the tread surface
    angle : 0° to below 90°, from square to the tread surface (0° is straight in)

    Returns
    -------
    length in the unit in which the thickness is compared

    Raises
    ------
    Misread : a negative thickness, or an angle outside 0° to below 90°

    References
    ----------
    Plain trigonometry on a flat layer of even thickness (derived).

    Examples
    --------
    >>> [str(channel_length(exactly(20, "mm"), exactly(angle, "deg"))) for angle in (0, 60)]
    ['20 mm', '40 mm']
    """
    return _at_angle(not_below_zero("casing thickness", casing_thickness), angle, lambda a: 1 / math.cos(a))


@lru_cache(maxsize=256)
def channel_run(casing_thickness: Measure, angle: Measure) -> Measure:
    """How far the inner end lies to the side of the outer: casing thickness x tan(angle).

    Parameters
    ----------
    casing_thickness, angle : as for `channel_length`

    Returns
    -------
    length >= 0 in the unit in which the thickness is compared

    Raises
    ------
    Misread : as `channel_length`

    References
    ----------
    Plain trigonometry on a flat layer of even thickness (derived).

    Examples
    --------
    >>> [str(channel_run(exactly(20, "mm"), angle)) for angle in (exactly(45, "deg"), between(0, 45, "deg"))]
    ['20 mm', '0 to 20 mm']
    """
    return _at_angle(not_below_zero("casing thickness", casing_thickness), angle, math.tan)


@lru_cache(maxsize=256)
def inner_offset(offset: Measure, angle: Measure, casing_thickness: Measure, lean: Direction) -> Measure:
    """The offset of the channel's inner end.

    Parameters
    ----------
    offset : length, signed, of the outer end from the tread's center line (+ towards the serial side)
    angle, casing_thickness : as for `channel_length`
    lean : where the inner end lies from the outer. `toward-shoulder`: away from the center line on the side of the
        offset; at offset 0, and for a range that holds 0, both ways count. `toward-centre` may cross the center line.
        `along-tread` keeps the offset. A clock direction in degrees (12:00 towards the serial side) takes the run's
        share across. None, not known: both ways count

    Returns
    -------
    length, signed, in the unit in which the offset is compared; every offset that the doubt allows

    Raises
    ------
    Misread : a negative thickness or an angle outside 0° to below 90°
    ValueError : any other lean

    References
    ----------
    Plain trigonometry on a flat layer of even thickness (derived).

    Examples
    --------
    >>> leans = ("toward-shoulder", "toward-centre", "along-tread", None, exactly(180, "deg"))
    >>> [str(inner_offset(exactly(-35, "mm"), exactly(45, "deg"), exactly(20, "mm"), lean)) for lean in leans]
    ['-55 mm', '-15 mm', '-35 mm', '-55 to -15 mm', '-55 mm']
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
    """How far round the tire the inner end lies from the outer.

    Parameters
    ----------
    angle, casing_thickness, lean : as for `inner_offset`

    Returns
    -------
    length along the liner, + clockwise, in the unit in which the thickness is compared. 0 for a lean across the tread;
    a clock direction takes the run's share along; along the tread, and where the lean is not known, both ways count

    Raises
    ------
    Misread : as `channel_length`

    Examples
    --------
    >>> leans = ("toward-shoulder", "along-tread", exactly(90, "deg"), exactly(30, "deg"))
    >>> [str(inner_shift_along(exactly(45, "deg"), exactly(20, "mm"), lean)) for lean in leans]
    ['0 mm', '-20 to 20 mm', '20 mm', '10 mm']
    """
    run = channel_run(casing_thickness, angle)
    if isinstance(lean, Measure):
        return part_of(run, share_along(lean), lean.exact)
    if lean in ("toward-shoulder", "toward-centre"):
        return Measure(Fraction(0), Fraction(0), run.unit)
    return Measure(-run.high, run.high, run.unit)


@lru_cache(maxsize=256)
def liner_ellipse(size: Measure, angle: Measure) -> tuple[Measure, Measure]:
    """The opening that a round channel leaves on the liner.

    Parameters
    ----------
    size : length >= 0, across the channel
    angle : as for `channel_length`

    Returns
    -------
    (across the slant, along the slant): size and size / cos(angle), in the unit in which the size is compared

    Raises
    ------
    Misread : a negative size, or an angle outside 0° to below 90°

    References
    ----------
    Plane section of a round cylinder (derived).

    Examples
    --------
    >>> [str(way) for way in liner_ellipse(exactly(6, "mm"), exactly(60, "deg"))]
    ['6 mm', '12 mm']
    """
    across = not_below_zero("size", size)
    return across, _at_angle(across, angle, lambda a: 1 / math.cos(a))


def stem_length(length_of_channel: Measure, above_liner: Measure, above_tread: Measure) -> Measure:
    """The stem needed: the channel, and what the method leaves standing above liner and tread.

    Parameters
    ----------
    length_of_channel, above_liner, above_tread : lengths

    Returns
    -------
    length in the unit in which the channel is compared

    References
    ----------
    Both heights are figures of the rule set; those of `trees/us-road` are common practice.

    Examples
    --------
    >>> str(stem_length(exactly(22, "mm"), between(3, 6, "mm"), exactly(3, "mm")))
    '28 to 31 mm'
    """
    return plus(length_of_channel, above_liner, above_tread)


@lru_cache(maxsize=256)
def check_offset(offset: Measure, section_width: Measure, section_height: Measure) -> Measure:
    """The offset, if it lies on the tire: up to half the section width plus the section height.

    Parameters
    ----------
    offset : length, signed, from the tread's center line
    section_width, section_height : lengths of the size

    Returns
    -------
    the offset as given. Beyond half the tread width it is a shoulder or sidewall injury, which is no mistake

    Raises
    ------
    Misread : an offset of which no part lies on the tire, with the plausible range

    References
    ----------
    What can be measured along the outside from the center line to the bead, at most (derived, on the generous side).

    Examples
    --------
    >>> str(check_offset(exactly(-330, "mm"), exactly(275, "mm"), exactly(193, "mm")))
    '-330 mm'
    >>> check_offset(exactly(331, "mm"), exactly(275, "mm"), exactly(193, "mm"))
    Traceback (most recent call last):
    ...
    advisor.model.problems.Misread: offset 331 mm; expected at most 330.5 mm ...
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
