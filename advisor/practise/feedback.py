"""What is said of a grade: both verdicts side by side, the one fact that turns it, whose rule; and the near twin."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from msgspec import Struct

from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.engine.templates import value_in_words
from advisor.explain.least_change import TurningPoint, turns
from advisor.explain.sensitivity import JUST
from advisor.model import inputs
from advisor.model.case import CANT_TELL, TIRE, Answer, Case, Choice, Choices, Key, Readings
from advisor.model.quantity import Measure, exactly
from advisor.model.ruleset import Verdict
from advisor.practise.garage import likely_measures, misfit
from advisor.practise.grading import CAREFUL, LOOKED, NEAR, NOT_ASKED, RIGHT, UNSAFE, WRONG, Grade, reason_questions
from advisor.practise.job import Job
from advisor.practise.looking import can_be_seen
from advisor.practise.made_up import MadeUpTire, Where, places_of, with_answers
from advisor.practise.tire_maker import TireMaker
from advisor.wording.blocks import Block, Said
from advisor.wording.messages import headline
from advisor.wording.verdict_card import question_in_words, reason_blocks

#: Ahead of everything that is shown.
PRACTICE = "Practice - this tire is made up; nothing of it is recorded as work."
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


class TurningFact(Struct, frozen=True):
    """The one fact that, being otherwise, would bring another verdict or method."""

    key: Key
    says: str
    instead: Answer
    then: Judgement


def turning_fact(judge: Judge, case: Case, now: Judgement) -> TurningFact | None:
    """The nearest measure that turns it, among what decides; else the first choice that does."""
    decide, beside = reason_questions(now, judge)
    found = sorted(turns(judge, case, now), key=lambda each: each.share)
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
    return TurningFact(turn.key, words, Readings((measure,)) if isinstance(old, Readings) else measure, turn.there)


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
        if where[2] not in names or where[2] in _never_turned(rules.input_of(where[2])):
            continue
        for instead in _others(answer, judge, where, case):
            other = with_answers(case, {where: instead})
            then = judge.judge(other)
            if (
                (then.verdict, then.method) != (now.verdict, now.method)
                and not then.missing
                and not misfit(other, rules)
            ):
                key = (where[2], where[1])
                was = value_in_words(answer, rules.questions[where[2]])
                new = value_in_words(instead, rules.questions[where[2]])
                words = f"{question_in_words(key, rules)}: {was}; with {new} it would be {_short(then, judge)}"
                return TurningFact(key, words, instead, then)
    return None


def _never_turned(known: str) -> frozenset[str]:
    return frozenset({known}) if known in (inputs.DEMOUNTED, *inputs.ONE_MORE) else frozenset()


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
    said.append(Block("Yours beside theirs:", tuple(_rows(grade)), "title"))
    if grade.unsafe:
        said.append(
            "That was wrong to the unsafe side: a tire could have gone out that must not. It counts apart, and heavily."
        )
    elif grade.of("verdict").mark == CAREFUL:
        said.append("Stricter than the rules: nobody is hurt by that, and a tire is lost that could have been kept.")
    if grade.sure_and_wrong:
        said.append("You were sure of it. This one comes again soon.")
    turn = turning_fact(judge, can_be_seen(job.tire, job.looked, rules), now)
    if turn is not None:
        said.append(Block("The fact that turns it:", (turn.says,), "title"))
    reasons = (now.deciding or now.reasons)[:_MOST_REASONS]
    if reasons:
        said.append(Block("Why, and whose rule:", reason_blocks(reasons, rules), "title"))
    if now.measure_again:
        names = ", ".join(question_in_words(key, rules) for key in now.measure_again)
        said.append(Block("What has to be known better first:", (names,), "title"))
    return said


def _rows(grade: Grade) -> Iterator[str]:
    for mark in grade.marks:
        if mark.mark == NOT_ASKED and not mark.said:
            continue
        name = _PART_NAMES.get(mark.part, mark.part)
        theirs = "" if mark.mark == RIGHT or not mark.rules else f"; theirs: {mark.rules}"
        note = f" ({mark.note})" if mark.note else ""
        yield f"{name} - {_MARKS[mark.mark]}: {mark.said or 'all in order'}{theirs}{note}"


def near_twin(job: Job, grade: Grade, maker: TireMaker) -> MadeUpTire | None:
    """The same tire with the fact that turns it on the other side; None where no single fact does."""
    turn = turning_fact(maker.judge, job.tire.case, maker.judge.judge(job.tire.case))
    if turn is None:
        return None
    over = maker.rules.over_of(turn.key[0])
    where: Where = (over, TIRE if over == inputs.OVER_TIRE else turn.key[1], turn.key[0])
    return maker.altered(job.tire, {where: turn.instead})
