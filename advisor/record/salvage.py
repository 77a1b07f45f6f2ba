"""A damaged journal: set aside whole, and everything in it that can be read and still fits its links is saved."""

from __future__ import annotations

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
#: A number further on than that is a damaged one, and says nothing of what is lost.
_WIDEST_GAP = 1_000_000
#: So many columns has a row of the list of consultations.
_LISTED = 15
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
    rows alone. An entry counts where it fits the one before it, and is left out where it was changed. What lies
    behind a gap is kept as a record of its own; of its first entry nothing shows that it is as it was written.
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
    doubted: dict[str, Entry] = {}
    behind: dict[str, dict[int, Entry]] = {}
    saved, lost, last, drafts = 0, 0, 0, list[Draft]()
    for entry in _entries(pages):
        if last < entry.seq <= last + _WIDEST_GAP:
            lost, last = lost + entry.seq - last - 1, entry.seq
        step, before = ends.get(entry.consultation, (0, NOTHING_BEFORE))
        whole = [entry] if entry.step == step + 1 and entry.link == _link(entry, before) else []
        doubt = doubted.pop(entry.consultation, None)
        if doubt is not None and entry.step == step + 2 and entry.link == _link(entry, _link(doubt, before)):
            whole, lost = [doubt, entry], lost - 1  # only its own link was damaged: the next one says so
        if whole:
            ends[entry.consultation] = (entry.step, entry.link)
            drafts += [_as_draft(store.db, each) for each in whole]
            saved += len(whole)
        elif entry.step == step + 1:
            doubted[entry.consultation] = entry
            lost += 1
        elif entry.step > step:
            behind.setdefault(entry.consultation, {}).setdefault(entry.step, entry)
        if len(drafts) >= _A_BLOCK:
            store.append(drafts)
            drafts = []
    store.append(drafts)
    begun = _by_which_rules(pages, store.db) if behind else {}
    for consultation, found in behind.items():
        entries = [found[step] for step in sorted(found) if step > ends.get(consultation, (0, b""))[0]]
        kept = _behind_a_gap(store.db, consultation, entries, begun)
        held = max(0, len(kept) - 1)
        saved, lost = saved + held, lost + len(entries) - held
        store.append(kept)
    return saved, lost


def _behind_a_gap(
    db: sqlite3.Connection, consultation: str, entries: list[Entry], begun: dict[str, tuple[str, str]]
) -> list[Draft]:
    """What lies behind a gap, as a record of its own; not what does not fit an entry that fits the one before it."""
    fits = [one is not None and _follows(one, entry) for one, entry in zip([None, *entries], entries, strict=False)]
    held = [
        entry
        for place, entry in enumerate(entries)
        if fits[place] or not (place and fits[place - 1] and entries[place - 1].step + 1 == entry.step)
    ]
    if not held:
        return []
    rules, edition = begun.get(held[0].rules) or next(iter(begun.values()), ("", ""))
    body = {"rules": rules, "edition": edition, "today": None, "from": "behind a gap"}
    first = draft(consultation, held[0].at, "begin", held[0].rules, body)
    link = link_of(NOTHING_BEFORE, consultation, 1, first.at, first.kind, first.rules, first.body)
    name = f"{origin_of(consultation)}{BRANCH}{mark_of(link)}"
    rest = (_as_draft(db, entry) for entry in held if entry.kind != "begin")
    return [replace(each, consultation=name) for each in (first, *rest)]


def _by_which_rules(pages: Pages, db: sqlite3.Connection) -> dict[str, tuple[str, str]]:
    """Id and edition of rules by their digest: as saved consultations tell, else as a list in the damaged file does."""
    saved = db.execute("SELECT digest, rules_id, edition FROM consultation").fetchall()
    listed = (row for leaf in pages.leaves() for _, row in pages.rows(leaf) if len(row) == _LISTED)
    told = [(str(row[5]), str(row[3]), str(row[4])) for row in listed]
    return {digest: (rules, edition) for digest, rules, edition in (*told, *saved)}


def _follows(one: Entry, other: Entry) -> bool:
    return other.step == one.step + 1 and other.link == _link(other, one.link)


def _link(entry: Entry, before: bytes) -> bytes:
    return link_of(before, entry.consultation, entry.step, entry.at, entry.kind, entry.rules, entry.body)


def _entries(pages: Pages) -> Iterator[Entry]:
    """The entries that can be read, in their order; one may come twice, from a page that was let go."""
    for number in pages.leaves():
        for seq, values in pages.rows(number):
            if _whole(values):
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
