"""The journal's tables, step by step: a new journal takes every step, an older one those that it lacks."""

from __future__ import annotations

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

#: Step n brings a journal of version n - 1 to version n.
STEPS: tuple[tuple[str, ...], ...] = (_ENTRIES, _FINDER, _SHORT_WORDS)
VERSION = len(STEPS)
