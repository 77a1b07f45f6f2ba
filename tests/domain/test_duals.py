"""Two tires side by side, with a table that is handed in."""

from __future__ import annotations

import pytest

from advisor.domain.dual_pairs import DualRow, allowed_difference, allowed_round, diameter_difference, larger_diameter
from advisor.model.problems import Misread
from advisor.model.quantity import Measure, between, exactly


def inch(value: int | str) -> Measure:
    return exactly(value, "in")


#: TM 9-2610-200-14, table 2-1 (published; 40 in itself set to the stricter row: derived).
ROWS = (
    DualRow(inch(30), False, inch("1/4"), inch("3/4")),
    DualRow(inch(40), True, inch("3/8"), inch("9/8")),
    DualRow(inch(50), True, inch("1/2"), inch("3/2")),
    DualRow(None, False, inch("3/4"), inch("7/4")),
)


@pytest.mark.parametrize(
    ("diameter", "allowed"),
    [("29.9", "1/4"), (30, "3/8"), (40, "3/8"), ("40.01", "1/2"), (50, "1/2"), ("50.01", "3/4"), (90, "3/4")],
)
def test_rows_and_their_ends(diameter: int | str, allowed: str) -> None:
    assert allowed_difference(inch(diameter), ROWS) == inch(allowed)


def test_diameter_in_doubt_between_rows() -> None:
    assert allowed_difference(between(39, 41, "in"), ROWS) == between("3/8", "1/2", "in")
    assert allowed_difference(between("39.5", 40, "in"), ROWS) == inch("3/8")
    assert allowed_round(between(29, 31, "in"), ROWS) == between("3/4", "9/8", "in")
    assert allowed_difference(exactly(1016, "mm"), ROWS) == inch("3/8")
    assert allowed_round(inch(41), [DualRow(None, False, inch("1/2"))]) is None


def test_figures_in_the_readings_own_unit() -> None:
    row = DualRow(None, False, [inch("1/2"), exactly(13, "mm")])
    assert allowed_difference(exactly(1000, "mm"), [row]) == exactly(13, "mm")
    assert allowed_difference(inch(40), [row]) == inch("1/2")


def test_past_the_table() -> None:
    with pytest.raises(Misread, match="covers"):
        allowed_difference(inch(51), ROWS[:3])
    with pytest.raises(Misread, match="covers"):
        allowed_difference(between(49, 51, "in"), ROWS[:3])
    with pytest.raises(Misread):
        allowed_difference(inch(0), ROWS)


def test_differences() -> None:
    assert diameter_difference(inch(41), inch("40.5")) == inch("1/2")
    assert diameter_difference(inch("40.5"), inch(41)) == inch("1/2")
    assert diameter_difference(between(40, 41, "in"), inch("40.5")) == between(0, "1/2", "in")
    assert larger_diameter(inch(40), exactly(1041, "mm")) == exactly(1041, "mm").to("in")
