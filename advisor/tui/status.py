"""The lines round the input: what the case could end as, what is wrong with the line, and the keys that work now."""

from __future__ import annotations

from collections.abc import Sequence

from rich.cells import cell_len
from rich.segment import Segment
from textual import events
from textual.message import Message
from textual.strip import Strip
from textual.widget import Widget

from advisor.model.problems import shown
from advisor.tui.keymap import SPARED, KeyHint
from advisor.tui.look import in_mark
from advisor.tui.text_blocks import Para, wrap

MOST_COMPLAINT_LINES = 4
#: On a screen lower than this the keys take one row; the others are found in the palette.
HIGH = 30
ALL_KEYS = KeyHint("ctrl+p", "^P", "palette", "all", "All that can be done, to search in.")


class Standing(Widget, can_focus=False):
    """One line: what the case could still end as, and at its right whether there is more to read.

    `framed`: it is the lower edge of the frame above it.
    """

    def __init__(self, id: str, framed: bool = False) -> None:
        super().__init__(id=id)
        self._ends = ("╰", "╯") if framed else ("", "")
        self._left = self._right = ""

    def show(self, left: str, right: str) -> None:
        """Shows the two texts; the left one in short where there is not room for both, then alone."""
        if (left, right) != (self._left, self._right):
            self._left, self._right = left, right
            self.refresh()

    @property
    def text(self) -> str:
        """What it says."""
        return f"{self._left}  {self._right}".strip()

    def render_line(self, y: int) -> Strip:
        """The line, filled up with a rule."""
        width = max(0, self.size.width - sum(map(len, self._ends)))
        left, right = _ruled(self._ends[0], shown(self._left), shown(self._right), width)
        gap = max(0, width - cell_len(left) - cell_len(right))
        edge, (first, last) = self.rich_style, self._ends
        words = Strip([Segment(f"{left}{'─' * gap}{right}", edge)]).adjust_cell_length(width, edge)
        return Strip([Segment(first, edge), *words, Segment(last, edge)])


def _ruled(frame: str, left: str, right: str, width: int) -> tuple[str, str]:
    """The texts at the two ends of a line, as much of them as there is room for."""
    lead, short = "─" if frame else "──", left.rpartition(": ")[2].replace(" or ", ", ")
    tail = f" {right} ─" if right else ""
    ways = ((f"{lead} {left} ", tail), (f"{lead} {short} ", tail), (f"{left} ", ""))
    fits = (way for way in ways if cell_len(way[0]) + cell_len(way[1]) <= width)
    return next(fits, (short, ""))


class Sign(Widget, can_focus=False):
    """A few fixed signs."""

    def __init__(self, text: str, id: str) -> None:
        super().__init__(id=id)
        self.text = text

    def render_line(self, y: int) -> Strip:
        """The signs."""
        return Strip([Segment(self.text, self.rich_style)]).adjust_cell_length(self.size.width, self.rich_style)


class Complaint(Widget, can_focus=False):
    """What is wrong with the line as typed; takes no room when nothing is."""

    def __init__(self, id: str) -> None:
        super().__init__(id=id)
        self._lines: tuple[str, ...] = ()
        self._drawn: list[str] = []
        self.display = False

    @property
    def text(self) -> str:
        """What it says."""
        return " ".join(self._lines)

    @property
    def rows(self) -> int:
        """The lines that it takes."""
        return len(self._drawn)

    def show(self, lines: tuple[str, ...]) -> None:
        """Shows what is wrong."""
        if lines == self._lines:
            return
        self._lines = lines
        self.display = bool(lines)
        self._wrap(self.size.width or self.app.size.width)

    def on_resize(self, event: events.Resize) -> None:
        """Wraps anew."""
        self._wrap(event.size.width)

    def _wrap(self, width: int) -> None:
        paras = [Para(line, lead="! " if place == 0 else "  ") for place, line in enumerate(self._lines)]
        self._drawn = [line.text for line in wrap(paras, max(1, width - 1))][:MOST_COMPLAINT_LINES]
        if self._drawn:
            self.styles.height = len(self._drawn)
        self.refresh()

    def render_line(self, y: int) -> Strip:
        """One line of the complaint."""
        text = self._drawn[y] if y < len(self._drawn) else ""
        return Strip([Segment(text, self.rich_style)]).adjust_cell_length(self.size.width, self.rich_style)


class KeysBar(Widget, can_focus=False):
    """The keys that work now, and only those; a click does the same as the key.

    `palette`: on a low screen those that are seldom needed are left to the palette, whose key stands there then.
    """

    class Pressed(Message):
        """A key was clicked."""

        def __init__(self, key: KeyHint) -> None:
            super().__init__()
            self.key = key

    def __init__(self, id: str, palette: bool = False) -> None:
        super().__init__(id=id)
        self.palette = palette
        self._keys: Sequence[KeyHint] = ()
        self._rows: list[list[KeyHint]] = []

    @property
    def rows(self) -> int:
        """The lines that it takes."""
        return len(self._rows)

    @property
    def text(self) -> str:
        """What it says."""
        return "  ".join(f"{key.written} {key.label}" for key in self._keys)

    def show(self, keys: Sequence[KeyHint]) -> None:
        """Shows keys."""
        if keys != self._keys:
            self._keys = keys
            self._arrange(self.size.width or self.app.size.width)

    def on_resize(self, event: events.Resize) -> None:
        """Arranges the keys anew."""
        self._arrange(event.size.width)

    def _arrange(self, width: int) -> None:
        keys = self._keys
        if self.palette and self.app.size.height < HIGH:
            keys = _in_one_row(keys, width - 1)
        self._rows = _in_rows(keys, width)
        self.styles.height = len(self._rows)
        self.refresh()

    def render_line(self, y: int) -> Strip:
        """One line of keys."""
        base = self.rich_style
        strong = in_mark(self, "key")
        segments = [Segment(" ", base)]
        for key in self._rows[y] if y < len(self._rows) else ():
            segments += [Segment(key.written, strong), Segment(f" {key.label}  ", base)]
        return Strip(segments).adjust_cell_length(self.size.width, base)

    def on_click(self, event: events.Click) -> None:
        """Finds the key under the pointer."""
        place = 1
        for key in self._rows[event.y] if 0 <= event.y < len(self._rows) else ():
            if place <= event.x < place + _cells(key):
                self.post_message(self.Pressed(key))
                return
            place += _cells(key)


def _in_one_row(keys: Sequence[KeyHint], width: int) -> Sequence[KeyHint]:
    """All keys where they fit, else without those spared first, and ahead of the last one that of the palette."""
    cells = {key.id: _cells(key) for key in keys}
    left = sum(cells.values())
    if left <= width or not keys:
        return keys
    left += _cells(ALL_KEYS)
    spared = set()
    for id in SPARED:
        if left > width and id in cells:
            left -= cells[id]
            spared.add(id)
    *some, last = keys
    return [*(key for key in some if key.id not in spared), ALL_KEYS, last]


def _in_rows(keys: Sequence[KeyHint], width: int) -> list[list[KeyHint]]:
    rows: list[list[KeyHint]] = [[]]
    used = 1
    for key in keys:
        if rows[-1] and used + _cells(key) > width:
            rows.append([])
            used = 1
        rows[-1].append(key)
        used += _cells(key)
    return rows


def _cells(key: KeyHint) -> int:
    return cell_len(key.written) + cell_len(key.label) + 3
