"""The date in a tire identification number: its symbols, the week it was made or retreaded, and its age.

Weeks are those of 49 CFR 574.5, Sunday to Saturday; where only an ISO week fits, or neither, a warning says so.
"""

from __future__ import annotations

import datetime
import re
from fractions import Fraction
from typing import Literal

from msgspec import Struct

from advisor.model.problems import Misread

_DAY = datetime.timedelta(days=1)


def sunday_week(year: int, week: int) -> datetime.date:
    """The Sunday on which a week of a tire's date begins, week 1 being the first full one, Sunday to Saturday.

    Parameters
    ----------
    year : the year in four digits
    week : 1 and above; weeks past the last run on into the next year, which `has_sunday_week` tells

    Returns
    -------
    the day

    References
    ----------
    49 CFR 574.5 (from memory; the dates printed with the clause agree).

    Examples
    --------
    >>> sunday_week(1997, 31)
    datetime.date(1997, 8, 3)
    >>> sunday_week(1998, 1), sunday_week(2009, 1)
    (datetime.date(1998, 1, 4), datetime.date(2009, 1, 4))
    """
    new_year = datetime.date(year, 1, 1)
    first_sunday = new_year + _DAY * ((6 - new_year.weekday()) % 7)
    return first_sunday + _DAY * 7 * (week - 1)


def iso_week(year: int, week: int) -> datetime.date | None:
    """The Monday on which an ISO 8601 week begins, as some plants may count.

    Parameters
    ----------
    year, week : ISO year and week

    Returns
    -------
    the day, which may lie in the year before; None when the year has no such week

    References
    ----------
    ISO 8601. That plants count so is an allowance of this project's, no rule.

    Examples
    --------
    >>> iso_week(2026, 1), iso_week(2026, 53), iso_week(2025, 53)
    (datetime.date(2025, 12, 29), datetime.date(2026, 12, 28), None)
    """
    try:
        return datetime.date.fromisocalendar(year, week, 1)
    except ValueError:
        return None


def has_sunday_week(year: int, week: int) -> bool:
    """Whether a year has a week of this number that begins on a Sunday within it.

    Parameters
    ----------
    year, week : as for `sunday_week`; any week number

    Returns
    -------
    False for week 0 and below; week 53 only in years with 53 Sundays, or more exactly with a 53rd from the first one on

    Examples
    --------
    >>> has_sunday_week(2023, 53), has_sunday_week(2024, 53), has_sunday_week(2024, 0)
    (True, False, False)
    """
    return week >= 1 and sunday_week(year, week).year == year


def years_between(start: datetime.date, end: datetime.date) -> Fraction:
    """Years from one day to a later one: whole years to the last anniversary, then the share to the next.

    Parameters
    ----------
    start, end : days

    Returns
    -------
    exact years: ten years to the day are 10; 0 where `end` comes before `start`

    Notes
    -----
    A start on 29 February has its anniversary on the 28th in other years. Derived, no source.

    Examples
    --------
    >>> years_between(datetime.date(2016, 3, 6), datetime.date(2026, 3, 6))
    Fraction(10, 1)
    >>> years_between(datetime.date(2025, 1, 1), datetime.date(2025, 7, 2))
    Fraction(182, 365)
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


CodeKind = Literal["new", "retread", "unknown"]

NEW_LENGTH, RETREAD_LENGTH = 13, 7
_MOST_TYPED = 60
_MARK = re.compile(r"(?:(?P<retread>R[ -]?DOT|DOT-R|DOTR(?=[ -])|DOT[ ]R(?=[ -])|R(?=[ -]))|DOT)[ :.-]*", re.ASCII)
_TRIANGLE = re.compile("[◁▷△▽▲▼◀▶◂▸◃▹∆Δ]|\\bTRIANGLE\\b")
_PARTED = re.compile(r"[ ./,:_-]+")
_FULL_YEAR = re.compile(r"\d\d? (?:19|20)\d\d", re.ASCII)
_IN_WORDS = re.compile(r"(?:WEEK|WK)[ .]*(\d\d?)[ ,/-]*(?:(?:OF|YEAR|YR)[ .]*)*(?:19|20)?(\d\d)", re.ASCII)
_LIKE_DIGITS = {"O": "0", "Q": "0", "D": "0", "I": "1", "L": "1", "Z": "2", "S": "5", "G": "6", "B": "8"}
_EXPECTED = "week and year in four digits, such as 2318; three before 2000"
_OTHER_SIDE = "look on the other sidewall too: the full number may stand on one side only"


class Symbols(Struct, frozen=True):
    """The date's digits, the kind of tire, the count of symbols, and whether digits ran into the date."""

    code: str
    kind: CodeKind
    count: int
    triangle: bool
    run_together: bool


