"""The same case under several rule sets whose questions differ: a line each, and what was passed over is told there."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from advisor.cli import main

CASE = """answers:
  vehicle: car
  wheel-position: drive
  sidewall: 205/55R16 91V
  tube: tubeless
  retread: "no"
  found-pressure: 33 psi
  mean-speed: 50 mph
  set-pressure: 33 psi
  run-low: "no"
  demounted: "yes"
  findings: [none]
  tread-depth: 6 mm
  self-supporting: "no"
  sealant: "no"
  earlier-repairs: [{sound: "yes", clock: "6:00", offset: 0 mm, unit-length: 60 mm, unit-width: 50 mm}]
injuries:
  - {injury-depth: through, injury-zone: crown, injury-size: 4 mm, injury-angle: 0 deg, inside-signs: [none]}
"""
BOTH = ("--rules", "us-road", "--rules", "uk-road")


def decided(case: Path, capsys: pytest.CaptureFixture[str], *options: str) -> tuple[int, list[dict[str, Any]], str]:
    code = main(["decide", str(case), "--json", "--today", "2026-03-14", *options])
    out, err = capsys.readouterr()
    return code, [json.loads(line) for line in out.splitlines()], err


@pytest.fixture
def case(tmp_path: Path) -> Path:
    path = tmp_path / "case.yaml"
    path.write_text(CASE)
    return path


def test_an_answer_that_one_set_does_not_ask_is_passed_over_by_it_and_told(
    case: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, (us, uk), err = decided(case, capsys, *BOTH)
    assert (code, err) == (0, "")
    assert (us["rules"]["id"], us["passed_over"], us["problems"]) == ("us-road", [], [])
    assert (uk["rules"]["id"], uk["passed_over"], uk["problems"]) == ("uk-road", ["mean-speed"], [])
    case.write_text(CASE.replace("  mean-speed: 50 mph\n", ""))
    _, (alone,), _ = decided(case, capsys, "--rules", "uk-road")
    assert {**uk, "passed_over": []} == alone


def test_it_is_told_in_words_too(case: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["decide", str(case), *BOTH]) == 0
    out = capsys.readouterr().out
    assert out.count("Note: passed over, as uk-road has no question for it: mean-speed.") == 1
    assert "as us-road has no question" not in out


def test_one_rule_set_by_itself_passes_nothing_over(case: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, (uk,), err = decided(case, capsys, "--rules", "uk-road")
    assert code == 2 and uk["verdict"] is None and 'unknown-question: the key "mean-speed"' in err


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("mean-speed", "maen-speed", 'the key "maen-speed" in "answers"'),
        ("injury-size", "injury-siez", 'the key "injury-siez" in injuries[0]'),
        ("{sound", "{soudn", 'the key "soudn" in earlier-repairs[0]'),
    ],
)
def test_a_key_that_no_set_knows_is_a_problem_under_each(
    old: str, new: str, told: str, case: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    case.write_text(CASE.replace(old, new, 1))
    code, lines, err = decided(case, capsys, *BOTH)
    assert code == 2 and [line["verdict"] for line in lines] == [None, None]
    assert err.count(told) == 2


def test_what_a_set_asks_of_something_else_is_not_passed_over(case: Path, capsys: pytest.CaptureFixture[str]) -> None:
    case.write_text(
        CASE.replace("  mean-speed: 50 mph\n", "").replace("{injury-depth", "{mean-speed: 50 mph, injury-depth")
    )
    code, lines, err = decided(case, capsys, *BOTH)
    assert code == 2 and [line["verdict"] for line in lines] == [None, None] and 'put it under "answers"' in err


def test_questions_about_injuries_and_repairs_are_passed_over_by_number(
    case: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shop = tmp_path / "shop"
    shop.mkdir()
    (shop / "about.yaml").write_text("id: shop\ntitle: Shop\nedition: 2026-11-25\nbuilds-on: uk-road\n")
    question = "name: {0}\n  asks: Which?\n  kind: text\n  why: Invented for the demo.\n"
    (shop / "questions.yaml").write_text(
        f"nail:\n  about: injuries\n  {question.format('the nail')}glue:\n  about: earlier-repairs\n  "
        + question.format("the glue")
    )
    case.write_text(CASE.replace("{injury-depth", "{nail: long, injury-depth").replace("{sound", "{glue: black, sound"))
    code, lines, err = decided(case, capsys, *BOTH, "--rules", str(shop))
    assert (code, err) == (0, "")
    assert [line["passed_over"] for line in lines] == [
        ["earlier-repairs[0].glue", "nail[0]"],
        ["mean-speed", "earlier-repairs[0].glue", "nail[0]"],
        ["mean-speed"],
    ]


@pytest.mark.parametrize(
    ("old", "new", "over", "verdict"),
    [
        ("vehicle: car", "vehicle: motorcycle", "vehicle: motorcycle", "hold"),
        ("findings: [none]", "findings: [no-grooves]", "findings: no-grooves", "hold"),
        ("findings: [none]", "findings: [no-grooves, exposed-cord]", "findings: no-grooves", "scrap"),
        ("findings: [none]", "findings: {absent: [no-grooves, exposed-cord]}", "findings: no-grooves", "hold"),
    ],
)
def test_a_choice_that_one_set_does_not_have_is_passed_over_by_it_and_counts_as_not_told(
    old: str, new: str, over: str, verdict: str, case: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    case.write_text(CASE.replace("  mean-speed: 50 mph\n", "").replace(old, new))
    code, (us, german), err = decided(case, capsys, "--rules", "us-road", "--rules", "de-road")
    assert (code, err) == (0, "")
    assert (us["passed_over"], us["verdict"], german["passed_over"]) == ([over], verdict, [])
    assert main(["decide", str(case), "--rules", "us-road", "--rules", "de-road"]) == 0
    assert f"Note: passed over, as us-road has no such choice: {over}." in capsys.readouterr().out
