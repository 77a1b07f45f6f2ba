"""Pressure found against pressure set, and hot readings by a table that is handed in."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.domain.pressure import HotRow, cold_estimate, hot_correction, pressure_share
from advisor.model.problems import Misread
from advisor.model.quantity import Measure, between, exactly

LIMIT, SLOW, FAST = exactly(4000, "lb"), exactly(41, "mph"), exactly(55, "mph")
#: 49 CFR 393.75, inflation pressure, table 1 (text of 2005, published).
ROWS = (
    HotRow(None, LIMIT, SLOW, FAST, exactly(5, "psi")),
    HotRow(LIMIT, None, SLOW, FAST, exactly(15, "psi")),
)


@pytest.mark.parametrize(
    ("found", "set_pressure"),
    [
        (exactly(88, "psi"), exactly(110, "psi")),
        (exactly("26.4", "psi"), exactly(33, "psi")),
        (exactly(184, "kPa"), exactly(230, "kPa")),
        (exactly("6.8", "bar"), exactly("8.5", "bar")),
        (exactly("1.84", "bar"), exactly(230, "kPa")),
    ],
)
def test_exactly_eighty_percent(found: Measure, set_pressure: Measure) -> None:
    assert pressure_share(found, set_pressure) == exactly(80, "%")


def test_share_at_its_ends() -> None:
    assert pressure_share(exactly(0, "psi"), exactly(110, "psi")) == exactly(0, "%")
    assert pressure_share(between(80, 88, "psi"), exactly(110, "psi")) == between(Fraction(800, 11), 80, "%")
    assert pressure_share(exactly(80, "psi"), between(80, 100, "psi")) == between(80, 100, "%")
    assert pressure_share(exactly(80, "psi").to("kPa"), exactly(100, "psi")) == exactly(80, "%")
    for bad in (exactly(0, "psi"), exactly(-5, "psi"), between(0, 5, "psi")):
        with pytest.raises(Misread, match="more than 0"):
            pressure_share(exactly(80, "psi"), bad)
    with pytest.raises(Misread):
        pressure_share(exactly(-1, "psi"), exactly(100, "psi"))


@given(st.integers(1, 2000), st.sampled_from(["psi", "kPa", "bar"]))
def test_four_fifths_is_eighty_in_every_unit(tenths: int, unit: str) -> None:
    whole = Fraction(tenths, 10)
    assert pressure_share(exactly(whole * 4 / 5, unit), exactly(whole, unit)) == exactly(80, "%")
    assert pressure_share(exactly(whole * 4 / 5 - Fraction(1, 10**9), unit), exactly(whole, unit)).high < 80


@pytest.mark.parametrize(
    ("load", "speed", "off"),
    [
        (exactly(4000, "lb"), exactly(50, "mph"), exactly(5, "psi")),
        (exactly(4001, "lb"), exactly(50, "mph"), exactly(15, "psi")),
        (exactly(4000, "lb"), exactly(41, "mph"), exactly(5, "psi")),
        (exactly(5000, "lb"), exactly(55, "mph"), exactly(15, "psi")),
        (exactly(2500, "kg"), exactly(80, "km/h"), exactly(15, "psi")),
        (between(3900, 4100, "lb"), between(45, 50, "mph"), between(5, 15, "psi")),
        (exactly(5000, "lb"), exactly(65, "mph"), None),
        (exactly(5000, "lb"), exactly(40, "mph"), None),
        (exactly(5000, "lb"), between(50, 56, "mph"), None),
    ],
)
def test_hot_correction(load: Measure, speed: Measure, off: Measure | None) -> None:
    assert hot_correction(load, speed, ROWS) == off


def test_hot_correction_where_the_table_has_gaps() -> None:
    rating = between(3900, 4100, "lb")
    assert hot_correction(rating, exactly(50, "mph"), ROWS[:1]) is None
    assert hot_correction(rating, exactly(50, "mph"), ROWS[1:]) is None
    assert hot_correction(rating, exactly(50, "mph"), []) is None
    assert cold_estimate(exactly(85, "psi"), exactly(5, "psi")) == exactly(80, "psi")
    assert cold_estimate(between(3, 8, "psi"), exactly(5, "psi")) == between(0, 3, "psi")
    with pytest.raises(Misread):
        cold_estimate(exactly(4, "psi"), exactly(5, "psi"))
