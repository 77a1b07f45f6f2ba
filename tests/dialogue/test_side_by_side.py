"""One tire under three rule sets: each verdict, and where and why they part."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import pytest

from advisor.cli import main
from advisor.console.printers import side_by_side
from advisor.dialogue.ruleset_comparison import table
from advisor.dialogue.session import Consultation
from advisor.dialogue.talk_commands import say
from advisor.engine.evaluator import Judge
from advisor.loader.case_file import CaseText, read_case, split_cases
from advisor.loader.kept_cases import with_older_answers
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.case import Case
from advisor.tools.case_writer import case_text
from advisor.wording.blocks import blocks_of


def decide(words: list[str]) -> int:
    return main(["decide", *words])


CASE = """
answers: {vehicle: car, wheel-position: drive, sidewall: 205/55R16 91V, load-range: SL, construction: radial,
  tube: tubeless, retread: "no", found-pressure: 33 psi, set-pressure: 33 psi, run-low: "no", demounted: "yes",
  findings: [none], tread-depth: 5 mm, self-supporting: "no", sealant: "no", earlier-repairs: []}
injuries:
  - {injury-depth: through, injury-zone: crown, injury-size: %s, injury-angle: 0 deg, inside-signs: [none]}
"""


def as_then(text: CaseText, judge: Judge) -> Case:
    return with_older_answers(read_case(text, judge.rules, date(2026, 3, 14)), judge.rules)


def lines(size: str) -> list[str]:
    judged = []
    for name in ("us-road", "uk-road", "demo-shop"):
        judge = Judge(load_rule_set(find_rule_set(name)))
        (text,) = split_cases(CASE % size, "case.yaml")
        judged.append((judge, judge.judge(as_then(text, judge))))
    return list(side_by_side(judged))


def test_a_hole_that_only_the_shop_refuses() -> None:
    found = "\n".join(lines("5.5 mm"))
    assert "They do not agree." in found
    assert "demo-shop: SCRAP at 3/16 in (5 mm) (invented for the demo)" in found
    assert "us-road: allows at 1/4 in (6 mm) (published)" in found and "uk-road: allows at 6 mm (second-hand)" in found


def test_a_hole_that_all_allow() -> None:
    assert "They agree on verdict, method and restrictions." in lines("4 mm")


NAMES = ("us-road", "uk-road", "demo-shop")


def test_the_table_has_a_column_for_each_and_fits() -> None:
    found = lines("5.5 mm")
    assert all(len(line) <= 78 for line in found)
    verdicts = next(line for line in found if line.startswith("verdict"))
    assert verdicts.split() == ["verdict", "REPAIR", "REPAIR", "SCRAP"]
    editions = " ".join(found)
    for name in NAMES:
        rules = load_rule_set(find_rule_set(name))
        assert rules.about.edition in editions and rules.digest in editions


def test_what_decides_comes_first_and_every_rule_set_says_something() -> None:
    found = lines("5.5 mm")
    at = found.index("Where and why they differ:")
    assert found[at + 1] == "  injury 1: the injury's width"
    block = " ".join(found[at + 2 :])
    assert all(f"{name}: " in block for name in NAMES)


def test_without_room_for_columns_each_has_rows_of_its_own() -> None:
    judge = Judge(load_rule_set(find_rule_set("us-road")))
    (text,) = split_cases(CASE % "4 mm", "case.yaml")
    judged = [(judge, judge.judge(as_then(text, judge)))] * 5
    found = table(judged, 78)
    assert found.count("verdict: REPAIR") == 5 and all(len(line) <= 78 for line in found)


def test_the_command_in_words_and_as_json_lines_in_the_order_given(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "case.yaml"
    judge = Judge(load_rule_set(find_rule_set("us-road")))
    cases = [as_then(text, judge) for size in ("5.5 mm", "4 mm") for text in split_cases(CASE % size, "case.yaml")]
    file.write_text("---\n".join(case_text(case, judge.rules) for case in cases))
    several = [word for name in ("uk-road", "demo-shop", "us-road") for word in ("--rules", name)]
    assert decide([str(file), *several, "--json"]) == 0
    answers = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert [answer["rules"]["id"] for answer in answers] == ["uk-road", "demo-shop", "us-road"] * 2
    assert [answer["verdict"] for answer in answers] == ["repair", "scrap", "repair"] + ["repair"] * 3
    assert all(answer["rules"]["edition"] and answer["rules"]["digest"] for answer in answers)
    for answer in answers:
        asked = load_rule_set(find_rule_set(answer["rules"]["id"])).questions.keys()
        assert set(answer["passed_over"]) <= judge.rules.questions.keys() - asked
    assert decide([str(file), *several]) == 0
    said = capsys.readouterr().out
    assert said.count("Side by side:") == 2 and "They do not agree." in said and "They agree on" in said


def test_in_a_consultation_the_answers_go_along_and_what_is_not_asked_is_named() -> None:
    talk = Consultation(Judge(load_rule_set(find_rule_set("us-road"))), date(2026, 3, 14))
    for text in ("truck", "drive", "11R22.5", "H"):
        say(talk, text)
    before = talk.saved
    (told,) = say(talk, "beside uk-road demo-shop")
    assert [block.text.partition(" - ")[0] for block in blocks_of(told.blocks) if " - " in block.text] == [
        "us-road: HOLD", "uk-road: HOLD", "demo-shop: HOLD",
    ]  # fmt: skip
    assert any("uk-road: REFER (second-hand)" in line for line in told.texts)
    assert sum("questions" in line and line.startswith("to answer: ") for line in told.texts) == 3
    assert talk.saved == before
    (wrong,) = say(talk, "beside no-such")
    assert wrong.kind == "complaint" and "no-such" in wrong.texts[0]
    (none,) = say(talk, "beside us-road")
    assert "no other rule set" in none.texts[0]
