"""One row a consultation, for lists and searching. Worked out of the entries alone, so it can be made anew."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Mapping
from typing import Any

from advisor.record.entry import Entry

PRIVATE_FIELDS = ("technician", "plate", "note", "heard")
#: Entries after which a consultation that was at its end is open again.
_REOPENS = ("answer", "change", "skip", "case", "restart", "step", "heard", "work")
_SHORTEST_WHOLE_CODE = 7
COLUMNS = "id, casing, technician, plate, verdict, begun, words, notes"


def follow(db: sqlite3.Connection, entry: Entry, words: Mapping[str, str]) -> None:
    """Brings the consultation's row up to an entry; `words` are its personal words by field, where they still are."""
    if entry.kind in ("answer", "change", "skip"):
        db.execute("UPDATE consultation SET state = 'open' WHERE id = ? AND state <> 'open'", (entry.consultation,))
        return
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
        return
    elif entry.kind in _REOPENS:
        _set(db, entry, "state", "open")
        return
    else:
        return
    refresh_finder(db, entry.consultation)


def _set(db: sqlite3.Connection, entry: Entry, column: str, value: str) -> None:
    db.execute(f"UPDATE consultation SET {column} = ? WHERE id = ?", (value, entry.consultation))  # noqa: S608


def _begin(db: sqlite3.Connection, entry: Entry, data: Mapping[str, Any]) -> None:
    sql = "INSERT INTO consultation(id, begun, rules_id, edition, digest) VALUES (?, ?, ?, ?, ?)"
    rules_id, edition = str(data.get("rules", "")), str(data.get("edition", ""))
    db.execute(sql, (entry.consultation, entry.at, rules_id, edition, entry.rules))


def _verdict(db: sqlite3.Connection, entry: Entry, data: Mapping[str, Any]) -> None:
    code, sidewall = (_text(data, name) for name in ("dot-code", "sidewall"))
    words = [sidewall, code, str(data.get("ending", ""))]
    state = "ended" if data.get("ended") else "open"
    sql = """UPDATE consultation SET verdict = ?, ending = ?, decided = ?, words = ?, state = ?,
        digest = ?, casing = CASE casing WHEN '' THEN ? ELSE casing END WHERE id = ?"""
    row = (str(data.get("verdict", "")), str(data.get("ending", "")), entry.at, " ".join(filter(None, words)), state)
    db.execute(sql, (*row, entry.rules, casing_of_code(code), entry.consultation))


def _text(data: Mapping[str, Any], name: str) -> str:
    """A text answer of the whole case in a verdict's entry, or an empty text."""
    found: Any = data
    for key in ("case", "answers", name, "text"):
        found = found.get(key) if isinstance(found, dict) else None
    return str(found or "")


def casing_of_code(code: str) -> str:
    """The casing that a whole identification number names; a date alone fits many casings and names none."""
    bare = re.sub(r"[^0-9A-Z]", "", code.upper()).removeprefix("DOT")
    return f"DOT {bare}" if len(bare) >= _SHORTEST_WHOLE_CODE else ""


def refresh_finder(db: sqlite3.Connection, consultation: str) -> None:
    """Brings the search list up to a consultation's row."""
    sql = f"SELECT number, {COLUMNS} FROM consultation WHERE id = ?"  # noqa: S608
    row = db.execute(sql, (consultation,)).fetchone()
    if row:
        db.execute("DELETE FROM finder WHERE rowid = ?", (row[0],))
        db.execute(f"INSERT INTO finder(rowid, {COLUMNS}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)", row)  # noqa: S608
