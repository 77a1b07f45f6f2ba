"""What was withdrawn counts no longer: left out, said to be unknown, changed, dropped, in both faces."""

from __future__ import annotations

import subprocess
import sys

import pytest

from advisor.dialogue.session import Consultation
from advisor.model.case import CANT_TELL, TIRE, Key
from tests.laws.talking import CAR, TRUCK, talked
from tests.tui.driving import NAIL_HOLE, Screen, drive

VAN = (
    "van", "rear", "11R22.5 144/142L LRG", "back", "leave it out", "1", "1", "2319", "80", "80", "1", "1", "1", "0",
    "9/32", "1", "1", "1", "1", "5/16", "round", "0", "0", "1",
)  # fmt: skip


def verdict_of_lines(lines: tuple[str, ...]) -> str:
    """The verdict that the program itself ends with, its lines on standard input."""
    command = [sys.executable, "-m", "advisor", "--plain", "--in-order", "--no-journal"]
    said = subprocess.run(command, input="\n".join(lines) + "\n", capture_output=True, text=True, check=True).stdout
    cards = [line for line in said.splitlines() if line.split(":")[0] in ("REPAIR", "REFER", "HOLD", "SCRAP")]
    return cards[-1].split(":")[0]


def test_a_print_that_was_left_out_again_no_longer_gives_the_trucks_limit() -> None:
    assert verdict_of_lines(VAN) != "REPAIR"


LEFT_OUT = ["sidewall", "dot-code", "injury-zone", "injury-length"]


@pytest.mark.parametrize("question", LEFT_OUT)
@pytest.mark.parametrize("how", ["skip", "leave it out", "can't tell"])
def test_an_answer_left_out_again_is_gone_in_plain_lines(question: str, how: str) -> None:
    talk = talked({**CAR, "dot-code": "2319", "injury-length": "12 mm"}, [f"change {question}", how])
    over = talk.consultation.judge.rules.over_of(question)
    left = talk.consultation.case.get(over, (question, TIRE if over == "tire" else 0))
    assert left in (None, CANT_TELL), talk.text


@pytest.mark.parametrize("question", ["sidewall", "injury-zone", "injury-length"])
def test_an_answer_left_out_again_is_gone_on_the_screen(question: str) -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer({**NAIL_HOLE, "injury-length": "12 mm", "dot-code": "2319"}, until="inside-signs")
        key = next(key for key, *_ in screen.desk.consultation.answered if key[0] == question)
        at = [row[0] for row in screen.desk.consultation.answered].index(key)
        await screen.press("f4", *str(at + 1), "enter")
        assert screen.asked == question
        row = screen.place_of("skip")
        at = -1 if screen.desk.at is None else screen.desk.at
        await screen.press(*(["down"] * (row - at) if row > at else ["up"] * (at - row)), "enter")
        over = screen.desk.consultation.judge.rules.over_of(question)
        assert screen.desk.consultation.case.get(over, key) is None
        assert key not in [row[0] for row in screen.desk.consultation.answered]

    drive(steps)


def may_be_left_out(consultation: Consultation, key: Key) -> bool:
    """Whether an answered question may be left out, as it is asked again."""
    consultation.change(key)
    ask = consultation.ask
    assert ask is not None
    return ask.optional or bool(ask.instead)


@pytest.mark.parametrize("rules", ["us-road", "uk-road", "de-road"])
def test_the_same_as_if_it_had_been_left_out_from_the_start(rules: str) -> None:
    """Every question of two sound tires, left out after its answer and left out at once: the verdict is the same."""
    tried = 0
    for answers in (CAR, TRUCK):
        whole = talked({**answers, "injury-length": "5 mm"}, (), rules).consultation
        for name in [key[0] for key, *_ in whole.answered if key[0] in answers and may_be_left_out(whole, key)]:
            again = talked({**answers, "injury-length": "5 mm"}, [f"change {name}", "skip"], rules)
            never = talked({**answers, name: "skip"}, (), rules)
            assert name not in [key[0] for key, *_ in again.consultation.answered], (name, again.text)
            assert again.verdict == never.verdict, name
            tried += 1
    assert tried >= {"de-road": 4}.get(rules, 6)


def test_an_injury_described_stays_though_no_more_are_said_to_be_there() -> None:
    two = {name: text for name, text in CAR.items() if name not in ("more-injuries", "injury-zone")}
    described = ["crown", "yes", "sidewall", "no"]
    change = f"change {talked(two, described).number('further injuries')}"
    talk = talked(two, [*described, change, "no"])
    assert "drop injury 2" in talk.text
    assert len(talk.consultation.case.injuries) == 2


@pytest.mark.parametrize(
    "text", ["driven flat", "16 mm hole in the crown", "exposed cord, seen from outside", "7", "no idea what"]
)
def test_what_is_no_print_is_never_taken_as_the_sidewalls(text: str) -> None:
    talk = talked({"vehicle": "car", "wheel-position": "rear wheels"}, [text])
    assert "sidewall" not in talk.consultation.case.answers


LOW = {"found-pressure": "0"}


@pytest.mark.parametrize("rules", ["us-road"])
@pytest.mark.parametrize("answers", [CAR, TRUCK])
def test_a_tire_that_ran_low_is_gone_over_for_it_in_so_many_words(rules: str, answers: dict[str, str]) -> None:
    """Neither skipped nor passed over, whenever the low pressure was told; what it means at inflation stands first."""
    silent = {name: text for name, text in answers.items() if name != "run-low-inside"}
    asked = talked({**silent, **LOW}, ["skip"], rules)
    assert asked.consultation.question_key == ("run-low-inside", TIRE)
    assert "can't be left out" in asked.text
    later = talked(silent, ["change pressure found", "0"], rules)
    assert later.consultation.question_key == ("run-low-inside", TIRE)
    said = talked({**answers, **LOW}, (), rules)
    assert said.verdict == "repair"
    first = said.text.rpartition("Do now: - ")[2]
    assert "Found low (" in first[:200], first[:300]
    assert talked({**answers, **LOW, "run-low-inside": "1"}, (), rules).verdict == "scrap"
    assert talked({**answers, **LOW, "run-low-inside": "can't tell"}, (), rules).verdict == "hold"


def test_none_after_a_finding_said_in_a_sentence_is_none_of_the_rest() -> None:
    answers = {name: text for name, text in CAR.items() if name not in ("set-pressure", "findings")}
    talk = talked(answers, ["there's a bulge", "1", "33 psi", "none"])
    assert talk.verdict == "scrap", talk.text


@pytest.mark.parametrize("text", ["found at 40 psi, should be 100", "16 mm hole in the crown"])
def test_a_sentence_is_never_taken_as_the_date_code(text: str) -> None:
    until = {name: answer for name, answer in CAR.items() if name not in ("dot-code", "found-pressure", "set-pressure")}
    talk = talked({**until, "retread": "no"}, ["change date code", text])
    assert "dot-code" not in talk.consultation.case.answers, talk.text[-600:]


@pytest.mark.parametrize("text", ["2319", "DOT U2LL LMLR 2319", "dot 4b9y 2319"])
def test_a_date_code_is_taken_as_it_stands(text: str) -> None:
    talk = talked(CAR, ["change date code", text])
    assert str(talk.consultation.case.answers["dot-code"]) == text