def retread_prefix(text: str) -> str:
    """The mark of a retread ahead of the number.

    Parameters
    ----------
    text : an identification number as typed

    Returns
    -------
    `R`, `R-DOT` or `DOT-R` in that form, or "" when there is none. It is no part of the number and is not counted among
    its symbols

    References
    ----------
    49 CFR 574.5; the R ahead of a retread's number from memory.

    Examples
    --------
    >>> retread_prefix("dot-r 1AB AB 2312"), retread_prefix("R 1AB 2318"), retread_prefix("DOT 1AB 2318")
    ('DOT-R', 'R', '')
    """
    found = _MARK.match(text.strip().upper())
    written = (found["retread"] or "") if found else ""
    if written in ("", "R"):
        return written
    return "R-DOT" if written.startswith("R") else "DOT-R"


def find_symbols(text: str) -> Symbols:
    """The date's digits in a whole identification number, in its end, or typed alone.

    Parameters
    ----------
    text : at most 60 characters

    Returns
    -------
    three or four digits of the date, the kind of tire (new, retread, unknown) as its length and mark tell, the count of
    symbols, whether a triangle stood behind it, and whether digits ran into the date

    Raises
    ------
    Misread : no date, a letter in the date, a year in four digits, signs that belong to no number

    References
    ----------
    49 CFR 574.5 (a)(1), (a)(2), (b): 13 symbols on a new tire, 7 on a retread, in force from 2015; earlier numbers
    vary, so length alone rejects nothing. The triangle of the 1990s: second-hand, a retread association's answers.

    Examples
    --------
    >>> find_symbols("DOT 1AB CDEFHJ 2318")
    Symbols(code='2318', kind='new', count=13, triangle=False, run_together=False)
    >>> find_symbols("23 18").code, find_symbols("week 23 of 2018").code, find_symbols("239 △").triangle
    ('2318', '2318', True)
    """
    if len(text) > _MOST_TYPED:
        raise Misread(f"a text of {len(text)} characters", _EXPECTED, "give the identification number only")
    plain = " ".join(text.upper().split())
    if in_words := _IN_WORDS.fullmatch(plain):
        plain = in_words[1].zfill(2) + in_words[2]
    marked = _MARK.match(plain)
    number = plain[marked.end() :] if marked else plain
    triangle = _TRIANGLE.search(number) is not None
    groups = [group for group in _PARTED.split(_TRIANGLE.sub(" ", number)) if group]
    if not groups:
        raise Misread("no number", _EXPECTED, _OTHER_SIDE)
    odd = [sign for group in groups for sign in group if not (sign.isascii() and sign.isalnum())]
    if odd:
        raise Misread(f"{odd[0]!r} in the number", "letters and digits only", "read the number again")
    count = sum(map(len, groups))
    code = _date_in(_whole_date(groups), count)
    run_together = count not in (NEW_LENGTH, RETREAD_LENGTH) and _digits_at_end(groups[-1]) > 4
    return Symbols(code, _kind(plain, count, code), count, triangle, run_together)


