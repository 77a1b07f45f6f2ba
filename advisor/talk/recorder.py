"""What a face may pass in to have a consultation kept. The talk itself knows of no journal."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from contextlib import suppress
from typing import Any, Protocol

from advisor.engine.judgement import Judgement
from advisor.errors import shown
from advisor.model.saved import Saved
from advisor.talk.consultation import Consultation
from advisor.talk.message import Message
from advisor.talk.work_data import work_data, work_from

_ASIDE = re.compile(r"(note|casing|technician|plate)\s*:?\s+(\S.*)", re.IGNORECASE | re.DOTALL)


class Recorder(Protocol):
    """Keeps a consultation. Each call returns when what it was given is kept; what it gives is to be said."""

    @property
    def safe(self) -> bool:
        """Whether everything is kept for good, so that leaving loses nothing."""

    def keep(
        self,
        saved: Saved,
        judgement: Judgement | None,
        notes: Sequence[str] = (),
        work: Mapping[str, Any] | None = None,
    ) -> tuple[str, ...]:
        """Keeps the state, the verdict where there is one, the notes that are new, and the work as plain data."""

    def add(self, field: str, words: str) -> tuple[str, ...]:
        """Keeps a note, or whose casing, which technician, which plate."""


def kept(recorder: Recorder | None, consultation: Consultation) -> list[Message]:
    """Keeps the consultation as it stands; gives what is to be said."""
    if recorder is None:
        return []
    judgement = consultation.judgement if consultation.ask is None else None
    return _notes(recorder.keep(consultation.saved, judgement, consultation.notes, work_data(consultation.work)))


def said_aside(recorder: Recorder | None, consultation: Consultation, text: str) -> list[Message] | None:
    """Takes `note …`, `casing …`, `technician …` or `plate …`; None where the text is none of these.

    Once the work can begin, a note is one of the work.
    """
    match = _ASIDE.fullmatch(text.strip())
    if recorder is None or match is None:
        return None
    field, words = match[1].lower(), match[2]
    if field == "note" and consultation.ask is None:
        return None
    said = recorder.add(field, words)
    return [Message("noted", (f"{field}: {shown(words, 200)}",)), *_notes(said)]


def take_up(consultation: Consultation, saved: Saved, notes: Sequence[str], work: Mapping[str, Any] | None) -> None:
    """Takes a consultation up where it was left, with its notes and the work done."""
    consultation.resume(saved)
    consultation.notes.extend(notes)
    if work is not None:
        with suppress(KeyError, TypeError, ValueError):
            consultation.work = work_from(work)


def _notes(lines: tuple[str, ...]) -> list[Message]:
    return [Message("note", lines)] if lines else []
