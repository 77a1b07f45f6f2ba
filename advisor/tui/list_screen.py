"""A screen with rows to pick from by the arrows, a digit or letter that stands before them, or a tap."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Generic

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen, ScreenResultType

from advisor.tui.keymap import KeyHint
from advisor.tui.lines_view import LinesView
from advisor.tui.status import KeysBar, Standing
from advisor.tui.text_blocks import Para, wrap

MOVE = KeyHint("down", "Up/Down", "move", "choose", "Move in the list.")
BACK = KeyHint("escape", "Esc", "leave", "back", "Back to where it was called.")


class ListScreen(Screen[ScreenResultType], Generic[ScreenResultType]):
    """A subclass says what each row shows (`paras`), what stands above, and what is given where a row is taken."""

    CSS = """
    ListScreen { layout: vertical; }
    #list-title { height: 1; width: 100%; color: $text-accent; text-style: bold; }
    #list-rows { width: 100%; height: 1fr; }
    #list-keys { background: $surface; color: $foreground; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "back"),
        Binding("up", "move(-1)", "up", show=False),
        Binding("down", "move(1)", "down", show=False),
        Binding("pageup", "move(-5)", "up", show=False),
        Binding("pagedown", "move(5)", "down", show=False),
        Binding("enter", "take", "take"),
    ]
    #: The keys shown below.
    hints: ClassVar[tuple[KeyHint, ...]] = (MOVE, BACK)

    def __init__(self) -> None:
        super().__init__()
        self.at = 0
        self.rows = LinesView("list-rows")
        self.title_bar = Standing("list-title")
        self.keys = KeysBar("list-keys")

    @property
    def count(self) -> int:
        """How many rows there are."""
        raise NotImplementedError

    def heading(self) -> str:
        """What stands above the rows."""
        raise NotImplementedError

    def paras(self, place: int, at: bool) -> Iterator[Para]:
        """The paragraphs of a row; `at`: the arrows stand there."""
        raise NotImplementedError

    def sign_of(self, place: int) -> str:
        """The sign by which a row is reached at once."""
        return str(place + 1)

    def take(self, place: int) -> None:
        """Takes a row."""
        raise NotImplementedError

    def compose(self) -> ComposeResult:
        """The widgets, from top to bottom."""
        yield self.title_bar
        yield self.rows
        yield self.keys

    def on_mount(self) -> None:
        """Shows the rows and the keys."""
        self.keys.show(self.hints)
        self.show()

    def on_lines_view_resized(self) -> None:
        """Wraps everything anew."""
        self.show()

    def show(self) -> None:
        """Shows the rows as they stand."""
        paras = (para for place in range(self.count) for para in self.paras(place, place == self.at))
        self.rows.show(wrap(paras, self.rows.text_width), self.rows.top)
        self.rows.reveal(self.at)
        self.title_bar.show(self.heading(), "more: PgDn" if self.rows.more_below else "")

    def move_to(self, place: int) -> None:
        """Stands at a row."""
        self.at = max(0, min(self.count - 1, place))
        self.show()

    def action_move(self, step: int) -> None:
        """Moves among the rows."""
        self.move_to(self.at + step)

    def action_take(self) -> None:
        """Takes the row at the arrows."""
        if self.count:
            self.take(self.at)

    def action_leave(self) -> None:
        """Back to where it was called."""
        self.dismiss(None)

    async def on_key(self, event: events.Key) -> None:
        """Stands at the row whose sign is typed; every other key is carried out on the spot, so that order is kept."""
        signs = [self.sign_of(place) for place in range(self.count)]
        bound = self.active_bindings.get(event.key)
        if event.character in signs:
            self.move_to(signs.index(event.character))
        elif bound is not None and bound.enabled:
            await self.app.run_action(bound.binding.action, bound.node)
        else:
            return
        event.stop()
        event.prevent_default()

    def on_lines_view_row_picked(self, event: LinesView.RowPicked) -> None:
        """A tap chooses; one on the chosen row takes it."""
        if event.row == self.at:
            self.take(self.at)
        else:
            self.move_to(event.row)

    def on_keys_bar_pressed(self, event: KeysBar.Pressed) -> None:
        """A tap on a key does the same as the key."""
        self.app.simulate_key(event.key.key)
