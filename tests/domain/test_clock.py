"""Clock positions as typed, with their ranges, and back into words."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.domain.clock import clock_in_words, read_clock, turned
from advisor.model.problems import Misread
from advisor.model.quantity import Measure


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("2:00", 60, 60),
        ("12:30", 15, 15),
        ("12:00", 0, 0),
        ("0:00", 0, 0),
        ("0:07", "3.5", "3.5"),
        ("12:07", "3.5", "3.5"),
        ("11:59", "359.5", "359.5"),
        ("02:00", 60, 60),
        ("60 deg", 60, 60),
        ("60°", 60, 60),
        ("60.25 degrees", "60.25", "60.25"),
        ("360 deg", 0, 0),
        ("2:00-2:30", 60, 75),
        ("2:00 to 2:30", 60, 75),
        ("2:00 – 2:30", 60, 75),
        ("11:45-12:15", "352.5", "367.5"),
        ("10-20 deg", 10, 20),
        ("350° to 10°", 350, 370),
        ("2:00-2:00", 60, 60),
        ("2 o'clock", 60, 60),
        ("2 O’clock to 2:30", 60, 75),
        ("about 2:00", "52.5", "67.5"),
        ("~12:00", "352.5", "367.5"),
        ("around 2:00 to 2:30", "52.5", "82.5"),
    ],
)
def test_reads(text: str, low: str, high: str) -> None:
    clock = read_clock(text)
    assert (clock.low, clock.high, clock.unit) == (Fraction(low), Fraction(high), "deg")


@pytest.mark.parametrize(
    "text",
    [
        *(
            "",
            "13:00",
            "12:60",
            "2",
            "60",
            "2:5",
            "2:000",
            "-2:00",
            "361 deg",
            "2:00-13:00",
            "1:00-2:00-3:00",
        ),
        *("noon", "2.00", "٢:00", "2:00pm", "1e2 deg", "about noon", "about 2:00 to 1:50", "13 o'clock"),
        *("2:00" * 50, "nan deg", "2:\n00"),
        *("0-360 deg", "360 to 0°", "about 0-360 deg", "0:00-12:00", "12:00 to 0:00"),  # once round, or no way at all?
    ],
)
def test_refuses_what_is_no_place_on_the_tire(text: str) -> None:
    with pytest.raises(Misread) as caught:
        read_clock(text)
    assert "12:00" in caught.value.expected


@pytest.mark.parametrize(
    ("text", "words"),
    [("2:00", "2:00"), ("0:07", "12:07"), ("11:45-12:15", "11:45 to 12:15"), ("15 deg", "12:30")],
)
def test_words(text: str, words: str) -> None:
    assert clock_in_words(read_clock(text)) == words


@given(st.integers(0, 719))
def test_every_minute_reads_back(minute: int) -> None:
    text = f"{minute // 60 or 12}:{minute % 60:02d}"
    assert read_clock(text).low == Fraction(minute, 2)
    assert clock_in_words(read_clock(text)) == text


@given(st.fractions(0, 359), st.fractions(0, 300), st.fractions(-1000, 1000))
def test_turning_keeps_the_width_of_the_doubt(low: Fraction, wide: Fraction, by: Fraction) -> None:
    after = turned(Measure(low, low + wide, "deg"), by)
    assert 0 <= after.low < 360
    assert after.high - after.low == wide


@given(st.text(max_size=20))
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        clock = read_clock(text)
    except Misread:
        return
    assert 0 <= clock.low < 360
    assert clock.low <= clock.high
