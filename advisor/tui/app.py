"""The Textual app: one screen, themes, the palette of commands, and a calm end whatever happens."""

from __future__ import annotations

import gc
from collections.abc import Callable, Iterable
from datetime import datetime
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual.app import SystemCommand
from textual.binding import Binding, BindingType
from textual.screen import Screen

from advisor.model.problems import shown
from advisor.tui.journal_worker import Beside
from advisor.tui.keymap import KEYS
from advisor.tui.look import CSS
from advisor.tui.main_screen import SCREENS, TalkScreen
from advisor.tui.themes import ThemedApp

if TYPE_CHECKING:
    from advisor.dialogue.session import Consultation
    from advisor.practise.sitting import Sitting
    from advisor.tui.presenter import Desk
    from advisor.tui.recording import ScreenRecording

BAD_INPUT = 2
_QUIT = next(key for key in KEYS if key.id == "quit")
_LIGHT = next(key for key in KEYS if key.id == "light")


class AdvisorApp(ThemedApp):
    """The consultation on a terminal. `farewell` is what is to be said once the terminal is as it was before."""

    TITLE = "advisor"
    CSS = CSS
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(_QUIT.key, "quit", _QUIT.label, id=_QUIT.id, tooltip=_QUIT.says, priority=True),
        Binding(_LIGHT.key, "light", _LIGHT.label, id=_LIGHT.id, tooltip=_LIGHT.says),
    ]

    def __init__(
        self,
        rules_name: str = "",
        no_colour: bool = False,
        record: Callable[[], ScreenRecording] | None = None,
        watch: bool = False,
        practise: Callable[[], Sitting] | None = None,
        page_of: Callable[[Consultation], str] | None = None,
    ) -> None:
        super().__init__(ansi_color=True if no_colour else None)
        self.rules_name, self.watch_rules = rules_name, watch
        self.make_practice, self.page_of = practise, page_of
        self.make_page: Callable[[str], tuple[str, ...]] | None = None
        self.farewell = ""
        self.beside = Beside(record)
        self.talk_screen = TalkScreen()

    def get_default_screen(self) -> Screen[None]:
        """The one screen."""
        self.talk_screen.suit(self.size)
        return self.talk_screen

    def on_mount(self) -> None:
        """Reads the rules once the first picture is on the terminal: when what laid it out is done."""
        self.talk_screen.screen_layout_refresh_signal.subscribe(self, self._laid_out, immediate=True)

    def _laid_out(self, screen: Screen[object]) -> None:
        self.talk_screen.screen_layout_refresh_signal.unsubscribe(self)
        self.call_later(self._begin)

    def _begin(self) -> None:
        self.run_worker(self._read_rules, thread=True, exit_on_error=False)

    def _read_rules(self) -> None:
        from advisor.tui.startup import open_desk, problems_in

        try:
            desk = open_desk(self.rules_name, datetime.now, self.watch_rules)
        except Exception as error:
            self.call_from_thread(self._stop, problems_in(error))
        else:
            self.call_later(self._show, desk)
            self._open_journal(desk)

    def _open_journal(self, desk: Desk) -> None:
        """Opens the journal once the first question shows."""
        if self.beside.open(desk):
            self.call_from_thread(self._keep_from_now, desk)

    def _keep_from_now(self, desk: Desk) -> None:
        desk.text = self.talk_screen.line.value
        if self.beside.begin(desk):
            self.talk_screen.show_desk()

    def _show(self, desk: Desk) -> None:
        desk.before = partial(self.beside.wait, desk)
        desk.make_practice, desk.page_of = self.make_practice, self.page_of
        desk.consultation.make_page = None if self.is_web else self.make_page
        self.talk_screen.desk = desk
        self.talk_screen.show_desk()
        self.talk_screen.call_after_refresh(self._shown)
        if desk.live is not None:
            from advisor.tui.live_reload import LiveView

            LiveView(self.talk_screen, desk, desk.live).begin()

    def _shown(self) -> None:
        if not self.is_headless:
            gc.freeze()  # what was loaded stays to the end: not to be looked through again and again
        gc.enable()
        self.beside.shown.set()

    def _stop(self, problems: str) -> None:
        self.farewell = problems
        self.exit(BAD_INPUT, return_code=BAD_INPUT)

    # Keys

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Keys of the app don't reach below another screen."""
        if action in ("quit", "light") and self.screen is not self.talk_screen:
            return False
        return self.talk_screen.can("light") if action == "light" else True

    async def action_quit(self) -> None:
        """Leaves; asks first when answers would be lost."""
        if self.talk_screen.desk is None:
            self.exit(0)
        else:
            self.talk_screen.ask_to_leave()

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """All that can be done now, for the palette; beside it nothing that a technician has no use for."""
        for key in KEYS:
            if screen is self.talk_screen and self.talk_screen.can(key.id) and key.id not in ("quit", "light"):
                of_desk = partial(self.talk_screen.action_desk, key.id)
                act = getattr(self.talk_screen, f"action_{key.id}") if key.id in SCREENS else of_desk
                yield SystemCommand(key.label, key.says, act)
        if self.talk_screen.can("light"):
            yield SystemCommand(_LIGHT.label, _LIGHT.says, self.action_light)
        if screen is self.talk_screen:
            yield SystemCommand(_QUIT.label, _QUIT.says, self.action_quit)
        else:
            yield from super().get_system_commands(screen)

    # Whatever happens

    def _handle_exception(self, error: Exception) -> None:
        """The last net: leaves with plain words and the answers so far, never with a traceback."""
        if self.is_headless:
            super()._handle_exception(error)
            return
        desk = self.talk_screen.desk
        found = shown(f"{type(error).__name__}: {error}", 200)
        self.farewell = f"The screen could not go on ({found}). `advisor --plain` asks the same in plain lines."
        if desk is not None and desk.answered:
            from advisor.dialogue.answer_list import so_far_lines

            self.farewell += "\nWhat was answered:\n" + "\n".join(so_far_lines(desk.consultation))
        self.exit(1, return_code=1)
