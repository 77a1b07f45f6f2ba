"""Edits of the rules taken over while the consultation is on the screen: looked for often, read beside it, shown."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.model.problems import Problems

if TYPE_CHECKING:
    from advisor.dialogue.hot_reload import LiveRules
    from advisor.model.ruleset import RuleSet
    from advisor.tui.main_screen import TalkScreen
    from advisor.tui.presenter import Desk

_LOOK_EVERY_S = 1 / 30


class LiveView:
    """Watches the rules of a desk. While something else than the question is asked for, an edit waits."""

    def __init__(self, talk: TalkScreen, desk: Desk, live: LiveRules) -> None:
        self.talk, self.app, self.desk, self.live = talk, talk.app, desk, live
        self._reading = False
        self._waits: RuleSet | Problems | None = None

    def begin(self) -> None:
        """Looks from now on."""
        self.app.set_interval(_LOOK_EVERY_S, self._look)

    def _look(self) -> None:
        if self.desk.aside or self._reading:
            return
        if self._waits is not None:
            self._take(self._waits)
        elif self.live.watch.ready():
            self._reading = True
            self.app.run_worker(self._read, thread=True, exit_on_error=False)

    def _read(self) -> None:
        """Reads the files beside the screen."""
        loaded: RuleSet | Problems | None = None
        try:
            loaded = self.live.load()
        finally:
            self.app.call_from_thread(self._take, loaded)

    def _take(self, loaded: RuleSet | Problems | None) -> None:
        """Shows what came of it; while something else is asked for, it waits."""
        self._reading, desk = False, self.desk
        self._waits = loaded if desk.aside else None
        if desk.aside or loaded is None:
            return
        desk.text = self.talk.line.value
        try:
            if messages := self.live.take(loaded, desk.recorder):
                desk.tell(messages)
                desk.keep()
        except Exception as error:
            desk.trouble(error)
        self.talk.show_desk()
        self._show_work()

    def _show_work(self) -> None:
        """The work on a screen of its own follows; it closes where the rules leave no work to do."""
        from advisor.dialogue.work_steps import plan_of
        from advisor.tui.work_screen import WorkScreen

        if isinstance(self.app.screen, WorkScreen):
            if plan_of(self.desk.consultation):
                self.app.screen.show()
            else:
                self.app.screen.action_leave()
