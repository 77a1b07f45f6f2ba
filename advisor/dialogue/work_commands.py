"""Walking through the work by typed lines: work, tick, untick, note, found, timer, work log, report."""

from __future__ import annotations

import re
from collections.abc import Callable
from contextlib import suppress
from fractions import Fraction

from msgspec.structs import replace

from advisor.dialogue.answering import WAITS
from advisor.dialogue.event_sink import note_beside
from advisor.dialogue.not_counted import NOTED_ONLY
from advisor.dialogue.session import Consultation
from advisor.dialogue.work_fields import field_line, is_field, same_as_before
from advisor.dialogue.work_own_line import own_line, test_of_step
from advisor.dialogue.work_readings import ReadLine, reading_elsewhere, readings_line
from advisor.dialogue.work_steps import (
    hand_on,
    holds_of,
    note_work,
    plan_of,
    running_timers,
    step_block,
    step_in_hand,
    timers,
)
from advisor.dialogue.work_tests import failed_field
from advisor.dialogue.work_waits import (
    begin_wait,
    in_the_way,
    minutes_of,
    not_measured,
    step_that_waits,
    title_here,
    waits_after,
)
from advisor.engine.judgement_types import PlannedStep
from advisor.loader.answer_codec import plain, read_typed
from advisor.model.case import Choice, Choices
from advisor.model.problems import Misread, shown
from advisor.model.quantity import in_words
from advisor.model.ruleset import Verdict
from advisor.nlu.what_weighs import UNIT_NAME, TickSaid, tick_said
from advisor.wording.blocks import Block, Said
from advisor.wording.messages import Message
from advisor.work.progress import MINUTES, StepKey, empty_fields, key_of

_LONGEST_NOTE = 500
#: A word of letters and digits through one another, such as a batch or a number in a sidewall: it holds no figure.
_CODE = re.compile(r"\b(?=\w*[a-z]\d)(?=\w*\d[a-z])\w{6,}\b", re.I)
#: Words behind a tick that stop it: why, and how to go on.
_NOT_TICKED = {
    TickSaid.TELLS: (
        "may tell something of the tire.",
        "If it does, type found and what it is, else note and the words; then tick.",
    ),
    TickSaid.READING: (
        "may be a reading.",
        "If the hole is larger now, type found and its size in figures, such as: found 8 mm; else tick by itself.",
    ),
    TickSaid.NOT_DONE: (
        "says that the step is not done, or only a part of it.",
        "It stays open. Once all of it is done: tick.",
    ),
}
_FIRST_ON_THE_CARD = "That stands on the card. If it bears on the tire, type found and what it is; if not, no news."
LONGEST_WAIT = 24 * 60
#: A command of the work ahead of other words, which are a line of their own.
_BEHIND_A_COMMAND = re.compile(
    r"^\s*(?:tick|work)\b(?:\s*\d+(?:\s*-\s*\d+)?)?\s*[,;:.-]?\s+(?:(?:but|and)\s+)?(?=[a-z])", re.I
)
#: Words that may stand round a figure where something is measured anew.
_AS_IT_IS_NOW = re.compile(
    r"(?:(?:it'?s|it is|is|now|still|measured|measures|the|hole|width|wide)[\s,]+)*(?P<figure>\d.*?)"
    r"(?:[\s,]+(?:now|still|wide|across|after (?:the )?drill(?:ing)?|drilled))*",
    re.I,
)
#: Letters of the list of finds, without the word ahead of them.
_LETTERS = re.compile(r"\s*(?![yn]\b)[a-z](?:\s*[, ]\s*[a-z])*\s*\.?\s*", re.I)
_WITH_TEXT = re.compile(r"\s*(?P<word>note|found)\b[:,]?\s*(?P<rest>.*)", re.I | re.S)
_SAME = re.compile(r"(?:the )?same(?: as before| as (?:on )?the (?:tire|tyre|injury) before)?(?: (?P<which>.+))?")
#: A tick with words behind it.
_TICK_SAID = re.compile(r"\s*tick(?:ed)?\b(?:\s*[,;:.]+\s*|\s+-+\s*|\s+)(?P<rest>\S.*)", re.I | re.S)
#: Behind a tick: that the wait is not over, and what is said of that.
_EARLY = re.compile(r"(?:early|anyway)\b(?:\s*[,;:.-]+\s*|\s+)(?P<rest>\S.*)", re.I | re.S)
_STEP = re.compile(r"step\s+(?:number\s+)?(?P<number>\d{1,3})")
_TICK = re.compile(r"tick\s+(?:steps?\s+)?(?P<first>\d{1,3})(?:\s*(?:-|to|until|till|\u2013)\s*(?P<last>\d{1,3}))?")
_WAIT = re.compile(r"timer\s+(?:for\s+)?(?P<minutes>\d{1,5}(?:[.,]\d{1,2})?)\s*(?:m|min|mins|minutes?)?")


