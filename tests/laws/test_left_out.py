"""What was left out is listed as left out, asked again by name, number and back, and never listed as answered."""

from __future__ import annotations

import pytest

from advisor.model.case import TIRE, Text
from tests.laws.ledger import answers_of
from tests.laws.talking import CAR, TRUCK, Talk, talked
from tests.tui.driving import NAIL_HOLE, WIDE, Screen, drive

TWO = {**{name: text for name, text in CAR.items() if name not in ("more-injuries", "injury-zone")}}


def of_two(*then: str) -> Talk:
    """A car tire with a hole in the crown and one in the sidewall, then some more lines."""
    return talked(TWO, ["crown", "yes", "sidewall", "no", *then])


@pytest.mark.parametrize("name", ["the date code", "date code", "dot-code", "DOT-CODE"])
def test_a_question_that_was_left_out_is_asked_again_by_its_name(name: str) -> None:
    talk = talked(CAR, [f"change {name}", "2319"])
    assert talk.consultation.case.answers["dot-code"] == Text("2319"), talk.text[-900:]


def test_it_is_asked_again_by_its_number_in_the_list() -> None:
    listed = talked(CAR, ["answers"]).text.rpartition("> answers")[2]
    number = listed.partition(". left out: the date code")[0].split()[-1]
    talk = talked(CAR, [f"change {number}", "2319"])
    assert talk.consultation.case.answers["dot-code"] == Text("2319"), talk.text[-900:]
    assert ("dot-code", TIRE) not in talk.consultation.case.skipped


def test_back_goes_to_what_was_just_left_out() -> None:
    upto = {name: text for name, text in CAR.items() if name != "found-pressure"}
    talk = talked(upto, ["back"])
    assert talk.consultation.question_key == ("dot-code", TIRE), talk.text[-600:]
    talk = talked(upto, ["back", "skip", "back", "back"])
    assert talk.consultation.question_key == ("retread", TIRE), talk.text[-600:]


def test_left_out_again_stays_left_out_and_enter_leaves_it_so() -> None:
    for word in ("skip", "", "go on"):
        talk = talked(CAR, ["change date code", word, "answers"])
        assert "left out: the date code" in talk.text.rpartition("> answers")[2]
        assert talk.consultation.ask is None


@pytest.mark.parametrize("answers", [CAR, TRUCK])
def test_each_that_was_left_out_is_listed_once_and_counts_as_no_answer(answers: dict[str, str]) -> None:
    consultation = talked(answers).consultation
    left_out = [key for key, _ in consultation.left_out]
    assert len(left_out) == len(set(left_out)) >= 2
    assert not set(left_out) & {row[0] for row in consultation.answered}
    assert not set(left_out) & set(answers_of(consultation.case))


def test_further_injuries_asks_whether_there_are_more_than_those_described() -> None:
    talk = of_two("change further injuries")
    assert talk.consultation.question_key == ("more-injuries", 1), talk.text[-600:]
    assert "drop injury" in talk.text.rpartition("> change")[2]
    third = of_two("change further injuries", "yes")
    assert (third.consultation.question_key or ("", 0))[1] == 2
    assert len(third.consultation.case.injuries) >= 2
    kept = of_two("change further injuries", "no")
    assert len(kept.consultation.case.injuries) == 2


@pytest.mark.parametrize("said", ["no", "1", "can't tell", "3"])
def test_no_more_injuries_never_makes_a_described_one_vanish(said: str) -> None:
    change = f"change {of_two().number('further injuries')}"
    talk = of_two(change, said, "answers")
    assert "drop injury 2" in talk.text.rpartition(f"> {change}")[2]
    assert "injury 2: the injury's zone: Sidewall" in talk.text.rpartition("> answers")[2]
    assert talk.verdict == "scrap"
    dropped = of_two(change, said, "drop injury 2", "answers")
    assert "injury 2" not in dropped.text.rpartition("> answers")[2].partition("note:")[0]


def test_on_the_screen_it_is_listed_and_picked_from_the_list() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(NAIL_HOLE)
        assert "left out" in screen.text()
        await screen.press("f4")
        row = next(row for row in screen.desk.prompt.rows if (row.says, row.answer) == ("date code", "left out"))
        await screen.press(*row.number, "enter")
        assert screen.asked == "dot-code"
        await screen.press("escape")
        assert screen.asked == ""
        await screen.type("change date code")
        assert screen.asked == "dot-code"
        await screen.type("2319")
        assert screen.desk.consultation.case.answers["dot-code"] == Text("2319")
        await screen.press("f4")
        assert ("date code", "left out") not in [(row.says, row.answer) for row in screen.desk.prompt.rows]

    drive(steps, WIDE)


def test_on_the_screen_back_goes_to_what_was_left_out() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(NAIL_HOLE, until="found-pressure")
        await screen.press("f5")
        assert screen.asked == "dot-code"

    drive(steps)


def test_on_the_screen_further_injuries_says_how_one_is_taken_back() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer({**NAIL_HOLE, "more-injuries": "yes"}, until="more-injuries")
        await screen.type("yes")
        await screen.answer({**NAIL_HOLE, "injury-zone": "sidewall"}, until="more-injuries")
        await screen.type("no")
        await screen.type("change further injuries")
        assert screen.desk.consultation.question_key == ("more-injuries", 1)
        assert "drop injury" in screen.text()

    drive(steps)


@pytest.mark.parametrize("then", ["skip", "H", "back", "can't tell"])
def test_an_answer_to_a_question_that_these_rules_never_ask_can_be_changed(then: str) -> None:
    talk = talked({}, ["load range G, from a truck", "yes", "change load range", then, "answers"], "uk-road")
    listed = talk.text.rpartition("> answers")[2]
    assert ("load range: H" in listed) == (then == "H"), listed
    assert ("left out: the load range" in listed) == (then in ("skip", "can't tell")), listed
