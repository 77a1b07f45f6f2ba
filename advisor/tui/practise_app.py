"""`advisor practise` on a terminal: the screen of practice by itself."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from textual.screen import Screen

from advisor.model.problems import shown
from advisor.tui.base_app import forgive_bytes, no_colour
from advisor.tui.look import CSS as LOOK
from advisor.tui.practise_screen import PRACTICE_CSS, PractiseScreen
from advisor.tui.themes import ThemedApp

if TYPE_CHECKING:
    from advisor.practise.sitting import Sitting
    from advisor.tui.practise_desk import PracticeDesk

_BAD_INPUT = 2


class PractiseApp(ThemedApp):
    """Practice on a terminal. `farewell` is what is to be said once the terminal is as it was before."""

    TITLE = "advisor practise"
    CSS = LOOK + PRACTICE_CSS
    ENABLE_COMMAND_PALETTE = False

    def __init__(self, make: Callable[[], Sitting], without_colour: bool = False) -> None:
        super().__init__(ansi_color=True if without_colour else None)
        self.farewell = ""
        self.practice = PractiseScreen(make, self._done)

    def get_default_screen(self) -> Screen[str]:
        """The one screen."""
        return self.practice

    def _done(self, desk: PracticeDesk | None, problems: str) -> None:
        self.farewell = problems
        code = _BAD_INPUT if problems else 0
        self.exit(code, return_code=code)

    def _handle_exception(self, error: Exception) -> None:
        """The last net: leaves with plain words, never with a traceback."""
        if self.is_headless:
            super()._handle_exception(error)
            return
        found = shown(f"{type(error).__name__}: {error}", 200)
        self.farewell = f"The screen could not go on ({found}). `advisor practise --plain` asks the same in lines."
        self.exit(1, return_code=1)


def run_practice(sitting: Sitting) -> tuple[int, str]:
    """Practises on the full terminal; gives the exit code and what is to be said at the end."""
    forgive_bytes()
    app = PractiseApp(lambda: sitting, no_colour())
    code = app.run()
    return code if code is not None else app.return_code or 0, app.farewell
