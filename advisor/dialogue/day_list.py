"""The day's list: today's tires with what is still drying, unfinished, restricted; and going from one into another."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from datetime import datetime
from typing import TYPE_CHECKING, Any

from msgspec import Struct
from msgspec.structs import replace

from advisor.dialogue.event_sink import Recorder, look_up, take_up
from advisor.dialogue.session import Consultation
from advisor.dialogue.state import SessionState
from advisor.dialogue.work_steps import plan_of, running_timers, step_in_hand, step_title
from advisor.engine.templates import fill
from advisor.loader.answer_fit import fitted
from advisor.model import inputs
from advisor.model.case import Case, Choice, Text
from advisor.model.problems import shown
from advisor.model.quantity import Measure, in_words
from advisor.model.ruleset import Verdict
from advisor.model.saved import Saved
from advisor.wording.blocks import Block, Said
from advisor.wording.messages import Message
from advisor.wording.verdict_card import VERDICT_SIGNS
from advisor.work.progress import Timer, key_of, time_left_in_words, work_from

if TYPE_CHECKING:
    from advisor.engine.evaluator import Judge
    from advisor.journal.tires_of_day import TireOfDay

#: A line that asks for the list, or for one of its tires.
LINE = re.compile(r"\s*(?:the\s+)?(?:today|day list|day's list)(?:'s tires)?(?:\s+(?P<number>\d{1,3}))?\s*", re.I)
NOTHING_KEPT = "Nothing is kept here, so there is no list of the day. With advisor --data FOLDER it is."


class DayRow(Struct, frozen=True):
    """A tire of the day: its record, what it is called, its verdict or that questions are open, and how it stands.

    `drying` are the waits that run or ran out without a tick, by the step's name; `by` are the rules that judged it,
    where they are not those in use.
    """

    record: str
    name: str
    sign: str
    stands: tuple[str, ...]
    drying: tuple[tuple[str, Timer], ...] = ()
    unfinished: bool = False
    restricted: tuple[str, ...] = ()
    in_hand: bool = False
    by: str = ""


def day_rows(
    tires: Sequence[TireOfDay], judge: Judge, now: datetime, in_hand: str = "", in_order: bool = False
) -> list[DayRow]:
    """The rows of the list; each tire is judged as it stands now. `in_hand` is the record of the one in hand."""
    rows = [_row(tire, judge, now, in_order) for tire in tires]
    return [replace(row, in_hand=row.record == in_hand) for row in rows]


def day_blocks(rows: Sequence[DayRow], now: datetime) -> Iterator[Said]:
    """The list: how many of each kind, then each tire with its number."""
    yield day_heading(rows, now)
    for number, row in enumerate(rows, 1):
        here = ", in hand" if row.in_hand else ""
        yield Block(f"{number}. {row.name} - {row.sign}{here}", tuple(under_row(row, now)), "step")


def day_heading(rows: Sequence[DayRow], now: datetime) -> str:
    """How many tires there are, how many of them are drying, unfinished, restricted."""
    if not rows:
        return "No tire was begun today."
    counts = {
        "drying or waiting": sum(bool(row.drying) for row in rows),
        "unfinished": sum(row.unfinished for row in rows),
        "restricted": sum(bool(row.restricted) for row in rows),
    }
    said = ", ".join(f"{count} {what}" for what, count in counts.items() if count)
    return f"Today, {now:%H:%M}: {len(rows)} {'tire' if len(rows) == 1 else 'tires'}{f' - {said}' if said else ''}."


def under_row(row: DayRow, now: datetime) -> Iterator[str]:
    """What stands under a tire: its timers as they are now, the step in hand, what limits its use."""
    for name, timer in row.drying:
        left = "over since" if timer.over(now) else f"{time_left_in_words(timer.left(now))} left, until"
        yield f"{name}: {left} {timer.until:%H:%M}"
    yield from row.stands
    yield from (f"restricted: {each}" for each in row.restricted)


def day_line(recorder: Recorder | None, consultation: Consultation, text: str) -> list[Message] | None:
    """What comes of `today`, or of `today 2`, which goes into that tire; None where the line is neither."""
    match = LINE.fullmatch(text)
    if match is None:
        return None
    now = consultation.now()
    if recorder is None or now is None:
        return [Message("complaint", (NOTHING_KEPT,))]
    rows = rows_now(recorder, consultation, now)
    if match["number"] is None:
        how = ("To go into one, type today and its number, such as: today 1.",) if rows else ()
        return [Message("work", (*day_blocks(rows, now), *how))]
    place = int(match["number"]) - 1
    if not 0 <= place < len(rows):
        there = f"the list has 1 to {len(rows)}" if rows else "the list is empty"
        return [Message("complaint", (f"There is no tire {place + 1} today; {there}.",))]
    return go_into(recorder, consultation, rows[place])


def rows_now(recorder: Recorder, consultation: Consultation, now: datetime) -> list[DayRow]:
    """The rows of the list, as a consultation sees them."""
    tires = recorder.tires_of_day()
    return day_rows(tires, consultation.judge, now, recorder.consultation, consultation.in_order)


def go_into(recorder: Recorder, consultation: Consultation, row: DayRow) -> list[Message]:
    """Goes on with another tire of the day; the one in hand stays as it is kept."""
    if row.record == recorder.consultation:
        return [Message("note", (f"{row.name} is the tire in hand.",))]
    if row.by:
        how = f"in a shell: advisor --rules {row.by} today, then its number."
        return [Message("complaint", (f"{row.name} was judged by {row.by}. To go on with it, {how}",))]
    taken = recorder.go_into(row.record, consultation.judge.rules)
    if taken is None:
        return [Message("complaint", (f"{row.name} is open in another window, or can't be read.",))]
    kept, day = consultation.state, consultation.today
    begun = SessionState(
        Saved(Case(today=day)), technician=taken.technician or kept.technician, kept_as=row.record,
        of_day=(*kept.of_day, *kept.work.readings),
    )  # fmt: skip
    consultation.become(begun)
    heard = take_up(consultation, taken.saved, taken.notes, taken.work, taken.heard)
    if recorder.casing:
        consultation.become(replace(consultation.state, looked_up=recorder.casing))
        heard = [*look_up(recorder, consultation, recorder.casing), *heard]
    now = consultation.now()
    stands = tuple(under_row(row, now)) if now else ()
    return [Message("note", (Block(f"{row.name}: taken up where it was left.", stands), *taken.says)), *heard]


def _row(tire: TireOfDay, judge: Judge, now: datetime, in_order: bool) -> DayRow:
    summary, name = tire.summary, _name(tire)
    if summary.rules_id != judge.rules.about.id:
        return _row_of_others(tire, name, now, in_order)
    other = _as_kept(tire, judge, now, in_order)
    if other.ask is not None and not _surely_scrap(other):
        count = len(other.answered)
        following = "a sentence waits to be confirmed" if other.pending else f"asked next: {other.ask.title}"
        says = f"{count} {'answer' if count == 1 else 'answers'}; {following}"
        return DayRow(summary.id, name, "questions open", (says,), _drying(other), unfinished=True)
    judgement, rules = other.judgement, other.judge.rules
    limits = tuple(fill(rules.restrictions[each].says, judgement.walk.tire, rules) for each in judgement.restrictions)
    stands, unfinished = _how_far(other)
    return DayRow(summary.id, name, VERDICT_SIGNS[judgement.verdict], stands, _drying(other), unfinished, limits)


def _row_of_others(tire: TireOfDay, name: str, now: datetime, in_order: bool) -> DayRow:
    """A tire that other rules judged: how it stands by those, where they are at hand; else its verdict alone."""
    from advisor.engine.evaluator import Judge
    from advisor.loader.ruleset_loader import find_rule_set, load_rule_set, shipped

    summary, by = tire.summary, (f"by {tire.summary.rules_id}",)
    if summary.rules_id not in shipped():
        return DayRow(summary.id, name, summary.verdict.upper() or "questions open", by, by=summary.rules_id)
    judge = Judge(load_rule_set(find_rule_set(summary.rules_id))).on(now.date())
    row = _row(tire, judge, now, in_order)
    return replace(row, stands=(*by, *row.stands), by=summary.rules_id)


def _drying(consultation: Consultation) -> tuple[tuple[str, Timer], ...]:
    """The timers that run, each with its step's name."""
    titles = {key_of(planned): step_title(planned) for planned in plan_of(consultation)}
    asked = consultation.ask is not None  # as long as the plan is open, its timers run on
    timers = (timer for timer in running_timers(consultation) if asked or timer.key in titles)
    return tuple((titles.get(timer.key, timer.key[0].replace("-", " ")), timer) for timer in timers)


