"""What the driver is told: for every ending that refuses, a few plain sentences that name their source."""

from __future__ import annotations

import re

import pytest

from advisor.model.ruleset import Verdict
from advisor.wording.blocks import texts_of
from advisor.wording.verdict_card import verdict_card, where_it_stands
from tests.work.work_support import judge_of, judged

REFUSALS = [ending.id for ending in judge_of().rules.endings.values() if ending.verdict is not Verdict.REPAIR]
#: Words of the trade that nobody at a counter has to know.
JARGON = re.compile(
    r"\b(?:casing|liner|pl(?:y|ies)|belt|bead|crown|shoulder|sidewall|buff|channel|load range|demount|stem|zipper)\b",
    re.I,
)
#: How a text names what it rests on.
SOURCES = re.compile(
    r"repair charts?\b|tire manual|army manual|[Ff]ederal rule|state rules|US rule|common practice|rules we work by"
)


@pytest.mark.parametrize("name", REFUSALS)
def test_every_refusal_can_be_stood_by(name: str) -> None:
    text = judge_of().rules.endings[name].tell_driver
    sentences = [each for each in re.split(r"(?<=[.!?])\s+", text) if each]
    assert 2 <= len(sentences) <= 3, text
    assert not JARGON.search(text), JARGON.findall(text)
    assert SOURCES.search(text), text
    assert all(len(each.split()) <= 45 for each in sentences), "no sentence goes on for ever"


def test_the_checks_can_fail() -> None:
    assert JARGON.search("The inner liner is split.") and not SOURCES.search("We do not like it.")


@pytest.mark.parametrize(
    ("tire", "injury", "title"),
    [
        ({}, {"injury-size": "11 mm"}, "Puncture repair procedures for truck and bus tires"),
        ({"findings": "[exposed-cord]"}, {}, "49 CFR 393.75"),
        ({"tread-depth": "2/32 in"}, {}, "Puncture repair procedures for truck and bus tires"),
        ({"findings": "[bead-damage]"}, {}, "TM 9-2610-200-14"),
        ({}, {"inside-signs": "[rust]"}, "Common practice of tire shops"),
    ],
)
def test_the_card_names_the_text_behind_it(tire: dict[str, str], injury: dict[str, str], title: str) -> None:
    judgement = judged(tire, injury)
    assert where_it_stands(judgement, judge_of()).startswith(title)
    card = verdict_card(judgement, judge_of())
    (told,) = [section for section in card.sections if section.title == "Tell the driver"]
    assert list(texts_of(told.blocks))[-1].startswith(f"Where it stands: {title}")


def test_an_unfinished_case_names_none() -> None:
    assert where_it_stands(judged({"tread-depth": ""}), judge_of()) == ""
