"""A screen with one view to read in: keys to read on and back, wrapped anew at each width, Esc goes back."""

from __future__ import annotations

from typing import ClassVar, Generic

from textual.binding import Binding, BindingType
from textual.screen import Screen, ScreenResultType

from advisor.tui.lines_view import LinesView


class ReadingScreen(Screen[ScreenResultType], Generic[ScreenResultType]):
    """A subclass says what its view shows (`show`) and gives `view` its place among the widgets."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "back"),
        Binding("pageup", "page(-1)", "up", show=False),
        Binding("pagedown", "page(1)", "down", show=False),
        Binding("up", "read(-1)", "up", show=False),
        Binding("down", "read(1)", "down", show=False),
    ]

    def __init__(self, view: str) -> None:
        super().__init__()
        self.view = LinesView(view)

    def show(self) -> None:
        """Shows what there is to read at the width there is."""
        raise NotImplementedError

    def on_lines_view_resized(self) -> None:
        """Wraps everything anew."""
        self.show()

    def action_leave(self) -> None:
        """Back to where it was called."""
        self.dismiss(None)

    def action_page(self, step: int) -> None:
        """Reads on by a screenful."""
        self.view.scroll_lines(step * max(1, self.view.size.height - 2))

    def action_read(self, step: int) -> None:
        """Reads on by a line."""
        self.view.scroll_lines(step)
