"""Questions as newcomers type them, each with what it is about: a table, a case at a time, one line a question.

A wrong subject is worse than none: questions of other things are never answered as if they were about the tire.
"""

from __future__ import annotations

import csv
import json
import re
from functools import lru_cache
from pathlib import Path

import pytest

from advisor.cli import main
from advisor.console.session_lines import message_lines
from advisor.dialogue.intents import told
from advisor.engine.evaluator import Judge
from advisor.loader.case_file import read_case, split_cases
from advisor.loader.kept_cases import with_older_answers
from advisor.loader.paths import find_rule_set
from advisor.loader.ruleset_loader import load_rule_set
from advisor.model.case import Case
from tests.dialogue.talk_cases import CASES, DAY
from tests.dialogue.talk_cases import judge as us_judge
from tests.whole_rules import whole_copy

TABLES = Path(__file__).parent.parent / "tables"
TREES = TABLES.parent.parent / "trees"
ROWS = list(csv.DictReader((TABLES / "questions.csv").open(encoding="utf-8")))
SAID = list(csv.DictReader((TABLES / "questions_said.csv").open(encoding="utf-8")))


@lru_cache
def judge(rules: str) -> Judge:
    return Judge(load_rule_set(find_rule_set(rules)))


@lru_cache
def case(rules: str, name: str) -> Case:
    """A case of the table's own, else one that stands beside the rules."""
    own, shipped = TABLES / "question_cases" / f"{name}.yaml", TREES / rules / "cases" / f"{name}.yaml"
    path = own if own.exists() else shipped
    read = read_case(next(split_cases(path.read_text(encoding="utf-8"), path.name)), judge(rules).rules, DAY)
    return with_older_answers(read, judge(rules).rules)


def ask(row: dict[str, str]):
    """The answer to the last of a row's lines; those ahead of it were asked before."""
    of_case, by = case(row["rules"], row["case"]), judge(row["rules"])
    now, found = by.judge(of_case), None
    for text in (*filter(None, row["after"].split(" / ")), row["question"]):
        before = found if found is not None and found.kind != "complaint" else None
        found = told(by, of_case, now, text, before=before, asks=True)
    return found


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['case']}: {row['question']}")
def test_the_question_gets_its_intent_and_subject(row):
    found = ask(row)
    assert (found.intent, found.subject) == (row["intent"], row["subject"])


@pytest.mark.parametrize("row", SAID, ids=lambda row: f"{row['case']}: {row['question']}")
def test_the_answer_says_what_was_asked_for(row):
    found = ask(row)
    text = " ".join(" ".join(found.texts).casefold().split())
    if row["says"]:
        assert found.kind != "complaint" and re.search(row["says"], text)
    else:
        assert found.kind == "complaint" and "i can't answer that" in text


@pytest.mark.parametrize(
    "question",
    [
        "how do I seat the beads",
        "how do I inflate it safely",
        "why can't I just air it back up",
        "what pressure do I inflate it to",
        "how long does the cement dry",
        "how do I do the leak test",
        "is the cage needed",
        "can I stand over it",
        "it looks fine inside so can I patch it",
        "can they run it slow to the shop",
        "could another shop fix it",
    ],
)
def test_of_a_scrapped_tire_no_work_is_told_without_saying_so_first(question):
    found = ask({"rules": "us-road", "case": "pickup-flat", "after": "", "question": question})
    assert "SCRAP" in found.texts[0]


def test_a_refusal_names_the_words_that_nothing_speaks_of():
    found = ask({"rules": "us-road", "case": "car-nail", "after": "", "question": "does the flux capacitor gibber"})
    assert '"flux"' in found.texts[0] and '"gibber"' in found.texts[0]
    assert len(found.texts) == 4


@pytest.mark.parametrize("row", ROWS[::3], ids=lambda row: row["question"])
def test_an_answer_names_its_sources_or_says_what_can_be_asked(row):
    found = ask(row)
    if found.kind == "complaint":
        assert len(found.texts) >= 2
        assert found.subject == ""
    for label, basis in found.sources:
        assert label and basis.standing


@pytest.mark.parametrize(
    ("question", "first"),
    [
        ("can i just plug it anyway", "No: a plug"),
        ("and if we throw a tube in?", "No: a tube"),
        ("ok if i average the two readings?", "No: readings are not averaged"),
    ],
)
def test_may_i_anyway_is_told_no_and_why_and_how_it_stands(question, first):
    of_case = CASES["large"]
    found = told(us_judge(), of_case, us_judge().judge(of_case), question)
    assert found.texts[0].startswith(first)
    for word in ("try ", "you could", "instead you"):
        assert word not in " ".join(found.texts)


