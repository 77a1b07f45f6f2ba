"""Steps that wait: when a wait begins by itself, how long it is, and what stands in the way of a tick."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import timedelta
from fractions import Fraction

from msgspec.structs import replace

from advisor.dialogue.session import Consultation
from advisor.engine.conditions import limit_named
from advisor.engine.judgement_types import PlannedStep
from advisor.model.case import TIRE
from advisor.model.quantity import Measure
from advisor.model.ruleset import Question
from advisor.wording.blocks import Block, Said
from advisor.work.progress import BEGUN, MINUTES, FieldReading, StepKey, Timer, key_of, time_left_in_words

HERE = "here"
_HOW_IT_ENDS = (
    "as long as the repair material's instructions say. When that is over, tick again. To have it timed type timer and "
    "the minutes, such as: timer 10. Ready before: tick early."
)


def title_here(consultation: Consultation, planned: PlannedStep) -> str:
    """A step's short name, with its injury where there are several: `let it dry, injury 2`."""
    several = planned.injury is not None and not planned.step.once and len(consultation.judgement.injuries) > 1
    return f"{planned.step.title}, injury {(planned.injury or 0) + 1}" if several else planned.step.title


def minutes_of(consultation: Consultation, planned: PlannedStep) -> Measure | None:
    """How long a step waits at least, in minutes; None where it does not, or no figure says it."""
    name, judgement = planned.step.waits_for, consultation.judgement
    if not name:
        return None
    facts = judgement.walk.tire if planned.injury is None else judgement.walk.tire.part("injuries", planned.injury)
    limit = limit_named(name, facts, consultation.judge.rules)
    value = (
        limit.figures[0]
        if limit
        else judgement.values.get(name, judgement.values.get(f"{name}[{planned.injury or 0}]"))
    )
    return value if isinstance(value, Measure) else None


def waits_after(consultation: Consultation, plan: Sequence[PlannedStep], key: StepKey) -> list[PlannedStep]:
    """The steps of a plan whose wait begins as a step is ticked."""
    name, index = key
    work = consultation.work
    return [each for each in plan if each.step.waits_from == name and key_of(each)[1] == index and not work.done(each)]


def step_that_waits(consultation: Consultation, plan: Sequence[PlannedStep]) -> PlannedStep | None:
    """The step that a timer is set for: one whose wait is on and not timed yet, else the one in hand."""
    work = consultation.work
    for planned in plan:
        name, index = planned.step.waits_from, key_of(planned)[1]
        on = name not in ("", HERE) and work.tick_of((name, index)) is not None
        if on and not work.done(planned) and work.timer_of(key_of(planned)) is None:
            return planned
    place = work.current(plan)
    return None if place is None else plan[place]


def begin_wait(consultation: Consultation, planned: PlannedStep) -> list[Said]:
    """Begins the wait of a step and says so; without a figure or a clock, how it is to go on."""
    now, title = consultation.now(), title_here(consultation, planned)
    least = minutes_of(consultation, planned)
    minutes = least.high if least else _minutes_typed(consultation.work.readings, planned.step.id)
    if minutes is None:
        before = _minutes_typed(consultation.state.of_day, planned.step.id)
        begun = consultation.work.with_reading(key_of(planned), BEGUN, "", now)
        consultation.become(replace(consultation.state, work=begun))
        offered = f" {_waited_before(before)}" if before else ""
        return [f"The wait begins ({title}). How long is not published: {_HOW_IT_ENDS}{offered}"]
    if now is None:
        return [f"There is no clock here. Wait {float(minutes):g} min by your own ({title})."]
    consultation.become(replace(consultation.state, work=consultation.work.timed(key_of(planned), now, minutes)))
    timer = Timer(key_of(planned), now, minutes)
    says = f"Timer set ({title}): {float(minutes):g} min from {now:%H:%M}, over at {timer.until:%H:%M:%S}."
    return [says, *_what_makes_it_longer(consultation, planned)]


def waits_by_day(consultation: Consultation, waiting: Sequence[PlannedStep]) -> Iterator[str]:
    """Said before a tick begins a wait without a figure: the minutes of the injury before, or of the tire before."""
    for planned in waiting:
        if minutes_of(consultation, planned) or consultation.work.timer_of(key_of(planned)) is not None:
            continue
        name, work = title_here(consultation, planned), consultation.work
        if minutes := _minutes_typed(work.readings, planned.step.id):
            long = f"{float(minutes):g} min, those of the injury before"
            yield f"The tick begins the wait ({name}): {long}. Others: tick, then timer and the minutes."
        elif minutes := _minutes_typed(consultation.state.of_day, planned.step.id):
            yield f"Same as before? {_waited_before(minutes)} The tick begins the wait ({name}) without it."


