"""The injury's path: lengths, where the inner end lies, and the zones of both ends."""

from __future__ import annotations

import itertools
import math
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from advisor.domain.geometry import injury_channel
from advisor.domain.geometry.unit_cover import cover_left, edge_room
from advisor.model.problems import Misread
from advisor.model.quantity import Measure, between, exactly

MM38 = exactly(38, "mm")
MARGIN = {"mm": MM38, "in": exactly("3/2", "in")}
LEANS = ["toward-shoulder", "toward-centre", "along-tread", None]


def mm(value: int | str | Fraction) -> Measure:
    return exactly(value, "mm")


def deg(value: int | str | Fraction) -> Measure:
    return exactly(value, "deg")


def ends(measure: Measure) -> tuple[float, float]:
    return float(measure.low), float(measure.high)


def test_lengths_worked_by_hand() -> None:
    assert injury_channel.channel_length(mm(22), deg(0)) == mm(22)
    assert injury_channel.channel_length(mm(22), deg(60)) == mm(44)
    assert injury_channel.channel_run(mm(20), deg(45)) == mm(20)
    assert injury_channel.channel_length(mm(22), deg(30)) == mm("25.403411844")
    assert injury_channel.channel_length(exactly("3/4", "in"), deg(60)) == exactly("3/2", "in")
    assert injury_channel.stem_length(mm(22), mm(5), exactly("1/8", "in")) == mm("30.175")
    assert injury_channel.liner_ellipse(mm(6), deg(60)) == (mm(6), mm(12))


def test_path_as_a_vector() -> None:
    """The channel as a vector through a layer of that thickness, by an independent library."""
    draw = np.random.default_rng(20260314)
    for thick, angle in zip(draw.uniform(5, 40, 500), draw.uniform(0, 79, 500), strict=True):
        way = np.array([np.sin(np.radians(angle)), np.cos(np.radians(angle))])
        through = way * thick / way[1]
        t, a = mm(Fraction(float(thick))), deg(Fraction(float(angle)))
        assert float(injury_channel.channel_length(t, a).low) == pytest.approx(np.linalg.norm(through), abs=1e-8)
        assert float(injury_channel.channel_run(t, a).low) == pytest.approx(through[0], abs=1e-8)


def test_inner_offset_by_lean() -> None:
    args = (deg(45), mm(20))
    assert injury_channel.inner_offset(mm(35), *args, "toward-shoulder") == mm(55)
    assert injury_channel.inner_offset(mm(-35), *args, "toward-shoulder") == mm(-55)
    assert injury_channel.inner_offset(mm(35), *args, "toward-centre") == mm(15)
    assert injury_channel.inner_offset(mm(-5), *args, "toward-centre") == mm(15)
    assert injury_channel.inner_offset(mm(35), *args, "along-tread") == mm(35)
    assert injury_channel.inner_offset(mm(35), *args, None) == between(15, 55, "mm")
    assert injury_channel.inner_offset(mm(0), *args, "toward-shoulder") == between(-20, 20, "mm")
    assert injury_channel.inner_offset(between(-5, 3, "mm"), *args, "toward-shoulder") == between(-25, 23, "mm")
    assert injury_channel.inner_offset(between(-5, 3, "mm"), *args, "toward-centre") == between(-20, 20, "mm")
    assert injury_channel.inner_offset(exactly("1/2", "in"), deg(45), exactly(1, "in"), "toward-shoulder").unit == "in"
    assert injury_channel.inner_offset(mm(0), deg(0), mm(20), None) == mm(0)


def test_shift_along() -> None:
    assert injury_channel.inner_shift_along(deg(45), mm(20), "along-tread") == between(-20, 20, "mm")
    assert injury_channel.inner_shift_along(deg(45), mm(20), None) == between(-20, 20, "mm")
    assert injury_channel.inner_shift_along(deg(45), mm(20), "toward-shoulder") == mm(0)


@pytest.mark.parametrize("angle", [between(-5, 3, "deg"), deg(-1), deg(90), deg(120), between(80, 91, "deg")])
def test_angles_that_no_channel_has(angle: Measure) -> None:
    with pytest.raises(Misread, match="90"):
        injury_channel.channel_length(mm(22), angle)


def test_input_out_of_range() -> None:
    with pytest.raises(Misread):
        injury_channel.channel_length(mm(-1), deg(10))
    with pytest.raises(Misread, match="330 mm"):
        injury_channel.check_offset(mm(-331), mm(275), mm("192.5"))
    assert injury_channel.check_offset(mm(330), mm(275), mm("192.5"))
    with pytest.raises(Misread):
        injury_channel.zones_at(mm(0), mm(0), MM38)
    with pytest.raises(ValueError, match="no such lean"):
        injury_channel.inner_offset(mm(1), deg(1), mm(1), "sideways")  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("offset", "zones"),
    [
        (mm(0), "crown"),
        (mm(72), "crown"),
        (mm(-72), "crown"),
        (mm("72.001"), "shoulder"),
        (mm("109.999"), "shoulder"),
        (mm(110), "sidewall"),
        (mm(-130), "sidewall"),
        (between(71, 73, "mm"), "crown shoulder"),
        (between(72, 73, "mm"), "crown shoulder"),
        (between(-120, -73, "mm"), "shoulder sidewall"),
        (between(-120, 120, "mm"), "crown shoulder sidewall"),
        (between(-72, 72, "mm"), "crown"),
    ],
)
def test_zones(offset: Measure, zones: str) -> None:
    assert injury_channel.zones_at(offset, mm(220), MARGIN) == set(zones.split())


