"""Weeks of a year as they stand in a tire's date, and the time between two days.

Source: 49 CFR 574.5 for the week rule: week 01 is the first full week, Sunday to Saturday (from memory; the
dates printed with the clause agree). ISO 8601 for weeks that begin on Monday, as some plants may count.
"""

from __future__ import annotations

import datetime
from fractions import Fraction

_DAY = datetime.timedelta(days=1)


def sunday_week(year: int, week: int) -> datetime.date:
    """The Sunday on which a week begins, week 1 being the first full one; weeks past the last run on.

    >>> sunday_week(1997, 31)
    datetime.date(1997, 8, 3)
    """
    new_year = datetime.date(year, 1, 1)
    first_sunday = new_year + _DAY * ((6 - new_year.weekday()) % 7)
    return first_sunday + _DAY * 7 * (week - 1)


def iso_week(year: int, week: int) -> datetime.date | None:
    """The Monday on which an ISO 8601 week begins; None when the year has no such week."""
    try:
        return datetime.date.fromisocalendar(year, week, 1)
    except ValueError:
        return None


def has_sunday_week(year: int, week: int) -> bool:
    """Whether the year has a week of this number that begins on a Sunday within it."""
    return week >= 1 and sunday_week(year, week).year == year


def years_between(start: datetime.date, end: datetime.date) -> Fraction:
    """Years from one day to a later one: whole years to the last anniversary, then the share to the next.

    Exact: ten years to the day are 10. A start on 29 February has its anniversary on the 28th in other years.
    0 when `end` comes before `start`. Derived.

    >>> years_between(datetime.date(2016, 3, 6), datetime.date(2026, 3, 6))
    Fraction(10, 1)
    """
    if end <= start:
        return Fraction(0)
    whole = end.year - start.year
    if _anniversary(start, whole) > end:
        whole -= 1
    last, following = _anniversary(start, whole), _anniversary(start, whole + 1)
    return whole + Fraction((end - last).days, (following - last).days)


def _anniversary(start: datetime.date, years: int) -> datetime.date:
    try:
        return start.replace(year=start.year + years)
    except ValueError:
        return start.replace(year=start.year + years, day=28)
