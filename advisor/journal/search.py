"""Finds consultations by words: number, casing, plate, date, verdict, technician, or what was read or noted."""

from __future__ import annotations

import sqlite3

from advisor.journal.queries import Summary

MOST_SHOWN = 50
MOST_WORDS = 20
_COLUMNS = ", ".join(f"c.{name}" for name in Summary.__struct_fields__)


def found_by(db: sqlite3.Connection, words: list[str], most: int = MOST_SHOWN) -> list[Summary]:
    """Consultations that hold every word, or a word that begins so; the latest first. No words: the latest."""
    asked = [word for word in " ".join(words).split() if any(sign.isalnum() for sign in word)][:MOST_WORDS]
    if not asked:
        sql = f"SELECT {_COLUMNS} FROM consultation c ORDER BY c.number DESC LIMIT ?"  # noqa: S608
        return [Summary(*row) for row in db.execute(sql, (most,))]
    query = " ".join(search_term(word) for word in asked)
    sql = f"""SELECT {_COLUMNS} FROM (SELECT rowid AS number FROM finder WHERE finder MATCH ?
        ORDER BY rowid DESC LIMIT ?) f JOIN consultation c ON c.number = f.number ORDER BY c.number DESC"""  # noqa: S608
    return [Summary(*row) for row in db.execute(sql, (query, most))]


def search_term(word: str) -> str:
    """A word as a search term that can't be taken for an operator."""
    bare = word.encode("utf-8", "replace").decode().replace('"', " ").replace("\x00", " ")
    return f'"{bare}" *'
