"""The steps of the method, in order, each with what it rests on and the cautions that go with it.

How a step of the work and its timers are put in words. Nothing here changes anything.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime

from msgspec.structs import replace

from advisor.dialogue.session import Consultation
from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement, PlannedStep
from advisor.model.case import TIRE
from advisor.model.quantity import Measure
from advisor.model.ruleset import Question
from advisor.wording.blocks import Block, Said
from advisor.wording.messages import Message
from advisor.work.progress import Timer, key_of, time_left_in_words
from advisor.work.step_text import figure_lines, restriction_lines, standing_mark

#: The worked-out value that tells how long a step waits.
WAITS = "drying-least"


def plan_of(consultation: Consultation) -> list[PlannedStep]:
    """The steps for this tire as things stand."""
    return consultation.judge.methods.plan(consultation.judgement)


def step_in_hand(consultation: Consultation) -> PlannedStep | None:
    """The first step that is not done, or None."""
    plan = plan_of(consultation)
    place = consultation.work.current(plan)
    return None if place is None else plan[place]


def step_block(consultation: Consultation, plan: Sequence[PlannedStep], place: int) -> Block:
    """A step as it is put: number, text, what holds it, cautions, what its figures rest on, what can be typed."""
    planned, judge = plan[place], consultation.judge
    where = "" if planned.injury is None else f", injury {planned.injury + 1}"
    holds, cautions, restrictions, figures = _parts(planned, consultation.judgement, judge)
    details: list[Said] = [f"{planned.says} ({standing_mark(planned.step.basis.standing)})"]
    details += [*holds, *cautions, *restrictions, *timers(consultation), *_lacking(consultation, planned), *figures]
    if place != consultation.work.current(plan):
        tick = consultation.work.tick_of(key_of(planned))
        details.append(f"{'Ticked already' if tick else 'Not the step in hand'}; type work for the one in hand.")
    else:
        timed = consultation.work.timer_of(key_of(planned)) is not None
        waits = "timer to begin the wait, " if minutes_of(consultation, planned) and not timed else ""
        details.append(f"Type {waits}tick when it is done, note and words, or found and what turned up.")
    return Block(f"Step {place + 1} of {len(plan)} - {planned.method.title}{where}:", tuple(details), "step")


def holds_of(planned: PlannedStep, judgement: Judgement, judge: Judge) -> list[Block]:
    """Why a step is not to be done now; nothing where it may be."""
    return [Block(judge.caution_in_words(name, judgement), role="hold", lead="HOLD") for name in planned.held]


def _parts(planned: PlannedStep, judgement: Judgement, judge: Judge) -> tuple[list[Block], ...]:
    """What holds a step, its cautions, the restrictions said again, and what its figures rest on."""
    cautions = (name for name in planned.cautions if name not in planned.held)
    return (
        holds_of(planned, judgement, judge),
        [Block(judge.caution_in_words(name, judgement), role="caution", lead="Caution") for name in cautions],
        [Block(line, role="caution") for line in restriction_lines(planned, judgement, judge)],
        [Block(line, role="figure", lead="Figure") for line in figure_lines(planned, judgement, judge)],
    )


def _lacking(consultation: Consultation, planned: PlannedStep) -> Iterator[str]:
    """What was not measured and would sharpen the step's figures, and how to say it."""
    questions = [consultation.judge.rules.questions[name] for name in planned.step.asks]
    lacking = [question for question in questions if _is_lacking(consultation, planned, question)]
    if lacking:
        *most, last = (question.name for question in lacking)
        names = f"{', '.join(most)} and {last}" if most else last
        how = ", ".join(f"found {each.id.replace('-', ' ')} {each.shown_as}".rstrip() for each in lacking)
        yield f"Not measured: {names}. With a reading type, for instance: {how}."


def _is_lacking(consultation: Consultation, planned: PlannedStep, question: Question) -> bool:
    """Whether a question has no answer, and no chart gives what it asks (as a worked-out value of that name, here)."""
    index = TIRE if question.over == "tire" else planned.injury or 0
    if consultation.case.get(question.over, (question.id, index)) is not None:
        return False
    return not isinstance(consultation.judgement.values.get(f"{question.id}-here[{planned.injury or 0}]"), Measure)


def minutes_of(consultation: Consultation, planned: PlannedStep) -> Measure | None:
    """How long a step waits, in minutes, or None where it does not."""
    value = consultation.judgement.values.get(WAITS) if WAITS in planned.step.figures else None
    return value if isinstance(value, Measure) else None


def running_timers(consultation: Consultation) -> list[Timer]:
    """The timers of steps that are not done yet."""
    work = consultation.work
    return [timer for timer in work.timers if not work.tick_of(timer.key)]


def timers(consultation: Consultation) -> list[Block]:
    """Every timer of a step that is not done yet, with what is left of it."""
    now = consultation.now()
    running = running_timers(consultation) if now is not None else []
    return [Block(timer_in_words(timer, now), role="timer") for timer in running if now is not None]


def timers_in_short(consultation: Consultation) -> str:
    """What is left of each running timer: `timer 2 min 45 s`, `timer over`."""
    now = consultation.now()
    left = [time_left_in_words(timer.left(now)) for timer in running_timers(consultation)] if now else []
    return ", ".join(f"timer {each}" for each in left)


def timer_in_words(timer: Timer, now: datetime) -> str:
    """A timer with what is left."""
    left, name = time_left_in_words(timer.left(now)), timer.key[0].replace("-", " ")
    whole = f"{float(timer.minutes):g} min from {timer.started:%H:%M}"
    if timer.over(now):
        return f"Timer ({name}): the {whole} are over. Look whether it is dry."
    return f"Timer ({name}): {left} left, {whole}."


def step_messages(consultation: Consultation) -> list[Message]:
    """The steps for this tire as things stand; none while no method is chosen."""
    judge, judgement = consultation.judge, consultation.judgement
    steps = judge.methods.plan(judgement)
    if not steps:
        return [Message("help", ("No method is chosen as things stand, so there are no steps.",))]
    heads: list[tuple[str, list[Said]]] = []
    for number, planned in enumerate(steps, 1):
        where = "" if planned.injury is None else f", injury {planned.injury + 1}"
        holds, cautions, restrictions, figures = _parts(planned, judgement, judge)
        says = f"{number}. {planned.says} ({standing_mark(planned.step.basis.standing)})"
        head = f"{planned.method.title}{where}:"
        if not heads or heads[-1][0] != head:
            heads.append((head, []))
        heads[-1][1].append(Block(says, (*holds, *figures, *restrictions, *cautions)))
    return [Message("help", tuple(Block(head, tuple(details), "title") for head, details in heads))]


def note_work(consultation: Consultation, text: str, planned: PlannedStep | None = None) -> None:
    """Notes something of the work, at a step where one is in hand."""
    noted = consultation.work.noted(text, consultation.now(), key_of(planned) if planned else None)
    consultation.become(replace(consultation.state, work=noted))
