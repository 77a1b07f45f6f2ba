"""The short card in plain lines, and what stands behind it: by its word, by more, and whole where the input ends."""

from __future__ import annotations

from datetime import date

import pytest

from advisor.console.session_lines import converse
from advisor.dialogue.session import Consultation
from tests.laws.support import judge

TOLD = "sidewall P215/65R16 96H on a car, nail in the sidewall right through"
SECTIONS = ("Reasons:", "Cautions for the work, always:", "Tell the driver:", "By these rules:")


def said(*typed: str, whole: bool = False) -> str:
    consultation = Consultation(judge(), date(2026, 3, 14))
    return "\n".join(converse(consultation, [TOLD, "yes", "stop", *typed], lambda text: None, whole=whole))


def test_the_short_card_comes_first_and_names_the_words_for_the_rest() -> None:
    text = said()
    card = text[text.index("\nSCRAP: ") :]
    for wanted in ("Do now:", "Because:", "What can hurt first:", "reasons, cautions, always, driver, rules, or more"):
        assert wanted in card
    assert not [section for section in SECTIONS if section in card]
    assert len(card[: card.index("That is")].splitlines()) <= 30


@pytest.mark.parametrize(
    ("word", "wanted"),
    [("reasons", "(published)"), ("always", "Chock the wheels"), ("driver", "Where it stands"), ("rules", "digest")],
)
def test_a_section_comes_by_its_word_and_by_more_before_it(word: str, wanted: str) -> None:
    before = said()
    for typed in (word, f"more {word}", "more"):
        assert wanted in said(typed)[len(before) :], typed


def test_nothing_is_lost_where_nobody_can_type_any_more() -> None:
    text = said(whole=True)
    assert not [section for section in SECTIONS if section not in text]
