"""The drawings on a screen of their own, as wide as the terminal; what each shows stands under it in words."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType

from advisor.tui.presenter import Drawn
from advisor.tui.reading_screen import ReadingScreen
from advisor.tui.status import Sign
from advisor.tui.text_blocks import wrap

if TYPE_CHECKING:
    from advisor.drawings.scene import Names
    from advisor.tui.presenter import Desk

_KEYS_LINE = " Esc back   U mm or inches   Up/Down, PgUp/PgDn read"


class DrawScreen(ReadingScreen[None]):
    """Shows what can be drawn of a desk's consultation as it stands; changes nothing in it."""

    CSS = """
    DrawScreen { layout: vertical; }
    #draw-view { height: 1fr; width: 100%; }
    #draw-keys { height: 1; width: 100%; background: $surface; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+g,q", "leave", "back"),
        Binding("u", "unit", "mm or inches"),
        Binding("space", "page(1)", "down", show=False),
    ]

    def __init__(self, desk: Desk) -> None:
        super().__init__("draw-view")
        self.desk = desk
        self.drawn = Drawn()
        self.unit: Names | None = None

    def compose(self) -> ComposeResult:
        """The drawings, and the keys."""
        yield self.view
        yield Sign(_KEYS_LINE, "draw-keys")

    def show(self, top: int = 0) -> None:
        """Shows the drawings from a line on."""
        width = self.view.text_width
        self.view.show(wrap(self.drawn.paras(self.desk, width, self.unit), width), top)

    def action_unit(self) -> None:
        """Writes lengths in the other unit."""
        from advisor.drawings.selection import unit_typed

        consultation = self.desk.consultation
        now = self.unit or unit_typed(consultation.judgement, consultation.judge)
        self.unit = "mm" if now == "in" else "in"
        self.show(self.view.top)
