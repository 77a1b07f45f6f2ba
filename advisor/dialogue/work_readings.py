"""Readings of the work in one line, without their names: `35 psi, no bubbles, new core, 80 lb-ft`.

A reading goes to the field of the work that takes its kind, at whichever step, and never to an answer on the tire.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from msgspec import Struct

from advisor.dialogue.session import Consultation
from advisor.dialogue.work_fields import field_named, keep_field
from advisor.dialogue.work_own_line import readings_in
from advisor.dialogue.work_tests import fits_beside, has_failed, is_of_test, names_failure, spoken_words
from advisor.engine.judgement_types import PlannedStep
from advisor.loader.answer_codec import plain
from advisor.model.problems import shown
from advisor.model.quantity import Measure
from advisor.model.ruleset import StepField
from advisor.wording.messages import Message
from advisor.work.progress import key_of

_BETWEEN = re.compile(r"\s*(?:[,;]|\.\s|\band\b|&)\s*", re.I)
#: Kinds of field whose figure with its unit is nothing else at the work, where one step alone takes it.
_BY_KIND = ("torque", "pressure")


class _Part(Struct, frozen=True):
    """A part of a line: its words, and the field that it is the reading of, where it is one."""

    text: str
    planned: PlannedStep | None = None
    field: StepField | None = None
    said: str = ""
    named: bool = False


class ReadLine(Struct, frozen=True):
    """What comes of the readings of a line, and the parts that are none: lines by themselves."""

    told: list[Message]
    rest: tuple[str, ...]


def readings_line(consultation: Consultation, plan: Sequence[PlannedStep], text: str) -> ReadLine | None:
    """What comes of a line with readings of two fields or more, each in a part."""
    if not _may_be(consultation, text):
        return None
    parts = _parts(plan, text)
    read = [part for part in parts if part.field is not None]
    if len({part.field.id for part in read if part.field}) < 2 or all(part.named for part in read):
        return None
    return _kept(consultation, plan, parts)


def reading_elsewhere(consultation: Consultation, plan: Sequence[PlannedStep], text: str) -> ReadLine | None:
    """What comes of a line with one reading, of another step than the one in hand; None where it has none."""
    if not _may_be(consultation, text):
        return None
    parts = _parts(plan, text)
    read = [part for part in parts if part.field is not None and not part.named]
    return _kept(consultation, plan, parts) if len(read) == 1 else None


def _may_be(consultation: Consultation, text: str) -> bool:
    """Whether a line can be readings of the work: it was begun, nothing waits, and no answer is named in the line."""
    if "?" in text or not consultation.work.begun or consultation.pending is not None:
        return False
    heard = consultation.listener.hear(text, consultation.case)
    return not any(isinstance(one.answer, Measure) for one in heard.understood)


def _parts(plan: Sequence[PlannedStep], text: str) -> list[_Part]:
    """The parts of a line; words that only go with what a field shows stay with the part before them."""
    parts = list[_Part]()
    for words in filter(None, map(str.strip, _BETWEEN.split(text.strip(" .")))):
        part, last = _part(plan, words), parts[-1] if parts else None
        beside = last is not None and last.field is not None and last.field.fails and part.field in (None, last.field)
        if last is not None and last.field is not None and beside and is_of_test(last.field, f"{last.said}, {words}"):
            parts[-1] = _Part(f"{last.text}, {words}", last.planned, last.field, f"{last.said}, {words}", last.named)
        elif last is not None and last.field is not None and part.field is None and _fits(last.field, words):
            continue
        else:
            parts.append(part)
    return parts


def _fits(field: StepField, words: str) -> bool:
    return all(fits_beside(field, word) for word in spoken_words(plain(words)))


def _part(plan: Sequence[PlannedStep], words: str) -> _Part:
    if (named := field_named(plan, words)) is not None:
        planned, field, rest = named
        return _Part(words, planned, field, rest, named=True)
    every = [(planned, field) for planned in plan for field in planned.step.fields]
    given = [_Part(words, *each, said) for each in every for said in _given(each[1], words)]
    return given[0] if len(given) == 1 else _Part(words)


def _given(field: StepField, words: str) -> list[str]:
    """What words by themselves give a field: its figure, or what its test shows, in the words of a leak."""
    if field.fails:
        return [words] if is_of_test(field, words) and names_failure(field, words) else []
    return list(readings_in(field, words)) if field.kind in _BY_KIND else []


def _kept(consultation: Consultation, plan: Sequence[PlannedStep], parts: Sequence[_Part]) -> ReadLine:
    """Each reading at its step and said back, or why it can't be yet; and what else the line says."""
    told = list[Message]()
    alone = sum(part.field is not None for part in parts) == 1
    for part in parts:
        if part.planned is not None and part.field is not None:
            told += _one_kept(consultation, plan, part, alone)
    return ReadLine(told, tuple(part.text for part in parts if part.field is None))


def _one_kept(consultation: Consultation, plan: Sequence[PlannedStep], part: _Part, alone: bool) -> list[Message]:
    assert part.planned is not None and part.field is not None
    here, place = consultation.work.current(plan), plan.index(part.planned)
    ahead = here is not None and place > here and not part.named
    at = f"step {place + 1}, {part.planned.step.title}"
    if ahead and part.field.kind == "pressure" and alone:
        consultation.lose(part.text)
        ways = f"{part.field.id.replace('-', ' ')} {part.said} ({at}); or pressure found {part.said}"
        return [Message("complaint", (f"{shown(part.said, 40)} of what? Type: {ways}.",))]
    if ahead and part.field.fails and not has_failed(part.field, part.said) and _not_filled(consultation, plan[:place]):
        consultation.lose(part.text)
        first = f'Not written down: "{shown(part.said, 60)}". {at[:1].upper()}{at[1:]}, takes that; no pressure is set.'
        return [Message("complaint", (first,))]
    kept = keep_field(consultation, part.planned, part.field, part.said)
    if place == here or kept[0].kind == "complaint":
        return kept
    return [*kept[:1], Message("note", (f"That is for {at}.",)), *kept[1:]]


def _not_filled(consultation: Consultation, before: Sequence[PlannedStep]) -> bool:
    """Whether the pressure of a step before a test is not written down, so that the test can't have been made."""
    fields = [(key_of(planned), field.id) for planned in before for field in planned.step.fields
              if field.kind == "pressure"]  # fmt: skip
    return any(consultation.work.reading_of(*each) is None for each in fields)
