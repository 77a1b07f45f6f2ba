"""A damaged journal: set aside whole, and everything in it that can be read and still fits its links is saved."""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing, suppress
from datetime import datetime
from pathlib import Path

from advisor.record.entry import NOTHING_BEFORE, Draft, Entry, Private, link_of
from advisor.record.place import make_folder
from advisor.record.private import private_of
from advisor.record.schema import ENTRY_COLUMNS
from advisor.record.seals import BESIDE
from advisor.record.store import Store

#: How every journal of ours begins: SQLite's name, pages of 4096 bytes, write-ahead log (SQLite file format, 1.3).
HEADER = b"SQLite format 3\x00" + bytes((0x10, 0, 2, 2, 0, 0x40, 0x20, 0x20))
_GIVE_UP_AFTER = 5000
_A_BLOCK = 200


def set_aside(path: Path, now: datetime) -> Path:
    """Moves a journal with its side files into a folder of its own; gives its new path. Raises OSError."""
    stamp = now.strftime("%Y%m%d-%H%M%S")
    names = (f"damaged-{stamp}{f'-{number}' if number else ''}" for number in range(1000))
    folder = next(path.parent / name for name in names if not (path.parent / name).exists())
    make_folder(folder)
    for ending in ("-wal", "-shm", ""):
        with suppress(FileNotFoundError):
            os.replace(f"{path}{ending}", f"{folder / path.name}{ending}")
    with suppress(FileNotFoundError):
        os.replace(path.with_name(BESIDE), folder / BESIDE)
    return folder / path.name


def save_what_can_be(damaged: Path, store: Store) -> tuple[int, int]:
    """Puts what can be saved into a new journal; gives how many entries were saved, and how many are lost."""
    copy = damaged.with_name("being-read.sqlite")
    try:
        shutil.copyfile(damaged, copy)
        with suppress(FileNotFoundError):
            shutil.copyfile(f"{damaged}-wal", f"{copy}-wal")
        with copy.open("r+b") as file:
            file.write(HEADER)
        return _save(copy, store)
    finally:
        for ending in ("", "-wal", "-shm"):
            Path(f"{copy}{ending}").unlink(missing_ok=True)


def _save(copy: Path, store: Store) -> tuple[int, int]:
    links: dict[str, tuple[int, bytes]] = {}
    saved, lost, drafts = 0, 0, list[Draft]()
    with closing(sqlite3.connect(copy, isolation_level=None)) as db:
        for entry in _readable(db):
            step, before = links.get(entry.consultation, (0, NOTHING_BEFORE))
            if entry.step != step + 1 or entry.link != _link(entry, before):
                lost += 1
                continue
            links[entry.consultation] = (entry.step, entry.link)
            drafts.append(as_draft(db, entry))
            saved += 1
            if len(drafts) >= _A_BLOCK:
                store.append(drafts)
                drafts = []
        store.append(drafts)
    return saved, lost


def _link(entry: Entry, before: bytes) -> bytes:
    return link_of(before, entry.consultation, entry.step, entry.at, entry.kind, entry.rules, entry.body)


def as_draft(db: sqlite3.Connection, entry: Entry) -> Draft:
    """An entry of one journal made ready for another, with the personal words that are still there."""
    private: tuple[Private, ...] = ()
    with suppress(sqlite3.DatabaseError, ValueError):
        private = tuple(Private(words, salt) for _, salt, words in private_of(db, entry))
    return Draft(entry.consultation, entry.at, entry.kind, entry.rules, entry.body, private)


def _readable(db: sqlite3.Connection) -> Iterator[Entry]:
    """The entries that can be read, in their order; a page that can't is stepped over."""
    seq, missed = 0, 0
    many = f"SELECT {ENTRY_COLUMNS} FROM entry WHERE seq > ? AND seq <= ? ORDER BY seq"  # noqa: S608
    while missed < _GIVE_UP_AFTER:
        try:
            rows = db.execute(many, (seq, seq + _A_BLOCK)).fetchall()
        except sqlite3.DatabaseError:
            rows = [row for one in range(seq, seq + _A_BLOCK) for row in _one(db, many, one)]
        seq += _A_BLOCK
        missed = 0 if rows else missed + _A_BLOCK
        yield from (Entry(*row) for row in rows if _whole(row))


def _one(db: sqlite3.Connection, sql: str, seq: int) -> list[tuple[object, ...]]:
    try:
        return db.execute(sql, (seq, seq + 1)).fetchall()
    except sqlite3.DatabaseError:
        return []


def _whole(row: tuple[object, ...]) -> bool:
    kinds = (int, str, int, str, str, str, str, bytes, bytes)
    return all(isinstance(value, kind) for value, kind in zip(row, kinds, strict=True))
