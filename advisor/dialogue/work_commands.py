"""Walking through the work by typed lines: work, tick, untick, note, found, timer, work log, report."""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction

from msgspec.structs import replace

from advisor.dialogue.session import Consultation
from advisor.dialogue.work_steps import (
    holds_of,
    minutes_of,
    note_work,
    plan_of,
    running_timers,
    step_block,
    step_in_hand,
    timers,
)
from advisor.loader.answer_codec import plain
from advisor.model.problems import shown
from advisor.model.quantity import in_words
from advisor.wording.blocks import Block, Said
from advisor.wording.messages import Message
from advisor.work.progress import key_of, time_left_in_words

_LONGEST_NOTE = 500
LONGEST_WAIT = 24 * 60
_WITH_TEXT = re.compile(r"\s*(?P<word>note|found)\b[:,]?\s*(?P<rest>.*)", re.I | re.S)
_STEP = re.compile(r"step\s+(?:number\s+)?(?P<number>\d{1,3})")
_WAIT = re.compile(r"timer\s+(?:for\s+)?(?P<minutes>\d{1,5}(?:[.,]\d{1,2})?)\s*(?:m|min|mins|minutes?)?")


def work_line(consultation: Consultation, text: str) -> list[Message] | None:
    """What comes of a line about the work, or None where the line is none."""
    command = _COMMANDS.get(plain(text))
    if command is not None:
        return command(consultation)
    if wait := _WAIT.fullmatch(plain(text)):
        return _timer(consultation, Fraction(wait["minutes"].replace(",", ".")))
    if number := _STEP.fullmatch(plain(text)):
        return _step(consultation, int(number["number"]))
    match = _WITH_TEXT.fullmatch(text)
    if match is None or consultation.ask is not None:
        return None
    return (_note if match["word"].casefold() == "note" else _found)(consultation, match["rest"])


def _work(consultation: Consultation) -> list[Message]:
    if consultation.ask is not None:
        return [Message("help", ("Questions are still open. The work begins when they are answered.",))]
    plan = plan_of(consultation)
    if not plan:
        return [Message("help", ("No method is chosen as things stand, so there is no work to walk through.",))]
    place = consultation.work.current(plan)
    if place is None:
        done = f"All {len(plan)} steps are done. Type report for the record, or work log for the times."
        return [Message("work", (Block(done, tuple(timers(consultation))),))]
    return [Message("work", (step_block(consultation, plan, place),))]


def _step(consultation: Consultation, number: int) -> list[Message]:
    """Another step to read; nothing is ticked by it."""
    plan = plan_of(consultation) if consultation.ask is None else []
    if not plan:
        return _work(consultation)
    if not 1 <= number <= len(plan):
        return [Message("complaint", (f"There is no step {number}; the plan has steps 1 to {len(plan)}.",))]
    return [Message("work", (step_block(consultation, plan, number - 1),))]


def _tick(consultation: Consultation) -> list[Message]:
    planned = step_in_hand(consultation) if consultation.ask is None else None
    if planned is None:
        return _work(consultation)
    if planned.held:
        return [Message("note", ("Not ticked.", *holds_of(planned, consultation.judgement, consultation.judge)))]
    now, key = consultation.now(), key_of(planned)
    timer = consultation.work.timer_of(key)
    consultation.become(replace(consultation.state, work=consultation.work.ticked(key, now, planned.method.id)))
    at = f" at {now:%H:%M}" if now else ""
    going = timer is not None and now is not None and not timer.over(now)
    left = (f"The timer still had {time_left_in_words(timer.left(now))} to go.",) if going and timer and now else ()
    return [Message("noted", (Block(f"Done{at}: {planned.step.title}", left),)), *_work(consultation)]


def _untick(consultation: Consultation) -> list[Message]:
    if not consultation.work.ticks:
        return [Message("help", ("No step is ticked.",))]
    consultation.become(replace(consultation.state, work=consultation.work.unticked()))
    return _work(consultation)