def _waited_before(minutes: Fraction) -> str:
    """The minutes of the day before this wait: they are offered, and count here only as they are typed."""
    return f"The one before waited {float(minutes):g} min; the same here: timer {float(minutes):g}."


def _minutes_typed(readings: Sequence[FieldReading], step: str) -> Fraction | None:
    """The minutes that were typed last for this step, or None."""
    typed = (each.text for each in reversed(readings) if (each.key[0], each.field) == (step, MINUTES))
    return next(map(Fraction, typed), None)


def _what_makes_it_longer(consultation: Consultation, planned: PlannedStep) -> Iterator[Said]:
    """Cautions that were measured and speak against a dry surface, such as a wet liner; what was not measured."""
    judgement = consultation.judgement
    measured = {name for reason in judgement.caution_reasons for name in reason.cautions}
    for name in dict.fromkeys((*planned.step.cautions, *planned.step.held_by)):
        if name in measured:
            yield Block(consultation.judge.caution_in_words(name, judgement), role="caution", lead="Caution")
    if lacking := [question.name for question in lacking_at(consultation, planned)]:
        yield f"Not measured: {in_a_row(lacking)}. Cold or damp air makes it longer."


def in_a_row(names: Sequence[str]) -> str:
    """Names as a row: `a, b and c`."""
    *most, last = names
    return f"{', '.join(most)} and {last}" if most else last


def lacking_at(consultation: Consultation, planned: PlannedStep) -> list[Question]:
    """The questions that would sharpen a step and have no answer."""
    questions = (consultation.judge.rules.questions[name] for name in planned.step.asks)
    return [question for question in questions if _is_lacking(consultation, planned, question)]


def _is_lacking(consultation: Consultation, planned: PlannedStep, question: Question) -> bool:
    """Whether a question has no answer, and no chart gives what it asks (as a worked-out value of that name, here)."""
    index = TIRE if question.over == "tire" else planned.injury or 0
    if consultation.case.get(question.over, (question.id, index)) is not None:
        return False
    return not isinstance(consultation.judgement.values.get(f"{question.id}-here[{planned.injury or 0}]"), Measure)


def lengthen_waits(consultation: Consultation, plan: Sequence[PlannedStep]) -> Iterator[str]:
    """Running waits made as long as what was measured since says; a wait never gets shorter by it."""
    for planned in plan:
        timer, least = consultation.work.timer_of(key_of(planned)), minutes_of(consultation, planned)
        if timer and least and not consultation.work.done(planned) and least.high > timer.minutes:
            longer = consultation.work.timed(timer.key, timer.started, least.high)
            consultation.become(replace(consultation.state, work=longer))
            yield f"Timer ({planned.step.title}): now {float(least.high):g} min from {timer.started:%H:%M}."


def not_measured(consultation: Consultation, planned: PlannedStep) -> tuple[list[Said], str]:
    """What is still to be measured anew at a step, and the words at the tick where it is ticked all the same."""
    rules, work = consultation.judge.rules, consultation.work
    index = planned.injury or 0
    for name in planned.step.measures:
        question = rules.questions[name]
        answered = consultation.case.get(question.over, (name, TIRE if question.over == "tire" else index)) is not None
        if answered and work.reading_of(key_of(planned), name) is None:
            how = f"Type {question.name} as it is now, such as: {question.shown_as}. Unmeasured only by: tick anyway."
            return [how], f"without measuring {question.name} again"
    return [], ""


def in_the_way(consultation: Consultation, planned: PlannedStep, just_begun: bool) -> tuple[list[Said], str]:
    """What a wait has against a tick now, and the words that stand at the tick where it is ticked all the same.

    A wait without a figure ends by a tick, but not by the one that began it.
    """
    key, now = key_of(planned), consultation.now()
    timer = consultation.work.timer_of(key)
    if not planned.step.waits_from:
        return [], ""
    if now is None:
        return [], "no clock here, so the wait was not timed"
    if timer is None:
        begun = consultation.work.reading_of(key, BEGUN)
        if begun is None or begun.at is None:
            return begin_wait(consultation, planned), "without a timed wait"
        minutes = (now - begun.at) // timedelta(minutes=1)
        if just_begun:
            return [f"Its wait has begun just now: {_HOW_IT_ENDS}"], "without a timed wait"
        if minutes < 1:
            return [f"Its wait began less than a minute ago: {_HOW_IT_ENDS}"], "without a timed wait"
        return [], f"ticked {minutes} min after its wait began; how long it has to be was not said"
    if timer.over(now):
        return [], ""
    left, whole = time_left_in_words(timer.left(now)), f"{float(timer.minutes):g} min"
    early = "If the repair material's instructions call it ready, say so: tick early. The report will have it."
    return [f"{left} of {whole} left, until {timer.until:%H:%M:%S}.", early], f"{left} before its {whole} were over"
