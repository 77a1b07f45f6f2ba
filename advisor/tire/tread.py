"""Tread depth: the lowest of readings at several points, and what is left above a wear bar."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from advisor.errors import Misread
from advisor.tire.spans import minus, not_below_zero
from advisor.units import Measure, in_words, lowest


def lowest_reading(points: Mapping[str, Sequence[Measure]]) -> tuple[Measure, list[str]]:
    """The lowest reading of all points, and the names of the points where it may have been taken.

    A reading of 0 is one. Raises Misread for a negative reading, ValueError where there is none.
    """
    for where, readings in points.items():
        for reading in readings:
            not_below_zero(f"tread at {where}", reading)
    least = lowest(reading for readings in points.values() for reading in readings)
    lows = {where: [r.to(least.unit).low for r in readings] for where, readings in points.items()}
    return least, [where for where, ends in lows.items() if ends and min(ends) <= least.high]


def above_wear_bar(reading: Measure, bar_height: Measure) -> Measure:
    """The depth left above a wear bar of the given height; 0 or less where the bar is flush with the tread.

    Raises Misread for a negative reading, or a bar without height.
    """
    if bar_height.low <= 0:
        raise Misread(f"wear bar {in_words(bar_height)}", "more than 0", "give the bar's height")
    return minus(not_below_zero("tread", reading), bar_height)
