"""Personal words taken away for good. The entries keep their commitments, so every link and the chain still hold."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterator
from pathlib import Path

from advisor.journal.events import FORGOTTEN, Entry, noted_beside, origin_of
from advisor.journal.log import Journal
from advisor.journal.migrations import ENTRY_COLUMNS
from advisor.journal.private_words import commitments_of, private_of, words_of
from advisor.journal.projection import PRIVATE_FIELDS, work_out_again
from advisor.journal.queries import branches_of, entries_of
from advisor.journal.search import search_term
from advisor.journal.store import Store

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
        for consultation in dict.fromkeys(map(origin_of, consultations)):
            count += _forget_one(db, store, journal, consultation)
        db.execute("INSERT INTO finder(finder) VALUES ('optimize')")
    busy = store.db.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()[0]
    return count, not busy


def copies_beside(store: Store) -> list[Path]:
    """Copies of the journal in the same folder, made before it was brought up or when it was damaged."""
    folder = store.path.parent
    return sorted([*folder.glob("journal-before-version-*.sqlite"), *folder.glob("damaged-*/*.sqlite")])


def _forget_one(db: sqlite3.Connection, store: Store, journal: Journal, consultation: str) -> int:
    """Deletes the words of a consultation and of its branches, and notes that, so that it holds elsewhere as well."""
    origin = origin_of(consultation)
    entries = [entry for name in branches_of(db, origin) for entry in entries_of(db, name)]
    fields = sorted({name for entry in entries for name, _, _ in private_of(db, entry)})
    commitments = sorted({each for entry in entries for each in commitments_of(entry).values()})
    body = {"of": origin, "fields": [name for name in fields if name in PRIVATE_FIELDS], "commitments": commitments}
    note = noted_beside(FORGOTTEN, journal.at, body)
    taken = carried_out(db, Entry(0, note.consultation, 1, note.at, note.kind, note.rules, note.body, b"", b""))
    if taken:
        store.append_within(db, [note])
    return taken


def notes_of_forgetting(db: sqlite3.Connection) -> Iterator[Entry]:
    """What was forgotten in a journal, in the order in which it was."""
    first, last = f"#{FORGOTTEN}-", f"#{FORGOTTEN}-g"
    sql = f"SELECT {ENTRY_COLUMNS} FROM entry WHERE consultation BETWEEN ? AND ? ORDER BY seq"  # noqa: S608
    return (Entry(*row) for row in db.execute(sql, (first, last)).fetchall())


def _meant_here(db: sqlite3.Connection, note: Entry) -> tuple[list[str], set[str], set[str]]:
    """The consultations here that a note of forgetting speaks of; which words it names that they bear, and others."""
    told = note.data.get("commitments")
    listed = {str(each) for each in told} if isinstance(told, list) else set[str]()
    names = branches_of(db, str(note.data.get("of", "")))
    borne = {one for name in names for entry in entries_of(db, name) for one in commitments_of(entry).values()}
    return names, listed & borne, listed - borne


def still_here(db: sqlite3.Connection, note: Entry) -> tuple[int, int]:
    """How many of the words that a note of forgetting names are here: of its consultation, and of others."""
    _, own, others = _meant_here(db, note)
    sql = "SELECT count(*) FROM private WHERE commitment = ?"
    count = (sum(int(db.execute(sql, (each,)).fetchone()[0]) for each in which) for which in (own, others))
    return next(count), next(count)


def carried_out(db: sqlite3.Connection, note: Entry) -> int:
    """Deletes the words that a note of forgetting speaks of, brings the lists up to that; gives how many there were."""
    names, own, _ = _meant_here(db, note)
    taken = sum(db.execute("DELETE FROM private WHERE commitment = ?", (each,)).rowcount for each in own)
    for name in names if taken else ():
        work_out_again(db, entries_of(db, name), lambda entry: words_of(db, entry))
    return taken
