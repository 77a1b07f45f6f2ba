"""One row a consultation, for lists and searching. Worked out of the entries alone, so it can be made anew."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from advisor.journal.events import FORGOTTEN, WITHHELD, Entry
from advisor.journal.migrations import LISTS, LISTS_ANEW
from advisor.model import inputs

PRIVATE_FIELDS = ("technician", "plate", "note", "heard")
#: Entries after which a consultation that was at its end is open again.
_REOPENS = ("answer", "change", "skip", "case", "restart", "step", "heard", "work")
_SHORTEST_WHOLE_CODE = 7
FINDER_COLUMNS = "id, casing, technician, plate, verdict, begun, words, notes"


def follow(db: sqlite3.Connection, entry: Entry, words: Mapping[str, str]) -> bool:
    """Brings the consultation's row up to an entry; `words` are its personal words by field, where they still are.

    Gives whether the search list is behind that row now: bringing it up takes longer, and once for several entries.
    """
    if entry.kind in ("answer", "change", "skip"):
        db.execute("UPDATE consultation SET state = 'open' WHERE id = ? AND state <> 'open'", (entry.consultation,))
        return False
    data = entry.data
    if entry.kind == "begin":
        _begin(db, entry, data)
    elif entry.kind == "verdict":
        _verdict(db, entry, data)
    elif entry.kind == "casing":
        _set(db, entry, "casing", str(data.get("casing", "")))
    elif entry.kind in ("technician", "plate"):
        _set(db, entry, entry.kind, words.get(entry.kind, ""))
    elif entry.kind == "note" and words.get("note"):
        sql = "UPDATE consultation SET notes = trim(notes || ' ' || ?) WHERE id = ?"
        db.execute(sql, (words["note"], entry.consultation))
    elif entry.kind in ("left", "ended"):
        _set(db, entry, "state", entry.kind)
        return False
    elif entry.kind in _REOPENS:
        _set(db, entry, "state", "open")
        if entry.kind != "heard" or not data.get("waits"):
            return False
        for column in ("verdict", "ending", "decided"):
            _set(db, entry, column, "")  # until it is said whether that is so, nothing is decided
    elif entry.kind in (FORGOTTEN, WITHHELD):
        _without_words(db, entry, data)
        return False
    else:
        return False
    return True


def fill_finder(db: sqlite3.Connection) -> None:
    """Fills a search list that is empty out of the consultations' rows."""
    db.execute(f"INSERT INTO finder(rowid, {FINDER_COLUMNS}) SELECT number, {FINDER_COLUMNS} FROM consultation")  # noqa: S608


def _set(db: sqlite3.Connection, entry: Entry, column: str, value: str) -> None:
    db.execute(f"UPDATE consultation SET {column} = ? WHERE id = ?", (value, entry.consultation))  # noqa: S608


def _begin(db: sqlite3.Connection, entry: Entry, data: Mapping[str, Any]) -> None:
    sql = "INSERT INTO consultation(id, begun, rules_id, edition, digest) VALUES (?, ?, ?, ?, ?)"
    rules_id, edition = str(data.get("rules", "")), str(data.get("edition", ""))
    db.execute(sql, (entry.consultation, entry.at, rules_id, edition, entry.rules))


def _without_words(db: sqlite3.Connection, entry: Entry, data: Mapping[str, Any]) -> None:
    """Notes why words are not there; what was forgotten stays so."""
    told = data.get("commitments")
    rows = [(str(each), entry.kind) for each in (told if isinstance(told, list) else ())]
    which = "REPLACE" if entry.kind == FORGOTTEN else "IGNORE"
    db.executemany(f"INSERT OR {which} INTO without_words(commitment, why) VALUES (?, ?)", rows)  # noqa: S608


def work_out_again(
    db: sqlite3.Connection, entries: Iterable[Entry], words_of: Callable[[Entry], Mapping[str, str]]
) -> None:
    """Brings a consultation's row, which stays in its place in the list, up to its entries from the first one on."""
    first, *rest = entries
    bare = """UPDATE consultation SET digest = ?, state = 'open', casing = '', technician = '', plate = '',
        verdict = '', ending = '', decided = '', words = '', notes = '' WHERE id = ?"""
    db.execute(bare, (first.rules, first.consultation))
    for entry in rest:
        follow(db, entry, words_of(entry))
    refresh_finder(db, first.consultation)


def make_lists_anew(
    db: sqlite3.Connection, entries: Iterable[Entry], words_of: Callable[[Entry], Mapping[str, str]]
) -> None:
    """Throws the lists away and works them out of the entries, within a transaction that was begun."""
    for name in LISTS:
        db.execute(f"DROP TABLE IF EXISTS {name}")
    for statement in LISTS_ANEW:
        db.execute(statement)
    for entry in entries:
        follow(db, entry, words_of(entry))
    fill_finder(db)


def _verdict(db: sqlite3.Connection, entry: Entry, data: Mapping[str, Any]) -> None:
    code, sidewall = (_text(data, name) for name in (inputs.DOT_CODE, inputs.SIDEWALL))
    words = [sidewall, code, str(data.get("ending", ""))]
    state = "ended" if data.get("ended") else "open"
    sql = """UPDATE consultation SET verdict = ?, ending = ?, decided = ?, words = ?, state = ?,
        digest = ?, casing = CASE casing WHEN '' THEN ? ELSE casing END WHERE id = ?"""
    row = (str(data.get("verdict", "")), str(data.get("ending", "")), entry.at, " ".join(filter(None, words)), state)
    db.execute(sql, (*row, entry.rules, casing_of_code(code), entry.consultation))


def _text(data: Mapping[str, Any], name: str) -> str:
    """A text answer of the whole case in a verdict's entry, or an empty text."""
    found: Any = data.get("asked-as")
    name = str(found.get(name, name)) if isinstance(found, dict) else name
    found = data
    for key in ("case", "answers", name, "text"):
        found = found.get(key) if isinstance(found, dict) else None
    return str(found or "")


def casing_of_code(code: str) -> str:
    """The casing that a whole identification number names; a date alone fits many casings and names none."""
    bare = re.sub(r"[^0-9A-Z]", "", code.upper()).removeprefix("DOT")
    return f"DOT {bare}" if len(bare) >= _SHORTEST_WHOLE_CODE else ""


def refresh_finder(db: sqlite3.Connection, consultation: str) -> None:
    """Brings the search list up to a consultation's row."""
    sql = f"SELECT number, {FINDER_COLUMNS} FROM consultation WHERE id = ?"  # noqa: S608
    row = db.execute(sql, (consultation,)).fetchone()
    if row:
        db.execute("DELETE FROM finder WHERE rowid = ?", (row[0],))
        db.execute(f"INSERT INTO finder(rowid, {FINDER_COLUMNS}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)", row)  # noqa: S608
