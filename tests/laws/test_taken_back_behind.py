"""What is said once plainly and then in part, or with a doubt behind it, does not stand as if said plainly."""

from __future__ import annotations

import pytest

from advisor.console.session_lines import converse
from advisor.model.ruleset import Verdict
from tests.laws.test_bad_news_stays import TOGETHER, ended

pytestmark = pytest.mark.free_order

LOOKED, INJURY = TOGETHER.index("off, all looked at, none"), 3


@pytest.mark.parametrize(
    "tail",
    ["not driven soft by us", "never driven flat by him", "not driven soft here", "not driven soft, as in not by me"],
)
def test_a_denial_said_again_in_part_is_no_plain_one(tail: str) -> None:
    consultation, said = ended(TOGETHER[0], f"{TOGETHER[1]}, {tail}")
    assert "run-low" not in consultation.case.answers, said


def test_a_denial_said_again_in_full_stays_one() -> None:
    consultation, said = ended(TOGETHER[0], f"{TOGETHER[1]}, not driven flat")
    assert "run-low" in consultation.case.answers, said


@pytest.mark.parametrize("tail", ["didn't actually look", "I actually didn't look inside", "haven't actually looked"])
def test_actually_beside_a_denial_leaves_the_denial_heard(tail: str) -> None:
    consultation, said = ended(*TOGETHER[:LOOKED], f"{TOGETHER[LOOKED]}, {tail}")
    assert "findings" not in consultation.case.answers, said


@pytest.mark.parametrize("spread", ["a lot", "a few", "a mile", "quite a bit"])
@pytest.mark.parametrize("typed", ["6 mm, give or take {}", "6 mm give or take {}"])
def test_give_or_take_no_one_knows_how_much_is_no_width(typed: str, spread: str) -> None:
    consultation, said = ended(*TOGETHER[:INJURY], "crown, through, 10°", typed.format(spread))
    assert "injury-size" not in consultation.case.injuries[0], said


def test_give_or_take_a_figure_is_a_range() -> None:
    _, said = ended(*TOGETHER[:INJURY], "crown, through, 10°", "hole is 6 mm give or take 1")
    assert "5-7 mm" in said, said


@pytest.mark.parametrize("line", ["yes, off the car", "yes, it's off the truck", "yes, wheel off"])
def test_off_the_vehicle_is_not_off_the_wheel(line: str) -> None:
    consultation, said = ended(TOGETHER[0], TOGETHER[1], TOGETHER[INJURY], TOGETHER[-1])
    consultation.change(("demounted", -1))
    said = " ".join(converse(consultation, [line], lambda text: None))
    assert str(consultation.case.answers.get("demounted")) != "yes" and "Understood, not counted yet" in said, said


@pytest.mark.parametrize("tail", ["by the nail", "measured the nail", "used the caliper on the nail"])
def test_the_width_of_the_nail_is_told_first(tail: str) -> None:
    consultation, said = ended(
        *TOGETHER[:INJURY], "crown, through, 10°", f"6 mm, {tail}", "round", *TOGETHER[INJURY + 1 :]
    )
    card = said.rpartition("Do now:")[2]
    assert consultation.card().verdict is not Verdict.REPAIR or tail in card.partition("Work through")[0], card


@pytest.mark.parametrize("where", ["crown only", "just the centre", "centre groove only"])
def test_where_the_tread_was_read_is_no_place_of_an_injury(where: str) -> None:
    consultation, said = ended(TOGETHER[0], f"{TOGETHER[1]}, {where}")
    assert not any("injury-zone" in injury for injury in consultation.case.injuries), said


@pytest.mark.parametrize("line", ["not driven soft he says", "not driven soft I think"])
def test_a_doubt_of_what_stands_is_asked_again_and_counts_as_one(line: str) -> None:
    consultation, said = ended(*TOGETHER, line, "yes")
    assert str(consultation.case.answers["run-low"]) != "no" and consultation.ask is not None, said
    assert consultation.ask.key[0] == "run-low"
