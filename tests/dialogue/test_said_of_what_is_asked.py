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
    waits = {one.key[0] for one in (*consultation.pending.answers, *consultation.pending.proposed)}
    assert waits == {"repair-clock", "repair-unit-width"}, said


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
