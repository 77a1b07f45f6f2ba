"""What is said at a question of an earlier repair is of that repair, and a word that drops takes back what counts."""

from __future__ import annotations

import pytest

from advisor.dialogue.session import Consultation
from advisor.dialogue.talk_commands import say
from tests.laws.ledger import TODAY, judge_of

pytestmark = pytest.mark.free_order

TO_THE_REPAIR = (
    "11R22.5 144/142L load range G, tubeless, truck, drive axle, 100 psi, should be 105 psi, 14/32 tread, not soft",
    "6 mm 10° round crown through, no more holes",
    "no, not made to run without air, 1521",
    "off, no sealant, one old repair, sound, nail hole repair",
    "none",
)


def talk(*lines: str) -> tuple[Consultation, str]:
    consultation = Consultation(judge_of("us-road"), TODAY)
    said = [message for line in lines for message in say(consultation, line)]
    return consultation, " ".join(" ".join(text.split()) for message in said for text in message.texts)


def of_repair(consultation: Consultation) -> dict[str, str]:
    return {name: str(answer) for name, answer in consultation.case.repairs[0].items()}


@pytest.mark.parametrize(
    ("lines", "length", "width"),
    [
        (("8 oclock, in the middle, unit about 3 in by 3 in",), "about 3 in", "about 3 in"),
        (("8 oclock, in the middle, unit 75 by 75",), "75 mm", "75 mm"),
        (("8 oclock, 75 by 60 mm unit",), "", ""),
        (("8 oclock", "0, 75 mm by 75 mm"), "75 mm", "75 mm"),
        (("8:00, 0 mm, 75 mm long, 70 mm wide",), "75 mm", "70 mm"),
    ],
)
def test_a_place_and_a_unit_are_of_the_repair_that_is_asked_about(
    lines: tuple[str, ...], length: str, width: str
) -> None:
    consultation, said = talk(*TO_THE_REPAIR)
    injury = consultation.case.injuries[0]
    consultation, said = talk(*TO_THE_REPAIR, *lines)
    assert consultation.case.injuries[0] == injury, said
    assert "injury 1:" not in said[said.index("What the inspection found: none") :].casefold()
    told = of_repair(consultation)
    assert told.get("repair-unit-length", "") == length and told.get("repair-unit-width", "") == width, said
    if length:
        assert consultation.pending is None and told["repair-clock"], said


def test_what_is_not_read_in_one_go_is_shown_back_as_of_the_repair() -> None:
    consultation, said = talk(*TO_THE_REPAIR, "it sits at 8 oclock, I think it is square, 75 mm wide")
    waits = {one.key[0] for one in consultation.pending.answers}
    hinted = {one.key[0] for one in consultation.pending.proposed}
    assert waits | hinted - {"injury-angle"} == {"repair-clock", "repair-unit-width"}, said


def test_what_names_an_injury_is_of_the_injury_all_the_same() -> None:
    consultation, said = talk(*TO_THE_REPAIR, "the injury is 12 mm wide")
    waits = {one.key: str(one.answer) for one in consultation.pending.answers}
    assert waits == {("injury-size", 0): "12 mm"}, said


def test_what_drops_takes_back_what_was_counted_with_a_yes() -> None:
    consultation, _ = talk(*TO_THE_REPAIR)
    stood = consultation.case
    consultation, said = talk(*TO_THE_REPAIR, "it sits at 8 oclock, blorp grommet", "yes", "drop it")
    assert consultation.case == stood and consultation.pending is None and "Dropped" in said, said
    consultation, said = talk(*TO_THE_REPAIR, "it sits at 8 oclock, blorp grommet", "yes", "0")
    assert of_repair(consultation)["repair-offset"] == "0 mm", said


def test_what_drops_behind_an_answer_asks_that_again_and_leaves_no_note() -> None:
    consultation, said = talk(*TO_THE_REPAIR, "8 oclock", "drop it")
    assert consultation.ask.key == ("repair-clock", 0) and not consultation.notes, said
    assert of_repair(consultation)["repair-clock"] == "8 oclock"


ONE_INJURY = TO_THE_REPAIR[:3]
FURTHER = ("more-injuries", 0)


def further(consultation: Consultation) -> str:
    return str(consultation.case.get("injuries", FURTHER))


@pytest.mark.parametrize(
    "line",
    [
        "there is no second hole!! just the one",
        "no second hole",
        "there's no other injury, only the one",
        "no 2nd hole, only one",
    ],
)
def test_an_injury_said_not_to_be_there_is_taken_back_behind_a_yes(line: str) -> None:
    two = (ONE_INJURY[0], "6 mm 10° round crown through", "second hole 8 mm in the crown", line)
    waits, said = talk(*two)
    assert len(waits.case.injuries) == 2 and "there is no injury 2" in said and "8 mm" in said
    kept, said = talk(*two, "no")
    assert len(kept.case.injuries) == 2 and further(kept) == "yes", said
    gone, said = talk(*two, "yes")
    assert len(gone.case.injuries) == 1 and further(gone) == "no", said
    assert any("taken back" in note for note in gone.notes)