def work_line(consultation: Consultation, text: str) -> list[Message] | None:
    """What comes of a line about the work, or None where the line is none."""
    command = _COMMANDS.get(plain(text))
    if command is not None:
        return command(consultation)
    if wait := _WAIT.fullmatch(plain(text)):
        return _timer(consultation, Fraction(wait["minutes"].replace(",", ".")))
    if several := _TICK.fullmatch(plain(text)):
        return _tick_several(consultation, int(several["first"]), int(several["last"] or several["first"]))
    if number := _STEP.fullmatch(plain(text)):
        return _step(consultation, int(number["number"]))
    said, _, rest = text.partition(",")
    same = _SAME.fullmatch(plain(said)) if consultation.ask is None else None
    if same and is_field(consultation, same["which"] or ""):
        planned = step_in_hand(consultation)
        kept = same_as_before(consultation, planned, same["which"] or "") if planned else _work(consultation)
        return [*kept, *(_rest_of_line(consultation, rest) if rest.strip() else ())]
    if (ticked := _TICK_SAID.fullmatch(text)) and step_in_hand(consultation) is not None:
        return _tick_said(consultation, ticked["rest"].strip())
    match = _WITH_TEXT.fullmatch(text)
    if match is None or consultation.ask is not None:
        return None
    return (_note if match["word"].casefold() == "note" else _found)(consultation, match["rest"])


def _rest_of_line(consultation: Consultation, text: str) -> list[Message]:
    """What stands behind a command of the work and a comma: a line of the work, or not understood."""
    if (read := work_line(consultation, text) or bare_line(consultation, text)) is not None:
        return read
    return _not_understood(consultation, text.strip())


def _not_understood(consultation: Consultation, text: str) -> list[Message]:
    consultation.lose(text)
    return [Message("complaint", (f'Not understood: "{shown(text, 60)}".', "Type it by itself."))]


def bare_line(consultation: Consultation, text: str) -> list[Message] | None:
    """A line at the work without a word of command: a field or reading of any step, or what this one measures."""
    if consultation.open_question is not None:
        return None
    text = _BEHIND_A_COMMAND.sub("", text)
    if (several := readings_line(consultation, plan_of(consultation), text)) is not None:
        return _with_rest(consultation, several)
    if (written := _fields_and_readings(consultation, text)) is not None:
        return [*written, *_told_beside(consultation, text, written)]
    planned = step_in_hand(consultation)
    if planned is None:
        return None
    if (own := own_line(consultation, plan_of(consultation), planned, text)) is not None:
        return own
    if (failed := _failed_elsewhere(consultation, text)) is not None:
        return failed
    if consultation.pending is not None:
        return None
    if (elsewhere_read := reading_elsewhere(consultation, plan_of(consultation), text)) is not None:
        return _with_rest(consultation, elsewhere_read)
    if _LETTERS.fullmatch(text):
        return _found(consultation, text.strip(" ."))
    if _CODE.search(text):
        consultation.lose(text.strip())
        return [
            Message("complaint", (f'Not understood: "{shown(text.strip(), 60)}". Say what it is, or: note and it.',))
        ]
    if text.strip().replace(".", "").isdigit():
        return _without_unit(consultation, planned, text.strip())
    return _measured(consultation, planned, text)


