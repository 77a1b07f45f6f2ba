"""A picture in a terminal: braille dots (or plain ASCII), words over and under it, sentences for it.

A character is taken as twice as high as wide, so that its two by four dots stand square and angles are true.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from advisor.tire.drawing import Label, Picture

_ROWS_UNSCALED = 11
_MOST_ROWS = 24
#: The bit of each dot of a braille character, by row and column (Unicode, block U+2800).
_BITS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
_ON: dict[str, tuple[int, int]] = {"solid": (1, 1), "thick": (1, 1), "dashed": (3, 5), "dotted": (1, 4)}


class Dots:
    """A sheet of dots, two by four to a character."""

    def __init__(self, columns: int, rows: int) -> None:
        self.columns, self.rows = columns, rows
        self._cells = [[0] * columns for _ in range(rows)]

    def dot(self, x: int, y: int) -> None:
        """Sets a dot; one off the sheet is left out."""
        if 0 <= x < self.columns * 2 and 0 <= y < self.rows * 4:
            self._cells[y // 4][x // 2] |= _BITS[y % 4][x % 2]

    def line(self, x1: float, y1: float, x2: float, y2: float, style: str) -> None:
        """Sets the dots of a line, a dot for each step of its longer way."""
        steps = max(1, math.ceil(max(abs(x2 - x1), abs(y2 - y1))))
        on, every = _ON[style]
        for step in range(steps + 1):
            if step % every >= on:
                continue
            x, y = x1 + (x2 - x1) * step / steps, y1 + (y2 - y1) * step / steps
            self.dot(round(x), round(y))
            if style == "thick":
                self.dot(round(x) + 1, round(y))

    def characters(self, ascii_only: bool) -> list[list[str]]:
        """The sheet as rows of characters."""
        shape = _plain if ascii_only else _braille
        return [[shape(cell) for cell in row] for row in self._cells]


class Frame:
    """Where mm come to lie on the sheet: as dots, or as a column and a row of characters."""

    def __init__(self, picture: Picture, columns: int) -> None:
        wide, tall = picture.right - picture.left, picture.bottom - picture.top
        self.columns = columns
        self.across = (columns * 2 - 1) / wide
        self.rows = _ROWS_UNSCALED
        if picture.to_scale:
            self.rows = min(_MOST_ROWS, max(2, math.ceil((tall * self.across + 1) / 4)))
        self.down = (self.rows * 4 - 1) / tall
        if picture.to_scale:
            self.across = self.down = min(self.across, self.down)
        self._left = picture.left - ((columns * 2 - 1) / self.across - wide) / 2
        self._top = picture.top

    def x(self, mm: float) -> float:
        """The dot column of a place."""
        return (mm - self._left) * self.across

    def y(self, mm: float) -> float:
        """The dot row of a place."""
        return (mm - self._top) * self.down

    def column(self, mm: float) -> int:
        """The character column of a place, on the sheet."""
        return min(self.columns - 1, max(0, round(self.x(mm)) // 2))

    def row(self, mm: float) -> int:
        """The character row of a place, on the sheet."""
        return min(self.rows - 1, max(0, round(self.y(mm)) // 4))


def terminal_lines(picture: Picture, columns: int = 80, ascii_only: bool = False) -> list[str]:
    """The picture and its sentences, no line longer than `columns` (40 at least), without trailing blanks."""
    return [*drawn_lines(picture, columns, ascii_only), "", *wrapped(picture.notes, max(40, columns))]


def drawn_lines(picture: Picture, columns: int = 80, ascii_only: bool = False) -> list[str]:
    """The picture alone: title, words above, dots, words below."""
    gutter = max((len(text) + 1 for _, text in picture.beside), default=0)
    frame = Frame(picture, max(40, columns) - gutter)
    rows = _sheet(picture, frame).characters(ascii_only)
    for spot in picture.spots:
        _write(rows[frame.row(spot.y)], frame.column(spot.x), spot.text)
    names = [" " * gutter] * len(rows)
    for y, text in picture.beside:
        names[frame.row(y)] = text.ljust(gutter)
    drawn = ["".join((name, *row)) for name, row in zip(names, rows, strict=True)]
    above = [" " * gutter + line for labels in picture.above for line in _words(frame, labels)]
    below = [" " * gutter + line for labels in picture.below for line in _words(frame, labels)]
    return [line.rstrip() for line in (picture.title, *above, *drawn, *below)]


def wrapped(sentences: Sequence[str], columns: int) -> list[str]:
    """Each sentence on lines of its own, broken at blanks."""
    lines = []
    for sentence in sentences:
        line = ""
        for word in (part for whole in sentence.split() for part in _pieces(whole, columns)):
            if line and len(line) + 1 + len(word) > columns:
                lines.append(line)
                line = word
            else:
                line = f"{line} {word}" if line else word
        lines.append(line)
    return lines


def _pieces(word: str, columns: int) -> list[str]:
    return [word[start : start + columns] for start in range(0, len(word), columns)]


def _sheet(picture: Picture, frame: Frame) -> Dots:
    sheet = Dots(frame.columns, frame.rows)
    for line in picture.lines:
        sheet.line(frame.x(line.x1), frame.y(line.y1), frame.x(line.x2), frame.y(line.y2), line.style)
    return sheet


def _write(row: list[str], column: int, text: str) -> None:
    start = max(0, min(column, len(row) - len(text)))
    row[start : start + len(text)] = list(text[: len(row)])


def _words(frame: Frame, labels: Sequence[Label]) -> list[str]:
    """A row of words; words that would run into others go to a row of their own."""
    rows: list[list[str]] = []
    for label in labels:
        size = len(label.text)
        if label.room is not None and size * 2 > label.room * frame.across:
            continue
        back = {"start": 0, "middle": (size - 1) // 2, "end": size - 1}[label.anchor]
        start = max(0, min(frame.column(label.x) - back, frame.columns - size))
        row = next((row for row in rows if _free(row, start, size)), None)
        if row is None:
            row = [" "] * frame.columns
            rows.append(row)
        row[start : start + size] = list(label.text)
    return ["".join(row) for row in rows]


def _free(row: list[str], start: int, size: int) -> bool:
    return all(character == " " for character in row[max(0, start - 1) : start + size + 1])


def _braille(cell: int) -> str:
    return chr(0x2800 + cell) if cell else " "


def _plain(cell: int) -> str:
    """The nearest ASCII sign: lying, standing or any other strokes."""
    if not cell:
        return " "
    used = [row for row, bits in enumerate(_BITS) if cell & (bits[0] | bits[1])]
    if len(used) == 1:
        return "_" if used[0] == 3 else "-"
    left, right = cell & 0x47, cell & 0xB8
    return "|" if not (left and right) else "+"
