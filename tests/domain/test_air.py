"""Dew point against an independent library and the table; stored energy; a tool's edge."""

from __future__ import annotations

import csv
import math
import random
from fractions import Fraction
from pathlib import Path

import psychrolib
import pytest

from advisor.domain.compressed_air import Volume, dew_point, edge_speed, inner_volume_litres, stored_energy_kj
from advisor.model.problems import Misread
from advisor.model.quantity import between, exactly

TABLE = Path(__file__).parents[1] / "tables" / "dew_point.csv"


def test_dew_point_table() -> None:
    with TABLE.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) > 100
    for row in rows:
        ours = float(dew_point(exactly(row["air_T_C"], "C"), exactly(row["RH_percent"], "%")).low)
        assert ours == pytest.approx(float(row["dew_point_C_magnus"]), abs=0.0051)
        if float(row["dew_point_C_psychrolib"]) > 0:
            assert ours == pytest.approx(float(row["dew_point_C_psychrolib"]), abs=0.05)


def test_dew_point_against_an_independent_library() -> None:
    psychrolib.SetUnitSystem(psychrolib.SI)
    draw = random.Random(20260314)
    held = 0
    while held < 300:
        air, damp = round(draw.uniform(0, 50), 1), round(draw.uniform(5, 100), 1)
        theirs = psychrolib.GetTDewPointFromRelHum(air, damp / 100)
        if theirs > 0:
            held += 1
            ours = dew_point(exactly(str(air), "C"), exactly(str(damp), "%"))
            assert float(ours.low) == pytest.approx(theirs, abs=0.05)


def test_dew_point_in_doubt_and_out_of_range() -> None:
    wide = dew_point(between(18, 22, "C"), between(60, 70, "%"))
    for air in (18, 20, 22):
        for damp in (60, 65, 70):
            assert wide.low <= dew_point(exactly(air, "C"), exactly(damp, "%")).low <= wide.high
    assert dew_point(exactly(68, "F"), exactly(65, "%")) == dew_point(exactly(20, "C"), exactly(65, "%"))
    assert dew_point(exactly(20, "C"), exactly(100, "%")) == exactly(20, "C")
    for air, damp in ((20, 0), (20, 101), (-21, 50), (51, 50)):
        with pytest.raises(Misread):
            dew_point(exactly(air, "C"), exactly(damp, "%"))
    with pytest.raises(Misread):
        dew_point(exactly(20, "C"), between(0, 50, "%"))


def test_stored_energy() -> None:
    """100 litres at 800 kPa gauge: 901.325 x 0.1 / 0.4 x (1 - (101.325 / 901.325)^(2 / 7)), 104.7 kJ."""
    volume = Volume(100.0, 100.0)
    by_hand = 901.325 * 0.1 / 0.4 * (1 - math.exp(math.log(101.325 / 901.325) * 2 / 7))
    assert float(stored_energy_kj(exactly(800, "kPa"), volume).low) == pytest.approx(by_hand, abs=1e-6)
    assert by_hand == pytest.approx(104.7, abs=0.1)
    assert stored_energy_kj(exactly(0, "psi"), volume) == exactly(0, "kJ")
    wide = stored_energy_kj(between(700, 800, "kPa"), Volume(90.0, 110.0))
    assert wide.low < stored_energy_kj(exactly(750, "kPa"), volume).low < wide.high
    with pytest.raises(Misread):
        stored_energy_kj(exactly(-1, "kPa"), volume)


def test_volume_is_an_estimate_by_a_ring() -> None:
    size = inner_volume_litres(exactly(275, "mm"), exactly(958, "mm"), exactly(572, "mm"))
    by_hand = math.pi / 4 * 275 * 193 * math.pi * 765 / 10**6
    assert size.low_litres == size.high_litres == pytest.approx(by_hand)
    with pytest.raises(Misread, match="less than the overall diameter"):
        inner_volume_litres(exactly(275, "mm"), exactly(500, "mm"), exactly(572, "mm"))


def test_edge_speed() -> None:
    """50 mm at 5000 rpm: pi x 0.05 m x 5000 = 785.398 m a minute, 47.124 km/h."""
    assert float(edge_speed(exactly(5000, "rpm"), exactly(50, "mm")).low) == pytest.approx(47.1239, abs=1e-4)
    assert edge_speed(exactly(0, "rpm"), exactly(50, "mm")).low == Fraction(0)
    with pytest.raises(Misread):
        edge_speed(exactly(-1, "rpm"), exactly(50, "mm"))
