"""What to do with a tire that is not repaired here: what to do now, and what the next shop needs to know of it."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.engine.evaluator import Judge
from advisor.engine.facts import Facts
from advisor.engine.judgement_types import Judgement
from advisor.engine.spelling_variant import spelled
from advisor.engine.templates import value_in_words
from advisor.model import inputs
from advisor.model.case import CANT_TELL
from advisor.model.ruleset import Question, Verdict
from advisor.wording.blocks import Block
from advisor.wording.verdict_card import VERDICT_SIGNS

NOT_TAKEN = "not measured"
_TIRE = (inputs.SIDEWALL, inputs.DOT_CODE, inputs.WHEEL_POSITION, inputs.TREAD_DEPTH, inputs.FINDINGS, inputs.RUN_LOW)
_INJURY = (
    *(inputs.INJURY_ZONE, inputs.CLOCK, inputs.OFFSET, inputs.INJURY_DEPTH, inputs.INJURY_SIZE, inputs.INJURY_LENGTH),
    *(inputs.INJURY_ANGLE, inputs.INSIDE_SIGNS),
)
#: How the tire is kept apart, by verdict; the rules' own words stand above it. Common practice, no source.
_KEPT_APART = {
    Verdict.REFER: "Mark it REFER with day and initials, tag it as not to be inflated, and send this along.",
    Verdict.HOLD: "Mark it HOLD with day and initials and set it apart until it has been looked at again.",
    Verdict.SCRAP: "Mark it SCRAP on both sidewalls and set it apart from the tires that are worked on.",
}


def hand_on_blocks(judgement: Judgement, judge: Judge) -> Iterator[Block]:
    """What to do with the tire now, and for a referral what goes with it; nothing for a repair."""
    if judgement.verdict not in _KEPT_APART:
        return
    do = (*judge.do_now(judgement), spelled(_KEPT_APART[judgement.verdict], judge.rules))
    title = spelled("what to do with this tire", judge.rules)
    yield Block(f"{VERDICT_SIGNS[judgement.verdict]}: {title}", _items(do), "title")
    if judgement.verdict is Verdict.REFER:
        yield Block("What the next shop needs", _items(needed_next(judgement, judge)), "title")


def needed_next(judgement: Judgement, judge: Judge) -> tuple[str, ...]:
    """What the next shop needs, a line each: as it was answered, or that it was not measured."""
    tire = judgement.walk.tire
    lines = list(_rows(tire, _TIRE, judge))
    for facts in tire.each(inputs.OVER_INJURIES):
        lines += [f"injury {facts.index + 1}: {line}" for line in _rows(facts, _INJURY, judge)]
    return tuple(lines)


def _items(texts: tuple[str, ...]) -> tuple[Block, ...]:
    return tuple(Block(text, role="item") for text in texts)


def _rows(facts: Facts, wanted: tuple[str, ...], judge: Judge) -> Iterator[str]:
    for name in map(judge.rules.question_now, wanted):
        if (question := judge.rules.questions.get(name)) is not None:
            yield f"{question.name} - {_said(facts, question)}"


def _said(facts: Facts, question: Question) -> str:
    answer = facts.answers.get(question.id)
    if answer is None:
        return NOT_TAKEN
    return "can't tell" if answer is CANT_TELL else value_in_words(answer, question)
