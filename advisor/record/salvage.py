"""A damaged journal: set aside whole, and everything in it that can be read and still fits its links is saved."""

from __future__ import annotations

import json
import os
import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import closing, suppress
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from advisor.record.entry import BRANCH, NOTHING_BEFORE, Draft, Entry, Private, draft, link_of, mark_of, origin_of
from advisor.record.pages import Pages, Value
from advisor.record.place import make_folder
from advisor.record.private import commitments_of, private_of
from advisor.record.seals import BESIDE
from advisor.record.store import Store

_A_BLOCK = 200
_KINDS = (str, int, str, str, str, str, bytes, bytes)


def set_aside(path: Path, now: datetime) -> Path:
    """Moves a journal with its side files into a folder of its own; gives its new path. Raises OSError."""
    stamp = now.strftime("%Y%m%d-%H%M%S")
    names = (f"damaged-{stamp}{f'-{number}' if number else ''}" for number in range(1000))
    folder = next(path.parent / name for name in names if not (path.parent / name).exists())
    make_folder(folder)
    moved = list[str]()
    try:
        for ending in ("-wal", "-shm", ""):
            with suppress(FileNotFoundError):
                os.replace(f"{path}{ending}", f"{folder / path.name}{ending}")
                moved.append(ending)
    except OSError:
        for ending in moved:
            os.replace(f"{folder / path.name}{ending}", f"{path}{ending}")
        raise
    with suppress(OSError):
        os.replace(path.with_name(BESIDE), folder / BESIDE)
    return folder / path.name


def save_what_can_be(damaged: Path, store: Store) -> tuple[int, int]:
    """Puts what can be saved into a new journal; gives how many entries were saved, and how many are lost.

    The rows are read off the pages themselves: nothing in the file is run, and a page that is damaged costs its own
    rows alone. An entry counts where it fits the one before it; what lies behind a gap is kept as a record of its own.
    """
    with closing(Pages(damaged)) as pages:
        store.db.execute("CREATE TEMP TABLE saved(commitment TEXT PRIMARY KEY, salt BLOB, words TEXT) WITHOUT ROWID")
        try:
            store.db.executemany("INSERT OR IGNORE INTO temp.saved VALUES (?, ?, ?)", _words(pages))
            return _save(pages, store)
        finally:
            store.db.execute("DROP TABLE temp.saved")


def _save(pages: Pages, store: Store) -> tuple[int, int]:
    ends: dict[str, tuple[int, bytes]] = {}
    begun: dict[str, Draft] = {}
    behind: dict[str, list[Entry]] = {}
    saved, lost, last, drafts = 0, 0, 0, list[Draft]()
    for entry in _entries(pages):
        lost, last = lost + max(0, entry.seq - last - 1), max(last, entry.seq)
        step, before = ends.get(entry.consultation, (0, NOTHING_BEFORE))
        if entry.step == step + 1 and entry.link == _link(entry, before):
            ends[entry.consultation] = (entry.step, entry.link)
            drafts.append(_as_draft(store.db, entry))
            begun.setdefault(entry.rules, drafts[-1])
            saved += 1
        elif not (entry.step <= step and entry.link != _link(entry, before)):
            behind.setdefault(entry.consultation, []).append(entry)
        else:
            lost += 1
        if len(drafts) >= _A_BLOCK:
            store.append(drafts)
            drafts = []
    store.append(drafts)
    for consultation, entries in behind.items():
        kept = _behind_a_gap(store.db, consultation, entries, begun)
        saved, lost = saved + len(kept), lost + len(entries) - len(kept)
        store.append(kept)
    return saved, lost


def _behind_a_gap(
    db: sqlite3.Connection, consultation: str, entries: list[Entry], begun: dict[str, Draft]
) -> list[Draft]:
    """What lies behind a gap, as a record of its own: only entries to which the next, or the one before, is linked."""
    held = [
        entry
        for place, entry in enumerate(entries)
        if (place and _follows(entries[place - 1], entry))
        or (place + 1 < len(entries) and _follows(entry, entries[place + 1]))
    ]
    like = begun.get(held[0].rules) if held else None
    about = json.loads(like.body) if like and like.kind == "begin" else {}
    if not held or not about:
        return []
    body = {"rules": about.get("rules"), "edition": about.get("edition"), "today": None, "from": "behind a gap"}
    first = draft(consultation, held[0].at, "begin", held[0].rules, body)
    link = link_of(NOTHING_BEFORE, consultation, 1, first.at, first.kind, first.rules, first.body)
    name = f"{origin_of(consultation)}{BRANCH}{mark_of(link)}"
    rest = (_as_draft(db, entry) for entry in held if entry.kind != "begin")
    return [replace(each, consultation=name) for each in (first, *rest)]


def _follows(one: Entry, other: Entry) -> bool:
    return other.step == one.step + 1 and other.link == _link(other, one.link)


def _link(entry: Entry, before: bytes) -> bytes:
    return link_of(before, entry.consultation, entry.step, entry.at, entry.kind, entry.rules, entry.body)


def _entries(pages: Pages) -> Iterator[Entry]:
    """The entries that can be read, in their order, each once."""
    last = 0
    for number in pages.leaves():
        for seq, values in pages.rows(number):
            if seq > last and _whole(values):
                last = seq
                yield Entry(seq, *values[1:])  # type: ignore[arg-type]


def _whole(values: list[Value]) -> bool:
    """Whether a row is one of an entry: its number stands beside it, not in it."""
    kinds = zip(values[1:], _KINDS, strict=False)
    return len(values) == len(_KINDS) + 1 and values[0] is None and all(isinstance(each, kind) for each, kind in kinds)


def _words(pages: Pages) -> Iterator[tuple[str, bytes, str]]:
    """The personal words that can be read, and that are what their commitments say."""
    for values in pages.keyed():
        if len(values) == 3:
            commitment, salt, words = values
            if isinstance(salt, bytes) and isinstance(words, str) and Private(words, salt).commitment == commitment:
                yield commitment, salt, words


def _as_draft(db: sqlite3.Connection, entry: Entry) -> Draft:
    """A saved entry made ready, with the personal words that were saved."""
    rows: Iterable[tuple[bytes, str]] = (
        row
        for commitment in commitments_of(entry).values()
        for row in db.execute("SELECT salt, words FROM temp.saved WHERE commitment = ?", (commitment,))
    )
    private = tuple(Private(words, salt) for salt, words in rows)
    return Draft(entry.consultation, entry.at, entry.kind, entry.rules, entry.body, private)


def as_draft(db: sqlite3.Connection, entry: Entry) -> Draft:
    """An entry of one journal made ready for another, with the personal words that are still there."""
    private: tuple[Private, ...] = ()
    with suppress(sqlite3.DatabaseError, ValueError):
        private = tuple(Private(words, salt) for _, salt, words in private_of(db, entry))
    return Draft(entry.consultation, entry.at, entry.kind, entry.rules, entry.body, private)
