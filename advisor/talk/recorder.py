"""What a face may pass in to have a consultation kept. The talk itself knows of no journal."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Protocol

from advisor.engine.judgement import Judgement
from advisor.errors import shown
from advisor.model.saved import Saved
from advisor.talk.consultation import Consultation
from advisor.talk.message import Message

_ASIDE = re.compile(r"(note|casing|technician|plate)\s*:?\s+(\S.*)", re.IGNORECASE | re.DOTALL)


class Recorder(Protocol):
    """Keeps a consultation. Each call returns when what it was given is kept; what it gives is to be said."""

    def keep(self, saved: Saved, judgement: Judgement | None, notes: Sequence[str] = ()) -> tuple[str, ...]:
        """Keeps the state, the verdict where there is one, and the notes that are new."""

    def add(self, field: str, words: str) -> tuple[str, ...]:
        """Keeps a note, or whose casing, which technician, which plate."""


def kept(recorder: Recorder | None, consultation: Consultation) -> list[Message]:
    """Keeps the consultation as it stands; gives what is to be said."""
    if recorder is None:
        return []
    judgement = consultation.judgement if consultation.finished else None
    return _notes(recorder.keep(consultation.saved, judgement, consultation.notes))


def said_aside(recorder: Recorder | None, text: str) -> list[Message] | None:
    """Takes `note …`, `casing …`, `technician …` or `plate …`; None where the text is none of these."""
    match = _ASIDE.fullmatch(text.strip())
    if recorder is None or match is None:
        return None
    field, words = match[1].lower(), match[2]
    said = recorder.add(field, words)
    return [Message("noted", (f"{field}: {shown(words, 200)}",)), *_notes(said)]


def _notes(lines: tuple[str, ...]) -> list[Message]:
    return [Message("note", lines)] if lines else []
