"""A second reading of a journal's pages, written apart from the program's: what a recovery tool could read at best.

SQLite file format (sqlite.org/fileformat2.html): every page that says it is a leaf of a table is taken at its word.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator

PAGE = 4096
Row = tuple[int, list[object]]


def number(data: bytes, at: int) -> tuple[int, int]:
    """A number of one to nine bytes, and where the next thing begins."""
    value = 0
    for count in range(9):
        if count == 8:
            return value << 8 | data[at + 8], at + 9
        value = value << 7 | data[at + count] & 127
        if data[at + count] < 128:
            return value, at + count + 1
    raise AssertionError


def rows(data: bytes) -> Iterator[Row]:
    """Each row of each leaf, with its number; what can't be read as one is left out."""
    for start in range(0, len(data), PAGE):
        page = data[start : start + PAGE].ljust(PAGE, b"\x00")
        first = 100 if start == 0 else 0
        if page[first] != 13:
            continue
        for cell in range(struct.unpack_from(">H", page, first + 3)[0]):
            try:
                (at,) = struct.unpack_from(">H", page, first + 8 + 2 * cell)
                size, at = number(page, at)
                key, at = number(page, at)
                yield key, list(values(payload(data, page, at, size)))
            except (IndexError, struct.error, ValueError, UnicodeDecodeError):
                continue


def payload(data: bytes, page: bytes, at: int, size: int) -> bytes:
    """A row's bytes, followed over its further pages."""
    if size <= PAGE - 35:
        return page[at : at + size]
    least = (PAGE - 12) * 32 // 255 - 23
    here = least + (size - least) % (PAGE - 4)
    here = least if here > PAGE - 35 else here
    found = page[at : at + here]
    (onward,) = struct.unpack_from(">I", page, at + here)
    while len(found) < size:
        further = data[(onward - 1) * PAGE : onward * PAGE]
        if not onward or len(further) < PAGE:
            raise ValueError("cut off")
        found += further[4 : 4 + size - len(found)]
        (onward,) = struct.unpack_from(">I", further, 0)
    return found


def values(data: bytes) -> Iterator[object]:
    """The values of a row: texts, bytes, whole numbers and nothing."""
    body, at = number(data, 0)
    end = body
    while at < end:
        kind, at = number(data, at)
        length = (kind - 12) // 2 if kind >= 12 else (0, 1, 2, 3, 4, 6, 8, 8, 0, 0)[kind]
        piece = data[body : body + length]
        if len(piece) < length:
            raise ValueError("too short")
        body += length
        if kind >= 13 and kind % 2:
            yield piece.decode()
        elif kind >= 12:
            yield piece
        else:
            yield {0: None, 8: 0, 9: 1}.get(kind, int.from_bytes(piece, "big", signed=True))