def test_an_injury_that_was_only_said_to_be_there_is_said_not_to_be() -> None:
    lines = (*ONE_INJURY[:2], "change further injuries", "yes", "there is no second hole, just the one")
    waits, said = talk(*lines)
    assert further(waits) == "yes", said
    gone, said = talk(*lines, "yes")
    assert further(gone) == "no", said


def test_a_repair_called_the_old_one_begins_no_injury() -> None:
    lines = (*ONE_INJURY, "off, no sealant, one old repair", "none, the old one is a good plug patch, 6 mm hole")
    _, said = talk(*lines)
    assert "injury 2" not in said and "one more" not in said, said


def test_what_is_taken_out_takes_along_the_injury_that_rested_on_it_alone() -> None:
    consultation, said = talk(*ONE_INJURY, "also a second hole, 4 mm, blorp")
    assert "one more" in said
    pending = consultation.pending
    held = (*pending.answers, *pending.proposed)
    for number in range(len(held), 0, -1):
        if held[number - 1].key[1] == 1 and consultation.pending is not None:
            last = say(consultation, f"not {number}")
    assert consultation.pending is None or "one more" not in str(last)
    assert further(consultation) == "no"


def test_where_further_injuries_are_asked_for_it_is_the_answer() -> None:
    lines = (
        ONE_INJURY[0],
        "6 mm 10° round crown through, no more holes",
        "change further injuries",
        "no second hole, just the one",
    )
    consultation, said = talk(*lines)
    assert further(consultation) == "no" and consultation.pending is None, said


def test_no_other_hole_beside_two_takes_none_of_them_back() -> None:
    consultation, said = talk(ONE_INJURY[0], "6 mm crown through", "second hole 8 mm in the crown", "no other holes")
    assert len(consultation.case.injuries) == 2 and "taken back" not in said and "there is no injury" not in said


CAR_IS_OFF = (
    "205/55R16 91V tubeless, car, rear axle, 24 psi, should be 33, tread 5 mm, not soft, first tread, no runflat,"
    " dot 0821",
    "yes",
    "3 mm hole straight crown through",
    "yes",
    "off, no sealant",
)


def waiting(consultation: Consultation) -> list[str]:
    return [one.key[0] for one in consultation.pending.answers]


@pytest.mark.parametrize(
    ("line", "names", "left_out"),
    [
        ("none, none", ["run-low-inside", "findings"], []),
        (
            "none, none, none, round, none, no more",
            ["run-low-inside", "findings", "earlier-repairs", "inside-signs", "more-injuries"],
            ["injury-length"],
        ),
    ],
)
def test_bare_words_in_the_order_shown_are_each_shown_back(line: str, names: list[str], left_out: list[str]) -> None:
    consultation, said = talk(*CAR_IS_OFF, line)
    assert waiting(consultation) == names, said
    assert [name for name, _ in consultation.pending.left_out] == left_out
    done, said = talk(*CAR_IS_OFF, line, "yes")
    assert done.pending is None and done.case.answers["findings"].complete, said


@pytest.mark.parametrize("line", ["none, none, round, none", "none, rust, none", "none, round, none"])
def test_bare_words_out_of_that_order_are_named_as_not_understood(line: str) -> None:
    consultation, said = talk(*CAR_IS_OFF, line)
    assert waiting(consultation) == ["run-low-inside"] and "kept as a note: none" in said, said


PRESSURES = "11R22.5 144/142L load range G, tubeless, truck, drive axle, 100 psi, should be 105 psi, 14/32 tread"


@pytest.mark.parametrize("answer", ["take 1", "yes", "3"])
def test_a_figure_said_again_in_a_remark_stays_as_firm_as_it_was(answer: str) -> None:
    consultation, said = talk(PRESSURES, "yes", "it ran about 30 miles at 100, thats all")
    assert "pressure found: 100 psi (stands" not in said, said
    consultation, said = talk(PRESSURES, "yes", "it ran about 30 miles at 100, thats all", answer)
    assert str(consultation.case.answers["found-pressure"]) == "100 psi", said


@pytest.mark.parametrize("line", ["it ran about 30 miles at 60, thats all", "it ran 30 miles at maybe 100"])
def test_another_figure_or_a_guess_of_it_stays_a_doubt(line: str) -> None:
    _, said = talk(PRESSURES, "yes", line)
    assert "the pressure found" in said[said.index("14/32") :], said


def test_never_soft_asks_for_no_pressure() -> None:
    car = "205/55R16 91V tubeless, car, rear axle, 24 psi, should be 33, tread 5 mm"
    consultation, said = talk(car, "first tread", "never soft, no runflat")
    assert "leaves it open" not in said and str(consultation.case.answers["run-low"]) == "no", said


def test_soft_asks_for_the_pressure_all_the_same() -> None:
    _, said = talk("truck, drive axle, 11R22.5 144/142L, tubeless, it's soft")
    assert "the pressure found" in said, said
