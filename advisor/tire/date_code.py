"""The date in a tire identification number: the week it was made or retreaded, and its age.

Source: 49 CFR 574.5 (week and year; four digits from 2000, three before, when the year was one digit:
64 FR 36807); 80 FR 19553 for 13 and 7 symbols from 2015. On a retread the number gives the date of the
retreading, not of the casing.
"""

from __future__ import annotations

import datetime
from fractions import Fraction

from advisor.errors import Misread
from advisor.quick import dataclass
from advisor.tire.date_symbols import NEW_LENGTH, Kind, Symbols, find_symbols, retread_prefix
from advisor.tire.week import has_sunday_week, iso_week, sunday_week, years_between

__all__ = ["DateCode", "read_date_code", "retread_prefix"]

#: Three-digit dates: numbers were first asked for in the 1970s (from memory); four digits came in 2000.
_THREE_DIGIT_YEARS = range(1999, 1969, -1)
#: The earliest year that the clause's own examples write in four digits.
_FIRST_FOUR_DIGIT_YEAR = 1997
_FOUR_DIGITS_FROM, _NEW_LENGTH_FROM = 2000, 2015
_SIX_DAYS = datetime.timedelta(days=6)


@dataclass(frozen=True, slots=True)
class DateCode:
    """A date as read. `years` are those it may mean, latest first; `age_years` (lowest, highest) at today.

    The age counts from the first day of the week. Where the decade is open, `first_day` belongs to the
    earliest year and `last_day` to the latest. `warning` is "" or says what to look at again.
    """

    kind: Kind
    code: str
    week: int
    years: tuple[int, ...]
    first_day: datetime.date
    last_day: datetime.date
    age_years: tuple[Fraction, Fraction]
    warning: str


def read_date_code(text: str, today: datetime.date) -> DateCode:
    """Read the date in a whole identification number, in its last symbols, or typed alone.

    Raises Misread, with what to do, for no date, a letter in it, week 00 or 54 and above, a day to come.

    >>> read_date_code("DOT 1AB CDEFHJ 2318", datetime.date(2026, 3, 14)).first_day
    datetime.date(2018, 6, 10)
    """
    symbols = find_symbols(text)
    week = _week(symbols.code)
    years = _years(symbols, week, today)
    first_days = [_span(year, week)[0] for year in years]
    ages = [years_between(day, today) for day in first_days]
    return DateCode(
        symbols.kind,
        symbols.code,
        week,
        years,
        min(first_days),
        max(_span(year, week)[1] for year in years),
        (min(ages), max(ages)),
        "; ".join(_warnings(symbols, week, years, min(first_days) > today)),
    )


def _week(code: str) -> int:
    week = int(code[:2])
    if 1 <= week <= 53:
        return week
    again = "read it again" if len(code) == 4 else "read it again, with a 0 in front where one stands there"
    raise Misread(f"week {code[:2]} in the date {code}", "a week from 01 to 53", again)


def _years(symbols: Symbols, week: int, today: datetime.date) -> tuple[int, ...]:
    """The years that the code may mean, the latest first, none of them to come."""
    if len(symbols.code) == 4:
        candidates = [_four_digit_year(symbols.code, today)]
    else:
        last = int(symbols.code[2])
        candidates = [year for year in _THREE_DIGIT_YEARS if year % 10 == last]
        candidates = candidates[:1] if symbols.triangle else candidates
    years = tuple(year for year in candidates if _begun(year, week, today))
    if not years:
        found = f"week {week} of {candidates[-1]} in the date {symbols.code}"
        raise Misread(found, f"a date up to today, {today.isoformat()}", "read it again")
    return years


def _four_digit_year(code: str, today: datetime.date) -> int:
    """The year of a four-digit code: the latest that is not to come, back to the first four-digit dates."""
    year = today.year - today.year % 100 + int(code[2:])
    if year > today.year and year - 100 >= _FIRST_FOUR_DIGIT_YEAR:
        return year - 100
    return year


def _begun(year: int, week: int, today: datetime.date) -> bool:
    """Whether the week has begun at today, by Sunday weeks or by ISO weeks, which may run ahead."""
    by_iso = iso_week(year, week)
    return _span(year, week)[0] <= today or (by_iso is not None and by_iso <= today)


def _span(year: int, week: int) -> tuple[datetime.date, datetime.date]:
    """First and last day of the week; for a week that no rule gives, from the start of the week before it."""
    sunday = sunday_week(year, week)
    if week < 53 or has_sunday_week(year, week):
        return sunday, sunday + _SIX_DAYS
    monday = iso_week(year, week)
    if monday is not None:
        return monday, monday + _SIX_DAYS
    return sunday_week(year, week - 1), sunday + _SIX_DAYS


def _warnings(symbols: Symbols, week: int, years: tuple[int, ...], ahead: bool) -> list[str]:
    said = []
    if len(symbols.code) == 3 and len(years) > 1:
        said.append(f"three digits leave the decade open: {' or '.join(map(str, years))}")
    if week == 53 and not any(has_sunday_week(year, week) for year in years):
        said.append(_no_week_53(years))
    if len(symbols.code) == 4 and years[0] < _FOUR_DIGITS_FROM and symbols.count > 4:
        said.append(f"four digits came in 2000, yet this reads as {years[0]}: read it again")
    if symbols.count == NEW_LENGTH and years[0] < _NEW_LENGTH_FROM:
        said.append(f"{NEW_LENGTH} symbols came in 2015, yet this reads as {years[0]}: read it again")
    if symbols.count > NEW_LENGTH:
        said.append(f"{symbols.count} symbols, and a whole number has {NEW_LENGTH} at most: read it again")
    if symbols.run_together:
        said.append("digits run into the date: type the date alone to be sure of it")
    if ahead:
        said.append("the week begins after today by Sunday weeks: read it again")
    return said


def _no_week_53(years: tuple[int, ...]) -> str:
    if any(iso_week(year, 53) for year in years):
        return "the year has 52 weeks by the Sunday rule, 53 only where weeks begin on Monday: read it again"
    return "the year has no week 53 by the Sunday rule or by ISO weeks: read it again"
