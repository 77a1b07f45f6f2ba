"""Every number that a face shows can be typed: at each kind of question, at a confirmation, in each list."""

from __future__ import annotations

import re

import pytest

from advisor.console.session_lines import ask_lines
from advisor.dialogue.session import Consultation
from advisor.dialogue.talk_commands import say
from advisor.model.case import TIRE
from advisor.tui.presenter import Desk
from tests.laws.ledger import TODAY, judge_of
from tests.laws.talking import CAR, TRUCK, talked
from tests.tui.driving import NAIL_HOLE, Screen, drive

SENTENCE = "blorp, truck with a 6 mm nail hole in the crown"
#: What waits to be confirmed: said outright, said in doubt, both.
WAITING = (SENTENCE, "maybe the hole is about 9 mm wide", "it is a truck and maybe the hole is 9 mm wide")


def asked(rules: str, question: str) -> Consultation:
    """A consultation that asks one question of its rules."""
    consultation = Consultation(judge_of(rules), TODAY)
    over = judge_of(rules).rules.over_of(question)
    consultation.change((question, TIRE if over == "tire" else 0))
    return consultation


def numbers(consultation: Consultation) -> list[str]:
    """The numbers shown with the question put now."""
    assert consultation.ask is not None
    found: list[str] = []
    for line in ask_lines(consultation.ask):
        if line.startswith(f"  {len(found) + 1} "):
            found.append(str(len(found) + 1))
    return found


@pytest.mark.parametrize("rules", ["us-road", "uk-road", "de-road", "demo-shop"])
def test_each_number_at_each_question_in_plain_lines(rules: str) -> None:
    tried = 0
    for question in judge_of(rules).rules.questions:
        for number in numbers(asked(rules, question)):
            consultation = asked(rules, question)
            assert not [one for one in say(consultation, number) if one.kind == "complaint"], (question, number)
            tried += 1
    assert tried > 60


@pytest.mark.parametrize("rules", ["us-road", "uk-road", "de-road", "demo-shop"])
def test_each_number_at_each_question_on_the_screen(rules: str) -> None:
    tried = 0
    for question in judge_of(rules).rules.questions:
        rows = Desk(asked(rules, question), lambda: None).prompt.rows  # type: ignore[arg-type,return-value]
        for number in [row.number for row in rows if row.number]:
            desk = Desk(asked(rules, question), lambda: None)  # type: ignore[arg-type,return-value]
            desk.text = number
            desk.enter()
            assert not desk.complaint, (question, number)
            tried += 1
    assert tried > 60


@pytest.mark.parametrize("sentence", WAITING)
def test_each_number_at_a_confirmation(sentence: str) -> None:
    def waiting() -> Consultation:
        consultation = Consultation(judge_of("us-road"), TODAY)
        say(consultation, sentence)
        assert consultation.pending is not None
        return consultation

    shown = numbers(waiting())
    assert shown == (["1", "2", "3"] if "maybe" in sentence else ["1", "2"])
    for number in shown:
        consultation = waiting()
        assert not [one for one in say(consultation, number) if one.kind == "complaint"], number
        assert consultation.pending is None
    rows = Desk(waiting(), lambda: None).prompt.rows  # type: ignore[arg-type,return-value]
    assert [row.number for row in rows] == shown


@pytest.mark.parametrize("typed", ["3", "7", "12"])
def test_a_bare_number_at_a_confirmation_is_no_measure(typed: str) -> None:
    consultation = Consultation(judge_of("us-road"), TODAY)
    say(consultation, SENTENCE)
    before = consultation.pending
    assert before is not None
    said = say(consultation, typed)
    assert [one.kind for one in said] == ["complaint"] and "unit" in said[0].texts[0]
    assert consultation.pending is not None and consultation.pending.answers == before.answers


@pytest.mark.parametrize("answers", [CAR, TRUCK])
def test_each_number_of_the_list_of_answers_asks_that_question(answers: dict[str, str]) -> None:
    ended = talked(answers).consultation
    said = [line for one in say(ended, "so far") for line in one.texts]
    shown = [match[1] for line in said if (match := re.match(r"(\d+)\. ", line))]
    assert shown == [str(place) for place in range(1, len(ended.listed) + 1)]
    for number, (key, _) in zip(shown, list(ended.listed), strict=True):
        assert not [one for one in say(ended, f"change {number}") if one.kind == "complaint"]
        assert ended.question_key == key
        ended.go_on()


def test_each_number_of_the_change_list_on_the_screen() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(NAIL_HOLE)
        for place in range(len(screen.desk.consultation.listed)):
            await screen.press("f4")
            row = screen.desk.prompt.rows[place]
            await screen.press(*row.number, "enter")
            assert screen.desk.consultation.question_key == row.means
            await screen.press("escape")

    drive(steps)
