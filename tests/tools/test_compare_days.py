"""Figures from a day on: `advisor compare` tells of each such day all that it tells of today, with its exit codes."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import pytest

from advisor.cli import main
from advisor.model.exit_code import ExitCode
from tests.tools.samples import edited
from tests.tools.test_compare import BASE, edition

BASIS = "standing: invented for the demo, source: made-up, clause: none"
FIGURES = {"wide-hole": "4 mm", "small-hole": "2 mm"}
#: A caution, and a question that is not asked, by a figure each.
RULES = """
limits.yaml:
  wide-hole: {{says: a wide hole, value: {wide-hole}, worse: above, at-limit: passes, {basis}{wide-from}}}
  small-hole: {{says: a small hole, value: {small-hole}, worse: above, at-limit: passes, {basis}{small-from}}}
cautions.yaml: {{wide: {{hazard: road use, speaks: {{road: neither}}, says: A wide hole., {basis}}}}}
about.yaml: {{edition: 2027-01-01 of {edition}}}
paths.yaml:
  nodes/size/rulings/+: {{id: wide-one, when: {{size: {{beyond: wide-hole}}}}, caution: wide, because: it is wide}}
  parts/injury/nodes/seen: {{ask: seen, asked: {{unless: {{size: {{within: small-hole}}}}}}, optional: "yes",
    cant-tell: goes-on, rulings: [{{id: seen, when: {{seen: {{is: "yes"}}}}, caution: cage, because: it was}}]}}
questions.yaml:
  seen: {{about: injuries, name: seen, asks: "Was it seen?", kind: choice, choices: {{"yes": "Yes", "no": "No"}},
    no-order: it is no damage, why: It may be.}}
"""


def rules_in(folder: Path, edition: str, **later: str) -> Path:
    """The small rules with those two figures; `later` gives what is said of each from a day on."""
    froms = {f"{name}-from": f", from: {later[name]}" if name in later else "" for name in ("wide", "small")}
    return edited(RULES.format(basis=BASIS, edition=edition, **FIGURES, **froms), folder / edition)


def sections(old: Path, new: Path, capsys: pytest.CaptureFixture[str]) -> tuple[int, dict[str, str]]:
    """The exit code, and what is told of each day; under `` what is told of before."""
    code = main(["compare", str(old), str(new)])
    first, *others = (" ".join(text.split()) for text in capsys.readouterr().out.split("\nFROM "))
    return code, {"": first, **{text[:10]: text for text in others}}


@pytest.mark.parametrize("day", ["2025-01-01", "2027-06-01"])
def test_a_caution_lost_from_a_day_on_is_told_under_it_and_is_exit_code_3(
    day: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    old, new = rules_in(tmp_path, "a"), rules_in(tmp_path, "b", wide=f"{{{day}: {{value: 5 mm}}}}")
    code, told = sections(old, new, capsys)
    assert code == ExitCode.LOST
    assert "CAUTIONS OR STEPS LOST: limit wide-hole: no wide, where size:" in told[day]
    assert "COULD DECIDE" not in told[day] and "1 caution or step lost" in told[day]
    assert "CAUTIONS" not in told[""] and f"no case comes out otherwise until {day}" in told[""]


def test_what_is_asked_and_what_is_gained_are_told_under_the_day(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    new = rules_in(
        tmp_path,
        "b",
        wide="{2027-01-01: {value: 3 mm}}",
        small="{2027-01-01: {value: 1 mm}, 2028-01-01: {value: 3 mm}}",
    )
    code, told = sections(rules_in(tmp_path, "a"), new, capsys)
    assert "CAUTIONS OR STEPS ADDED OR CHANGED: limit wide-hole: wide, where size:" in told["2027-01-01"]
    assert "question seen: not asked -> asked" in told["2027-01-01"]
    assert "question seen: asked -> not asked" in told["2028-01-01"]
    assert code == ExitCode.DONE


def test_what_is_no_figure_is_told_once(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    old, new = rules_in(tmp_path, "a"), rules_in(tmp_path, "b", wide="{2027-06-01: {value: 5 mm}}")
    endings = new / "endings.yaml"
    endings.write_text(endings.read_text().replace("headline: ", "headline: Now - ", 1))
    methods = new / "methods.yaml"
    methods.write_text(methods.read_text().replace("says: ", "says: Gently. ", 1))
    _, told = sections(old, new, capsys)
    assert "WORDED OTHERWISE" in told[""] and "WORDED OTHERWISE" not in told["2027-06-01"]


@pytest.mark.parametrize("day", ["2025-01-01", "2027-06-01"])
def test_the_caution_about_a_fire_apparatus(day: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The example is lost on the day itself, and today where the day is past."""
    value = "age by which a tire on a fire apparatus is replaced at the latest\n  value: 7 years\n"
    new = edition(tmp_path, ("limits.yaml", value, f"{value}  from: {{{day}: {{value: 10 years}}}}\n"))
    code, told = sections(BASE, new, capsys)
    assert code == ExitCode.LOST
    assert "limit fire-apparatus-age: no fire-apparatus-age, where vehicle: truck; dot-code:" in told[day]
    case = tmp_path / "case.yaml"
    for today in (day, str(max(date.fromisoformat(day), date(2026, 11, 30)))):
        week = f"01{int(today[2:4]) - 8:02}"
        case.write_text(f'today: {today}\nanswers: {{vehicle: truck, dot-code: "{week}"}}\n')
        shown = []
        for rules in (BASE, new):
            main(["decide", str(case), "--rules", str(rules), "--json"])
            cautions = json.loads(capsys.readouterr().out)["cautions"]
            shown.append(any(each["id"] == "fire-apparatus-age" for each in cautions))
        assert shown == [True, False]
