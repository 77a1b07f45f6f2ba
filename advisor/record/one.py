"""One record read back whole, for a report: the case, what was decided, the names, the notes and the work done."""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from advisor.model.case import Case
from advisor.record.history import visit_of
from advisor.record.keeper import noted
from advisor.record.place import FILE_NAME
from advisor.record.private import words_of
from advisor.record.reading import SUMMARY_COLUMNS, Summary, entries_of, of_casing
from advisor.record.store import opened_to_read


@dataclass(frozen=True, slots=True)
class OneRecord:
    """A record. `summary` holds casing, technician, plate, verdict, and which rules; all times are UTC.

    `decided` is the last verdict as plain data, with `digest` and `at`; empty where none was reached. `work` holds
    `ticks` [step, injury or -1, time, method], `timers` and `notes`, as `talk.work_data.work_from` reads them.
    """

    summary: Summary
    case: Case
    decided: Mapping[str, Any]
    notes: tuple[str, ...]
    work: Mapping[str, Any]


def one_record(folder: Path, name: str) -> OneRecord | None:
    """The record of an id, or the latest of a casing; None where the journal knows neither.

    Raises NewerJournal, DamagedJournal, OSError or sqlite3.Error where the journal can't be read.
    """
    with closing(opened_to_read(folder / FILE_NAME)) as db:
        summary = _named(db, name)
        if summary is None:
            return None
        visit = visit_of(db, summary)
        notes, work = noted(entries_of(db, summary.id), lambda entry: words_of(db, entry))
        return OneRecord(summary, visit.case, visit.decided, tuple(notes), work)


def _named(db: sqlite3.Connection, name: str) -> Summary | None:
    sql = f"SELECT {SUMMARY_COLUMNS} FROM consultation WHERE id = ?"  # noqa: S608
    row = db.execute(sql, (name,)).fetchone()
    if row:
        return Summary(*row)
    found = of_casing(db, name)
    return found[-1] if found else None
