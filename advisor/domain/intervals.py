"""Arithmetic on measures in doubt: a result holds everything that its inputs allow, never less.

Sums and differences are exact. What needs a root, a sine or pi is worked out in floating point and set on
a grid of a billionth of the unit: a plain figure to the nearest step, a range outwards (low down, high up).
An end that lies on the grid but for the noise of the last binary digits counts as on it, so that a range
which ends exactly at a limit still does.
Source: interval arithmetic as in IEEE 1788-2015 (containment); the grid is our own choice.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from fractions import Fraction

from advisor.model.problems import Misread
from advisor.model.quantity import Measure, in_words

#: One published figure, or the same limit as published in several units.
Figures = Measure | Sequence[Measure] | Mapping[str, Measure]

GRID = 10**9
_NOISE = 0.01


def figure(number: float) -> Fraction:
    """A computed number as an exact figure, to the nearest billionth.

    Examples
    --------
    >>> figure(2 / 3)
    Fraction(666666667, 1000000000)
    """
    return Fraction(round(number * GRID), GRID)


def outward(low: float, high: float, unit: str, exact: bool) -> Measure:
    """A computed range as a measure on the grid of a billionth of the unit.

    Parameters
    ----------
    low, high : ends as computed
    unit : the unit that they are in
    exact : whether everything that went in was in no doubt; then `low` alone counts, to the nearest step

    Returns
    -------
    the measure; a range has its ends moved outwards, but for the noise of the last binary digits

    Raises
    ------
    ValueError, OverflowError : an end that is not a finite number

    Examples
    --------
    >>> outward(0.1 + 0.2, 0.4, "mm", exact=False) == between("0.3", "0.4", "mm")
    True
    >>> float(outward(1 / 3, 1 / 3, "mm", exact=False).high - outward(1 / 3, 1 / 3, "mm", exact=False).low)
    1e-09
    """
    if exact:
        middle = figure(low)
        return Measure(middle, middle, unit)
    down, up = math.floor(low * GRID + _NOISE), math.ceil(high * GRID - _NOISE)
    return Measure(Fraction(down, GRID), Fraction(up, GRID), unit)


def bare(measure: Measure) -> Measure:
    """The measure in the unit it is compared in (cm as mm, 32nds as inches), without the words typed.

    Examples
    --------
    >>> str(bare(exactly(4, "32nds"))), str(bare(exactly("2.5", "cm")))
    ('1/8 in', '25 mm')
    """
    same = measure.to(measure.compared_in)
    return Measure(same.low, same.high, same.unit)


def plus(*measures: Measure) -> Measure:
    """The sum, exact, in the unit in which the first is compared.

    Raises
    ------
    ValueError : measures of different quantities

    Examples
    --------
    >>> str(plus(exactly(20, "mm"), between(3, 6, "mm"), exactly(1, "in")))
    '48.4 to 51.4 mm'
    """
    first = bare(measures[0])
    rest = [measure.to(first.unit) for measure in measures[1:]]
    return Measure(sum((m.low for m in rest), first.low), sum((m.high for m in rest), first.high), first.unit)


def minus(first: Measure, second: Measure) -> Measure:
    """The difference, exact, in the unit in which the first is compared; ranges widen it.

    Raises
    ------
    ValueError : measures of different quantities

    Examples
    --------
    >>> str(minus(between(8, 10, "mm"), between(1, 2, "mm")))
    '6 to 9 mm'
    """
    left = bare(first)
    right = second.to(left.unit)
    return Measure(left.low - right.high, left.high - right.low, left.unit)


def times(measure: Measure, factor: Fraction | int) -> Measure:
    """The measure times an exact number, in its own unit; a negative one swaps the ends.

    Examples
    --------
    >>> str(times(between(2, 3, "mm"), -2))
    '-6 to -4 mm'
    """
    ends = sorted((measure.low * factor, measure.high * factor))
    return Measure(ends[0], ends[1], measure.unit)


def size_of(measure: Measure) -> Measure:
    """The measure without its sign.

    Examples
    --------
    >>> str(size_of(exactly(-35, "mm"))), str(size_of(between(-5, 3, "mm")))
    ('35 mm', '0 to 5 mm')
    """
    if measure.low >= 0:
        return measure
    if measure.high <= 0:
        return Measure(-measure.high, -measure.low, measure.unit)
    return Measure(Fraction(0), max(-measure.low, measure.high), measure.unit)


def hull(*measures: Measure) -> Measure:
    """The smallest range that holds all, in the unit in which the first is compared.

    Examples
    --------
    >>> str(hull(exactly(3, "mm"), between(5, 6, "mm")))
    '3 to 6 mm'
    """
    unit = measures[0].compared_in
    all_in_one = [measure.to(unit) for measure in measures]
    return Measure(min(m.low for m in all_in_one), max(m.high for m in all_in_one), unit)


def in_family(figures: Figures, like: Measure) -> Measure:
    """The published figure to hold a reading against: in the unit the reading is compared in, else the first.

    Parameters
    ----------
    figures : one figure, or the same limit as published in several units
    like : the reading

    Returns
    -------
    one of the figures, never converted: 6 mm and 1/4 in are two limits that are each exact

    Raises
    ------
    ValueError : no figure at all

    Examples
    --------
    >>> hole = (exactly("1/4", "in"), exactly(6, "mm"))
    >>> [str(in_family(hole, reading)) for reading in (exactly(8, "32nds"), exactly("0.6", "cm"))]
    ['1/4 in', '6 mm']
    """
    if isinstance(figures, Measure):
        return figures
    rows = list(figures.values()) if isinstance(figures, Mapping) else list(figures)
    if not rows:
        raise ValueError("a limit without a figure")
    return next((row for row in rows if row.compared_in == like.compared_in), rows[0])


def not_below_zero(what: str, measure: Measure, zero_too: bool = True) -> Measure:
    """The measure, in the unit it is compared in, if no part of it lies below zero.

    Parameters
    ----------
    what : what was measured, for the message
    measure : any quantity
    zero_too : whether zero may stand

    Returns
    -------
    the measure without the words typed

    Raises
    ------
    Misread : an end below zero, or at zero unless `zero_too`

    Examples
    --------
    >>> str(not_below_zero("casing thickness", exactly(2, "cm")))
    '20 mm'
    """
    if measure.low < 0 or (measure.low == 0 and not zero_too):
        least = "0 or more" if zero_too else "more than 0"
        raise Misread(f"{what} {in_words(measure)}", least, "measure again, and enter what is shown")
    return bare(measure)