def _measured(consultation: Consultation, planned: PlannedStep, text: str) -> list[Message] | None:
    """A bare reading that a step asks for or measures, here or at another one; None where it is none."""
    asked = [name for name in planned.step.asks if _reads(consultation, name, text)]
    if not asked:
        elsewhere = [name for name in _asked_in_plan(consultation) if _reads(consultation, name, text)]
        asked = [name for name in elsewhere if consultation.judge.rules.questions[name].quantity not in ("", "length")]
    elif len(asked) == 1:
        return _found(consultation, f"{asked[0].replace('-', ' ')} {text}")
    if asked:
        ways = ", or ".join(f"{name.replace('-', ' ')} {shown(text.strip(), 40)}" for name in asked)
        consultation.lose(text.strip())
        return [Message("complaint", (f"{shown(text.strip(), 40)} of what? Type: {ways}.",))]
    now = _AS_IT_IS_NOW.fullmatch(text.strip(" ."))
    for name in planned.step.measures:
        for said in (text, now["figure"] if now else ""):
            if said and _reads(consultation, name, said):
                return _found(consultation, f"{name.replace('-', ' ')} {said}")
    plan = plan_of(consultation)
    later = dict.fromkeys(name for each in plan if not consultation.work.done(each) for name in each.step.measures)
    return next((_of_what(consultation, name, text) for name in later if _reads(consultation, name, text)), None)


def _with_rest(consultation: Consultation, read: ReadLine) -> list[Message]:
    """What comes of a line of readings, and of what else it says; what was not understood of that is said."""
    return [*read.told, *(message for part in read.rest for message in _by_itself(consultation, part))]


def _by_itself(consultation: Consultation, text: str) -> list[Message]:
    if consultation.pending is None:
        if of_work := work_line(consultation, text) or bare_line(consultation, text):
            return of_work
        heard = consultation.listener.hear(text, consultation.case)
        if heard.understood or heard.proposed or heard.passed_over:
            return consultation.answer(text)
    return _not_understood(consultation, text)


def _failed_elsewhere(consultation: Consultation, text: str) -> list[Message] | None:
    """What a line says that a test of another step than the one in hand would show; None where it may be a finding."""
    heard = consultation.listener.hear(text, consultation.case)
    if any(isinstance(one.answer, Choices) for one in (*heard.understood, *heard.proposed)):
        return None
    tested = (test_of_step(consultation, each, text) for each in plan_of(consultation) if _fails_by(each, text))
    return next((said for said in tested if said is not None), None)


def _fails_by(planned: PlannedStep, text: str) -> bool:
    return any(word in plain(text) for field in planned.step.fields for word in field.fails)


def _told_beside(consultation: Consultation, text: str, written: list[Message]) -> list[Message]:
    """What else a line of fields tells of the tire: kept as a note; the line is lost where nothing was written down."""
    heard = consultation.listener.hear(text, consultation.case)
    if written and all(message.kind == "complaint" for message in written):
        if heard.understood or heard.proposed or heard.passed_over:
            consultation.lose(text)
        return []
    answers = [one.answer for one in (*heard.understood, *heard.proposed)]
    found = any(each.present if isinstance(each, Choices) else each == Choice("yes") for each in answers)
    names = consultation.judge.rules.phrases.classes.get(UNIT_NAME, ())
    if not found and not set(heard.passed_over).difference(names):
        return []
    told = note_beside(consultation, text)
    return [Message("note", told)] if told else []


def _fields_and_readings(consultation: Consultation, text: str) -> list[Message] | None:
    """What comes of a line of fields of the work and of readings that its steps ask for, in any order; else None."""
    parts = [part.strip() for part in re.split("[,;]", text)]
    readings = {part: said for part in parts if (said := _reading_asked(consultation, part))}
    fields = ", ".join(part for part in parts if part not in readings)
    written = field_line(consultation, fields) if fields else []
    if written is None or not readings:
        return written if not readings else None
    return [*written, *_found(consultation, ", ".join(readings.values()))]


