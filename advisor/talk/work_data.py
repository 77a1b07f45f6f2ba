"""The work as plain data for a journal and back, exact."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from fractions import Fraction
from typing import Any

from advisor.talk.work import Note, StepKey, Tick, Timer, Work


def work_data(work: Work) -> dict[str, Any]:
    """The work as plain data: ticks, timers and notes, each as a list."""
    return {
        "ticks": [[*tick.key, _at(tick.at), tick.method] for tick in work.ticks],
        "timers": [[*timer.key, _at(timer.started), str(timer.minutes)] for timer in work.timers],
        "notes": [[note.text, _at(note.at), *(note.key or (None, None))] for note in work.notes],
    }


def work_from(data: Mapping[str, Any]) -> Work:
    """The work in plain data. Raises KeyError, TypeError or ValueError for anything else."""
    return Work(
        tuple(Tick(_key(name, index), _time(at), str(method)) for name, index, at, method in data["ticks"]),
        tuple(Note(str(text), _time(at), _key(name, index) if name is not None else None)
              for text, at, name, index in data["notes"]),
        tuple(Timer(_key(name, index), datetime.fromisoformat(started), Fraction(minutes))
              for name, index, started, minutes in data["timers"]),
    )  # fmt: skip


def _at(time: datetime | None) -> str | None:
    return time.isoformat() if time else None


def _time(text: str | None) -> datetime | None:
    return datetime.fromisoformat(text) if text is not None else None


def _key(name: Any, index: Any) -> StepKey:
    return str(name), int(index)
