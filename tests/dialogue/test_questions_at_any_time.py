"""A question at any time: it never becomes an answer, and an answer never a question."""

from __future__ import annotations

import subprocess
import sys

import pytest

from advisor.cli import main
from advisor.dialogue.question_form import asks_by_form

QUESTIONS = (
    "can i just plug it",
    "who says so",
    "is that law or just habit",
    "what do i tell the customer",
    "can it explode",
    "is 6 mm too big",
    "how big can a hole be in a truck tire",
    "why not the shoulder",
    "would it pass if it was 6 mm",
)
ANSWERS = (
    "has a bulge on the side",
    "had a patch before",
    "was the steer tire, now off",
    "what i see is a bulge",
    "can't tell",
    "do not know",
    "which is the left one",
    "have a nail in the crown, 6 mm",
    "6 mm",
    "will not hold air",
    "when we found it it had 60 psi",
    "where it went in is the crown",
)


@pytest.mark.parametrize("line", QUESTIONS)
def test_a_question_is_one_by_its_form(line):
    assert asks_by_form(line)


@pytest.mark.parametrize("line", ANSWERS)
def test_an_answer_is_none(line):
    assert not asks_by_form(line)


def typed(*lines: str) -> str:
    command = [sys.executable, "-c", "from advisor.cli import main; main(['--plain', '--in-order', '--no-journal'])"]
    run = subprocess.run(command, input="\n".join(lines), capture_output=True, text=True, timeout=60, check=False)
    return " ".join(run.stdout.split())


def test_while_a_sentence_waits_questions_are_answered_and_it_waits_on():
    said = typed("blorp, truck, drive axle, nail in the crown 8 mm", *QUESTIONS, "yes", "so far", "quit")
    for question in QUESTIONS:
        told = said.split(f"> {question} ", 1)[1]
        assert not told.startswith("Noted"), question
        assert "Understood, not counted yet" not in told.split(" > ", 1)[0], question
        assert "Is that what you said?" in told.split(" > ", 1)[0], question
    assert said.count("Noted: Injury 1: the injury's width: 8 mm") == 1
    assert "Dropped" not in said


def test_no_question_answers_the_question_put():
    said = typed("truck", *QUESTIONS, "what about a rocket engine?", "so far", "quit")
    assert said.count("Noted:") == 1
    assert said.split("> so far")[1].count("the wheel position") <= 2


def test_a_follow_up_in_a_consultation_keeps_what_was_asked():
    said = typed("car", "nail in the crown 4 mm", "yes", "what if it was 6 mm wide?", "and 8?", "quit")
    assert "4 mm -> 6 mm" in said and "4 mm -> 8 mm" in said


def test_a_sketch_stands_with_a_place():
    said = typed("what is the shoulder", "quit")
    assert "Where tread turns into sidewall" in said and "⡏" in said.split("> quit")[0]


@pytest.mark.parametrize(
    "term",
    [
        "tread",
        "rim",
        "rim flange",
        "bead seat",
        "belt edge",
        "valve stem",
        "dual",
        "DOT code",
        "run-flat",
        "sound rubber",
        "overlap",
        "out of service",
        "full-service shop",
        "gross vehicle weight rating",
        "CFR",
        "OSHA",
        "leak test",
        "dry rot",
        "cupping",
        "pressure sensor",
        "plug-patch",
        "glue",
        "cement",
        "tpms",
        "gvwr",
    ],
)
def test_the_words_that_newcomers_ask_for_are_explained(term, capsys):
    assert main(["words", term]) == 0
    assert ":" in capsys.readouterr().out


def test_the_valve_stem_is_told_apart_from_the_stem_of_a_repair(capsys):
    main(["words", "valve stem"])
    assert "another thing than the stem of a repair" in " ".join(capsys.readouterr().out.split())
