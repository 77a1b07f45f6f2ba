"""Measures that no tire has, through the command: what was found, the plausible range, exit code 2, and no drawing."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from advisor.cli import main
from tests.engine.geometry_support import case_of


def decide(words: list[str]) -> int:
    return main(["decide", *words])


def draw(words: list[str]) -> int:
    return main(["draw", *words])


OLD = {"sound": "yes", "clock": "8:00", "offset": "0 mm", "unit-length": "70 mm", "unit-width": "60 mm"}
BAD: list[tuple[dict[str, Any], dict[str, Any], str]] = [
    ({"injury-size": "-4 mm"}, {}, "0.1 to 1000 mm"),
    ({"injury-size": "4"}, {}, "mm, cm, m, in, 32nds"),
    ({"injury-size": "4 psi"}, {}, "mm, cm, m, in, 32nds"),
    ({"injury-size": "4000 mm"}, {}, "0.1 to 1000 mm"),
    ({"injury-angle": "80 deg"}, {}, "0 to"),
    ({"injury-angle": "90 deg"}, {}, "0 to"),
    ({"injury-angle": "75-85 deg"}, {}, "0 to"),
    ({"injury-angle": "-5 deg"}, {}, "0 to"),
    ({"offset": "331 mm"}, {}, "330"),
    ({"offset": "-700 mm"}, {}, "600 mm"),
    ({"clock": "13:00"}, {}, "12:00 to 11:59"),
    ({"clock": "2:60"}, {}, "12:00 to 11:59"),
    ({"clock": "370 deg"}, {}, "0 to 360"),
    ({"clock": "0-360 deg"}, {}, "12:00 to 11:59"),  # anywhere, and not the valve
    ({"lean": "0-360 deg"}, {}, "1:30 or 1:00-2:00"),
    ({"casing-thickness": "0 mm"}, {}, "2 to 120 mm"),
    ({"casing-thickness": "-3 mm"}, {}, "2 to 120 mm"),
    ({"tread-width": "0 mm"}, {}, "50 to 700 mm"),
    ({}, {"unit_length": "3100 mm"}, "5 to 1000 mm"),
    ({}, {"sidewall": "8-14.5MH", "unit_length": "-1 mm"}, "5 to 1000 mm"),
    ({}, {"earlier_repairs": [{**OLD, "clock": "25:00"}]}, "12:00 to 11:59"),
    ({}, {"tread_depth": "-1/32 in"}, "0 to 40 mm"),
    ({}, {"tread_depth": "9"}, "mm, cm, m, in, 32nds"),
    ({}, {"found_pressure": "-3 psi"}, "0 to 200 psi"),
    ({}, {"set_pressure": "0 psi"}, "5 to 200 psi"),
    ({}, {"found_pressure": "100"}, "kPa, bar, psi"),
    ({}, {"dot_code": "5419"}, "01 to 53"),
    ({}, {"dot_code": "0019"}, "01 to 53"),
    ({}, {"dot_code": "2O19"}, ""),
    ({}, {"dot_code": "2030"}, "2026-03-14"),
]


@pytest.mark.parametrize(("injury", "answers", "expected"), BAD)
def test_a_clear_message_and_exit_code_2(
    injury: dict[str, Any],
    answers: dict[str, Any],
    expected: str,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    file = tmp_path / "case.json"
    file.write_text(json.dumps(case_of("truck", [{"injury-zone": "crown", **injury}], **answers)), encoding="utf-8")
    assert decide([str(file)]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert expected in said.err and "expected" in said.err
    assert draw([str(file)]) == 2
    assert capsys.readouterr().out == ""


def test_a_unit_longer_than_the_tire_is_round(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A tire of 254 + 2 x 31 = 316 mm is 992.7 mm round: 1000 mm is a length that a unit may have, but not here."""
    case = case_of("truck", [{"injury-zone": "crown"}], sidewall="P125/25R10", unit_length="1000 mm")
    file = tmp_path / "case.json"
    file.write_text(json.dumps(case), encoding="utf-8")
    assert decide([str(file)]) == 2
    assert "once round the tire" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("injury", "answers"),
    [
        ({"injury-angle": "0"}, {}),
        ({"offset": "0", "clock": "0:07"}, {}),
        ({"offset": "120 mm", "tread-width": "220 mm"}, {}),
        ({"injury-angle": "79.9 deg"}, {}),
        ({}, {"found_pressure": "0", "tread_depth": "0"}),
    ],
)
def test_zero_and_what_lies_beyond_the_tread_are_no_mistakes(
    injury: dict[str, Any], answers: dict[str, Any], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "case.json"
    file.write_text(json.dumps(case_of("truck", [{"injury-zone": "crown", **injury}], **answers)), encoding="utf-8")
    assert decide([str(file)]) == 0
    assert capsys.readouterr().err == ""