def _reading_asked(consultation: Consultation, part: str) -> str:
    """A reading that a step of the plan asks for, with its question's name in full; a bare share is in percent."""
    part = part.replace("'s ", " ")
    rules, words = consultation.judge.rules, plain(part)
    names = _asked_in_plan(consultation)
    spoken = {name: (name.replace("-", " "), _bare_name(rules.questions[name].name)) for name in names}
    for name, fulls in spoken.items():
        for said in dict.fromkeys((*fulls, *(full.split()[0] for full in fulls))):
            rest = part.strip()[len(said) :].strip(" :=")
            like_it = [other for other in names if any(full.split()[0] == said for full in spoken[other])]
            read = [other for other in like_it if _reads(consultation, other, rest)] == [name]
            if words.startswith(f"{said} ") and rest and (said in fulls or read):
                bare = rules.questions[name].quantity == "share" and rest.replace(".", "", 1).isdigit()
                return f"{fulls[0]} {rest}{' %' if bare else ''}"
    return ""


def _asked_in_plan(consultation: Consultation) -> list[str]:
    """The questions whose answers sharpen a step of the plan."""
    return list(dict.fromkeys(name for each in plan_of(consultation) for name in each.step.asks))


def _bare_name(name: str) -> str:
    return plain(name).removeprefix("the ").replace("'s ", " ")


def _without_unit(consultation: Consultation, planned: PlannedStep, figure: str) -> list[Message] | None:
    """A bare number at a step that measures something: the unit is to be said."""
    questions = [consultation.judge.rules.questions[name] for name in planned.step.measures]
    if not questions:
        return None
    consultation.lose(figure)
    ways = ", or ".join(f"{figure} {question.unit}" for question in questions)
    return [Message("complaint", (f"{figure} what? Type the unit with it, such as: {ways}.",))]


def _reads(consultation: Consultation, name: str, text: str) -> bool:
    """Whether a text is a reading for a question as it stands."""
    with suppress(Misread):
        return bool(read_typed(consultation.judge.rules.questions[name], text))
    return False


def _of_what(consultation: Consultation, name: str, text: str) -> list[Message]:
    """A bare figure at a step that measures nothing: what it may be has to be said."""
    planned, said = step_in_hand(consultation), shown(text.strip(), 40)
    names = [field.id.replace("-", " ") for field in planned.step.fields if field.kind == "length"] if planned else []
    ways = [f"{each} {said}" for each in names]
    ways.append(f"found {said} ({consultation.judge.rules.questions[name].name} as it is now)")
    consultation.lose(text.strip())
    return [Message("complaint", (f"{said} of what? Type: {', or '.join(ways)}.",))]


def where_it_goes_on(consultation: Consultation) -> str:
    """Where the work goes on, or waits until what is asked now is answered; empty where none was begun."""
    plan = plan_of(consultation)
    place = consultation.work.current(plan)
    if not consultation.work.begun:
        return ""
    if place is None:
        return "The work that was begun goes on once that is answered." if consultation.ask is not None else ""
    at = f"step {place + 1}, {title_here(consultation, plan[place])}"
    if consultation.ask is None:
        return f"The work goes on at {at}."
    first = "yes or no to what was said" if consultation.pending is not None else "the question"
    return f"The work waits at {at}, and goes on there after {first}."


def _work(consultation: Consultation) -> list[Message]:
    if consultation.ask is not None:
        open_ = "Questions are still open." if consultation.pending is None else "What was said last waits."
        return [
            Message("help", (f"{open_} {where_it_goes_on(consultation) or 'The work begins when that is answered.'}",))
        ]
    plan = plan_of(consultation)
    if not plan:
        return [Message("work", tuple(hand_on(consultation)))]
    place = consultation.work.current(plan)
    if place is None:
        done = f"All {len(plan)} steps are done. Type report for the record, or work log for the times."
        empty = dict.fromkeys(name for planned in plan for name in empty_fields(consultation.work, planned))
        lacking = [f"Not written down: {', '.join(empty)}."] if empty else []
        return [Message("work", (Block(done, (*timers(consultation), *lacking)), *hand_on(consultation)))]
    return [Message("work", (step_block(consultation, plan, place),))]


