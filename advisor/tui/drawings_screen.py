"""The drawings on a screen of their own, as wide as the terminal; what each shows stands under it in words."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen

from advisor.tui.lines_view import LinesView
from advisor.tui.presenter import Drawn
from advisor.tui.status import Sign
from advisor.tui.text_blocks import wrap

if TYPE_CHECKING:
    from advisor.drawings.scene import Names
    from advisor.tui.presenter import Desk

_KEYS_LINE = " Esc back   U mm or inches   Up/Down, PgUp/PgDn read"


class DrawScreen(Screen[None]):
    """Shows what can be drawn of a desk's consultation as it stands; changes nothing in it."""

    CSS = """
    DrawScreen { layout: vertical; }
    #draw-view { height: 1fr; width: 100%; }
    #draw-keys { height: 1; width: 100%; background: $surface; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,ctrl+g,q", "leave", "back"),
        Binding("u", "unit", "mm or inches"),
        Binding("pageup", "page(-1)", "up", show=False),
        Binding("pagedown,space", "page(1)", "down", show=False),
        Binding("up", "read(-1)", "up", show=False),
        Binding("down", "read(1)", "down", show=False),
    ]

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self.desk = desk
        self.drawn = Drawn()
        self.unit: Names | None = None
        self.view = LinesView("draw-view")

    def compose(self) -> ComposeResult:
        """The drawings, and the keys."""
        yield self.view
        yield Sign(_KEYS_LINE, "draw-keys")

    def on_lines_view_resized(self) -> None:
        """Draws anew at the new width."""
        self.show_drawings(0)

    def show_drawings(self, top: int) -> None:
        """Shows the drawings from a line on."""
        width = self.view.text_width
        self.view.show(wrap(self.drawn.paras(self.desk, width, self.unit), width), top)

    def action_leave(self) -> None:
        """Back to where it was called."""
        self.dismiss(None)

    def action_unit(self) -> None:
        """Writes lengths in the other unit."""
        from advisor.drawings.selection import unit_typed

        consultation = self.desk.consultation
        now = self.unit or unit_typed(consultation.judgement, consultation.judge)
        self.unit = "mm" if now == "in" else "in"
        self.show_drawings(self.view.top)

    def action_page(self, step: int) -> None:
        """Reads on by a screenful."""
        self.view.scroll_lines(step * max(1, self.view.size.height - 2))

    def action_read(self, step: int) -> None:
        """Reads on by a line."""
        self.view.scroll_lines(step)
