"""Personal words: kept beside the entries, joined to them by commitment, and taken away for good when asked."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator

from advisor.journal.events import Entry


def commitments_of(entry: Entry) -> dict[str, str]:
    """The commitments that stand in an entry, by field."""
    return commitments_in(entry.body)


def commitments_in(body: str) -> dict[str, str]:
    """The commitments that stand in an entry's body, by field; none in one that can't be read."""
    if not isinstance(body, str) or '"private"' not in body:  # a damaged row may hold another kind of value
        return {}
    try:
        data = json.loads(body)
    except (ValueError, RecursionError):
        return {}
    private = data.get("private") if isinstance(data, dict) else None
    items = private.items() if isinstance(private, dict) else ()
    return {str(name): str(value) for name, value in items if str(value).isascii()}


def words_of(db: sqlite3.Connection, entry: Entry) -> dict[str, str]:
    """The personal words of an entry by field; those that were forgotten are left out."""
    return {name: words for name, _, words in private_of(db, entry)} if commitments_of(entry) else {}


def private_of(db: sqlite3.Connection, entry: Entry) -> Iterator[tuple[str, bytes, str]]:
    """Field, salt and words of what an entry holds in private."""
    for name, commitment in commitments_of(entry).items():
        row = db.execute("SELECT salt, words FROM private WHERE commitment = ?", (commitment,)).fetchone()
        if row:
            yield name, row[0], row[1]
