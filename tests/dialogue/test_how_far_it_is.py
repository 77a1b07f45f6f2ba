"""What is said of how far a tire is, is so: of the last question, of what it can end as, of what was left out."""

from __future__ import annotations

import pytest

from advisor.dialogue.place_in_whole import place_in_whole
from tests.dialogue.test_plainly_said import stands, talk

pytestmark = pytest.mark.free_order

SEALANT = (
    "20 psi found, should be 33, car, front wheel, 205/55R16 91V, tread 4mm, driver squirted sealant in it", "1",
    "cant tell if it ran flat, all goo inside. 4mm nail middle of tread, straight, through", "3",
    "tubeless, not retreaded, not a run flat, off the rim", "1",
)  # fmt: skip


def test_a_hold_that_can_be_mended_is_said_of_how_it_is_now() -> None:
    consultation, said = talk(*SEALANT, rules="uk-road")
    assert consultation.standing() == "As it is now: HOLD or SCRAP"
    assert "Could still end as: HOLD or SCRAP" not in said
    consultation, said = talk(*SEALANT, "sealant all cleaned out", "yes", rules="uk-road")
    assert consultation.standing() == "Could still end as: REPAIR, REFER, HOLD or SCRAP", said


def test_one_answer_to_another_question_leaves_out_none() -> None:
    consultation, said = talk(*SEALANT, "no more injuries", rules="uk-road")
    assert consultation.ask is not None and consultation.ask.key[0] == "dot-code", said
    assert "date code: left out" not in said and str(consultation.case.injuries[0]["more-injuries"]) == "no"
    consultation, said = talk(*SEALANT, "no more injuries", "2319", rules="uk-road")
    assert stands(consultation, "dot-code") == "2319"


def test_the_last_one_is_said_of_the_last_one_only() -> None:
    lines, last = [*SEALANT], 0
    for line in ("no more injuries", "leave it out", "leave it out", "5 mm"):
        consultation, _ = talk(*lines, rules="uk-road")
        assert consultation.ask is not None
        if place_in_whole(consultation.ask, consultation.judgement, consultation.judge).endswith("the last one"):
            last += 1
            consultation, _ = talk(*lines, line, rules="uk-road")
            assert consultation.ask is None, line
        lines.append(line)
    assert last <= 1


def test_of_a_question_alone_that_nothing_can_follow_it_is_said() -> None:
    consultation, _ = talk(
        "225/65R17 102H car, tubeless, dot 2322", "28 psi found, should be 33 psi, tread 7/32, not run low, drive axle",
        "first tread", "not a run flat", "nail in the crown, right through", "5/32, round, 5 deg",
        "off, no sealant, no old repairs, findings none, no more",
    )  # fmt: skip
    assert consultation.ask is not None and consultation.ask.key[0] == "inside-signs"
    assert place_in_whole(consultation.ask, consultation.judgement, consultation.judge) == "injury 1 · the last one"
