"""Conversions, tread depths and the repair band against tables from outside; every row names source and standing."""

from __future__ import annotations

import csv
import json
from fractions import Fraction
from pathlib import Path

import pytest

from advisor.domain.geometry.zones import distance_in
from advisor.engine.evaluator import Judge
from advisor.loader.case_file import read_case, split_cases
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.quantity import Measure, exactly, read_measure

TABLES = Path(__file__).parent.parent / "tables"
UK = Judge(load_rule_set(find_rule_set("uk-road")))
#: How this program names the units of the table; a count of a unit goes with it.
NAMED = {"1/32 in": "32nds", "degF": "F", "degC": "C"}


def rows(name: str) -> list[dict[str, str]]:
    with (TABLES / f"{name}.csv").open(newline="", encoding="utf-8") as file:
        found = list(csv.DictReader(file))
    assert found and all(row["source"] and row["standing"] for row in found)
    return found


@pytest.mark.parametrize("row", rows("units"), ids=lambda row: f"{row['from']} to {row['to']}")
def test_conversions(row: dict[str, str]) -> None:
    names = {"mile": "mph", "km": "km/h"}  # per hour, as the program knows speeds and no distances on the road
    here, there = (names.get(row[end], NAMED.get(row[end], row[end])) for end in ("from", "to"))
    if row["from"].startswith("deg"):
        for degrees in (-40, 0, 20, 100):
            hand = Fraction(degrees - 32) / Fraction("1.8") if here == "F" else degrees * Fraction("1.8") + 32
            assert exactly(degrees, here).to(there).low == hand
        return
    got = exactly(1, here).to(there).low
    printed = Fraction(row["factor"])
    if row["exactness"] == "exact":
        assert got == printed
    else:
        assert abs(got / printed - 1) < Fraction(1, 10**10)
    assert exactly(1, here).to(there).to(here).low == 1


@pytest.mark.parametrize("row", rows("tread_32nds_mm"), ids=lambda row: row["thirty_seconds"])
def test_tread_depths(row: dict[str, str]) -> None:
    typed = read_measure(f"{row['thirty_seconds']}/32", "length", "32nds")
    assert typed.to("mm").low == Fraction(row["mm"])
    assert typed.to("in").low == Fraction(row["thirty_seconds"]) / 32
    assert abs(typed.to("in").low - Fraction(row["inch"])) <= Fraction(1, 10**5)


@pytest.mark.parametrize("row", rows("bs_au_159_minor_area"), ids=lambda row: row["nominal_section_width_mm"])
def test_the_repair_band(row: dict[str, str]) -> None:
    sidewall = f"{row['nominal_section_width_mm']}/65R16"
    (text,) = split_cases(json.dumps({"answers": {"vehicle": "car", "sidewall": sidewall}}), "case")
    band = UK.judge(read_case(text, UK.rules, None)).values["repair-area"]
    assert isinstance(band, Measure) and band.low == band.high == Fraction(row["computed_T_mm"])
    if row["published_T_mm"]:
        assert int(band.low + Fraction(1, 2)) == int(row["published_T_mm"]), "printed to the whole mm, half up"
    assert band.low / int(row["nominal_section_width_mm"]) * 100 == int(row["percent"])


def test_the_widest_injury_of_the_band() -> None:
    figures = {row["max_injury_after_preparation_mm"] for row in rows("bs_au_159_minor_area")}
    (figure,) = UK.rules.limits["minor-injury-size"].figures
    assert figures == {"6"} and (figure.low, figure.unit) == (6, "mm")


def test_a_gauge_in_kilograms_force_reads_as_pressure() -> None:
    assert read_measure("7 kg/cm2", "pressure").to("kPa").low == Fraction("686.4655")
    assert distance_in(exactly(72, "mm"), exactly(220, "mm")) == exactly(38, "mm")
