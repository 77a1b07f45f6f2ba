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
    """A computed number as an exact figure, to the nearest step of the grid."""
    return Fraction(round(number * GRID), GRID)


def outward(low: float, high: float, unit: str, exact: bool) -> Measure:
    """A computed range as a measure in `unit`, its ends moved outwards; a plain figure where `exact`.

    Raises ValueError or OverflowError where an end is not a finite number.
    """
    if exact:
        middle = figure(low)
        return Measure(middle, middle, unit)
    down, up = math.floor(low * GRID + _NOISE), math.ceil(high * GRID - _NOISE)
    return Measure(Fraction(down, GRID), Fraction(up, GRID), unit)


def bare(measure: Measure) -> Measure:
    """The measure in the unit it is compared in (cm as mm, 32nds as inches), without the words typed."""
    same = measure.to(measure.compared_in)
    return Measure(same.low, same.high, same.unit)


def plus(*measures: Measure) -> Measure:
    """The sum, exact, in the unit in which the first is compared. Raises ValueError across quantities."""
    first = bare(measures[0])
    rest = [measure.to(first.unit) for measure in measures[1:]]
    return Measure(sum((m.low for m in rest), first.low), sum((m.high for m in rest), first.high), first.unit)


def minus(first: Measure, second: Measure) -> Measure:
    """The difference, exact, in the unit the first is compared in. Raises ValueError across quantities."""
    left = bare(first)
    right = second.to(left.unit)
    return Measure(left.low - right.high, left.high - right.low, left.unit)


def times(measure: Measure, factor: Fraction | int) -> Measure:
    """The measure times an exact number; a negative one swaps the ends."""
    ends = sorted((measure.low * factor, measure.high * factor))
    return Measure(ends[0], ends[1], measure.unit)


def size_of(measure: Measure) -> Measure:
    """The measure without its sign: -35 mm gives 35 mm, -5 to 3 mm gives 0 to 5 mm."""
    if measure.low >= 0:
        return measure
    if measure.high <= 0:
        return Measure(-measure.high, -measure.low, measure.unit)
    return Measure(Fraction(0), max(-measure.low, measure.high), measure.unit)


def hull(*measures: Measure) -> Measure:
    """The smallest range that holds all, in the unit in which the first is compared."""
    unit = measures[0].compared_in
    all_in_one = [measure.to(unit) for measure in measures]
    return Measure(min(m.low for m in all_in_one), max(m.high for m in all_in_one), unit)


def in_family(figures: Figures, like: Measure) -> Measure:
    """The published figure to hold a reading against: in the unit the reading is compared in, else the first.

    Raises ValueError where there is no figure at all.
    """
    if isinstance(figures, Measure):
        return figures
    rows = list(figures.values()) if isinstance(figures, Mapping) else list(figures)
    if not rows:
        raise ValueError("a limit without a figure")
    return next((row for row in rows if row.compared_in == like.compared_in), rows[0])


def not_below_zero(what: str, measure: Measure, zero_too: bool = True) -> Measure:
    """The measure, in the unit it is compared in. Raises Misread below zero, or at zero unless `zero_too`."""
    if measure.low < 0 or (measure.low == 0 and not zero_too):
        least = "0 or more" if zero_too else "more than 0"
        raise Misread(f"{what} {in_words(measure)}", least, "measure again, and enter what is shown")
    return bare(measure)