#: How a tire stands that is not to be repaired here.
_SET_APART = {
    Verdict.SCRAP: "to be marked, set apart and never fitted again, as its page says",
    Verdict.HOLD: "to be marked and set apart until what is open is settled, as its page says",
    Verdict.REFER: "to be marked, set apart and sent on, as its page says",
}


def _surely_scrap(consultation: Consultation) -> bool:
    """Whether it is scrap whatever is still to be answered or confirmed."""
    now = consultation.judgement
    return now.settled and now.verdict is Verdict.SCRAP


def _how_far(consultation: Consultation) -> tuple[tuple[str, ...], bool]:
    """How far the work is, and whether something of it is left."""
    plan, work = plan_of(consultation), consultation.work
    planned = step_in_hand(consultation)
    if consultation.judgement.verdict is not Verdict.REPAIR:
        return (_SET_APART[consultation.judgement.verdict],), False
    if planned is None:
        last = max((tick.at for tick in work.ticks if tick.at), default=None)
        return ((f"work done{f', {last:%H:%M}' if last else ''}",) if plan else ()), False
    number = (work.current(plan) or 0) + 1
    return (f"{'' if work.begun else 'work not begun; '}step {number} of {len(plan)}: {step_title(planned)}",), True


def _as_kept(tire: TireOfDay, judge: Judge, now: datetime, in_order: bool) -> Consultation:
    """A consultation that stands where the kept one does."""
    other = Consultation(judge, now.date(), lambda: now, in_order)
    other.resume(fitted(tire.saved, judge.rules)[0])
    with suppress(KeyError, TypeError, ValueError):
        other.become(replace(other.state, work=work_from(tire.work)))
    for text in tire.heard:
        other.answer(text)
    return other


def _name(tire: TireOfDay) -> str:
    """What a tire is called: casing and plate where they are known, its size, its place, its injuries."""
    summary, case = tire.summary, tire.saved.case
    said = [f"casing {summary.casing}" if summary.casing else "", summary.plate]
    print_, place = case.answers.get(inputs.SIDEWALL), case.answers.get(inputs.WHEEL_POSITION)
    said += [print_.text.split()[0] if isinstance(print_, Text) and print_.text.split() else ""]
    said += [place.id if isinstance(place, Choice) else ""]
    said += [_hole(injury) for injury in case.injuries]
    return shown(", ".join(filter(None, said)), 100) or f"record {summary.id}"


def _hole(injury: Mapping[str, Any]) -> str:
    size, zone = injury.get(inputs.INJURY_SIZE), injury.get(inputs.INJURY_ZONE)
    parts = [in_words(size) if isinstance(size, Measure) else "", zone.id if isinstance(zone, Choice) else ""]
    return " ".join(filter(None, parts))
