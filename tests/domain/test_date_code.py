"""The date in the identification number: every example of the table, weeks, decades, age, and misreadings."""

from __future__ import annotations

import csv
import datetime
import random
from fractions import Fraction
from pathlib import Path

import pytest

from advisor.domain.dot_code import (
    has_sunday_week,
    iso_week,
    read_date_code,
    retread_prefix,
    sunday_week,
    years_between,
)
from advisor.model.problems import Misread

TODAY = datetime.date(2026, 3, 14)
TABLES = Path(__file__).parent.parent / "tables"
with (TABLES / "tin_examples.csv").open(newline="", encoding="utf-8") as file:
    EXAMPLES = list(csv.DictReader(file))


@pytest.mark.parametrize("row", EXAMPLES, ids=lambda row: row["text"] or "nothing")
def test_every_example(row: dict[str, str]) -> None:
    if row["valid"] in ("no", "incomplete", "unknown"):
        with pytest.raises(Misread) as told:
            read_date_code(row["text"], TODAY)
        assert told.value.found and told.value.expected and told.value.do
        return
    date = read_date_code(row["text"], TODAY)
    assert (date.code, date.week) == (row["date_code"], int(row["week"]))
    assert bool(date.warning) == (row["valid"] != "yes")
    if row["valid"] == "ambiguous":
        assert len(date.years) > 1 and all(1970 <= year < 2000 for year in date.years)
    else:
        assert date.years == (int(row["year"]),)
    if row["computed_span"]:
        assert row["computed_span"] == f"{date.first_day} to {date.last_day}"
    first = row["kind"].split(",")[0].split(" ")[0]
    assert date.kind == {"new": "new", "retread": "retread"}.get(first, "unknown")


def test_week_one_is_the_first_full_week() -> None:
    for year in range(1970, 2101):
        first = sunday_week(year, 1)
        assert first.isoweekday() == 7
        assert first.year == year
        assert first.day <= 7


def test_years_of_53_weeks() -> None:
    years = [year for year in range(2000, 2042) if has_sunday_week(year, 53)]
    assert years == [2000, 2006, 2012, 2017, 2023, 2028, 2034, 2040]


@pytest.mark.parametrize("year", range(2000, 2026))
def test_week_53(year: int) -> None:
    date = read_date_code(f"53{year % 100:02}", TODAY)
    assert (date.warning == "") == has_sunday_week(year, 53)
    assert ("Monday" in date.warning) == (not has_sunday_week(year, 53) and iso_week(year, 53) is not None)
    assert date.first_day <= datetime.date(year, 12, 31) <= date.last_day


@pytest.mark.parametrize("code", ["0000", "0024", "5424", "9924", "5400", "712"])
def test_no_such_week(code: str) -> None:
    with pytest.raises(Misread, match="week"):
        read_date_code(code, TODAY)


def test_three_digits_keep_the_decade_open() -> None:
    date = read_date_code("319", TODAY)
    assert date.years == (1999, 1989, 1979)
    assert (date.first_day, date.last_day) == (sunday_week(1979, 31), datetime.date(1999, 8, 7))
    low, high = date.age_years
    assert int(low) == 26 and int(high) == 46
    assert "1999 or 1989 or 1979" in date.warning


@pytest.mark.parametrize("text", ["319 triangle", "319◁", "DOT GJ HU234 319 ▲"])
def test_a_triangle_means_the_nineties(text: str) -> None:
    date = read_date_code(text, TODAY)
    assert date.years == (1999,) and date.warning == ""


def test_age_counts_from_the_first_day() -> None:
    date = read_date_code("1016", TODAY)
    assert date.first_day == datetime.date(2016, 3, 6)
    assert read_date_code("1016", datetime.date(2026, 3, 6)).age_years == (Fraction(10), Fraction(10))
    assert date.age_years[0] == 10 + Fraction(8, 365)


def test_years_between() -> None:
    day = datetime.date
    assert years_between(day(2004, 2, 29), day(2014, 2, 28)) == 10
    assert years_between(day(2004, 2, 29), day(2014, 2, 27)) < 10
    assert years_between(day(2020, 1, 1), day(2019, 1, 1)) == 0
    assert years_between(day(2020, 1, 1), day(2020, 7, 1)) == Fraction(182, 366)


def test_this_week_and_weeks_to_come() -> None:
    assert read_date_code("1026", TODAY).warning == ""
    ahead = read_date_code("1126", TODAY)  # begun by ISO weeks only
    assert ahead.warning and ahead.age_years == (0, 0)
    for code in ("1226", "0127", "1260", "DOT 1AB CDEFHJ 0527"):
        with pytest.raises(Misread, match="up to today"):
            read_date_code(code, TODAY)


@pytest.mark.parametrize("text", ["23l8", "O319", "1ABCDEFHJ231B", "1AB 23S8", "DOT AB CD EFH 2O18"])
def test_a_letter_in_the_date(text: str) -> None:
    with pytest.raises(Misread, match="letter") as told:
        read_date_code(text, TODAY)
    assert "may be a" in told.value.do


@pytest.mark.parametrize(
    "text",
    [
        "1AB CDEFHJ 2318",
        "dot1abcdefhj2318",
        "DOT-1AB-CDEFHJ-2318",
        " DOT 1ABCDEFHJ 23 18 ",
        "DOT: 1AB CDEFHJ 2318.",
    ],
)
def test_the_same_number_typed_otherwise(text: str) -> None:
    assert read_date_code(text, TODAY) == read_date_code("DOT 1AB CDEFHJ 2318", TODAY)


def test_digits_that_run_together_are_named() -> None:
    assert "alone" in read_date_code("HU234319", TODAY).warning


@pytest.mark.parametrize("text", ["23/2018", "week 23", "12", "😀", "٢٣١٨", "x" * 1000, "\x00", "DOT", "R"])
def test_not_a_date(text: str) -> None:
    with pytest.raises(Misread):
        read_date_code(text, TODAY)


@pytest.mark.parametrize(
    ("text", "prefix"),
    [
        ("R 1AB 2318", "R"),
        ("dot-r 1AB", "DOT-R"),
        ("R-DOT 1AB", "R-DOT"),
        ("DOT 1AB 2318", ""),
        ("R1AB2318", ""),
        ("", ""),
    ],
)
def test_retread_prefix(text: str, prefix: str) -> None:
    assert retread_prefix(text) == prefix


def test_any_text_is_read_or_misread() -> None:
    chance = random.Random(574)
    for _ in range(2000):
        text = "".join(chance.choices("DOTR-1AB 0123456789 \n\x07◁é😀/", k=chance.randint(0, 16)))
        try:
            date = read_date_code(text, TODAY)
        except Misread as told:
            assert told.do
        else:
            assert date.first_day <= date.last_day and date.age_years[0] <= date.age_years[1]


@pytest.mark.parametrize("text", ["week 23 2018", "WK 23 18", "week 23 of 2018", "Week 23, 2018"])
def test_a_week_said_in_words_is_not_taken_for_another(text: str) -> None:
    """`23 2018` by itself may be the end of a number, week 20 of 2018; with the word it can't."""
    assert read_date_code(text, TODAY).code == "2318"


def test_more_symbols_than_a_number_has_are_said() -> None:
    assert "14 symbols" in read_date_code("1ABCDEFHJK2318", TODAY).warning
    assert read_date_code("1ABCDEFHJ2318", TODAY).warning == ""