def _step(consultation: Consultation, number: int) -> list[Message]:
    """Another step to read; nothing is ticked by it."""
    plan = plan_of(consultation) if consultation.ask is None else []
    if not plan:
        return _work(consultation)
    if not 1 <= number <= len(plan):
        return [Message("complaint", (f"There is no step {number}; the plan has steps 1 to {len(plan)}.",))]
    return [Message("work", (step_block(consultation, plan, number - 1),))]


def _tick(consultation: Consultation, anyway: bool = False) -> list[Message]:
    """Ticks the step in hand; `anyway` also before its wait is over, which is kept in words."""
    plan = plan_of(consultation) if consultation.ask is None else []
    place = consultation.work.current(plan)
    return _work(consultation) if place is None else _ticked(consultation, place, place, anyway)


def _without_numbers(words: str) -> str:
    """What is said behind a tick and the numbers of steps: 1-8 but its still leaking."""
    return _BEHIND_A_COMMAND.sub("", f"tick {words}")


def _tick_said(consultation: Consultation, words: str) -> list[Message]:
    """A tick with words: a reading is written down first, a remark is noted; what may tell of the tire stops it."""
    early = _EARLY.fullmatch(words)
    words = early["rest"].strip() if early else words
    if consultation.ask is not None:
        return _work(consultation)
    planned = step_in_hand(consultation)
    assert planned is not None
    several = readings_line(consultation, plan_of(consultation), words)
    read = _with_rest(consultation, several) if several else _fields_and_readings(consultation, words)
    read = own_line(consultation, plan_of(consultation), planned, words) if read is None else read
    if read is None and (failed := _failed_elsewhere(consultation, _without_numbers(words))) is not None:
        return failed
    if read is not None:
        stopped = any(message.kind == "complaint" for message in read) or failed_field(consultation.work, planned)
        return read if stopped else [*read, *_tick(consultation, early is not None)]
    heard, of_step = consultation.listener.hear(words, consultation.case), planned.step.title
    means = tick_said(heard, words, consultation.judge.rules.phrases, of_step)
    kept = shown(words, _LONGEST_NOTE)
    note_work(consultation, kept, planned)
    if means is not TickSaid.PLAIN:
        consultation.become(consultation.state.noting(f"{NOTED_ONLY}{kept}"))
    if means in _NOT_TICKED:
        why, how = _NOT_TICKED[means]
        return [Message("complaint", (f'Not ticked: "{shown(words, 60)}" {why}', how))]
    beside = (_FIRST_ON_THE_CARD,) if means is TickSaid.NOTICED else ()
    return [Message("noted", (kept, *beside)), *_tick(consultation, early is not None)]


def _tick_several(consultation: Consultation, first: int, last: int) -> list[Message]:
    """Ticks steps by their numbers, in order, as far as nothing stands in the way."""
    plan = plan_of(consultation) if consultation.ask is None else []
    place = consultation.work.current(plan)
    if place is None:
        return _work(consultation)
    if not 1 <= first <= last <= len(plan):
        return [Message("complaint", (f"The plan has steps 1 to {len(plan)}.",))]
    if last <= place:
        return [Message("note", (f"Ticked already. The step in hand is {place + 1}.",))]
    if first > place + 1:
        return [
            Message("complaint", (f"Step {place + 1} comes before; for all of them type tick {place + 1}-{last}.",))
        ]
    return _ticked(consultation, place, last - 1)


