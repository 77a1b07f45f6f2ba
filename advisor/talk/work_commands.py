"""Walking through the work by typed lines: work, tick, untick, note, found, timer, work log, report."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from datetime import datetime

from advisor.engine.judgement import PlannedStep
from advisor.errors import shown
from advisor.model.case import TIRE
from advisor.model.rules import UNSOURCED
from advisor.talk.consultation import Consultation
from advisor.talk.message import Message
from advisor.talk.typed import plain
from advisor.talk.work import Timer, key_of, time_left_in_words
from advisor.units import Measure, in_words

LONGEST_NOTE = 500
#: The worked-out value that tells how long a step waits.
WAITS = "drying-least"
#: What it takes to tell how the air is, each with an example.
AIR = {"shop-temperature": "8 C", "humidity": "65 %"}
_WITH_TEXT = re.compile(r"\s*(?P<word>note|found)\b[:,]?\s*(?P<rest>.*)", re.I | re.S)


def work_line(consultation: Consultation, text: str) -> list[Message] | None:
    """What comes of a line about the work, or None where the line is none."""
    command = _COMMANDS.get(plain(text))
    if command is not None:
        return command(consultation)
    match = _WITH_TEXT.fullmatch(text)
    if match is None or consultation.ask is not None:
        return None
    return (_note if match["word"].casefold() == "note" else _found)(consultation, match["rest"])


def plan_of(consultation: Consultation) -> list[PlannedStep]:
    """The steps for this tire as things stand."""
    return consultation.judge.methods.plan(consultation.judgement)


def step_in_hand(consultation: Consultation) -> PlannedStep | None:
    """The first step that is not done, or None."""
    plan = plan_of(consultation)
    place = consultation.work.current(plan)
    return None if place is None else plan[place]


def _work(consultation: Consultation) -> list[Message]:
    if consultation.ask is not None:
        return [Message("help", ("Questions are still open. The work begins when they are answered.",))]
    plan = plan_of(consultation)
    if not plan:
        return [Message("help", ("No method is chosen as things stand, so there is no work to walk through.",))]
    place = consultation.work.current(plan)
    if place is None:
        done = f"All {len(plan)} steps are done. Type report for the record, or work log for the times."
        return [Message("work", (done, *timer_lines(consultation)))]
    return [Message("work", tuple(step_lines(consultation, plan, place)))]


def step_lines(consultation: Consultation, plan: Sequence[PlannedStep], place: int) -> Iterator[str]:
    """A step as it is put: number, text, what it rests on, cautions, what can be typed."""
    planned, judge = plan[place], consultation.judge
    where = "" if planned.injury is None else f", injury {planned.injury + 1}"
    standing = planned.step.basis.standing
    yield f"Step {place + 1} of {len(plan)} - {planned.method.title}{where}:"
    yield f"  {planned.says} ({standing}{', no rule behind it' if standing in UNSOURCED else ''})"
    for name in planned.step.cautions:
        yield f"  Caution: {judge.caution_in_words(name, consultation.judgement)}"
    yield from timer_lines(consultation)
    yield from _air_lines(consultation, planned)
    timed = consultation.work.timer_of(key_of(planned)) is not None
    waits = "timer to begin the wait, " if minutes_of(consultation, planned) and not timed else ""
    yield f"  Type {waits}tick when it is done, note and words, or found and what turned up."


def _air_lines(consultation: Consultation, planned: PlannedStep) -> Iterator[str]:
    """At a step that waits: what was not measured of the air, and how to say it."""
    questions = consultation.judge.rules.questions
    lacking = [n for n in AIR if n in questions and consultation.case.get("tire", (n, TIRE)) is None]
    if minutes_of(consultation, planned) and lacking:
        names = " and ".join(questions[name].name for name in lacking)
        how = ", ".join(f"found {name.replace('-', ' ')} {AIR[name]}" for name in lacking)
        yield f"  Not measured: {names}. With a reading type, for instance: {how}."


def minutes_of(consultation: Consultation, planned: PlannedStep) -> Measure | None:
    """How long a step waits, in minutes, or None where it does not."""
    value = consultation.judgement.values.get(WAITS) if WAITS in planned.step.figures else None
    return value if isinstance(value, Measure) else None


def timer_lines(consultation: Consultation) -> Iterator[str]:
    """Every timer of a step that is not done yet, with what is left of it."""
    now, work = consultation.now(), consultation.work
    if now is not None:
        running = (timer for timer in work.timers if not work.tick_of(timer.key))
        yield from (f"  {timer_in_words(timer, now)}" for timer in running)


def timer_in_words(timer: Timer, now: datetime) -> str:
    """A timer with what is left."""
    left = time_left_in_words(timer.left(now))
    whole = f"{float(timer.minutes):g} min from {timer.started:%H:%M}"
    if timer.over(now):
        return f"Timer ({timer.key[0]}): the {whole} are over. Look whether it is dry."
    return f"Timer ({timer.key[0]}): {left} left, {whole}."


def _tick(consultation: Consultation) -> list[Message]:
    planned = step_in_hand(consultation) if consultation.ask is None else None
    if planned is None:
        return _work(consultation)
    now, key = consultation.now(), key_of(planned)
    timer = consultation.work.timer_of(key)
    consultation.work = consultation.work.ticked(key, now, planned.method.id)
    at = f" at {now:%H:%M}" if now else ""
    noted = [f"Done{at}: {planned.step.id.replace('-', ' ')}"]
    if timer and now and not timer.over(now):
        noted.append(f"  The timer still had {time_left_in_words(timer.left(now))} to go.")
    return [Message("noted", tuple(noted)), *_work(consultation)]


def _untick(consultation: Consultation) -> list[Message]:
    if not consultation.work.ticks:
        return [Message("help", ("No step is ticked.",))]
    consultation.work = consultation.work.unticked()
    return _work(consultation)


def _note(consultation: Consultation, text: str) -> list[Message]:
    words = " ".join(shown(text, LONGEST_NOTE + 1).split())
    if not words:
        return [Message("complaint", ("Nothing was noted. Type note and the words.",))]
    if len(text) > LONGEST_NOTE:
        return [Message("complaint", (f"{len(text)} characters; a note has at most {LONGEST_NOTE}.",))]
    consultation.note_work(words, step_in_hand(consultation))
    return [Message("noted", (words,))]


def _found(consultation: Consultation, text: str) -> list[Message]:
    from advisor.talk.work_found import found

    planned = step_in_hand(consultation)
    injury = planned.injury if planned is not None and planned.injury is not None else 0
    return found(consultation, text, injury)


def _timer(consultation: Consultation) -> list[Message]:
    planned = step_in_hand(consultation) if consultation.ask is None else None
    now = consultation.now()
    minutes = minutes_of(consultation, planned) if planned else None
    if planned is None or minutes is None or (now and consultation.work.timer_of(key_of(planned))):
        lines = tuple(timer_lines(consultation))
        return [Message("work", lines or ("The step in hand does not wait, and no timer runs.",))]
    if now is None:
        return [Message("work", (f"There is no clock here. Wait {in_words(minutes)} by your own.",))]
    consultation.work = consultation.work.timed(key_of(planned), now, minutes.high)
    going = "It goes on by itself; read or ask what you like, and type timer to see what is left."
    return [Message("work", (f"Timer set: {in_words(minutes)} from {now:%H:%M}.", going))]


def _log(consultation: Consultation) -> list[Message]:
    plan = plan_of(consultation)
    work = consultation.work
    lines = [f"{len(work.ticks)} steps ticked, {len(plan)} in the plan as things stand."]
    for tick in work.ticks:
        lines.append(f"  {tick.key[0].replace('-', ' ')}{f', {tick.at:%H:%M}' if tick.at else ''}")
    lines += [f"  note{f', {note.at:%H:%M}' if note.at else ''}: {note.text}" for note in work.notes]
    return [Message("work", (*lines, *timer_lines(consultation)))]


def _report(consultation: Consultation) -> list[Message]:
    from advisor.talk.work_print import report_lines
    from advisor.talk.work_report import report_of

    report = report_of(consultation.judgement, consultation.judge, work=consultation.work)
    return [Message("report", tuple(report_lines(report)))]


_COMMANDS: dict[str, Callable[[Consultation], list[Message]]] = {
    "work": _work,
    "tick": _tick,
    "untick": _untick,
    "timer": _timer,
    "work log": _log,
    "report": _report,
}
