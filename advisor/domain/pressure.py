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
    """What the pressure found is of the set pressure.

    Parameters
    ----------
    found : gauge pressure, >= 0
    set_pressure : gauge pressure, > 0

    Returns
    -------
    share in %, exact: both are held in the unit in which the set pressure was typed, so 88 psi of 110 psi is 80 % and
    nothing else. A range holds every share that the doubt allows

    Raises
    ------
    Misread : a negative reading, or a set pressure of 0 or less

    References
    ----------
    Arithmetic. What share counts as flat or run low is a figure of the rule set.

    Examples
    --------
    >>> str(pressure_share(exactly(88, "psi"), exactly(110, "psi")))
    '80 %'
    >>> str(pressure_share(exactly("6.8", "bar"), exactly(850, "kPa")))
    '80 %'
    >>> str(pressure_share(between(80, 88, "psi"), between(100, 110, "psi")))
    '72.73 to 88 %'
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
    """What to take off a reading of a hot tire.

    Parameters
    ----------
    load_rating : mass that the tire may carry, > 0
    mean_speed : mean speed of the last hour, >= 0
    rows : the table

    Returns
    -------
    pressure; a range where a rating in doubt falls in several rows. None where the table has no row for all of the
    ratings and speeds: then measure cold

    Raises
    ------
    Misread : a load rating of 0 or less, or a negative speed

    References
    ----------
    All figures are arguments. The table of `trees/us-road` is 49 CFR 393.75, inflation pressure, table 1 (text of
    2005): 4,000 lb itself takes 5 psi off, both speeds are included.

    Examples
    --------
    >>> line, speeds = exactly(4000, "lb"), (exactly(41, "mph"), exactly(55, "mph"))
    >>> rows = HotRow(None, line, *speeds, exactly(5, "psi")), HotRow(line, None, *speeds, exactly(15, "psi"))
    >>> [str(hot_correction(exactly(rating, "lb"), exactly(50, "mph"), rows)) for rating in (4000, 4001)]
    ['5 psi', '15 psi']
    >>> hot_correction(exactly(4000, "lb"), exactly(56, "mph"), rows)
    """
    not_below_zero("load rating", load_rating, zero_too=False)
    not_below_zero("mean speed", mean_speed)
    held = [row for row in rows if row.may_hold(load_rating)]
    if not held or not all(row.covers(mean_speed) for row in held) or _uncovered(load_rating, held):
        return None
    return hull(*(row.take_off for row in held))


def cold_estimate(hot_reading: Measure, correction: Measure) -> Measure:
    """The cold pressure that a hot reading stands for.

    Parameters
    ----------
    hot_reading : gauge pressure, >= 0
    correction : pressure, as from `hot_correction`

    Returns
    -------
    gauge pressure in the reading's unit, the reading less the correction; no part of it below 0

    Raises
    ------
    Misread : a negative reading, or one that is lower than every correction that may count

    Examples
    --------
    >>> str(cold_estimate(exactly(95, "psi"), exactly(15, "psi")))
    '80 psi'
    >>> str(cold_estimate(exactly(9, "psi"), between(5, 15, "psi")))
    '0 to 4 psi'
    """
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
