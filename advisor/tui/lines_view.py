"""A widget that draws prepared lines and scrolls by itself: no markup, no child widgets, so length costs nothing."""

from __future__ import annotations

from collections.abc import Sequence

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.message import Message
from textual.strip import Strip
from textual.widget import Widget

from advisor.tui.look import in_mark
from advisor.tui.text_blocks import Line

WHEEL = 3


class LinesView(Widget, can_focus=False):
    """Lines drawn as they are, with a thin bar at the right where there is more than fits.

    `framed`: it stands beside the frame's edge, so what is seen is marked and no line is drawn for all of it.
    """

    ALLOW_SELECT = False

    class RowPicked(Message):
        """A line that stands for a row was clicked."""

        def __init__(self, view: LinesView, row: int) -> None:
            super().__init__()
            self.view = view
            self.row = row

        @property
        def control(self) -> LinesView:
            """The view in which the line stands."""
            return self.view

    class Scrolled(Message):
        """Another part is to be seen now."""

    class Resized(Message):
        """There is more or less room than before."""

    def __init__(self, id: str, framed: bool = False) -> None:
        super().__init__(id=id)
        self.framed = framed
        self.lines: Sequence[Line] = ()
        self.top = 0
        #: The lines that fit: as laid out, or as they will be once a change of height has been laid out.
        self.room = self._width = 0
        self._styles: dict[str, Style] = {}

    @property
    def text_width(self) -> int:
        """The columns that text may take."""
        return max(1, self.size.width - 2)

    @property
    def last_top(self) -> int:
        """The furthest line that can stand at the top."""
        return max(0, len(self.lines) - max(1, self.room))

    @property
    def more_below(self) -> bool:
        """Whether there is more to read further down."""
        return self.top < self.last_top

    def show(self, lines: Sequence[Line], top: int, room: int | None = None) -> None:
        """Shows lines from one of them on; `room` is how many will fit, where that is about to change."""
        self.lines = lines
        self.room = self.size.height if room is None else room
        self.top = max(0, min(top, self.last_top))
        self.refresh()

    def scroll_lines(self, step: int) -> None:
        """Moves on by a number of lines, back by a negative one."""
        top = max(0, min(self.top + step, self.last_top))
        if top != self.top:
            self.top = top
            self.refresh()
            self.post_message(self.Scrolled())

    def reveal(self, row: int, under: bool = False) -> None:
        """Moves just so far that the lines of a row can be seen; `under`: with those that stand under it."""
        places = [place for place, line in enumerate(self.lines) if line.row == row]
        if places:
            height = max(1, self.room)
            if under:
                later = (place for place, line in enumerate(self.lines) if place > places[-1] and line.row >= 0)
                places.append(min(next(later, len(self.lines)) - 1, places[0] + height - 1))
            self.top = max(min(self.top, places[0]), places[-1] - height + 1, 0)
            self.refresh()

    def render_line(self, y: int) -> Strip:
        """One line of the widget."""
        width, place = self.size.width, self.top + y
        base = self._style("")
        pieces = self.lines[place].pieces if 0 <= place < len(self.lines) else ()
        segments = [Segment(text, self._style(name)) for text, name in pieces if text]
        strip = Strip(segments).adjust_cell_length(max(0, width - 1), base)
        return Strip([*strip, self._bar(y)]) if width else strip

    def _bar(self, y: int) -> Segment:
        height, count = self.size.height, len(self.lines)
        if count <= height:
            return Segment(" ", self._style(""))
        size = max(1, height * height // count)
        start = (height - size) * self.top // max(1, self.last_top)
        sign, name = ("┃", "thumb") if start <= y < start + size else (" " if self.framed else "│", "bar")
        return Segment(sign, self._style(name))

    def _style(self, name: str) -> Style:
        """A style by name; kept until the look changes, since working it out costs more than drawing a line."""
        style = self._styles.get(name)
        if style is None:
            style = self._styles[name] = in_mark(self, name) if name else self.rich_style
        return style

    def notify_style_update(self) -> None:
        """The look changed."""
        self._styles.clear()
        super().notify_style_update()

    def on_resize(self) -> None:
        """Lets the lines be wrapped anew, unless they were for just this size."""
        fits = (self.size.width, self.size.height) == (self._width, self.room)
        self._width, self.room = self.size.width, self.size.height
        if not fits:
            self.post_message(self.Resized())

    def on_click(self, event: events.Click) -> None:
        """A click on a row picks it."""
        inside = event.get_content_offset(self)
        place = self.top + inside.y if inside is not None else -1
        if 0 <= place < len(self.lines) and self.lines[place].row >= 0:
            self.post_message(self.RowPicked(self, self.lines[place].row))

    def on_mouse_scroll_down(self, event: events.MouseScrollDown) -> None:
        """The wheel moves on."""
        event.stop()
        self.scroll_lines(WHEEL)

    def on_mouse_scroll_up(self, event: events.MouseScrollUp) -> None:
        """The wheel moves back."""
        event.stop()
        self.scroll_lines(-WHEEL)
