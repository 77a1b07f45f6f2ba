"""A damaged journal: set aside whole, and everything in it that can be read and still fits its links is saved.

Reads a journal's rows off its pages one by one, where SQLite can't open the file or stops at what is damaged.

SQLite file format (sqlite.org/fileformat2.html): 1.5 and 1.6 b-tree pages, 2.1 the record, 4 the write-ahead log.
"""

from __future__ import annotations

import os
import sqlite3
import struct
from collections.abc import Iterable, Iterator
from contextlib import closing, suppress
from datetime import datetime
from pathlib import Path
from typing import BinaryIO

from msgspec.structs import replace

from advisor.journal.data_folder import make_folder
from advisor.journal.events import BRANCH, NOTHING_BEFORE, Entry, NewEvent, Private, draft, link_of, mark_of, origin_of
from advisor.journal.integrity import BESIDE
from advisor.journal.private_words import commitments_of, private_of
from advisor.journal.store import Store

PAGE = 4096
_LEAF, _KEY_LEAF, _KEY_INNER = 0x0D, 0x0A, 0x02
_LOG_HEADER, _FRAME_HEADER = 32, 24
_LOG_MAGIC = (0x377F0682, 0x377F0683)
_MOST_COLUMNS, _LONGEST = 20, 64 * 2**20
SqlValue = int | str | bytes | float | None


