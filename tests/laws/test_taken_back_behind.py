"""What is said once plainly and then in part, or with a doubt behind it, does not stand as if said plainly."""

from __future__ import annotations

import pytest

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
