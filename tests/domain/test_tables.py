"""The code tables against the copies in tests/tables, row by row, and the size arithmetic."""

from __future__ import annotations

import csv
import math
from fractions import Fraction
from pathlib import Path

import pytest

from advisor.domain.code_tables import HIGHEST, SPEED_SYMBOLS, is_rim_code, load_kg, rim_figure, rim_mm, speed_symbol
from advisor.domain.sidewall.size import TABLE_SIZES, overall_diameter_mm, revolutions_per_km, section_height_mm
from advisor.model.problems import Misread

TABLES = Path(__file__).parent.parent / "tables"


def rows(name: str) -> list[dict[str, str]]:
    with (TABLES / f"{name}.csv").open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("name", ["load_index", "speed_symbols", "rim_codes", "size_dimensions", "tin_examples"])
def test_every_row_names_its_source_and_standing(name: str) -> None:
    assert rows(name)
    for row in rows(name):
        assert row["source"] and row["standing"]


def test_load_index() -> None:
    table = rows("load_index")
    assert [int(row["load_index"]) for row in table] == list(range(HIGHEST + 1))
    for row in table:
        assert load_kg(int(row["load_index"])) == Fraction(row["kg"])


def test_load_index_rises_and_stays_near_the_series() -> None:
    loads = [load_kg(index) for index in range(HIGHEST + 1)]
    assert loads == sorted(set(loads))
    for index, load in enumerate(loads):
        assert abs(float(load) / (45 * 10 ** (index / 80)) - 1) < 0.02


@pytest.mark.parametrize("index", [-1, 280, 10**9])
def test_load_index_out_of_the_table(index: int) -> None:
    with pytest.raises(Misread):
        load_kg(index)


def test_speed_symbols() -> None:
    table = rows("speed_symbols")
    assert {row["symbol"] for row in table} == set(SPEED_SYMBOLS)
    for row in table:
        entry = speed_symbol(row["symbol"])
        assert entry.kmh == int(row["km_h"])
        assert entry.rank == (int(row["rank"]) if row["rank"] else None)


def test_h_stands_between_u_and_v() -> None:
    ranks = [speed_symbol(symbol).rank or 0 for symbol in ("U", "H", "V")]
    assert ranks == sorted(ranks)
    in_order = sorted((e for e in SPEED_SYMBOLS.values() if e.rank), key=lambda e: e.rank or 0)
    assert [e.kmh for e in in_order] == sorted(e.kmh for e in in_order)


@pytest.mark.parametrize("symbol", ["", "I", "O", "X", "Z", "h", "A9", "😀"])
def test_no_such_speed_symbol(symbol: str) -> None:
    with pytest.raises(Misread):
        speed_symbol(symbol)


def test_rim_codes() -> None:
    table = rows("rim_codes")
    for row in table:
        code = row["rim_code_in"]
        assert is_rim_code(code)
        assert rim_mm(code) == int(row["nominal_mm"])
        assert rim_figure(code) == Fraction(code)
        assert abs(rim_mm(code) - Fraction(code) * Fraction("25.4")) <= Fraction(1, 2)
    assert not is_rim_code("22.50")


@pytest.mark.parametrize("reading", [rim_mm, rim_figure])
@pytest.mark.parametrize("code", ["", "7", "22,5", "x"])
def test_no_such_rim_code(reading: object, code: str) -> None:
    assert callable(reading)
    with pytest.raises(Misread):
        reading(code)


def test_size_formulas() -> None:
    counted = 0
    for row in rows("size_dimensions"):
        if not row["aspect_percent"]:
            continue
        counted += 1
        height = section_height_mm(int(row["nominal_width_mm"]), int(row["aspect_percent"]))
        assert height == int(row["section_height_mm"])
        assert rim_mm(row["rim_code"]) == int(row["rim_mm"])
        assert overall_diameter_mm(int(row["rim_mm"]), height) == int(row["overall_diameter_mm"])
    assert counted == 66


def test_table_sizes() -> None:
    table = {row["size"].removesuffix("LT").removesuffix("C"): row for row in rows("size_dimensions")}
    without_aspect = {size for size, row in table.items() if not row["aspect_percent"]}
    assert set(TABLE_SIZES) == without_aspect
    for size, (width, diameter) in TABLE_SIZES.items():
        assert width == int(table[size]["section_width_on_measuring_rim_mm"])
        assert diameter == int(table[size]["overall_diameter_mm"])


def test_half_a_millimetre_goes_up() -> None:
    assert section_height_mm(275, 70) == 193  # 192.5


def test_revolutions_per_km() -> None:
    assert revolutions_per_km(1000) == pytest.approx(1000 / math.pi)
    assert revolutions_per_km(Fraction(1000)) == revolutions_per_km(1000)
    for nothing in (0, -5, Fraction(0)):
        with pytest.raises(Misread):
            revolutions_per_km(nothing)
