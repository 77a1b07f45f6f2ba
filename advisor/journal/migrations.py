"""The journal's tables, step by step: a new journal takes every step, an older one those that it lacks."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from functools import cache

from msgspec import Struct

APPLICATION_ID = 0x54524A31
ENTRY_COLUMNS = "seq, consultation, step, at, kind, rules, body, link, chain"

_ENTRIES = (
    """CREATE TABLE entry(
        seq INTEGER PRIMARY KEY AUTOINCREMENT, consultation TEXT NOT NULL, step INTEGER NOT NULL, at TEXT NOT NULL,
        kind TEXT NOT NULL, rules TEXT NOT NULL, body TEXT NOT NULL, link BLOB NOT NULL, chain BLOB NOT NULL,
        UNIQUE(consultation, step)) STRICT""",
    "CREATE TABLE private(commitment TEXT PRIMARY KEY, salt BLOB NOT NULL, words TEXT NOT NULL) STRICT, WITHOUT ROWID",
    """CREATE TABLE consultation(
        number INTEGER PRIMARY KEY, id TEXT NOT NULL UNIQUE, begun TEXT NOT NULL, rules_id TEXT NOT NULL,
        edition TEXT NOT NULL, digest TEXT NOT NULL, state TEXT NOT NULL DEFAULT 'open',
        casing TEXT NOT NULL DEFAULT '', technician TEXT NOT NULL DEFAULT '', plate TEXT NOT NULL DEFAULT '',
        verdict TEXT NOT NULL DEFAULT '', ending TEXT NOT NULL DEFAULT '', decided TEXT NOT NULL DEFAULT '',
        words TEXT NOT NULL DEFAULT '', notes TEXT NOT NULL DEFAULT '') STRICT""",
    "CREATE INDEX consultation_casing ON consultation(casing COLLATE NOCASE) WHERE casing <> ''",
    "CREATE INDEX consultation_open ON consultation(number) WHERE state = 'open'",
)
_FINDER = (
    """CREATE VIRTUAL TABLE finder USING fts5(
        id, casing, technician, plate, verdict, begun, words, notes, tokenize = 'unicode61')""",
    """INSERT INTO finder(rowid, id, casing, technician, plate, verdict, begun, words, notes)
        SELECT number, id, casing, technician, plate, verdict, begun, words, notes FROM consultation""",
)
#: Beginnings of words of one to three signs are looked up in lists of their own.
_SHORT_WORDS = (
    "DROP TABLE finder",
    """CREATE VIRTUAL TABLE finder USING fts5(
        id, casing, technician, plate, verdict, begun, words, notes, tokenize = 'unicode61', prefix = '1 2 3')""",
    _FINDER[1],
)

#: Commitments whose words are not there, and why: forgotten, or withheld where they never came. Worked out of entries.
_WITHOUT_WORDS = ("CREATE TABLE without_words(commitment TEXT PRIMARY KEY, why TEXT NOT NULL) STRICT, WITHOUT ROWID",)

#: Step n brings a journal of version n - 1 to version n.
MIGRATIONS: tuple[tuple[str, ...], ...] = (_ENTRIES, _FINDER, _SHORT_WORDS, _WITHOUT_WORDS)
VERSION = len(MIGRATIONS)

#: What is recorded, and what is worked out of it and can be made anew at any time.
RECORDED, LISTS = ("entry", "private"), ("finder", "consultation", "without_words")
#: What makes the lists as they are now.
LISTS_ANEW = (*_ENTRIES[2:], _SHORT_WORDS[1], *_WITHOUT_WORDS)
#: From this version on a journal has a search list.
SEARCH_LIST_SINCE = 2
#: From this version on a journal says of every word that is not there why it is not.
SAYS_WHAT_IS_MISSING = 4


@cache
def expected(version: int) -> frozenset[tuple[str, str, str, str]]:
    """What the schema of a journal of that version holds: type, name, table and text of each."""
    with closing(sqlite3.connect(":memory:")) as db:
        for statement in (each for step in MIGRATIONS[:version] for each in step):
            db.execute(statement)
        return frozenset(schema_of(db))


def schema_of(db: sqlite3.Connection) -> Iterator[tuple[str, str, str, str]]:
    """What a file's schema holds."""
    rows = db.execute("SELECT type, name, tbl_name, sql FROM sqlite_master")
    return ((str(row[0]), str(row[1]), str(row[2]), str(row[3] or "")) for row in rows)


_OWN_NOW = frozenset({
    *_ENTRIES, _SHORT_WORDS[1], *_WITHOUT_WORDS, "CREATE TABLE sqlite_sequence(name,seq)",
})  # fmt: skip
_FINDERS_OWN, _INDEXES_OF_KEYS = 5, 2


def is_ours(db: sqlite3.Connection) -> bool:
    """Whether a file's schema is just what this version makes, at a glance; `compared` looks closely."""
    found = list(schema_of(db))
    texts = {each[3] for each in found}
    as_many = len(found) == len(_OWN_NOW) + _FINDERS_OWN + _INDEXES_OF_KEYS
    return as_many and texts >= _OWN_NOW and {each[0] for each in found} <= {"table", "index"}


class Foreign(Struct, frozen=True):
    """How a file's schema differs: whether what is recorded is not as we make it, whether lists are, what is more."""

    recorded: bool
    lists: bool
    more: tuple[tuple[str, str], ...]

    @property
    def acts(self) -> bool:
        """Whether something in the file would do or pretend something by itself."""
        return any(kind in ("trigger", "view") for kind, _ in self.more)


def compared(db: sqlite3.Connection, version: int) -> Foreign:
    """The file's schema against the program's own of that version. Raises sqlite3.Error."""
    own, found = expected(version), set(schema_of(db))
    names = {each[:2] for each in own}
    lacking = {each[2] in (*RECORDED, "sqlite_sequence") for each in own - found}
    more = tuple(sorted(each[:2] for each in found if each[:2] not in names))
    return Foreign(recorded=True in lacking, lists=False in lacking, more=more)
