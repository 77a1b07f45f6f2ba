"""The steps of the method, in order, each with what it rests on and the cautions that go with it.

How a step of the work and its timers are put in words. Nothing here changes anything.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime

from msgspec.structs import replace

from advisor.dialogue.session import Consultation
from advisor.dialogue.work_fields import fields_in_words, lacking_fields
from advisor.dialogue.work_waits import HERE, in_a_row, lacking_at, not_measured, waits_after, waits_by_day
from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement, PlannedStep
from advisor.wording.blocks import Block, Said
from advisor.wording.messages import Message
from advisor.work.plan import first_cautions, stages_of
from advisor.work.progress import BEGUN, Timer, key_of, time_left_in_words
from advisor.work.step_text import figure_lines, restriction_lines, short_figures, standing_mark

NOTHING_CHOSEN = "No method is chosen as things stand, so there is no work to walk through."


def plan_of(consultation: Consultation) -> list[PlannedStep]:
    """The steps for this tire as things stand."""
    return consultation.judge.methods.plan(consultation.judgement)


def step_in_hand(consultation: Consultation) -> PlannedStep | None:
    """The first step that is not done, or None."""
    plan = plan_of(consultation)
    place = consultation.work.current(plan)
    return None if place is None else plan[place]


def step_block(consultation: Consultation, plan: Sequence[PlannedStep], place: int) -> Block:
    """A step as it is put: number, name, text, its figures, what holds it, cautions that are new, what can be typed."""
    planned, judge = plan[place], consultation.judge
    details: list[Said] = [Block(_under_which(plan, place), role="stage")]
    details += [Block(line, role="figure") for line in short_figures(planned, consultation.judgement, judge)]
    details.append(Block(f"{planned.says} ({standing_mark(planned.step.basis.standing)})"))
    details += [*holds_of(planned, consultation.judgement, judge), *_cautions(consultation, plan, place)]
    details += [Block(line, role="caution") for line in restriction_lines(planned, consultation.judgement, judge)]
    replies = list(_lacking(consultation, planned))
    if not consultation.work.done(planned):
        replies += _left_empty(consultation, plan, place)
        replies += fields_in_words(consultation, planned)
        waiting = [planned] if planned.step.waits_from == HERE else waits_after(consultation, plan, key_of(planned))
        replies += waits_by_day(consultation, waiting)
    replies += _what_to_type(consultation, plan, place)
    details += [*timers(consultation), *(Block(line, role="reply") for line in replies)]
    return Block(f"Step {place + 1} of {len(plan)} - {step_title(planned)}:", tuple(details), "step")


def step_title(planned: PlannedStep) -> str:
    """The step's short name, with its injury where there are several kinds of steps: `Buff the liner, injury 2`."""
    where = "" if planned.injury is None or planned.step.once else f", injury {planned.injury + 1}"
    return f"{planned.step.title[:1].upper()}{planned.step.title[1:]}{where}"


def _under_which(plan: Sequence[PlannedStep], place: int) -> str:
    """Which stage of how many, and the method: `Stage 3 of 14, drill and trim. One-piece …`."""
    stages = stages_of(plan)
    number = next(number for number, stage in enumerate(stages, 1) if place in stage.places)
    return f"Stage {number} of {len(stages)}, {stages[number - 1].heading}. {plan[place].method.title}."


def _cautions(consultation: Consultation, plan: Sequence[PlannedStep], place: int) -> Iterator[Block]:
    """In full what no step before it brought; of the rest the hazards by name."""
    judge, judgement = consultation.judge, consultation.judgement
    new, again = first_cautions(plan, place)
    for name in new:
        yield Block(judge.caution_in_words(name, judgement), role="caution", lead="Caution")
    if hazards := dict.fromkeys(judge.rules.cautions[name].hazard for name in again):
        yield Block(f"{', '.join(hazards)} (said at a step before)", role="caution", lead="Still")


def _left_empty(consultation: Consultation, plan: Sequence[PlannedStep], place: int) -> Iterator[str]:
    """At a test the pressure that a step before it was to write down and did not: the test is made at one."""
    if not any(field.fails for field in plan[place].step.fields):
        return
    for number, planned in enumerate(plan[:place], 1):
        lacking = lacking_fields(consultation, planned)
        if lacking and any(field.kind == "pressure" for field in planned.step.fields):
            yield f"Step {number}, {planned.step.title}, has no pressure written down: type {', '.join(lacking)}."


def _what_to_type(consultation: Consultation, plan: Sequence[PlannedStep], place: int) -> Iterator[str]:
    """What can be typed at a step; at the first one in hand all of it, later only what is this step's own."""
    planned, work = plan[place], consultation.work
    if work.done(planned):
        yield (
            "Done already, as the answers show." if planned.shown else "Ticked already; type work for the one in hand."
        )
    elif place != work.current(plan):
        yield "Not the step in hand; type work for the one in hand."
    elif planned.step.waits_from and work.timer_of(key_of(planned)) is None:
        if begun := work.reading_of(key_of(planned), BEGUN):
            since = f" at {begun.at:%H:%M}" if begun.at else ""
            yield f"The wait began{since}. When it is over, tick. Timed: timer 10. Ready before: tick early."
        else:
            yield "Tick to begin the wait; once it is over, tick again."
    elif planned.step.measures and (wants := not_measured(consultation, planned)[0]):
        yield from map(str, wants)
    elif not work.ticks:
        yield "When it is done, type tick; several at once: tick 1-8. Or found and what turned up; note and words."


