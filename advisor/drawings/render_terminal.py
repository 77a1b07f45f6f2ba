"""A picture in a terminal: braille dots (or plain ASCII), words over and under it, sentences for it.

A character is taken as twice as high as wide, so that its two by four dots stand square and angles are true.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from advisor.drawings.labels import Box, Named, placed
from advisor.drawings.outlines import crossing
from advisor.drawings.scene import Fill, Label, Name, Picture, SceneSpan

#: No picture is narrower; with its sentences, 40 at least.
LEAST_COLUMNS = 30
_ROWS_UNSCALED = 13
_MOST_ROWS = 16
#: The bit of each dot of a braille character, by row and column (Unicode, block U+2800).
_BITS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
_ON: dict[str, tuple[int, int]] = {"solid": (1, 1), "thick": (1, 1), "thin": (1, 2), "dashed": (3, 5), "dotted": (1, 4)}
#: A filled shape is dotted on a grid so coarse that lines in it still show; where two overlap it is closer.
_FILL_STEP, _CROSS_STEP = 6, 2
#: A thing of more rows than this has its name inside its outline, not on it.
_LOW = 4
_TICKS = ("├", "┤", "┼", "|")


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

    def fill(self, corners: Sequence[tuple[float, float]], step: int) -> None:
        """Sets every dot of a slanting grid that lies in a convex shape."""
        top, bottom = (round(end(y for _, y in corners)) for end in (min, max))
        for y in range(max(0, top + top % 2), min(bottom, self.rows * 4 - 1) + 1, 2):
            row = crossing(corners, y)
            if row is None:
                continue
            shift = (y // 2) * (step // 2) % step
            left, right = math.ceil(row[0]), math.floor(row[1])
            for x in range(left + (shift - left) % step, right + 1, step):
                self.dot(x, y)

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
    return [*drawn_lines(picture, columns, ascii_only), "", *wrapped_label(picture.notes, max(40, columns))]


def drawn_lines(picture: Picture, columns: int = 80, ascii_only: bool = False, least: int = LEAST_COLUMNS) -> list[str]:
    """The picture alone: title, words above, dots, words below."""
    gutter = max((len(text) + 1 for _, text in picture.beside), default=0)
    frame = Frame(picture, max(least, columns) - gutter)
    rows = _sheet(picture, frame).characters(ascii_only)
    _write_names(rows, frame, picture, ascii_only)
    names = [" " * gutter] * len(rows)
    for y, text in picture.beside:
        names[frame.row(y)] = text.ljust(gutter)
    drawn = ["".join((name, *row)) for name, row in zip(names, rows, strict=True)]
    above, below = (
        [" " * gutter + line for items in each for line in _words(frame, items, ascii_only)]
        for each in (picture.above, picture.below)
    )
    title = wrapped_label((picture.title,), max(LEAST_COLUMNS, columns))
    return [line.rstrip() for line in (*title, *above, *drawn, *below)]


def wrapped_label(sentences: Sequence[str], columns: int) -> list[str]:
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
    for fill in picture.fills:
        sheet.fill(_on_sheet(fill, frame), _CROSS_STEP if fill.crossed else _FILL_STEP)
    for line in picture.lines:
        sheet.line(frame.x(line.x1), frame.y(line.y1), frame.x(line.x2), frame.y(line.y2), line.style)
    return sheet


def _on_sheet(fill: Fill, frame: Frame) -> list[tuple[float, float]]:
    return [(frame.x(x), frame.y(y)) for x, y in fill.corners]


def _write_names(rows: list[list[str]], frame: Frame, picture: Picture, ascii_only: bool) -> None:
    """Marks first, an outer end before an inner one; then each name where it covers none of them."""
    cells: dict[tuple[int, int], str] = {}
    for spot in sorted(picture.spots, key=lambda each: each.mark != "x"):
        cells.setdefault((frame.column(spot.x), frame.row(spot.y)), spot.mark)
    marks: list[Box] = [(x, y, x + 1, y + 1) for x, y in cells]
    texts = [name.text.replace("°", " deg") if ascii_only else name.text for name in picture.named]
    things = [
        Named(_cells(frame, name), len(text), 1, name.left_first)
        for name, text in zip(picture.named, texts, strict=True)
    ]
    for (x, y), mark in cells.items():
        rows[y][x] = mark
    places = placed(things, marks, (0, 0, frame.columns, frame.rows), 0)
    for text, (left, top, _, _) in zip(texts, places, strict=True):
        start, row = max(0, math.floor(left)), math.floor(top)
        rows[row][start : start + len(text)] = text[: frame.columns - start]


def _cells(frame: Frame, name: Name) -> Box:
    """The characters that a named thing takes, without those of its outline where it is large enough."""
    left, top, right, bottom = (
        frame.column(name.left),
        frame.row(name.top),
        frame.column(name.right) + 1,
        frame.row(name.bottom) + 1,
    )
    return (left, top + 1, right, bottom - 1) if bottom - top > _LOW else (left, top, right, bottom)


def _words(frame: Frame, items: Sequence[Label | SceneSpan], ascii_only: bool) -> list[str]:
    """A row of words; words that would run into others go to a row of their own. Dimensions may share an end."""
    rows: list[list[str]] = []
    for item in items:
        start, text = _spanned(frame, item, ascii_only) if isinstance(item, SceneSpan) else _labelled(frame, item)
        row = next((row for row in rows if _free(row, start, text)), None)
        if row is None:
            row = [" "] * frame.columns
            rows.append(row)
        for place, sign in enumerate(text, start):
            row[place] = "┼" if row[place] in "├┤" else sign
    return ["".join(row) for row in rows]


def _labelled(frame: Frame, label: Label) -> tuple[int, str]:
    size = len(label.text)
    if label.room is not None and size * 2 > label.room * frame.across:
        return 0, ""
    back = {"start": 0, "middle": (size - 1) // 2, "end": size - 1}[label.anchor]
    return max(0, min(frame.column(label.x) - back, frame.columns - size)), label.text[: frame.columns]


def _spanned(frame: Frame, span: SceneSpan, ascii_only: bool) -> tuple[int, str]:
    """A dimension as `├── 55 mm ──┤`; one too narrow for its words has them beside it."""
    left, right = sorted((frame.column(span.x1), frame.column(span.x2)))
    start, rule, end = "|-|" if ascii_only else "├─┤"
    room = right - left - 1
    text = f" {span.text} "
    if span.band and room < len(text):
        text = span.text if room >= len(span.text) else ""
    if room >= len(text):
        before = (room - len(text)) // 2
        return left, f"{start}{rule * before}{text}{rule * (room - len(text) - before)}{end}"
    short = f"{start}{rule * room}{end}" if room >= 0 else "|" if ascii_only else "│"
    if span.band:
        return left, short
    if left + len(short) + len(text) <= frame.columns:
        return left, f"{short} {span.text}"
    begin = max(0, left - len(text) + 1)
    return begin, f"{span.text} {short}"[: frame.columns - begin]


def _free(row: Sequence[str], start: int, text: str) -> bool:
    """Whether a text meets nothing in the row but the end of a dimension with its own end, and runs into nothing."""
    met = ((row[place], sign) for place, sign in enumerate(text, start) if row[place] != " ")
    if not all(there in _TICKS and sign in _TICKS for there, sign in met):
        return False
    before = row[start - 1] if start and text[:1] not in _TICKS else " "
    after = row[start + len(text)] if start + len(text) < len(row) and text[-1:] not in _TICKS else " "
    return before == after == " "


def _braille(cell: int) -> str:
    return chr(0x2800 + cell) if cell else " "


def _plain(cell: int) -> str:
    """The nearest ASCII sign: lying, standing or any other strokes; a lone dot of a filling is a dot."""
    if not cell:
        return " "
    used = [row for row, bits in enumerate(_BITS) if cell & (bits[0] | bits[1])]
    if cell.bit_count() == 1:
        return "."
    if len(used) == 1:
        return "_" if used[0] == 3 else "-"
    left, right = cell & 0x47, cell & 0xB8
    return "|" if not (left and right) else "+"
