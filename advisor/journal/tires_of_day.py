"""The tires of a day: every consultation that something was kept of lately, and those before that are not finished."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from typing import Any

from msgspec import Struct

from advisor.journal.events import Entry
from advisor.journal.migrations import ENTRY_COLUMNS
from advisor.journal.private_words import words_of
from advisor.journal.queries import Summary, entries_of, noted, state_after, still_heard, summary_of, unfinished
from advisor.model.problems import Misread
from advisor.model.saved import Saved

#: How far back a day at work reaches, and how many entries are looked through.
DAY_AT_WORK, MOST_LOOKED_AT = timedelta(hours=14), 3000
#: Consultations from the days before that are told as not finished, at most.
MOST_FROM_BEFORE = 20


class TireOfDay(Struct, frozen=True):
    """A consultation as it stands in the journal: its row, its state, and the work as plain data.

    `heard` are the lines of a sentence that waits to be confirmed.
    """

    summary: Summary
    saved: Saved
    work: Mapping[str, Any]
    heard: tuple[str, ...] = ()


def readings_since(db: sqlite3.Connection, now: datetime, besides: str) -> Iterator[Any]:
    """The readings at the work of the last hours in other consultations, oldest first; each as plain data."""
    latest: dict[str, list[Any]] = {}
    for entry in _entries_since(db, now):
        if entry.kind == "work" and entry.consultation not in (besides, *latest):
            latest[entry.consultation] = list(entry.data.get("readings", ()))
    for readings in reversed(latest.values()):
        yield from readings


def tires_of_day(db: sqlite3.Connection, now: datetime) -> list[TireOfDay]:
    """Every tire of the day and what is not finished from before, in the order in which they came here.

    One that is damaged is left out and hides no other.
    """
    ids = {entry.consultation for entry in _entries_since(db, now)}
    ids |= {summary.id for summary in unfinished(db, MOST_FROM_BEFORE)}
    found = dict[int, TireOfDay]()
    for record in ids:
        with suppress(sqlite3.DatabaseError, Misread, KeyError, ValueError, TypeError):
            if tire := _tire_kept(db, record):
                row = db.execute("SELECT number FROM consultation WHERE id = ?", (record,)).fetchone()
                found[row[0]] = tire
    return [found[number] for number in sorted(found)]


def _tire_kept(db: sqlite3.Connection, record: str) -> TireOfDay | None:
    """A consultation by its id; None where nothing was answered in it, or what stands there is no consultation."""
    summary, entries = summary_of(db, record), entries_of(db, record)
    saved = state_after(entries)
    if summary is None or not saved.order:
        return None
    heard = still_heard(entries, lambda entry: words_of(db, entry))
    return TireOfDay(summary, saved, noted(entries, lambda entry: words_of(db, entry))[1], tuple(heard))


def _entries_since(db: sqlite3.Connection, now: datetime) -> Iterator[Entry]:
    """The entries of the last hours, the latest first."""
    since = (now.astimezone(UTC) - DAY_AT_WORK).isoformat()
    sql = f"SELECT {ENTRY_COLUMNS} FROM entry ORDER BY seq DESC LIMIT ?"  # noqa: S608
    for row in db.execute(sql, (MOST_LOOKED_AT,)):
        entry = Entry(*row)
        if entry.at >= since:
            yield entry
