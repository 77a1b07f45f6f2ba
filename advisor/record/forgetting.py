"""Personal words taken away for good. The entries keep their commitments, so every link and the chain still hold."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterable
from pathlib import Path

from advisor.record.entry import Entry, draft
from advisor.record.finding import search_term
from advisor.record.journal import Journal
from advisor.record.private import commitments_of, private_of
from advisor.record.reading import entries_of
from advisor.record.store import Store
from advisor.record.summary import PRIVATE_FIELDS, refresh_finder

_COMMITMENT = re.compile(r'"(?:technician|plate)":"([0-9a-f]{64})"')


def meant_by(db: sqlite3.Connection, word: str) -> list[str]:
    """The consultations that a word names: one by its id, or all that ever bore it as a technician or a plate."""
    ids = [row[0] for row in db.execute("SELECT id FROM consultation WHERE id = ?", (word,))]
    if ids:
        return ids
    said = {row[0] for row in db.execute("SELECT commitment FROM private WHERE words = ? COLLATE NOCASE", (word,))}
    if not said:
        return []
    every = db.execute("SELECT consultation, body FROM entry WHERE kind IN ('technician', 'plate') ORDER BY seq")
    return list(dict.fromkeys(name for name, body in every if said & set(_COMMITMENT.findall(body))))


def mentioned_in(db: sqlite3.Connection, word: str) -> int:
    """How many consultations hold a word in their notes, where it can't be told from other words."""
    sql = "SELECT count(*) FROM finder WHERE finder MATCH ?"
    return int(db.execute(sql, (f"notes: {search_term(word)}",)).fetchone()[0]) if any(map(str.isalnum, word)) else 0


def forget(store: Store, journal: Journal, consultations: list[str]) -> tuple[int, bool]:
    """Takes names, plates and notes of consultations away.

    Gives how many words were taken away, and whether they are out of the file already: while another window reads,
    what was deleted may still lie in the log beside it.
    """
    count = 0
    with store.writing() as db:
        for consultation in consultations:
            count += _forget_one(db, store, journal, consultation)
        db.execute("INSERT INTO finder(finder) VALUES ('optimize')")
    busy = store.db.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()[0]
    return count, not busy


def copies_beside(store: Store) -> list[Path]:
    """Copies of the journal in the same folder, made before it was brought up or when it was damaged."""
    folder = store.path.parent
    return sorted([*folder.glob("journal-before-version-*.sqlite"), *folder.glob("damaged-*/*.sqlite")])


def _forget_one(db: sqlite3.Connection, store: Store, journal: Journal, consultation: str) -> int:
    entries = entries_of(db, consultation)
    fields = sorted({name for entry in entries for name, _, _ in private_of(db, entry)})
    taken = wipe(db, consultation, entries)
    if taken:
        body = {"fields": [name for name in fields if name in PRIVATE_FIELDS]}
        store.append_within(db, [draft(consultation, journal.at, "forgotten", entries[-1].rules, body)])
    return taken


def wipe(db: sqlite3.Connection, consultation: str, entries: Iterable[Entry]) -> int:
    """Deletes the personal words of a consultation and its lines in the lists; gives how many there were."""
    gone = [commitment for entry in entries for commitment in commitments_of(entry).values()]
    taken = sum(db.execute("DELETE FROM private WHERE commitment = ?", (each,)).rowcount for each in gone)
    db.execute("UPDATE consultation SET technician = '', plate = '', notes = '' WHERE id = ?", (consultation,))
    refresh_finder(db, consultation)
    return taken
