"""`advisor sidewall`: all that the print and the date tell, what was not read, what is still to be read."""

from __future__ import annotations

import json

import pytest

from advisor.cli import main


def run(words: list[str]) -> int:
    return main(["sidewall", *words])


def said(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    assert run(list(words)) == 0
    return capsys.readouterr().out


def test_everything_that_a_truck_tire_says(capsys: pytest.CaptureFixture[str]) -> None:
    """Load index 148/145, speed symbol L, 11R22.5: the rows of the tables; 3150 kg are 6945 lb, 120 km/h 75 mph."""
    out = said(capsys, "11r22.5 148/145 L lrh tubeless", "--code", "2319", "--today", "2026-03-14")
    for line in (
        "size              11R22.5", "class             medium truck", "construction      radial",
        "load range        H", "load, single      3150 kg (6945 lb), load index 148",
        "load, dual        2900 kg (6393 lb), load index 145", "top speed         120 km/h (75 mph), speed symbol L",
        "section width     279 mm (10.98 in)", "section height    239 mm (9.41 in)",
        "overall diameter  1050 mm (41.34 in)", "turns per km      303.2, unloaded", "tube              tubeless",
        "week              week 23 of 2019", "made              2019-06-09 to 2019-06-15",
        "age               6.8 years",
    ):  # fmt: skip
        assert line in out.splitlines()
    assert "not read  " not in out and "not told  " not in out and "from memory" in out


def test_what_was_not_read_and_what_is_still_to_be_read(capsys: pytest.CaptureFixture[str]) -> None:
    out = said(capsys, "225/60", "16", "98H", "WIDGET\x1b[2J")
    assert "not read          WIDGET 2J" in out and "\x1b" not in out
    assert "not told          construction: look for it on the sidewall" in out
    assert "not told          load range" in said(capsys, "LT245/75R16 120/116S")


def test_three_figures_keep_their_doubt(capsys: pytest.CaptureFixture[str]) -> None:
    out = said(capsys, "--code", "238", "--today", "2026-03-14")
    assert "week 23 of 1998 or 1988 or 1978" in out and "27.8 to 47.8 years" in out and "look again" in out


def test_as_an_object(capsys: pytest.CaptureFixture[str]) -> None:
    data = json.loads(said(capsys, "275/70R22.5 148/145M", "--json", "--code", "1ABCDEFHJ2318"))
    assert data["sidewall"]["load-single"] == 3150 and data["sidewall"]["overall-diameter"] == 958
    assert data["sidewall"]["not-told"] == ["load range"] and data["sidewall"]["tube"] is None
    assert (data["date"]["kind"], data["date"]["week"], data["date"]["years"]) == ("new", 23, [2018])
    assert json.loads(said(capsys, "11R22.5", "--json"))["date"] is None


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ([], "nothing to read"),
        (["--code", "5418"], "week 54"),
        (["11R22.5", "--code", "23S8"], "the letter S"),
        (["11R22.5", "--today", "tomorrow"], "tomorrow"),
        (["--colour"], "--colour"),
    ],
)
def test_what_cannot_be_read(words: list[str], found: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(words) == 2
    got = capsys.readouterr()
    assert found in got.err and not got.out