def hand_on(consultation: Consultation) -> list[Said]:
    """What to do with a tire that is not repaired here, beside the steps that prepare it or in place of any."""
    from advisor.work.hand_on import hand_on_blocks
    from advisor.work.one_page import readings_in_words

    plan, rules = plan_of(consultation), consultation.judge.rules
    told = list(hand_on_blocks(consultation.judgement, consultation.judge))
    read = [
        Block(f"{row.name} - {row.value}", role="item") for row in readings_in_words(plan, consultation.work, rules)
    ]
    told += [Block("Written down at the work", tuple(read), "title")] if told and read else []
    if plan:
        return list(told)
    return [*told, "There is nothing to tick. Type report for the record."] if told else [NOTHING_CHOSEN]


def holds_of(planned: PlannedStep, judgement: Judgement, judge: Judge) -> list[Block]:
    """Why a step is not to be done now; nothing where it may be."""
    return [Block(judge.caution_in_words(name, judgement), role="hold", lead="HOLD") for name in planned.held]


def _lacking(consultation: Consultation, planned: PlannedStep) -> Iterator[str]:
    """What was not measured and would sharpen the step's figures, and how to say it."""
    if lacking := lacking_at(consultation, planned):
        names = in_a_row([question.name for question in lacking])
        how = ", ".join(f"{each.id.replace('-', ' ')} {each.shown_as}".rstrip() for each in lacking)
        yield f"Not measured: {names}. With a reading type, for instance: found {how}."


def running_timers(consultation: Consultation) -> list[Timer]:
    """The timers of steps that are not done yet."""
    work = consultation.work
    return [timer for timer in work.timers if not work.tick_of(timer.key)]


def timers(consultation: Consultation) -> list[Block]:
    """Every timer of a step that is not done yet, with what is left of it."""
    now = consultation.now()
    running = running_timers(consultation) if now is not None else []
    several = len(consultation.judgement.injuries) > 1
    return [Block(timer_in_words(timer, now, several), role="timer") for timer in running if now is not None]


def timers_in_short(consultation: Consultation) -> str:
    """What is left of each running timer: `timer 2 min 45 s`, `timer over`."""
    now = consultation.now()
    left = [time_left_in_words(timer.left(now)) for timer in running_timers(consultation)] if now else []
    return ", ".join(f"timer {each}" for each in left)


def timer_in_words(timer: Timer, now: datetime, several: bool = False) -> str:
    """A timer with what is left; where there are several injuries, with its own."""
    left, name = time_left_in_words(timer.left(now)), timer.key[0].replace("-", " ")
    name += f", injury {timer.key[1] + 1}" if several and timer.key[1] >= 0 else ""
    whole = f"{float(timer.minutes):g} min from {timer.started:%H:%M}"
    if timer.over(now):
        return f"Timer ({name}): the {whole} are over. Look for yourself before you go on."
    return f"Timer ({name}): {left} left, {whole}."


def step_messages(consultation: Consultation) -> list[Message]:
    """The steps for this tire as things stand, by stages, with all that the figures rest on; none without a method."""
    judge, judgement = consultation.judge, consultation.judgement
    plan = plan_of(consultation)
    if not plan:
        return [Message("help", ("No method is chosen as things stand, so there are no steps.",))]
    blocks = list[Said]()
    for stage in stages_of(plan):
        lines = list[Said]()
        for place in stage.places:
            planned = plan[place]
            says = f"{place + 1}. {planned.says} ({standing_mark(planned.step.basis.standing)})"
            figures = [Block(line, role="figure", lead="Figure") for line in figure_lines(planned, judgement, judge)]
            limits = [Block(line, role="caution") for line in restriction_lines(planned, judgement, judge)]
            cautions = _cautions(consultation, plan, place)
            lines.append(Block(says, (*holds_of(planned, judgement, judge), *figures, *limits, *cautions)))
        methods = dict.fromkeys(plan[place].method.title for place in stage.places)
        blocks.append(
            Block(f"{stage.heading[:1].upper()}{stage.heading[1:]} - {', '.join(methods)}:", tuple(lines), "title")
        )
    return [Message("help", tuple(blocks))]


def note_work(consultation: Consultation, text: str, planned: PlannedStep | None = None) -> None:
    """Notes something of the work, at a step where one is in hand."""
    noted = consultation.work.noted(text, consultation.now(), key_of(planned) if planned else None)
    consultation.become(replace(consultation.state, work=noted))
