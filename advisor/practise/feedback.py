"""What is said of a grade: both verdicts side by side, the one fact that turns it, whose rule; and the near twin."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from msgspec import Struct

from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.engine.templates import value_in_words
from advisor.explain.least_change import TurningPoint
from advisor.explain.sensitivity import JUST
from advisor.model import inputs
from advisor.model.case import CANT_TELL, Answer, Case, Choice, Choices, Key, Readings
from advisor.model.quantity import Measure, exactly
from advisor.model.ruleset import Verdict
from advisor.practise.garage import likely_measures, misfit
from advisor.practise.grading import (
    CAREFUL,
    LOOKED,
    NEAR,
    NOT_ASKED,
    RIGHT,
    UNSAFE,
    WRONG,
    Grade,
    nearest_turns,
    reason_questions,
)
from advisor.practise.job import Job
from advisor.practise.looking import can_be_seen
from advisor.practise.made_up import MadeUpTire, Where, offset_in, places_of, with_answers
from advisor.practise.tire_maker import TireMaker
from advisor.wording.blocks import Block, Said
from advisor.wording.messages import headline
from advisor.wording.verdict_card import question_in_words, reason_blocks

#: Ahead of everything that is shown.
ONLY_PRACTICE = "Practice - this tire is made up; nothing of it is recorded as work."
TRAINS = "It trains judgement by the rules named. It replaces no training, and proves nobody fit for the work."
_MARKS = {
    RIGHT: "right",
    NEAR: "near",
    WRONG: "wrong",
    CAREFUL: "stricter than the rules",
    UNSAFE: "WRONG TO THE UNSAFE SIDE",
    NOT_ASKED: "not asked",
}
_PART_NAMES = {LOOKED: "looking", "source": "whose rule"}
_MOST_REASONS = 4


#: The blocks of both verdicts side by side and of the fact that turns it; what a miss to the unsafe side is told.
SIDE_BY_SIDE, TURNS_IT = "Yours beside theirs:", "The fact that turns it:"
UNSAFE_MISS = (
    "That was wrong to the unsafe side: a tire could have gone out that must not. It counts apart, and heavily."
)


class MarkInWords(Struct, frozen=True):
    """A part of a grade in words: which part, how it was, mine, theirs, and what there is to add."""

    part: str
    mark: str
    mine: str
    theirs: str
    note: str


class TurningFact(Struct, frozen=True):
    """The one fact that, being otherwise, would bring another verdict or method."""

    key: Key
    says: str
    changes: dict[Where, Answer]
    then: Judgement


def turning_fact(judge: Judge, case: Case, now: Judgement) -> TurningFact | None:
    """The nearest measure that turns it, among what decides; else the first choice that does."""
    decide, beside = reason_questions(now, judge)
    found = nearest_turns(judge, case, now)
    first = [turn for turn in found if turn.key[0] in decide or now.verdict is Verdict.REPAIR]
    return (
        next((_turned(turn, judge, case) for turn in first), None)
        or _other_choice(judge, case, now, decide)
        or next((_turned(turn, judge, case) for turn in found if turn.key[0] in beside), None)
        or _other_choice(judge, case, now, beside)
    )


def _turned(turn: TurningPoint, judge: Judge, case: Case) -> TurningFact:
    measure = _just_past(turn.figure, turn.at)
    old = case.get(judge.rules.over_of(turn.key[0]), turn.key)
    name = question_in_words(turn.key, judge.rules)
    words = f"{name} {turn.measured}; {turn.at} it would be {_short(turn.there, judge)}"
    over, (question, index) = judge.rules.over_of(turn.key[0]), turn.key
    instead: Answer = Readings((measure,)) if isinstance(old, Readings) else measure
    return TurningFact(turn.key, words, {(over, index, question): instead}, turn.there)


def _just_past(figure: Measure, at: str) -> Measure:
    """A reading that is plainly past a figure."""
    steps = {"mm": Fraction(1), "deg": Fraction(5), "32nds": Fraction(1)}
    by: Fraction = steps[figure.unit] if figure.unit in steps else max(figure.low / 10, JUST)
    if at.startswith("over"):
        return exactly(figure.low + by, figure.unit)
    return exactly(max(figure.low - by, Fraction(0)), figure.unit) if at.startswith("under") else figure


def _other_choice(judge: Judge, case: Case, now: Judgement, names: set[str]) -> TurningFact | None:
    """The first answer of a deciding question that, given otherwise, brings another verdict or method."""
    rules = judge.rules
    for where, answer in list(places_of(case)):
        known = rules.input_of(where[2])
        if where[2] not in names or known in (inputs.DEMOUNTED, *inputs.ONE_MORE):
            continue
        others = (
            _other_zones(where, case, judge) if known == inputs.INJURY_ZONE else _others(answer, judge, where, case)
        )
        for instead in others:
            changes = instead if isinstance(instead, dict) else {where: instead}
            found = _if_changed(where, answer, changes, judge, case)
            if found is not None and (found.then.verdict, found.then.method) != (now.verdict, now.method):
                return found
    return None


def _if_changed(
    where: Where, was: Answer, changes: dict[Where, Answer], judge: Judge, case: Case
) -> TurningFact | None:
    """What would be said with other answers; None where no such tire comes in, or more would have to be asked."""
    rules, other = judge.rules, with_answers(case, changes)
    then = judge.judge(other)
    if then.missing or misfit(other, rules):
        return None
    key, question = (where[2], where[1]), rules.questions[where[2]]
    new = value_in_words(changes[where], question)
    before = f"{question_in_words(key, rules)}: {value_in_words(was, question)}"
    words = f"{before}; with {new} it would be {_short(then, judge)}"
    return TurningFact(key, words, changes, then)


def _other_zones(where: Where, case: Case, judge: Judge) -> Iterator[dict[Where, Answer]]:
    """The zones beside an injury's, the nearer ones first, with its place measured there too."""
    rules, question = judge.rules, judge.rules.questions[where[2]]
    order = question.worse_order or tuple(choice.id for choice in question.choices)
    now = case.get(where[0], (where[2], where[1]))
    place = order.index(now.id) if isinstance(now, Choice) and now.id in order else 0
    offset, width = (
        case.get(where[0], (rules.question_now(name), where[1])) for name in (inputs.OFFSET, inputs.TREAD_WIDTH)
    )
    for zone in sorted(order, key=lambda each: abs(order.index(each) - place)):
        changes: dict[Where, Answer] = {where: Choice(zone)}
        if isinstance(offset, Measure) and isinstance(width, Measure):
            far = offset_in(zone, width) * (-1 if offset.low < 0 else 1)
            changes[(where[0], where[1], rules.question_now(inputs.OFFSET))] = exactly(far, "mm")
        if now != Choice(zone):
            yield changes


