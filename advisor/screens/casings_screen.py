"""The screen to look through the recorded casings: search as you type, and a casing's history on a page of its own."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.screen import Screen
from textual.widgets import Input

from advisor.engine.judge import Judge
from advisor.errors import shown
from advisor.record.finding import found_by
from advisor.record.reading import Summary
from advisor.record.store import UNUSABLE, Connection
from advisor.screens.answer_line import AnswerLine
from advisor.screens.bars import KeysBar, Sign, Standing
from advisor.screens.casings_view import heading, list_rows, page_of
from advisor.screens.key_help import Key
from advisor.screens.lines import Para, wrap
from advisor.screens.view import LinesView

MOST_LISTED = 500
HINT = "number, casing, plate, day, verdict, technician, or any word noted"
_OPEN = Key("enter", "Enter", "open", "history", "The history of the casing at the arrow.")
_MOVE = Key("down", "Up/Down", "move", "choose", "Move in the list.")
_BACK = Key("escape", "Esc", "back", "back", "Empty the line, or leave this screen.")
_TAKE = Key("f4", "F4", "take", "this tire is that casing", "Put the open consultation under this casing.")
_READ = Key("pagedown", "PgUp/PgDn", "read", "read", "Read on.")

CSS = """
CasingsScreen, CasingPage { layout: vertical; }
CasingsScreen #found, CasingPage #page { width: 100%; height: 1fr; }
#casings-title, #page-title { height: 1; width: 100%; color: $text-accent; text-style: bold; }
#columns { height: 1; width: 100%; color: $foreground 75%; }
#casings-entry { layout: horizontal; height: 1; }
#casings-sign { width: 6; height: 1; color: $text-accent; text-style: bold; }
#casings-line { width: 1fr; height: 1; background: $background; }
#casings-line:focus { background: $background; background-tint: $foreground 0%; }
#casings-line > .input--placeholder { color: $foreground 60%; }
#casings-line > .input--cursor { background: $background; color: $foreground; text-style: reverse; }
#casings-keys, #page-keys { height: 1; background: $surface; color: $foreground; }
#casings-keys > .keys--key, #page-keys > .keys--key { color: $text-accent; text-style: bold; }
"""

Take = Callable[[str], None]


class CasingsScreen(Screen[None]):
    """The list found by the words in the line. `take` puts an open consultation under a casing; None without one."""

    CSS = CSS
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "back", "back")]

    def __init__(self, db: Connection, judge: Callable[[], Judge], words: str = "", take: Take | None = None) -> None:
        super().__init__()
        self.db, self.judge, self.take = db, judge, take
        self.words = words
        self.found: list[Summary] = []
        self.at = 0
        self.rows = LinesView("found")
        self.title_bar = Standing("casings-title")
        self.columns = Sign("", "columns")
        self.line = AnswerLine(self, "casings-line")
        self.line.placeholder = HINT
        self.keys = KeysBar("casings-keys")

    def compose(self) -> ComposeResult:
        """The widgets, from top to bottom."""
        yield self.title_bar
        yield Horizontal(Sign("Find: ", "casings-sign"), self.line, id="casings-entry")
        yield self.columns
        yield self.rows
        yield self.keys

    def on_mount(self) -> None:
        """Begins with the words given, or with the latest."""
        self.line.focus()
        self.line.hold(self.words)
        self.keys.show([_MOVE, _OPEN, _BACK])
        self.search()

    def on_lines_view_resized(self) -> None:
        """Arranges the columns anew."""
        self.show_found()

    def on_input_changed(self, event: Input.Changed) -> None:
        """Searches as the words are typed."""
        event.stop()
        self.search()

    def search(self) -> None:
        """Finds what the words in the line fit."""
        try:
            self.found = found_by(self.db, [self.line.value], MOST_LISTED)
            count = len(self.found)
            says = f"{count} found" if self.line.value.strip() else f"the latest {count}"
            more = f"the latest {MOST_LISTED} are shown; more words narrow it down" if count >= MOST_LISTED else ""
        except UNUSABLE as error:
            self.found, says, more = [], f"the journal can't be read ({shown(str(error), 80)})", ""
        self.at = 0
        self.title_bar.show(f"Recorded casings: {says}", more)
        self.show_found()

    def show_found(self) -> None:
        """Shows the list."""
        width = self.rows.text_width
        self.columns.text = f"  {heading(max(1, width - 2))}"
        self.columns.refresh()
        if self.found:
            self.rows.show(list_rows(self.found, self.at, width), self.rows.top)
            self.rows.reveal(self.at)
        else:
            self.rows.show(wrap([Para("Nothing in the journal fits these words.", "quiet", indent=2)], width), 0)

    def action_move(self, step: int) -> None:
        """Moves in the list."""
        if self.found:
            self.at = max(0, min(len(self.found) - 1, self.at + step))
            self.show_found()

    def action_page(self, step: int) -> None:
        """Moves in the list by a screenful."""
        self.action_move(step * max(1, self.rows.size.height - 1))

    def action_back(self) -> None:
        """Empties the line, or leaves."""
        if self.line.value:
            self.line.hold("")
        else:
            self.leave()

    def leave(self) -> None:
        """Leaves the screen."""
        if self.take is None:
            self.app.exit(0)
        else:
            self.dismiss(None)

    def take_enter(self) -> None:
        """Opens the page of the casing at the arrow."""
        if self.found:
            self.app.push_screen(CasingPage(self.db, self.found[self.at], self.judge(), self.take), self._taken)

    def _taken(self, casing: str | None) -> None:
        if casing and self.take is not None:
            self.take(casing)
            self.dismiss(None)

    def take_space(self) -> bool:
        """A space is a word to search for."""
        return False

    def take_too_long(self, text: str) -> None:
        """A paste as long as that names no casing."""

    def on_lines_view_row_picked(self, event: LinesView.RowPicked) -> None:
        """A click chooses; one on the chosen row opens it."""
        if event.row == self.at:
            self.take_enter()
        self.at = event.row
        self.show_found()

    def on_keys_bar_pressed(self, event: KeysBar.Pressed) -> None:
        """A click on a key does the same as the key."""
        self.app.simulate_key(event.key.key)


class CasingPage(Screen[str]):
    """One casing's history. Gives the casing's name when it was taken for the open consultation."""

    CSS = CSS
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,backspace,enter,q", "leave", "back"),
        Binding("f4", "take", "take"),
        Binding("up", "read(-1)", "up"),
        Binding("down", "read(1)", "down"),
        Binding("pageup", "page(-1)", "page up"),
        Binding("pagedown,space", "page(1)", "page down"),
        Binding("home", "page(-9999)", "to the top"),
        Binding("end", "page(9999)", "to the end"),
    ]

    def __init__(self, db: Connection, chosen: Summary, judge: Judge, take: Take | None) -> None:
        super().__init__()
        self.db, self.chosen, self.judge, self.can_take = db, chosen, judge, take is not None and bool(chosen.casing)
        self.page = LinesView("page")
        self.title_bar = Standing("page-title")
        self.keys = KeysBar("page-keys")

    def compose(self) -> ComposeResult:
        """The widgets, from top to bottom."""
        yield self.title_bar
        yield self.page
        yield self.keys

    def on_mount(self) -> None:
        """Shows the keys; the page itself comes once its width is known."""
        self.keys.show([_READ, *([_TAKE] if self.can_take else []), _BACK])

    def on_lines_view_resized(self) -> None:
        """Draws the page at this width."""
        width = self.page.text_width
        try:
            self.page.show(wrap(page_of(self.db, self.chosen, self.judge, width), width), self.page.top)
        except UNUSABLE as error:
            self.page.show(wrap([Para(f"The journal can't be read ({shown(str(error), 80)}).", "wrong")], width), 0)
        self._show_place()

    def _show_place(self) -> None:
        name = shown(self.chosen.casing or self.chosen.id, 60)
        self.title_bar.show(f"History of {name}", "more: PgDn" if self.page.more_below else "")

    def on_lines_view_scrolled(self) -> None:
        """Says whether there is more to read."""
        self._show_place()

    def action_read(self, step: int) -> None:
        """Reads on by a line."""
        self.page.scroll_lines(step)

    def action_page(self, step: int) -> None:
        """Reads on by a screenful."""
        self.page.scroll_lines(step * max(1, self.page.size.height - 2))

    def action_take(self) -> None:
        """Puts the open consultation under this casing."""
        if self.can_take:
            self.dismiss(self.chosen.casing)

    def action_leave(self) -> None:
        """Back to the list."""
        self.dismiss("")

    def on_keys_bar_pressed(self, event: KeysBar.Pressed) -> None:
        """A click on a key does the same as the key."""
        self.app.simulate_key(event.key.key)