def _note(consultation: Consultation, text: str) -> list[Message]:
    words = " ".join(shown(text, _LONGEST_NOTE + 1).split())
    if not words:
        return [Message("complaint", ("Nothing was noted. Type note and the words.",))]
    if len(text) > _LONGEST_NOTE:
        return [Message("complaint", (f"{len(text)} characters; a note has at most {_LONGEST_NOTE}.",))]
    note_work(consultation, words, step_in_hand(consultation))
    return [Message("noted", (words,))]


def _found(consultation: Consultation, text: str) -> list[Message]:
    from advisor.dialogue.work_findings import found

    planned = step_in_hand(consultation)
    injury = planned.injury if planned is not None and planned.injury is not None else 0
    return found(consultation, text, injury)


def _timer(consultation: Consultation, asked: Fraction | None = None) -> list[Message]:
    """Begins the wait of the step in hand, by the figure given or the minutes asked for; or says how timers stand."""
    planned = step_in_hand(consultation) if consultation.ask is None else None
    now = consultation.now()
    least = minutes_of(consultation, planned) if planned else None
    running = planned is not None and now is not None and consultation.work.timer_of(key_of(planned)) is not None
    lines = (Block("", tuple(timers(consultation))),) if timers(consultation) else ()
    if planned is None:
        return [Message("note", lines)] if lines else _work(consultation)
    if asked is None and (least is None or running):
        return [Message("note", lines or ("The step in hand does not wait, and no timer runs. For a wait of your own "
                                           "type timer and the minutes: timer 10.",))]  # fmt: skip
    minutes = asked if asked is not None else least.high if least else Fraction(0)
    if not 0 < minutes <= LONGEST_WAIT:
        return [Message("complaint", (f"A timer takes more than 0 and at most {LONGEST_WAIT} minutes.",))]
    whole = f"{float(minutes):g} min"
    if now is None:
        return [Message("note", (f"There is no clock here. Wait {whole} by your own.",))]
    consultation.become(replace(consultation.state, work=consultation.work.timed(key_of(planned), now, minutes)))
    going = "It goes on by itself; read or ask what you like, and type timer to see what is left."
    short = (f"That is less than the {in_words(least)} given here.",) if least and minutes < least.low else ()
    return [Message("note", (f"Timer set: {whole} from {now:%H:%M}.", *short, going))]


def _timer_off(consultation: Consultation) -> list[Message]:
    """Takes the running timers away."""
    running = running_timers(consultation)
    consultation.become(replace(consultation.state, work=consultation.work.untimed()))
    return [Message("note", ("The timer is off." if running else "No timer runs.",))]


def _log(consultation: Consultation) -> list[Message]:
    plan = plan_of(consultation)
    work = consultation.work
    lines = list[Said]()
    for tick in work.ticks:
        lines.append(f"{tick.key[0].replace('-', ' ')}{f', {tick.at:%H:%M}' if tick.at else ''}")
    lines += [f"note{f', {note.at:%H:%M}' if note.at else ''}: {note.text}" for note in work.notes]
    head = f"{len(work.ticks)} steps ticked, {len(plan)} in the plan as things stand."
    return [Message("work", (Block(head, (*lines, *timers(consultation))),))]


def _report(consultation: Consultation) -> list[Message]:
    from advisor.work.record_model import report_of
    from advisor.work.record_text import report_blocks

    name, kept = consultation.state.technician, consultation.state.kept_as
    report = report_of(consultation.judgement, consultation.judge, technician=name, work=consultation.work)
    how = [f"Kept as {kept}. To print it, in a shell: advisor report {kept} --html report.html"] if kept else []
    how += [] if name else ["The name above the signature line is empty; type technician and the name to fill it in."]
    return [Message("report", tuple(report_blocks(report))), *([Message("note", tuple(how))] if how else [])]


_COMMANDS: dict[str, Callable[[Consultation], list[Message]]] = {
    "work": _work,
    "tick": _tick,
    "untick": _untick,
    "timer": _timer,
    "timer off": _timer_off,
    "timer stop": _timer_off,
    "work log": _log,
    "report": _report,
}
