"""`advisor casings` on a terminal: the screen to look through the recorded casings, by itself."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.screen import Screen

from advisor.engine.evaluator import Judge
from advisor.journal.store import Connection
from advisor.model.problems import shown
from advisor.tui.base_app import forgive_bytes, no_colour
from advisor.tui.casings_screen import LIST_CSS, CasingsScreen
from advisor.tui.look import CSS as LOOK
from advisor.tui.themes import ThemedApp


class CasingsApp(ThemedApp):
    """The list of casings on a terminal. `farewell` is what is to be said once the terminal is as it was before."""

    TITLE = "advisor casings"
    CSS = LOOK + LIST_CSS
    ENABLE_COMMAND_PALETTE = False
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+q", "quit", "quit", priority=True),
        Binding("f10", "light", "light/dark"),
    ]

    def __init__(self, db: Connection, judge: Callable[[], Judge], words: str, without_colour: bool = False) -> None:
        super().__init__(ansi_color=True if without_colour else None)
        self.farewell = ""
        self.casings = CasingsScreen(db, judge, words)

    def get_default_screen(self) -> Screen[None]:
        """The list."""
        return self.casings

    def _handle_exception(self, error: Exception) -> None:
        """The last net: leaves with plain words, never with a traceback."""
        if self.is_headless:
            super()._handle_exception(error)
            return
        found = shown(f"{type(error).__name__}: {error}", 200)
        self.farewell = f"The screen could not go on ({found}). `advisor casings --plain` gives plain lines."
        self.exit(1, return_code=1)


def run_casings(db: Connection, judge: Callable[[], Judge], words: str) -> tuple[int, str]:
    """Looks through a journal on the full terminal; gives the exit code and what is to be said at the end."""
    forgive_bytes()
    app = CasingsApp(db, judge, words, no_colour())
    code = app.run()
    return code if code is not None else app.return_code or 0, app.farewell
