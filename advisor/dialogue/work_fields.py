"""What is written down at a step and is no answer: unit, batch, torque. Checked as typed, proposed for the day."""

from __future__ import annotations

import calendar
import re
from collections.abc import Container, Iterator, Sequence
from datetime import date

from msgspec.structs import replace

from advisor.dialogue.not_counted import SHORTEST_WORD, TYPED_ANEW, lost_lines
from advisor.dialogue.session import Consultation
from advisor.dialogue.work_tests import has_passed
from advisor.engine.judgement_types import PlannedStep
from advisor.loader.answer_codec import plain
from advisor.model import inputs
from advisor.model.case import Choice
from advisor.model.lexicon_entries import Phrases
from advisor.model.problems import Misread, shown
from advisor.model.quantity import Measure, read_measure
from advisor.model.ruleset import Step, StepField
from advisor.nlu.what_weighs import UNIT_NAME, weighs, weighs_at_work
from advisor.wording.messages import Message
from advisor.work.progress import FieldReading, key_of

_LONGEST = 80
_TORQUE = re.compile(
    r"\d{1,4}(?:[.,]\d)?\s*(?:nm|n m|n·m|newton ?met(?:er|re)s?|lbs?[. -]?ft|ft[. -]?lbs?|foot[ -]?pounds?)", re.I
)
#: Kinds of field that a figure follows, so that the first word of its name is enough.
_MEASURED_KINDS = frozenset({"length", "pressure", "torque"})
_FIRST_WORD = re.compile(r"(?P<name>[a-z]+) (?=\d)")
#: Words of a size beside a name.
_SIZES = ("x", "by", "round", "oval", "square", "name", "mm", "cm", "in", "inch", "inches")
_LETTERS = re.compile(r"[^\W\d_]+")
_YEAR_FIRST = re.compile(r"(?P<year>20\d\d)-(?P<month>\d{1,2})(?:-(?P<day>\d{1,2}))?")
#: Words that may stand between a field's name and what it is.
_AHEAD = re.compile(r"^(?:(?:is|was)\s+|(?:no\.?|nr\.?|number|#)\s*(?=\S*\d))")
_MONTH_FIRST = re.compile(r"(?P<month>\d{1,2})[/.](?P<year>20\d\d)")


def field_line(consultation: Consultation, text: str) -> list[Message] | None:
    """What comes of a line that names a field of the work and gives it, or several with commas; None where it does not.

    A further one of the same kind needs its last words only: `unit T2, batch B4711, use by 2027-05`.
    """
    plan = _in_hand_first(consultation, consultation.judge.methods.plan(consultation.judgement))
    text = _by_its_end(plan[0], text) if plan and not any(_named(plan, text)) else text
    if not any(_named(plan, text)):
        return None
    kind, parts = text.split()[0], list[str]()
    for part in filter(None, map(str.strip, re.split(r"[,;]", text))):
        of_kind = next((f"{kind} {part}" for _, field, _ in _named(plan, f"{kind} {part}") if field.id != kind), "")
        named = part if any(_named(plan, part)) else of_kind
        if named or not parts:
            parts.append(named or part)
        else:
            parts[-1] += f", {part}"
    return [message for part in parts for message in _written_down(consultation, plan, part)]


def _by_its_end(planned: PlannedStep, text: str) -> str:
    """A line with the whole name of the one field of the step whose name ends as the line begins: `batch B1`."""
    ends = {field.id: " ".join(field.id.split("-")[1:]) for field in planned.step.fields}
    named = [name for name, end in ends.items() if end and plain(text).startswith(f"{end} ")]
    return f"{named[0].replace('-', ' ')} {text.strip()[len(ends[named[0]]) :].strip()}" if len(named) == 1 else text


def _written_down(consultation: Consultation, plan: Sequence[PlannedStep], text: str) -> list[Message]:
    """Writes the field down that a text names."""
    planned, field, rest = next(_named(plan, text))
    if not rest:
        return [Message("complaint", (f"{_name(field)} is what? Such as: {_typed(consultation, field)}.",))]
    return keep_field(consultation, planned, field, rest)