def _ticked(consultation: Consultation, first: int, last: int, anyway: bool = False) -> list[Message]:
    """Ticks steps from a place to another; stops where a wait is not over or a hold counts, and says so."""
    done = list[str]()
    began = list[Said]()
    empty = list[str]()
    begun = set[StepKey]()
    stopped: tuple[Message, ...] = ()
    plan = plan_of(consultation)
    now = consultation.now()
    for planned in plan[first : last + 1]:
        work = consultation.work
        if work.done(planned):
            continue
        against, said = in_the_way(consultation, planned, key_of(planned) in begun)
        if not against and not said:
            against, said = not_measured(consultation, planned)
        if failed := failed_field(work, planned):
            against, anyway = (
                [failed.failed, f"Test again, and type: {failed.id.replace('-', ' ')} and what it shows."],
                False,
            )
        if holds := holds_of(planned, consultation.judgement, consultation.judge):
            against = list(holds)
        if against and (holds or not anyway):
            head = f"Not ticked: {title_here(consultation, planned)}."
            stopped = (Message("note", (Block(head, tuple(against)),)),)
            break
        empty += empty_fields(consultation.work, planned)
        work, key = consultation.work, key_of(planned)
        said = f"ticked {said}" if said and not said.startswith("ticked ") else said
        consultation.become(replace(consultation.state, work=work.ticked(key, now, planned.method.id, said)))
        done.append(title_here(consultation, planned) + (f" ({said})" if said else ""))
        for waiting in waits_after(consultation, plan, key):
            began += begin_wait(consultation, waiting)
            begun.add(key_of(waiting))
    began += [f"Not written down: {', '.join(dict.fromkeys(empty))}."] if empty else []
    at = f" at {now:%H:%M}" if now else ""
    noted = [Message("noted", (Block(f"Done{at}: {', '.join(done)}", tuple(began)),))] if done else []
    return [*noted, *stopped] if stopped and not done else [*noted, *stopped, *_work(consultation)]


def _untick(consultation: Consultation) -> list[Message]:
    work = consultation.work
    if not work.ticks:
        return [Message("help", ("No step is ticked.",))]
    waiting = [key_of(each) for each in waits_after(consultation, plan_of(consultation), work.ticks[-1].key)]
    consultation.become(replace(consultation.state, work=work.unticked(waiting)))
    return _work(consultation)


def _note(consultation: Consultation, text: str) -> list[Message]:
    words = " ".join(shown(text, _LONGEST_NOTE + 1).split())
    if not words:
        return [Message("complaint", ("Nothing was noted. Type note and the words.",))]
    if len(text) > _LONGEST_NOTE:
        return [Message("complaint", (f"{len(text)} characters; a note has at most {_LONGEST_NOTE}.",))]
    note_work(consultation, words, step_in_hand(consultation))
    return [Message("noted", (words, *note_beside(consultation, words)))]


def _found(consultation: Consultation, text: str) -> list[Message]:
    from advisor.dialogue.work_findings import found

    planned = step_in_hand(consultation)
    if planned is not None and (tested := test_of_step(consultation, planned, text)) is not None:
        return tested
    injury = planned.injury if planned is not None and planned.injury is not None else 0
    messages = found(consultation, text, injury)
    plan = plan_of(consultation) if consultation.ask is None else []
    place = consultation.work.current(plan)
    same = planned is not None and place is not None and key_of(plan[place]) == key_of(planned)
    if planned is None or not same or any(message.kind == "complaint" for message in messages):
        return messages
    read = planned.step.measures and not not_measured(consultation, planned)[0]
    done = read and consultation.judgement.verdict is Verdict.REPAIR
    return [*messages, *_tick(consultation)] if done else messages


def _take_back(consultation: Consultation) -> list[Message]:
    from advisor.dialogue.work_findings import take_back

    return take_back(consultation)


