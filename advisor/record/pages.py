"""Reads a journal's rows off its pages one by one, where SQLite can't open the file or stops at what is damaged.

SQLite file format (sqlite.org/fileformat2.html): 1.5 and 1.6 b-tree pages, 2.1 the record, 4 the write-ahead log.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import BinaryIO

PAGE = 4096
_LEAF, _KEY_LEAF, _KEY_INNER = 0x0D, 0x0A, 0x02
_LOG_HEADER, _FRAME_HEADER = 32, 24
_LOG_MAGIC = (0x377F0682, 0x377F0683)
_MOST_COLUMNS, _LONGEST = 20, 64 * 2**20
Value = int | str | bytes | float | None


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

    def rows(self, number: int) -> Iterator[tuple[int, list[Value]]]:
        """The rows of a page of a table: number and values. A row that can't be read is left out."""
        page = self.page(number)
        for at in _cells(page, 8):
            try:
                size, at = _varint(page, at)
                key, at = _varint(page, at)
                yield key, _record(self._payload(page, at, size, PAGE - 35))
            except (IndexError, ValueError, struct.error):
                continue

    def keyed(self) -> Iterator[list[Value]]:
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


def _record(data: bytes) -> list[Value]:
    """The values of a row."""
    size, at = _varint(data, 0)
    kinds, body = [], size
    while at < size:
        kind, at = _varint(data, at)
        kinds.append(kind)
    if len(kinds) > _MOST_COLUMNS:
        raise ValueError
    values: list[Value] = []
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


def _value(kind: int, piece: bytes) -> Value:
    if kind == 0:
        return None
    if kind in (8, 9):
        return kind - 8
    if kind == 7:
        return float(struct.unpack(">d", piece)[0])
    if kind < 7:
        return int.from_bytes(piece, "big", signed=True)
    return piece if kind % 2 == 0 else piece.decode()