def _whole_date(groups: list[str]) -> str:
    """The last group; a date typed with a gap (`23 18`) is put together."""
    if [len(group) for group in groups[-2:]] == [2, 2] and all(group.isdigit() for group in groups[-2:]):
        return "".join(groups[-2:])
    if len(groups) in (3, 4) and all(len(group) == 1 for group in groups):
        return "".join(groups)
    if _FULL_YEAR.fullmatch(" ".join(groups)):
        do = "give the week and the last two digits of the year"
        raise Misread(f"{groups[0]} and {groups[1]}", _EXPECTED, do)
    return groups[-1]


def _date_in(last: str, count: int) -> str:
    """The three or four digits at the end of the last group."""
    digits = _digits_at_end(last)
    if digits >= 4 or (digits == len(last) == 3):
        return last[-4:]
    end = last[-4:]
    letters = [sign for sign in end if not sign.isdigit()]
    if len(last) < 3 or len(letters) > 2 or (len(letters) == 2 and len(last) > 4 and count != NEW_LENGTH):
        raise Misread(f"no date at the end, but {last}", _EXPECTED, _OTHER_SIDE)
    glued = digits == 3 and len(last) > 4 and count not in (NEW_LENGTH, RETREAD_LENGTH)
    if glued and letters[0] not in _LIKE_DIGITS:
        return last[-3:]
    raise Misread(f"the letter {letters[0]} in the date {end}", _EXPECTED, _again(letters[0]))


def _again(letter: str) -> str:
    digit = _LIKE_DIGITS.get(letter)
    return f"read it again: {letter} may be a {digit}" if digit else "read it again"


def _digits_at_end(group: str) -> int:
    return len(group) - len(group.rstrip("0123456789"))


def _kind(plain: str, count: int, code: str) -> CodeKind:
    if retread_prefix(plain) or (count == RETREAD_LENGTH and len(code) == 4):
        return "retread"
    if count == NEW_LENGTH or (plain.startswith("DOT") and count > RETREAD_LENGTH):
        return "new"
    return "unknown"


__all__ = ["DateCode", "read_date_code", "retread_prefix"]

#: Three-digit dates: numbers were first asked for in the 1970s (from memory); four digits came in 2000.
_THREE_DIGIT_YEARS = range(1999, 1969, -1)
#: The earliest year that the clause's own examples write in four digits.
_FIRST_FOUR_DIGIT_YEAR = 1997
_FOUR_DIGITS_FROM, _NEW_LENGTH_FROM = 2000, 2015
_SIX_DAYS = datetime.timedelta(days=6)


class DateCode(Struct, frozen=True):
    """A date as read. `years` are those it may mean, latest first; `age_years` (lowest, highest) at today.

    The age counts from the first day of the week. Where the decade is open, `first_day` belongs to the
    earliest year and `last_day` to the latest. `warning` is "" or says what to look at again.
    """

    kind: CodeKind
    code: str
    week: int
    years: tuple[int, ...]
    first_day: datetime.date
    last_day: datetime.date
    age_years: tuple[Fraction, Fraction]
    warning: str


def read_date_code(text: str, today: datetime.date) -> DateCode:
    """The date in an identification number: week, years that it may mean, days and age.

    Parameters
    ----------
    text : a whole number, its last symbols, or the date alone
    today : the day from which the age counts; no date after it is read

    Returns
    -------
    the date with the age in years (lowest, highest), from the first day of the week; on a retread the date of the
    retreading, not of the casing. Three digits leave the decade open and give several years, the latest first.
    `warning` says what to look at again

    Raises
    ------
    Misread : no date, a letter in it, week 00 or 54 and above, a day to come; with what to do

    References
    ----------
    49 CFR 574.5: week and year in four digits from 2000; three before, the year being one digit (64 FR 36807). 80 FR
    19553 for 13 and 7 symbols from 2015. That numbers were first asked for in the 1970s is from memory.

    Examples
    --------
    >>> code = read_date_code("DOT 1AB CDEFHJ 2318", datetime.date(2026, 3, 14))
    >>> code.first_day, code.last_day, round(float(code.age_years[0]), 2)
    (datetime.date(2018, 6, 10), datetime.date(2018, 6, 16), 7.76)
    >>> read_date_code("239", datetime.date(2026, 3, 14)).years
    (1999, 1989, 1979)
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