def _timer(consultation: Consultation, asked: Fraction | None = None) -> list[Message]:
    """Begins the wait that is on, by the figure given or the minutes asked for; or says how timers stand."""
    plan = plan_of(consultation) if consultation.ask is None else []
    planned = step_that_waits(consultation, plan)
    now = consultation.now()
    least = minutes_of(consultation, planned) if planned else None
    running = planned is not None and now is not None and consultation.work.timer_of(key_of(planned)) is not None
    lines = (Block("", tuple(timers(consultation))),) if timers(consultation) else ()
    if planned is None:
        return [Message("note", lines)] if lines else _work(consultation)
    if asked is None and (least is None or running):
        return [Message("note", lines or ("The step in hand does not wait, and no timer runs. For a wait of your own "
                                           "type timer and the minutes: timer 10.",))]  # fmt: skip
    if asked is None:
        return [Message("note", tuple(begin_wait(consultation, planned)))]
    if not 0 < asked <= LONGEST_WAIT:
        return [Message("complaint", (f"A timer takes more than 0 and at most {LONGEST_WAIT} minutes.",))]
    whole = f"{float(asked):g} min"
    if now is None:
        return [Message("note", (f"There is no clock here. Wait {whole} by your own.",))]
    if least and asked < least.low:
        short = f"That is less than the {in_words(least)} given here. Where it is ready before, type tick early."
        return [Message("complaint", (short,))]
    key = key_of(planned)
    work = consultation.work.timed(key, now, asked)
    kept = work if least or not planned.step.waits_from else work.with_reading(key, MINUTES, f"{float(asked):g}", now)
    consultation.become(replace(consultation.state, work=kept))
    going = "It goes on by itself; read or ask what you like, and type timer to see what is left."
    return [Message("note", (f"Timer set ({planned.step.title}): {whole} from {now:%H:%M}.", going))]


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
        at, said = f", {tick.at:%H:%M}" if tick.at else "", f" ({tick.said})" if tick.said else ""
        lines.append(f"{tick.key[0].replace('-', ' ')}{at}{said}")
    lines += [f"note{f', {note.at:%H:%M}' if note.at else ''}: {note.text}" for note in work.notes]
    head = f"{len(work.ticks)} steps ticked, {len(plan)} in the plan as things stand."
    return [Message("work", (Block(head, (*lines, *timers(consultation))),))]


def _report(consultation: Consultation, full: bool = False) -> list[Message]:
    """The report's first page, or with the annex."""
    from advisor.work.record_model import report_of
    from advisor.work.record_text import first_page_blocks, report_blocks

    if consultation.pending is not None:
        return [WAITS]
    name, kept = consultation.state.technician, consultation.state.kept_as
    report = report_of(consultation.judgement, consultation.judge, technician=name, work=consultation.work)
    how = [] if full else ["All answers, reasons and steps: report full."]
    shell = f"advisor report {kept} --html report.html"
    how += [f"Kept as {kept}. As a page to print: report page; or in a shell: {shell}"] if kept else []
    how += [] if name else ["The name above the signature line is empty; type technician and the name to fill it in."]
    blocks = report_blocks(report) if full else first_page_blocks(report)
    return [Message("report", tuple(blocks)), *([Message("note", tuple(how))] if how else [])]


def _report_page(consultation: Consultation) -> list[Message]:
    """The report as a page beside the record, opened in the browser."""
    if consultation.pending is not None:
        return [WAITS]
    if consultation.make_page is None or not consultation.state.kept_as:
        why = "Nothing is kept here, so there is no record to put a page beside. Type report to read it."
        return [Message("complaint", (why,))]
    return [Message("note", consultation.make_page(consultation.state.kept_as))]


_COMMANDS: dict[str, Callable[[Consultation], list[Message]]] = {
    "work": _work,
    "tick": _tick,
    "tick early": lambda consultation: _tick(consultation, anyway=True),
    "tick anyway": lambda consultation: _tick(consultation, anyway=True),
    "untick": _untick,
    "take back": _take_back,
    "found back": _take_back,
    "timer": _timer,
    "timer off": _timer_off,
    "timer stop": _timer_off,
    "work log": _log,
    "report": _report,
    "report full": lambda consultation: _report(consultation, full=True),
    "report page": _report_page,
}
