"""A lean said as a clock direction: vectors on the liner against numpy, ranges, mirrors, and the unit's cover."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.domain.clock import read_clock
from advisor.domain.geometry import injury_channel
from advisor.domain.geometry.injury_channel import Direction, share_across, share_along
from advisor.domain.geometry.unit_cover import cover_left
from advisor.model.quantity import Measure, between, exactly
from advisor.model.ruleset import Verdict
from tests.engine.geometry_support import case_of, judged


def mm(value: int | str | Fraction) -> Measure:
    return exactly(value, "mm")


def deg(value: int | str | Fraction) -> Measure:
    return exactly(value, "deg")


@pytest.mark.parametrize(
    ("clock", "across", "along"),
    [("12:00", 20, 0), ("3:00", 0, 20), ("6:00", -20, 0), ("9:00", 0, -20), ("1:00", "17.320508076", 10)],
)
def test_the_four_directions_worked_by_hand(clock: str, across: int | str, along: int | str) -> None:
    """A casing of 20 mm at 45 degrees runs 20 mm to the side; 20 x cos 30 = 17.32, 20 x sin 30 = 10."""
    lean = read_clock(clock)
    assert injury_channel.inner_offset(mm(35), deg(45), mm(20), lean) == mm(35 + Fraction(across))
    assert injury_channel.inner_shift_along(deg(45), mm(20), lean) == mm(along)


def test_against_vectors() -> None:
    """The run laid on the liner as a vector, by an independent library, 3000 times."""
    draw = np.random.default_rng(20260314)
    for thick, angle, turn, offset in draw.uniform((5, 0, 0, -100), (40, 79, 360, 100), (3000, 4)):
        along, across = (
            thick * np.tan(np.radians(angle)) * np.array([np.sin(np.radians(turn)), np.cos(np.radians(turn))])
        )
        t, a, lean = mm(Fraction(thick)), deg(Fraction(angle)), deg(Fraction(turn))
        assert float(injury_channel.inner_offset(mm(Fraction(offset)), a, t, lean).low) == pytest.approx(
            offset + across, abs=1e-6
        )
        assert float(injury_channel.inner_shift_along(a, t, lean).low) == pytest.approx(along, abs=1e-6)


turns = st.fractions(0, 359, max_denominator=4)


@given(turns, st.fractions(0, 350, max_denominator=4), st.fractions(0, 1, max_denominator=9))
def test_a_range_holds_every_direction_in_it(start: Fraction, doubt: Fraction, share: Fraction) -> None:
    wide, plain = Measure(start, start + doubt, "deg"), deg(start + doubt * share)
    run = between(10, 20, "mm")
    for part in (share_across, share_along):
        low, high = part(wide)
        here, _ = part(plain)
        assert low - 1e-12 <= here <= high + 1e-12
    held = injury_channel.inner_offset(mm(5), between(30, 45, "deg"), run, wide)
    one = injury_channel.inner_offset(mm(5), deg(40), mm(15), plain)
    assert held.low <= one.low and one.high <= held.high


def test_a_range_over_the_serial_side_reaches_its_whole_run() -> None:
    lean = read_clock("11:00-1:00")
    assert injury_channel.inner_offset(mm(0), deg(45), mm(20), lean) == between("17.320508075", 20, "mm")
    assert injury_channel.inner_shift_along(deg(45), mm(20), lean) == between(-10, 10, "mm")


@given(turns, st.integers(0, 79), st.integers(-100, 100))
def test_mirroring_the_side_mirrors_the_inner_end(turn: Fraction, angle: int, offset: int) -> None:
    here = injury_channel.inner_offset(mm(offset), deg(angle), mm(22), deg(turn))
    there = injury_channel.inner_offset(mm(-offset), deg(angle), mm(22), deg((180 - turn) % 360))
    assert abs(here.low + there.low) <= Fraction(2, 10**9)


@pytest.mark.parametrize(("clock", "lean"), [("12:00", "toward-shoulder"), ("6:00", "toward-centre")])
def test_straight_across_is_the_same_as_the_word(clock: str, lean: Direction) -> None:
    args = (mm(40), between(20, 30, "deg"), between(18, 22, "mm"))
    assert injury_channel.inner_offset(*args, read_clock(clock)) == injury_channel.inner_offset(*args, lean)
    opening = injury_channel.liner_ellipse(mm(6), deg(60))
    assert cover_left(mm(30), mm(30), opening, read_clock(clock), mm(2)) == cover_left(
        mm(30), mm(30), opening, lean, mm(2)
    )


def test_the_opening_lies_turned() -> None:
    """6 by 12 mm at 45 degrees reaches sqrt((36 + 144) / 2) = 9.4868 mm either way."""
    left = cover_left(mm(20), mm(20), injury_channel.liner_ellipse(mm(6), deg(60)), deg(45), mm(0))
    assert left == (mm("10.513167019"), mm("10.513167019"))
    corner = np.linspace(0, 2 * np.pi, 100_001)
    for turn in (10, 37, 80):
        x, y = 6 * np.cos(corner), 3 * np.sin(corner)
        across = x * np.cos(np.radians(turn)) - y * np.sin(np.radians(turn))
        got = cover_left(mm(20), mm(20), injury_channel.liner_ellipse(mm(6), deg(60)), deg(turn), mm(0))[1]
        assert float(got.low) == pytest.approx(20 - (across.max() - across.min()), abs=1e-6)


def test_the_verdict_follows_the_direction() -> None:
    """60 mm out, 22 x tan 30 = 12.7 mm of run: at 12:00 it ends at 72.7, past 72; at 1:30 at 69; at 6:00 at 47.3."""
    injury = {"tread-width": "220 mm", "offset": "60 mm", "injury-angle": "30 deg", "casing-thickness": "22 mm"}
    verdicts = {
        lean: judged(case_of("truck", [{**injury, "lean": lean}])).verdict
        for lean in ("12:00", "1:30", "6:00", "12:00-1:30", "3 o'clock")
    }
    assert verdicts == {
        "12:00": Verdict.REFER,
        "1:30": Verdict.REPAIR,
        "6:00": Verdict.REPAIR,
        "12:00-1:30": Verdict.REFER,
        "3 o'clock": Verdict.REPAIR,
    }


@settings(max_examples=25)
@given(turns, st.integers(0, 60))
def test_a_direction_in_doubt_is_never_judged_better(start: Fraction, doubt: int) -> None:
    injury = {"tread-width": "220 mm", "offset": "62 mm", "injury-angle": "30 deg", "casing-thickness": "22 mm"}
    wide, plain = (
        judged(case_of("car", [{**injury, "lean": f"{float(start):g}-{float(end % 360):g} deg"}])).verdict
        for end in (start + doubt, start)
    )
    assert wide >= min(plain, Verdict.HOLD)
