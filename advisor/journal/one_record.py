"""One record read back whole, for a report: the case, what was decided, the names, the notes and the work done."""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping
from contextlib import closing
from pathlib import Path
from typing import Any

from msgspec import Struct

from advisor.journal.casing_history import visit_of
from advisor.journal.data_folder import FILE_NAME
from advisor.journal.private_words import words_of
from advisor.journal.queries import Summary, entries_of, noted, of_casing, still_heard, summary_of, told_before
from advisor.journal.store import opened_to_read
from advisor.model.case import Case

WENT_BACK_HERE = (
    "The times of this casing's records don't go with the order in which they stand in the journal: a clock was wrong "
    "or went back, or some were taken in from another journal. The order is the journal's; times are only told."
)


class OneRecord(Struct, frozen=True):
    """A record. `summary` holds casing, technician, plate, verdict, and which rules; all times are UTC.

    `decided` is the last verdict as plain data, with `digest` and `at`; empty where none was reached. `work` holds
    `ticks` [step, injury or -1, time, method], `timers` and `notes`, as `talk.work_data.work_from` reads them.
    `beside` is what is to be said where times don't go with the order of the casing's records. `hash` is the link of
    its last entry; a merge keeps it, a record taken in from a file is chained anew. `waits`: lines typed and neither
    confirmed nor dropped, "…" where their words are forgotten.
    """

    summary: Summary
    case: Case
    decided: Mapping[str, Any]
    notes: tuple[str, ...]
    work: Mapping[str, Any]
    beside: tuple[str, ...] = ()
    hash: str = ""
    waits: tuple[str, ...] = ()


def one_record(folder: Path, name: str) -> OneRecord | None:
    """The record of an id, or the latest of a casing; None where the journal knows neither.

    Raises NewerJournal, DamagedJournal, OSError or sqlite3.Error where the journal can't be read.
    """
    with closing(opened_to_read(folder / FILE_NAME)) as db:
        summary = _named(db, name)
        if summary is None:
            return None
        visit = visit_of(db, summary)
        entries = entries_of(db, summary.id)
        notes, work = noted(entries, lambda entry: words_of(db, entry))
        last = entries[-1].link.hex() if entries else ""
        beside = _beside(db, summary)
        waits = still_heard(entries, lambda entry: {"heard": "…", **words_of(db, entry)})
        return OneRecord(summary, visit.case, visit.decided, tuple(notes), work, beside, last, tuple(waits))


def _beside(db: sqlite3.Connection, summary: Summary) -> tuple[str, ...]:
    """That the clock went back, and which other records of this casing tell a later time, with their verdicts."""
    visits = of_casing(db, summary.casing) if summary.casing else [summary]
    if not told_before(visits):
        return ()
    at = summary.decided or summary.begun
    others = [each for each in visits if (each.decided or each.begun) > at]
    told = "; ".join(f"{each.id} at {_minute(each)}: {each.verdict.upper() or 'no verdict'}" for each in others[-5:])
    return (WENT_BACK_HERE, *([f"Records of this casing that tell a later time: {told}."] if told else []))


def _minute(summary: Summary) -> str:
    return f"{(summary.decided or summary.begun)[:16].replace('T', ' ')} UTC"


def _named(db: sqlite3.Connection, name: str) -> Summary | None:
    found = of_casing(db, name) if (summary := summary_of(db, name)) is None else [summary]
    return found[-1] if found else None
