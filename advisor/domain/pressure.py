"""Pressure found against pressure set, and readings taken on a hot tire.

Every figure is exact. All pressures are gauge pressures.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from msgspec import Struct

from advisor.domain.intervals import hull, minus, not_below_zero
from advisor.model.problems import Misread
from advisor.model.quantity import Measure


@lru_cache(maxsize=256)
def pressure_share(found: Measure, set_pressure: Measure) -> Measure:
    """What the pressure found is of the set pressure, in %, exact.

    Both are held in the unit in which the set pressure was typed, so 80 psi of 100 psi is 80 % and nothing
    else.
    Raises Misread for a negative reading, or a set pressure of 0 or less.
    """
    whole = set_pressure
    not_below_zero("set pressure", whole, zero_too=False)
    not_below_zero("pressure found", found)
    part = found.to(whole.unit)
    return Measure(part.low / whole.high * 100, part.high / whole.low * 100, "%")


class HotRow(Struct, frozen=True):
    """A row of a table for hot tires: what to take off a reading, and for which tires and speeds.

    Load rating above `load_above` (None: from nothing) up to `load_to` itself (None: without end), mean
    speed in the last hour from `speed_from` to `speed_to`, ends included.
    """

    load_above: Measure | None
    load_to: Measure | None
    speed_from: Measure
    speed_to: Measure
    take_off: Measure

    def may_hold(self, load_rating: Measure) -> bool:
        """Whether some rating in the range falls in this row."""
        over = self.load_above is None or load_rating.high > self.load_above.to(load_rating.unit).low
        return over and (self.load_to is None or load_rating.low <= self.load_to.to(load_rating.unit).high)

    def covers(self, mean_speed: Measure) -> bool:
        """Whether every speed in the range falls in this row."""
        slow, fast = self.speed_from.to(mean_speed.unit).low, self.speed_to.to(mean_speed.unit).high
        return slow <= mean_speed.low and mean_speed.high <= fast


def hot_correction(load_rating: Measure, mean_speed: Measure, rows: Sequence[HotRow]) -> Measure | None:
    """What to take off a hot reading, or None where the table has no row for all of it: then measure cold.

    A load rating in doubt across rows gives the range of what they take off.
    Raises Misread for a load rating of 0 or less, or a negative speed.
    """
    not_below_zero("load rating", load_rating, zero_too=False)
    not_below_zero("mean speed", mean_speed)
    held = [row for row in rows if row.may_hold(load_rating)]
    if not held or not all(row.covers(mean_speed) for row in held) or _uncovered(load_rating, held):
        return None
    return hull(*(row.take_off for row in held))


def cold_estimate(hot_reading: Measure, correction: Measure) -> Measure:
    """The cold pressure that a hot reading stands for: the reading less the correction, not below 0."""
    left = minus(not_below_zero("pressure found", hot_reading), correction)
    if left.high < 0:
        raise Misread(f"hot reading {hot_reading}", f"at least the correction, {correction}", "measure cold")
    return Measure(max(left.low, left.low * 0), left.high, left.unit)


def _uncovered(load_rating: Measure, held: list[HotRow]) -> bool:
    """Whether part of the rating lies in no row: rows are followed up from the lowest."""
    reached = None
    for row in sorted(held, key=lambda r: r.load_above.to(load_rating.unit).low if r.load_above else -1):
        start = row.load_above.to(load_rating.unit).low if row.load_above else None
        if start is not None and (start >= load_rating.low if reached is None else start > reached):
            return True
        if row.load_to is None:
            return False
        reached = row.load_to.to(load_rating.unit).low
    return reached is not None and reached < load_rating.high