def keep_field(consultation: Consultation, planned: PlannedStep, field: StepField, rest: str) -> list[Message]:
    """Keeps a field; one by which the step did not pass opens it again."""
    now, beside = consultation.now(), ""
    if field.kind == "words" and field.kept:
        rest, beside = name_and_rest(rest, consultation.judge.rules.phrases)
        if not rest:
            consultation.lose(f"{field.id.replace('-', ' ')} {beside}")
            says = f'"{shown(beside, 60)}" is no name, so nothing was written down; the card has it.'
            return [Message("complaint", (f"{says} Such as: {_typed(consultation, field)}.",))]
    try:
        said = as_written_down(field, rest, now.date() if now else consultation.today)
    except Misread as error:
        if field.kind == "use-by" or any(len(word) >= SHORTEST_WORD for word in _LETTERS.findall(rest)):
            consultation.lose(f"{field.id.replace('-', ' ')} {rest}")
        return [Message("complaint", (f"{_name(field)}: {error}. {error.do}".strip(),))]
    work, key = consultation.work, key_of(planned)
    failed = bool(field.fails) and not has_passed(field, said)
    if failed:
        work = work.with_failure(key, field.id, said, now)
    else:
        work = work.with_reading(key, field.id, said, now, planned.method.id)
    consultation.become(replace(consultation.state, work=work))
    if beside:
        consultation.lose(f"{field.name} {said}: {beside}")
        says = f'Not counted, and not part of its name: "{shown(beside, 60)}". The card says so.'
        return [Message("noted", (f"{_name(field)}: {said}",)), Message("note", (says,))]
    if not failed:
        _end_refused(consultation, field)
        return [Message("noted", (f"{_name(field)}: {said}",))]
    return [
        Message("noted", (f"{_name(field)}: {said} - FAILED",)),
        Message(
            "note",
            (
                field.failed,
                f"Step {_number(consultation, planned)}, {planned.step.title}, stays open until a later test passes.",
            ),
        ),
    ]


def name_and_rest(text: str, phrases: Phrases) -> tuple[str, str]:
    """A name of letters and digits, and what is told behind it: X12, out of date. All is name where nothing is told.

    A first word may be in small letters; one that tells of something bad, denies or doubts is no name.
    """
    words = text.split()
    plain_words = {*phrases.classes.get(UNIT_NAME, ()), *_SIZES}
    tells = {"too", *phrases.classes.get("being", ())}
    first = next((place for place, word in enumerate(words) if place and not _of_name(word, plain_words)), len(words))
    rest = " ".join(words[first:])
    if words[0].casefold() not in plain_words and weighs_at_work(words[0], phrases):
        return "", text
    if not rest or (not weighs(rest, phrases, named=True) and tells.isdisjoint(plain(rest).split())):
        return text, ""
    return " ".join(words[:first]).rstrip(" ,;.-"), rest


def _of_name(word: str, plain_words: Container[str]) -> bool:
    """Whether a word may stand in a name: a figure or a capital in it, one letter, a unit, a word for what it is."""
    bare = word.strip(" ,;.:()").casefold()
    return not _LETTERS.search(bare) or bare in plain_words or any(sign.isdigit() or sign.isupper() for sign in word)


def _end_refused(consultation: Consultation, field: StepField) -> None:
    """Ends the notes of readings of a field that were refused, once it is written down; not where more was said."""
    name = f"{field.id.replace('-', ' ')} "
    refused = (line for line in lost_lines(consultation.notes) if line.startswith(name) and "," not in line)
    notes = [f"{TYPED_ANEW}{line}" for line in refused if len(line.split()) <= len(name.split()) + 2]
    consultation.become(consultation.state.noting(*notes))


def as_written_down(field: StepField, text: str, today: date) -> str:
    """A field as it is kept. Raises Misread for what can't be it, and for a date that is past."""
    said = " ".join(shown(text, _LONGEST + 1).split())
    if len(said) > _LONGEST:
        raise Misread(f"{len(said)} characters", f"at most {_LONGEST}")
    if field.kind == "use-by":
        until = _last_day(said)
        if until < today:
            raise Misread(f"{said}, which is past", "material in date", do="Take another; nothing was written down.")
    elif field.fails:
        has_passed(field, said)
    elif field.kind == "torque" and not _TORQUE.fullmatch(said):
        raise Misread(f'"{said}"', "a figure with Nm or lb-ft")
    elif field.kind not in ("words", "torque"):
        return str(read_measure(said, field.kind))
    return said


def _last_day(text: str) -> date:
    """The last day of a month or a day as typed. Raises Misread."""
    match = _YEAR_FIRST.fullmatch(text) or _MONTH_FIRST.fullmatch(text)
    try:
        if match is not None:
            year, month = int(match["year"]), int(match["month"])
            day = match.groupdict().get("day")
            return date(year, month, int(day) if day else calendar.monthrange(year, month)[1])
    except (ValueError, calendar.IllegalMonthError):
        pass
    raise Misread(f'"{text}"', "a month or a day, such as 2027-05, 05/2027 or 2027-05-31")


def fields_in_words(consultation: Consultation, planned: PlannedStep) -> Iterator[str]:
    """What is to be written down at a step: what is there, what was before and is offered, what is to be typed."""
    work, key = consultation.work, key_of(planned)
    there = {field.id: reading.text for field in planned.step.fields if (reading := work.reading_of(key, field.id))}
    again = {field.id: text for field, text in offered_again(consultation, planned)}
    if there:
        yield f"Written down: {_pairs(planned, there)}."
    if again:
        yield f"Same as before? Type same to write down: {_pairs(planned, again)}. A tick alone writes none of it."
    if lacking := lacking_fields(consultation, planned):
        yield f"To write down, type: {', '.join(lacking)}."


def lacking_fields(consultation: Consultation, planned: PlannedStep) -> list[str]:
    """What is still to be written down at a step, each as it is typed."""
    work, key = consultation.work, key_of(planned)
    return [_typed(consultation, field) for field in planned.step.fields if work.reading_of(key, field.id) is None]