def test_margin_in_the_unit_of_the_offset() -> None:
    """2 1/2 in of an 8 in tread is 1 1/2 in, 38.1 mm, in from the edge; 1 1/2 in itself is crown."""
    assert injury_channel.zones_at(exactly("5/2", "in"), exactly(8, "in"), MARGIN) == {"crown"}
    assert injury_channel.zones_at(exactly(80, "32nds"), exactly(8, "in"), MARGIN) == {"crown"}
    assert injury_channel.zones_at(exactly("5/2", "in"), mm("203.1"), MARGIN) == {"shoulder"}
    assert injury_channel.zones_at(mm("63.55"), mm("203.1"), MARGIN) == {"crown"}
    assert injury_channel.zones_at(mm("63.55"), mm("203.1"), [exactly("3/2", "in"), MM38]) == {"crown"}
    assert injury_channel.zones_at(mm("63.55"), mm("203.1"), exactly("3/2", "in")) == {"shoulder"}
    with pytest.raises(ValueError, match="without a figure"):
        injury_channel.zones_at(mm(0), mm(200), [])


def test_worst_zones_over_all_combinations() -> None:
    some = [frozenset(c) for n in (1, 2, 3, 4) for c in itertools.combinations(injury_channel.ORDER, n)]
    for first, second in itertools.product(some, repeat=2):
        each = {max(pair, key=injury_channel.ORDER.index) for pair in itertools.product(first, second)}
        assert injury_channel.worst_zones(first, second) == each
    with pytest.raises(ValueError, match="at least one"):
        injury_channel.worst_zones()
    with pytest.raises(ValueError, match="no such zone"):
        injury_channel.worst_zones(frozenset({"tread"}))


def test_inner_end_in_the_shoulder_by_a_millimetre() -> None:
    inner = injury_channel.inner_offset(mm(52), deg(45), mm(21), "toward-shoulder")
    outer_zone, inner_zone = (injury_channel.zones_at(end, mm(220), MARGIN) for end in (mm(52), inner))
    assert (outer_zone, inner_zone) == ({"crown"}, {"shoulder"})
    assert injury_channel.worst_zones(outer_zone, inner_zone) == {"shoulder"}
    inner = injury_channel.inner_offset(mm(52), deg(45), mm(20), "toward-shoulder")
    assert injury_channel.zones_at(inner, mm(220), MARGIN) == {"crown"}


def test_unit_over_opening_and_out_of_the_shoulder() -> None:
    ellipse = (mm(6), mm(12))
    assert cover_left(mm(30), mm(30), ellipse, "toward-shoulder", mm(10)) == (mm(4), mm(-2))
    assert cover_left(mm(30), mm(30), ellipse, "along-tread", mm(10)) == (mm(-2), mm(4))
    assert cover_left(mm(30), mm(30), ellipse, None, mm(10)) == (between(-2, 4, "mm"), between(-2, 4, "mm"))
    assert edge_room(mm(-40), mm(60), mm(220), MARGIN) == mm(2)
    assert edge_room(mm(45), mm(60), mm(220), MARGIN) == mm(-3)


offsets = st.fractions(-150, 150, max_denominator=100)
widths = st.fractions(0, 20, max_denominator=100)
angles = st.integers(0, 790).map(lambda tenth: Fraction(tenth, 10))
leans = st.sampled_from(LEANS)


@given(offsets, angles, st.integers(1, 40), leans, st.integers(90, 300))
def test_mirroring_the_side_keeps_the_zone(
    offset: Fraction, angle: Fraction, thick: int, lean: injury_channel.Lean | None, tread: int
) -> None:
    here = injury_channel.inner_offset(mm(offset), deg(angle), mm(thick), lean)
    there = injury_channel.inner_offset(mm(-offset), deg(angle), mm(thick), lean)
    assert (there.low, there.high) == (-here.high, -here.low)
    assert injury_channel.zones_at(here, mm(tread), MARGIN) == injury_channel.zones_at(there, mm(tread), MARGIN)


@given(offsets, widths, widths, angles, widths, widths, leans, st.integers(90, 300))
def test_wider_doubt_keeps_every_zone(
    offset: Fraction, less: Fraction, more: Fraction, angle: Fraction, flatter: Fraction, thicker: Fraction,
    lean: injury_channel.Lean | None, tread: int,
) -> None:  # fmt: skip
    assume(angle >= flatter)
    plain = injury_channel.inner_offset(mm(offset), deg(angle), mm(10), lean)
    wide = injury_channel.inner_offset(
        between(offset - less, offset + more, "mm"), between(angle - flatter, angle, "deg"),
        between(10, 10 + thicker, "mm"), lean,
    )  # fmt: skip
    assert wide.low <= plain.low <= plain.high <= wide.high
    assert injury_channel.zones_at(plain, mm(tread), MM38) <= injury_channel.zones_at(wide, mm(tread), MM38)
    assert injury_channel.zones_at(plain, mm(tread), MM38) <= injury_channel.zones_at(
        plain, between(tread - 1, tread, "mm"), MM38
    )


@given(st.fractions(1, 40, max_denominator=64), angles)
def test_millimetres_and_inches_agree(thick: Fraction, angle: Fraction) -> None:
    inches = injury_channel.channel_length(exactly(thick / Fraction(254, 10), "in"), deg(angle)).to("mm")
    assert float(inches.low) == pytest.approx(ends(injury_channel.channel_length(mm(thick), deg(angle)))[0], abs=1e-7)
    assert math.isfinite(float(inches.high))