def test_what_a_tape_that_is_off_has_measured_is_asked_back_and_never_taken_for_the_width():
    row = {"rules": "uk-road", "case": "uk-car-shoulder", "after": "", "question": "suppose my tape is off by 4 mm"}
    found = ask(row)
    assert found.kind == "complaint" and "not clear" in found.texts[0]


@pytest.mark.parametrize("question", ["will it rain tomorrow", "who won the game", "what is a flux capacitor"])
def test_what_the_rules_do_not_hold_is_not_made_up(question):
    of_case = CASES["repair"]
    found = told(us_judge(), of_case, us_judge().judge(of_case), question, asks=True)
    assert found.kind == "complaint"


def test_questions_by_line_keep_the_subject_and_a_blank_line_between(tmp_path, capsys, monkeypatch):
    lines = b"what if the hole was 6 mm\nand 11?\n\nwho says so\n"
    path = TABLES / "question_cases" / "car-nail.yaml"
    monkeypatch.setattr("sys.stdin", type("In", (), {"buffer": type("B", (), {"read": staticmethod(lambda: lines)})}))
    assert main(["ask", str(path), "-"]) == 0
    out = capsys.readouterr().out
    assert "4 mm -> 6 mm" in out and "4 mm -> 11 mm" in out
    assert out.count("\n\n") == 2


def test_json_has_intent_subject_text_and_sources(capsys):
    path = TABLES / "question_cases" / "car-nail.yaml"
    assert main(["ask", str(path), "how big may the hole be", "--json"]) == 0
    row = json.loads(capsys.readouterr().out)
    assert row["subject"] == "size" and "1/4 in" in row["says"]
    assert row["sources"][0]["standing"] == "published"
    assert "wall chart" in row["sources"][0]["sources"][0]


@pytest.mark.parametrize(
    ("wrong", "problem"),
    [
        ("subjects.yaml: {it: {limits: [nail-hole-sizes]}}", "unknown-name"),
        ("answers.yaml: {it: {said: [why me], says: So.}}", "missing-key"),
        ("answers.yaml: {it: {said: [why me], says: So., standing: from memory, source: memry}}", "unknown-name"),
    ],
)
def test_a_slip_in_a_rule_sets_own_file_is_told_with_its_place(tmp_path, wrong, problem, capsys):
    file, _, text = wrong.partition(": ")
    folder = whole_copy(tmp_path / "own")
    with (folder / file).open("a", encoding="utf-8") as out:
        out.write(f"\n{text[1:-1]}\n")
    assert main(["decide", str(TABLES / "question_cases" / "car-nail.yaml"), "--rules", str(folder)]) == 2
    said = capsys.readouterr().err
    assert problem in said and f"own/{file}" in said


def test_a_rule_set_adds_an_answer_of_its_own(tmp_path, capsys):
    folder = whole_copy(tmp_path / "own")
    own = "\nown-rule: {said: [who sweeps the shop], says: The youngest., standing: invented for the demo}\n"
    with (folder / "answers.yaml").open("a", encoding="utf-8") as out:
        out.write(own)
    path = str(TABLES / "question_cases" / "car-nail.yaml")
    assert main(["ask", path, "who sweeps the shop?", "--rules", str(folder)]) == 0
    assert "The youngest." in capsys.readouterr().out


@pytest.mark.parametrize(
    "question",
    ["can a truck tire be repaired", "can i repair it with the tire still hot", "is it any good with the belt gone"],
)
def test_the_verdict_on_this_tire_answers_no_question_that_names_something_else(question):
    of_case = case("us-road", "car-nail")
    found = told(us_judge(), of_case, us_judge().judge(of_case), question, asks=True)
    assert found.intent != "verdict"


def test_a_figure_that_is_asked_about_never_stands_without_a_verdict_that_is_worse():
    of_case = case("us-road", "pickup-flat")
    found = told(us_judge(), of_case, us_judge().judge(of_case), "is a 4 mm hole too big")
    assert "SCRAP" in " ".join(message_lines(found))


def test_a_figure_said_to_be_more_is_not_held_against_the_limit_as_it_stands():
    of_case = CASES["repair"]
    found = told(us_judge(), of_case, us_judge().judge(of_case), "what happens if it's over 25 degrees", asks=True)
    assert not any("passes." in text and "25 degrees" in text for text in found.texts)


def test_a_ready_answer_about_another_place_ends_with_how_the_tire_would_stand_there():
    row = {"rules": "us-road", "case": "car-nail", "after": "", "question": "is a hole in the sidewall ok"}
    assert ask(row).texts[-1].startswith("An injury in the sidewall, with all else as it is: SCRAP")