def offered_again(consultation: Consultation, planned: PlannedStep) -> list[tuple[StepField, str]]:
    """What was written down at an injury or a tire before on this day, to be said again; nothing out of date."""
    now, work = consultation.now(), consultation.work
    today = now.date() if now else consultation.today
    found = []
    for field in planned.step.fields:
        before = _before(consultation, planned, field.id) if field.kept else None
        if before is None or work.reading_of(key_of(planned), field.id):
            continue
        try:
            found.append((field, as_written_down(field, before.text, today)))
        except Misread:
            continue
    return found


def same_as_before(consultation: Consultation, planned: PlannedStep, which: str) -> list[Message]:
    """Writes down at a step what it was before, as the technician says: all that is offered, or a field of it."""
    every = offered_again(consultation, planned)
    some = [(field, text) for field, text in every if which in ("", *_called(field))]
    if not some:
        offers = ", ".join(f"same {field.id.replace('-', ' ')}" for field, _ in every)
        how = f"Offered here: {offers}." if every else "Nothing of before is offered at this step."
        lacking = ", ".join(lacking_fields(consultation, planned))
        return [Message("complaint", (f"{how} Type what it is, such as: {lacking}." if lacking else how,))]
    return [message for field, text in some for message in keep_field(consultation, planned, field, text)]


def is_field(consultation: Consultation, name: str) -> bool:
    """Whether a name is empty or one that a field of the work goes by."""
    plan = consultation.judge.methods.plan(consultation.judgement)
    return not name or any(name in _called(field) for planned in plan for field in planned.step.fields)


def _before(consultation: Consultation, planned: PlannedStep, field: str) -> FieldReading | None:
    """What was read last for a field of a step on this day, by the same method: another one takes another unit."""
    every = (*consultation.state.of_day, *consultation.work.readings)
    same = (each for each in every if (each.key[0], each.field) == (planned.step.id, field))
    return next((each for each in reversed([*same]) if each.method in ("", planned.method.id)), None)


def _in_hand_first(consultation: Consultation, plan: Sequence[PlannedStep]) -> list[PlannedStep]:
    place = consultation.work.current(plan) or 0
    return [*plan[place:], *reversed(plan[:place])]


def _named(ordered: Sequence[PlannedStep], text: str) -> Iterator[tuple[PlannedStep, StepField, str]]:
    """The field that a text begins with, the longest name first, and what follows it."""
    words = " ".join(text.replace(":", " ").replace("=", " ").split())
    low = words.casefold()
    hits = []
    for order, planned in enumerate(ordered):
        for field in planned.step.fields:
            for name in {field.id.replace("-", " "), plain(field.name).removeprefix("the "), plain(field.name)}:
                if low == name or low.startswith(f"{name} "):
                    hits.append((-len(name), order, planned, field, words[len(name) :].strip()))
            if field.kind in _MEASURED_KINDS and (match := _FIRST_WORD.match(low)):  # burr 6 mm
                name = match["name"]
                if field.id.startswith(f"{name}-"):
                    hits.append((-len(name), order, planned, field, words[len(name) :].strip()))
    for _, _, planned, field, rest in sorted(hits, key=lambda hit: hit[:2]):
        yield planned, field, _AHEAD.sub("", rest)


def field_named(plan: Sequence[PlannedStep], text: str) -> tuple[PlannedStep, StepField, str] | None:
    """The field that a text names, with its step and what it gives; None where it names none or gives nothing."""
    return next((named for named in _named(plan, text) if named[2]), None)


def _name(field: StepField | Step) -> str:
    return f"{field.name[:1].upper()}{field.name[1:]}"


def _called(field: StepField) -> tuple[str, ...]:
    """What a field goes by: its whole name, and its end, as in `batch`."""
    return field.id.replace("-", " "), " ".join(field.id.split("-")[1:]) or field.id


def _number(consultation: Consultation, planned: PlannedStep) -> int:
    plan = consultation.judge.methods.plan(consultation.judgement)
    return next((number for number, each in enumerate(plan, 1) if key_of(each) == key_of(planned)), 0)


def example_here(consultation: Consultation, field: StepField) -> str:
    """An example of a field for this tire: a pressure as it should have, else one of its vehicle, else any."""
    answers = consultation.case.answers
    due, vehicle = answers.get(inputs.SET_PRESSURE), answers.get(inputs.VEHICLE)
    if field.kind == "pressure" and isinstance(due, Measure):
        return str(due)
    return field.example_by.get(vehicle.id, field.example) if isinstance(vehicle, Choice) else field.example


def _typed(consultation: Consultation, field: StepField) -> str:
    return f"{field.id.replace('-', ' ')} {example_here(consultation, field)}".rstrip()


def _pairs(planned: PlannedStep, texts: dict[str, str]) -> str:
    return ", ".join(f"{field.name} {texts[field.id]}" for field in planned.step.fields if field.id in texts)
