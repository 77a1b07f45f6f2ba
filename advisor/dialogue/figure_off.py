"""A figure that was given may be off by so much: how the case stands at either end, and what holds the verdict."""

from __future__ import annotations

import re
from contextlib import suppress
from fractions import Fraction

from msgspec.structs import replace

from advisor.engine.evaluator import label_of
from advisor.engine.templates import value_in_words
from advisor.explain.asked_case import AskedCase
from advisor.explain.question_reader import ReadQuestion, forms_of
from advisor.explain.sufficient_reason import answered_keys
from advisor.explain.why_not import reading_of
from advisor.loader.answer_codec import read_typed
from advisor.model import inputs
from advisor.model.case import Answer, Choice, Key
from advisor.model.problems import Misread
from advisor.model.quantity import Measure, exactly
from advisor.model.ruleset import Question, RuleSet
from advisor.wording.blocks import Block, Said
from advisor.wording.messages import Message, headline
from advisor.wording.verdict_card import question_in_words, where


def figure_is_off(text: str, rules: RuleSet) -> re.Match[str] | None:
    """By how much a figure that was given may be wrong, as a text says it."""
    forms = forms_of(rules)
    whose = rf"(?:\b(?:{forms.words('whose')}) (?P<figure>\d[\d./]*)\s*(?P<unit>{forms.unit})?\b.*?)?"
    much = rf"\s(?:(?:{forms.words('roughly')}) )?(?:\d[\d./]* ?\w+ ?)?(?P<much>\d[\d./]*)\s*(?P<of>{forms.unit})?"
    return forms.around("off-by", whose, rf"{much}(?=\W|$)").search(text)


def figure_is_of(read: ReadQuestion, state: AskedCase) -> str:
    """The question of which the words beside a figure tell that it is; empty where they tell none."""
    kinds = state.judge.rules.intents.items()
    return next((each.question for name, each in kinds if each.question and read.kind(name)), "")


def _figure_meant(match: re.Match[str], state: AskedCase, read: ReadQuestion) -> tuple[Key, Question, Measure] | None:
    """The one answer given that is meant: that of the figure named, else of what is named."""
    rules = state.judge.rules
    named = {each.subject.question for each in read.subjects if not each.subject.weak} - {""} or (
        {figure_is_of(read, state)} - {"", inputs.INJURY_SIZE}
    )
    rows = list[tuple[Key, Question, Measure]]()
    for key in answered_keys(state.case, rules):
        question = rules.questions[key[0]]
        reading = reading_of(state.case.get(question.over, key))
        if reading is None or question.kind != "measure":
            continue
        typed = _typed_as(question, match["figure"], match["unit"] or reading.unit) if match["figure"] else None
        by_unit = not named and _typed_as(question, match["much"], match["of"] or reading.unit) is not None
        if same_figure(typed, reading) if match["figure"] else key[0] in named or by_unit:
            rows.append((key, question, reading))
    rows = [row for row in rows if row[0][0] in named] or rows
    return rows[0] if len(rows) == 1 else None


def figure_off(state: AskedCase, read: ReadQuestion) -> Message | None:
    """How it stands where an answer that was given is off by so much, either way."""
    match, rules = figure_is_off(read.text, state.judge.rules), state.judge.rules
    meant = _figure_meant(match, state, read) if match is not None else None
    if match is None or meant is None:
        return None
    key, question, reading = meant
    much = reading_of(_typed_as(question, match["much"], match["of"] or reading.unit))
    if much is None:
        return None
    by = much.to(reading.unit).high
    signed = key[0] in tuple(map(rules.question_now, (inputs.OFFSET, inputs.REPAIR_OFFSET)))
    least = reading.low - by if signed else max(reading.low - by, Fraction(0))
    ends = [exactly(each, reading.unit) for each in (least, reading.high + by)]
    outcomes = [
        headline(state.judge.judge(state.case.with_answer(question.over, key, end)), state.judge) for end in ends
    ]
    same = {*outcomes} == {headline(state.now, state.judge)}
    rows = tuple(f"At {end}: {outcome}" for end, outcome in zip(ends, outcomes, strict=True))
    title = f"{question_in_words(key, rules)}, {reading}, off by {much} either way:"
    blocks: list[Said] = [Block(title, rows, "title")]
    deciding = state.now.deciding or ()
    if same:
        rests = tuple(f"{where(reason)}{reason.says}" for reason in deciding[:3])
        blocks += ["The verdict is the same at both ends.", *([Block("It rests on:", rests, "title")] if rests else [])]
    else:
        blocks.append("So it has to be measured again: the worse of two readings counts.")
    found = Message(
        "what-if",
        tuple(blocks),
        parts=({"field": label_of(key, rules), "now": str(reading), "then": None},),
        intent="what-if",
        sources=tuple((reason.says, reason.basis) for reason in deciding),
        subject=key[0],
    )
    return zone_holds(found, [(key, min(ends, key=lambda each: abs(each.low)))], state)


def zone_holds(found: Message, changes: list[tuple[Key, Answer]], state: AskedCase) -> Message:
    """The same; where a distance alone would bring another verdict, that the zone as it is answered holds this one."""
    rules = state.judge.rules
    zone = rules.questions.get(rules.question_now(inputs.INJURY_ZONE))
    offsets = tuple(map(rules.question_now, (inputs.OFFSET, inputs.REPAIR_OFFSET)))
    at = next((key for key, _ in changes if key[0] in offsets), None)
    if zone is None or at is None or any(key[0] == zone.id for key, _ in changes):
        return found
    given = state.case.get(zone.over, (zone.id, at[1]))
    if given is None or str(given) in ("crown", "cant-tell") or rules.questions[at[0]].over != zone.over:
        return found
    supposed = state.case
    for key, answer in changes:
        supposed = supposed.with_answer(rules.questions[key[0]].over, key, answer)
    then = state.judge.judge(supposed)
    by_distance = state.judge.judge(supposed.with_answer(zone.over, (zone.id, at[1]), Choice("crown")))
    if (then.verdict, then.ending) == (by_distance.verdict, by_distance.ending):
        return found
    answered = value_in_words(given, zone)
    line = f"By that distance alone it would not be so: the zone as it is answered, {answered}, holds the verdict."
    crown = value_in_words(Choice("crown"), zone)
    both = f"With the zone answered as {crown} as well it would be {headline(by_distance, state.judge)}"
    return replace(found, blocks=(*found.blocks[:1], line, both, *found.blocks[1:]))


def same_figure(one: Answer | None, other: Answer | None) -> bool:
    """Whether two measures are the same, however they are written."""
    first, second = reading_of(one), reading_of(other)
    return first is not None and second is not None and first.to(second.unit).low == second.low and second.exact


def _typed_as(question: Question, figure: str, unit: str) -> Answer | None:
    with suppress(Misread):
        return read_typed(question, f"{figure} {unit}")
    return None