class Pages:
    """The pages of a database file as its write-ahead log leaves them. Raises OSError."""

    def __init__(self, path: Path) -> None:
        self._file = _Bytes(path)
        self._log = _Bytes(path.with_name(f"{path.name}-wal"))
        self._frames = dict(self._in_log())
        self.count = max(-(-len(self._file) // PAGE), *self._frames, 0)

    def close(self) -> None:
        """Lets the files go."""
        self._file.close()
        self._log.close()

    def page(self, number: int) -> bytes:
        """A page, the first being 1; what is cut off reads as zeros."""
        if number in self._frames:
            return self._log.at(self._frames[number], PAGE)
        return self._file.at((number - 1) * PAGE, PAGE).ljust(PAGE, b"\x00")

    def _in_log(self) -> Iterator[tuple[int, int]]:
        """Where in the log the last committed state of a page stands."""
        head = self._log.at(0, _LOG_HEADER)
        if len(head) < _LOG_HEADER or struct.unpack(">I", head[:4])[0] not in _LOG_MAGIC:
            return
        order = "<" if head[3] == 0x82 else ">"
        sums = _sums(head[:24], (0, 0), order)
        if sums != struct.unpack(">II", head[24:32]):
            return
        waiting: dict[int, int] = {}
        for place in range(_LOG_HEADER, len(self._log), _FRAME_HEADER + PAGE):
            frame = self._log.at(place, _FRAME_HEADER + PAGE)
            if len(frame) < _FRAME_HEADER + PAGE or frame[8:16] != head[16:24]:
                return
            sums = _sums(frame[_FRAME_HEADER:], _sums(frame[:8], sums, order), order)
            number, committed = struct.unpack(">II", frame[:8])
            if sums != struct.unpack(">II", frame[16:24]):
                return
            waiting[number] = place + _FRAME_HEADER
            if committed:
                yield from waiting.items()
                waiting = {}

    def leaves(self) -> list[int]:
        """The pages that hold rows of tables with numbered rows, by the number in their midst: one may be damaged."""
        found = []
        for number in range(1, self.count + 1):
            if self.page(number)[0] == _LEAF and (keys := sorted(key for key, _ in self.rows(number))):
                found.append((keys[len(keys) // 2], number))
        return [number for _, number in sorted(found)]

    def rows(self, number: int) -> Iterator[tuple[int, list[SqlValue]]]:
        """The rows of a page of a table: number and values. A row that can't be read is left out."""
        page = self.page(number)
        for at in _cells(page, 8):
            try:
                size, at = _varint(page, at)
                key, at = _varint(page, at)
                yield key, _record(self._payload(page, at, size, PAGE - 35))
            except (IndexError, ValueError, struct.error):
                continue

    def keyed(self) -> Iterator[list[SqlValue]]:
        """The rows of tables that are kept in the order of a key of their own, and the rows of indexes."""
        for number in range(1, self.count + 1):
            page = self.page(number)
            if page[0] not in (_KEY_LEAF, _KEY_INNER):
                continue
            inner = page[0] == _KEY_INNER
            for at in _cells(page, 12 if inner else 8):
                try:
                    size, at = _varint(page, at + 4 * inner)
                    yield _record(self._payload(page, at, size, (PAGE - 12) * 64 // 255 - 23))
                except (IndexError, ValueError, struct.error):
                    continue

    def _payload(self, page: bytes, at: int, size: int, most: int) -> bytes:
        """A row's bytes, which go on on further pages where they are too many."""
        if size > _LONGEST:
            raise ValueError
        if size <= most:
            return page[at : at + size]
        least = (PAGE - 12) * 32 // 255 - 23
        here = least + (size - least) % (PAGE - 4)
        here = here if here <= most else least
        found, onward = [page[at : at + here]], struct.unpack(">I", page[at + here : at + here + 4])[0]
        left = size - here
        while left > 0:
            if not 0 < onward <= self.count:
                raise ValueError
            further = self.page(onward)
            onward = struct.unpack(">I", further[:4])[0]
            found.append(further[4 : 4 + left])
            left -= PAGE - 4
        return b"".join(found)


class _Bytes:
    """A file's bytes, read where they are asked for; none where there is no file, and where the disk can't read."""

    def __init__(self, path: Path) -> None:
        self._file: BinaryIO | None = None
        self._size = 0
        with suppress(FileNotFoundError):
            self._file = path.open("rb")
            self._size = self._file.seek(0, 2)

    def __len__(self) -> int:
        return self._size

    def at(self, place: int, size: int) -> bytes:
        if self._file is None:
            return b""
        try:
            self._file.seek(place)
            return self._file.read(size)
        except OSError:
            return bytes(max(0, min(size, self._size - place)))

    def close(self) -> None:
        if self._file is not None:
            self._file.close()


def _sums(data: bytes, before: tuple[int, int], order: str) -> tuple[int, int]:
    """The log's checksum over some bytes and what came before."""
    one, other = before
    words = iter(struct.unpack(f"{order}{len(data) // 4}I", data))
    for first in words:
        one = (one + first + other) & 0xFFFFFFFF
        other = (other + next(words) + one) & 0xFFFFFFFF
    return one, other


def _cells(page: bytes, header: int) -> Iterator[int]:
    """Where the rows of a page begin."""
    count = struct.unpack(">H", page[3:5])[0]
    for place in range(header, min(header + 2 * count, PAGE - 1), 2):
        at = struct.unpack(">H", page[place : place + 2])[0]
        if at >= header:
            yield at


def _varint(data: bytes, at: int) -> tuple[int, int]:
    value = 0
    for place in range(9):
        byte = data[at + place]
        if place == 8:
            value = value << 8 | byte
            return (value - 2**64 if value >= 2**63 else value), at + 9
        value = value << 7 | byte & 0x7F
        if byte < 0x80:
            return value, at + place + 1
    raise ValueError


def _record(data: bytes) -> list[SqlValue]:
    """The values of a row."""
    size, at = _varint(data, 0)
    kinds, body = [], size
    while at < size:
        kind, at = _varint(data, at)
        kinds.append(kind)
    if len(kinds) > _MOST_COLUMNS:
        raise ValueError
    values: list[SqlValue] = []
    for kind in kinds:
        length = _length(kind)
        piece = data[body : body + length]
        if len(piece) != length:
            raise ValueError
        values.append(_value(kind, piece))
        body += length
    return values


def _length(kind: int) -> int:
    if kind >= 12:
        return (kind - 12) // 2
    return (0, 1, 2, 3, 4, 6, 8, 8, 0, 0)[kind]


def _value(kind: int, piece: bytes) -> SqlValue:
    if kind == 0:
        return None
    if kind in (8, 9):
        return kind - 8
    if kind == 7:
        return float(struct.unpack(">d", piece)[0])
    if kind < 7:
        return int.from_bytes(piece, "big", signed=True)
    return piece if kind % 2 == 0 else piece.decode()


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
    saved, lost, last, drafts = 0, 0, 0, list[NewEvent]()
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
) -> list[NewEvent]:
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


def _whole(values: list[SqlValue]) -> bool:
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


def _as_draft(db: sqlite3.Connection, entry: Entry) -> NewEvent:
    """A saved entry made ready, with the personal words that were saved."""
    rows: Iterable[tuple[bytes, str]] = (
        row
        for commitment in commitments_of(entry).values()
        for row in db.execute("SELECT salt, words FROM temp.saved WHERE commitment = ?", (commitment,))
    )
    private = tuple(Private(words, salt) for salt, words in rows)
    return NewEvent(entry.consultation, entry.at, entry.kind, entry.rules, entry.body, private)


def as_draft(db: sqlite3.Connection, entry: Entry) -> NewEvent:
    """An entry of one journal made ready for another, with the personal words that are still there."""
    private: tuple[Private, ...] = ()
    with suppress(sqlite3.DatabaseError, ValueError):
        private = tuple(Private(words, salt) for _, salt, words in private_of(db, entry))
    return NewEvent(entry.consultation, entry.at, entry.kind, entry.rules, entry.body, private)