def _others(answer: Answer, judge: Judge, where: Where, case: Case) -> Iterator[Answer]:
    question = judge.rules.questions[where[2]]
    if question.kind == inputs.CHOICE:
        order = question.worse_order or tuple(choice.id for choice in question.choices)
        yield from (Choice(name) for name in order if answer != Choice(name))
    elif isinstance(answer, Choices):
        if answer.present:
            yield Choices(frozenset())
        yield from (Choices(frozenset({choice.id})) for choice in question.choices if choice.id not in answer.present)
    elif isinstance(answer, Measure) and not answer.exact:
        yield from (exactly(end, answer.unit) for end in (answer.low, answer.high))
    elif isinstance(answer, Readings):
        yield Readings((max(answer.readings, key=lambda each: each.high),))
    elif answer is CANT_TELL and question.kind == inputs.CHOICES:
        yield Choices(frozenset())
    elif answer is CANT_TELL and question.kind in (inputs.MEASURE, inputs.READINGS):
        for measure in likely_measures(judge.rules.input_of(question.id), case, judge.rules):
            yield Readings((measure,)) if question.kind == inputs.READINGS else measure


def _short(judgement: Judgement, judge: Judge) -> str:
    method = judge.rules.methods[judgement.method].title if judgement.method else ""
    return f"{str(judgement.verdict).upper()}{f', {method}' if method else ''}"


def feedback(job: Job, grade: Grade, judge: Judge) -> list[Said]:
    """All that is said once the verdict was given, but for the drawing."""
    now, rules = grade.judgement, judge.rules
    said: list[Said] = [f"The rules say: {headline(now, judge)}"]
    said.append(Block(SIDE_BY_SIDE, tuple(_rows(grade)), "title"))
    if grade.unsafe:
        said.append(UNSAFE_MISS)
    elif grade.of("verdict").mark == CAREFUL:
        said.append("Stricter than the rules: nobody is hurt by that; a tire is lost, or waits, that need not.")
    if grade.sure_and_wrong:
        said.append("You were sure of it. This one comes again soon.")
    turn = turning_fact(judge, can_be_seen(job.tire, job.looked, rules), now)
    if turn is not None:
        said.append(Block(TURNS_IT, (turn.says,), "title"))
    reasons = (now.deciding or now.reasons)[:_MOST_REASONS]
    if reasons:
        said.append(Block("Why, and whose rule:", reason_blocks(reasons, rules), "title"))
    warned = tuple(dict.fromkeys(each.says for each in now.caution_reasons if each.only_warns))[:_MOST_REASONS]
    if warned:
        said.append(Block("Brings a caution besides:", warned, "title"))
    if now.measure_again:
        names = ", ".join(question_in_words(key, rules) for key in now.measure_again)
        said.append(Block("What has to be known better first:", (names,), "title"))
    return said


def marks_in_words(grade: Grade) -> Iterator[MarkInWords]:
    """Every part that was asked, in words."""
    for mark in grade.marks:
        if mark.mark != NOT_ASKED or mark.said:
            name = _PART_NAMES.get(mark.part, mark.part)
            yield MarkInWords(name, _MARKS[mark.mark], mark.said or "all in order", mark.rules, mark.note)


def _rows(grade: Grade) -> Iterator[str]:
    for each in marks_in_words(grade):
        theirs = "" if each.mark == _MARKS[RIGHT] or not each.theirs else f"; theirs: {each.theirs}"
        note = f" ({each.note})" if each.note else ""
        yield f"{each.part} - {each.mark}: {each.mine}{theirs}{note}"


def near_twin(job: Job, grade: Grade, maker: TireMaker) -> MadeUpTire | None:
    """The same tire with the fact that turns it on the other side; None where no single fact does."""
    turn = turning_fact(maker.judge, job.tire.case, maker.judge.judge(job.tire.case))
    if turn is None:
        return None
    return maker.altered(job.tire, dict(turn.changes))
