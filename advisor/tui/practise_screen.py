"""The screen of practice: the tire's order and facts beside what is asked now; then both verdicts side by side."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.screen import Screen

from advisor.model.problems import Problems, shown
from advisor.tui.answer_input import AnswerLine
from advisor.tui.keymap import KeyHint
from advisor.tui.lines_view import LinesView
from advisor.tui.look import WIDE
from advisor.tui.practise_desk import MADE_UP, MAKING, PracticeDesk, help_paras, learned_paras
from advisor.tui.reading_screen import ReadingScreen
from advisor.tui.status import Complaint, KeysBar, Sign, Standing
from advisor.tui.text_blocks import Para, wrap
from advisor.tui.themes import DARK, LIGHT

if TYPE_CHECKING:
    from advisor.practise.sitting import Round, Sitting
    from advisor.wording.messages import Message

#: From this width the facts stand beside what is asked, below it above.
TWO_PANES = 76
PRACTICE_KEYS = (
    KeyHint("f1", "F1", "help", "help", "The keys that work now, and what can be typed."),
    KeyHint("f4", "F4", "decide", "decide", "Say your own verdict; nothing of the rules' answer shows before."),
    KeyHint("f5", "F5", "back", "back", "Take the last thing said back; from the verdict back to looking."),
    KeyHint("f6", "F6", "twin", "near twin", "The same tire but for one thing."),
    KeyHint("ctrl+g", "^G", "draw", "draw", "What was measured, drawn; with the limits once the rules have answered."),
    KeyHint("f7", "F7", "learned", "learned", "What was learned, by ruling and limit, and what is due."),
    KeyHint("escape", "Esc", "leave", "leave", "Leave practice; asks first where a tire is in hand."),
)
_LIGHT = KeyHint("f10", "F10", "light", "light/dark", "Change between light and dark.")
_READ = (
    ("PgUp, PgDn", "read further up or down"),
    ("Up, Down", "move among the rows; without rows, read on"),
    ("Space", "mark a row where several can be taken"),
    ("Enter", "take what is typed, else the row or the marks"),
    ("F10", _LIGHT.says),
)
PAGE_KEYS = (KeyHint("pagedown", "PgUp/PgDn", "read", "read", ""), KeyHint("escape", "Esc", "back", "back", ""))

PRACTICE_CSS = """
PractiseScreen { layout: vertical; }
#practice-title, #practice-standing { height: 1; width: 100%; color: $text-accent; text-style: bold; }
#practice-body { layout: horizontal; height: 1fr; min-height: 1; }
#practice-told { width: 1fr; height: 100%; }
#practice-asked { width: 1fr; height: 100%; border-left: solid $foreground 30%; }
PractiseScreen.-one-pane #practice-asked { border-left: none; }
PractiseScreen.-narrow #practice-body { layout: vertical; }
PractiseScreen.-narrow #practice-told { width: 100%; height: 2fr; }
PractiseScreen.-narrow #practice-asked { width: 100%; height: 3fr; border-left: none;
                                         border-top: solid $foreground 30%; }
PractiseScreen.-narrow.-one-pane #practice-asked { border-top: none; }
#practice-entry { layout: horizontal; height: 1; }
#practice-sign { width: 2; height: 1; color: $text-accent; text-style: bold; }
#practice-line { width: 1fr; height: 1; background: $background; }
#practice-line:focus { background: $background; background-tint: $foreground 0%; }
#practice-line > .input--placeholder { color: $foreground 60%; }
#practice-line > .input--cursor { background: $background; color: $foreground; text-style: reverse; }
#practice-complaint { height: 1; max-height: 4; color: $text-error; text-style: bold; }
#practice-keys { height: 1; background: $surface; color: $foreground; }
"""


class PracticePage(ReadingScreen[None]):
    """Something to read beside the tire in hand: help, drawings, what was learned. Esc goes back."""

    CSS = """
    PracticePage { layout: vertical; }
    #practice-page-title { height: 1; width: 100%; color: $text-accent; text-style: bold; }
    #practice-page { height: 1fr; width: 100%; }
    #practice-page-keys { height: 1; width: 100%; background: $surface; color: $foreground; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter,q", "leave", "back"),
        Binding("space", "page(1)", "down", show=False),
    ]

    def __init__(self, title: str, paras: Callable[[int], Iterable[Para]]) -> None:
        super().__init__("practice-page")
        self.title_bar, self.says, self.paras = Standing("practice-page-title"), title, paras
        self.keys = KeysBar("practice-page-keys")

    def compose(self) -> ComposeResult:
        """The widgets, from top to bottom."""
        yield self.title_bar
        yield self.view
        yield self.keys

    def on_mount(self) -> None:
        """Shows the keys."""
        self.keys.show(PAGE_KEYS)

    def show(self) -> None:
        """Shows the page at this width."""
        width = self.view.text_width
        self.view.show(wrap(self.paras(width), width), self.view.top)
        self.on_lines_view_scrolled()

    def on_lines_view_scrolled(self) -> None:
        """Says whether there is more to read."""
        self.title_bar.show(self.says, "more: PgDn" if self.view.more_below else "")

    def on_keys_bar_pressed(self, event: KeysBar.Pressed) -> None:
        """A click on a key does the same as the key."""
        self.app.simulate_key(event.key.key)


class PractiseScreen(Screen[str]):
    """Arranges a learner's desk on the terminal. `sitting` is made beside the screen; None leaves when it closes."""

    CSS = PRACTICE_CSS
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (TWO_PANES, "-beside"), (WIDE, "-wide")]  # noqa: RUF012
    BINDINGS: ClassVar[list[BindingType]] = [
        *(Binding(key.key, f"key('{key.id}')", key.label, tooltip=key.says) for key in PRACTICE_KEYS),
        Binding("ctrl+q", "key('leave')", "leave", show=False, priority=True),
        Binding(_LIGHT.key, "light", _LIGHT.label, show=False),
    ]

    def __init__(self, make: Callable[[], Sitting], done: Callable[[PracticeDesk | None, str], None] | None = None):
        """`make` gives the sitting, which can take a while; `done` is called where the screen stands alone."""
        super().__init__()
        self.make, self.done = make, done
        self.desk: PracticeDesk | None = None
        self.busy = False
        #: Enter was pressed before the sitting was ready: the first tire comes as soon as it is.
        self.enter_waits = False
        self.title_bar = Standing("practice-title")
        self.told, self.asked = LinesView("practice-told"), LinesView("practice-asked")
        self.line = AnswerLine(self, "practice-line")
        self.complaint = Complaint("practice-complaint")
        self.keys = KeysBar("practice-keys")
        self._page: object = None
        self._count = 0

    def compose(self) -> ComposeResult:
        """The widgets, from top to bottom."""
        yield self.title_bar
        yield Horizontal(self.told, self.asked, id="practice-body")
        yield Horizontal(Sign("> ", "practice-sign"), self.line, id="practice-entry")
        yield self.complaint
        yield self.keys

    def on_mount(self) -> None:
        """Makes the sitting beside the screen."""
        self.line.focus()
        self.title_bar.show(MADE_UP, "")
        self.keys.show([key for key in PRACTICE_KEYS if key.id == "leave"])
        self.told.display = False
        self.add_class("-one-pane")
        self.asked.lines = wrap([Para(MAKING, "quiet", indent=2)], 60)
        self.busy = True
        self.run_worker(self._open, thread=True, exit_on_error=False)

    def _open(self) -> None:
        try:
            sitting = self.make()
        except Exception as error:
            self.app.call_from_thread(self._close, _problem(error))
        else:
            self.app.call_from_thread(self._opened, sitting)

    def _opened(self, sitting: Sitting) -> None:
        self.desk, self.busy = PracticeDesk(sitting), False
        self.show_desk()
        if self.enter_waits:
            self.take_enter()

    def _close(self, says: str = "") -> None:
        if self.done is not None:
            self.done(self.desk, says)
        else:
            self.dismiss(says)

    def on_lines_view_resized(self) -> None:
        """Wraps everything anew."""
        self.show_desk()

    # Showing

    def show_desk(self) -> None:
        """Shows what the desk holds, but for the line."""
        desk = self.desk
        if desk is None:
            return
        if desk.leaving:
            self._close()
            return
        alone = desk.stage in ("opening", "making", "over", "graded") and not desk.asks_to_leave
        self.told.display = not alone
        self.set_class(alone, "-one-pane")
        self.line.placeholder = "Making the tire …" if self.busy else desk.hint
        self.complaint.show(desk.complaint)
        self.keys.show([key for key in PRACTICE_KEYS if desk.can(key.id)])
        if self.asked.size.width:
            self._show_views(alone)

    def _show_views(self, alone: bool) -> None:
        desk = self.desk
        if desk is None:
            return
        width = self.asked.text_width
        if alone:
            same = desk.stage == "graded" and self.asked.lines and self._page == (desk.now, desk.stage)
            self._page = (desk.now, desk.stage)
            self.asked.show(wrap(desk.page(width), width), self.asked.top if same else 0)
        else:
            self._show_told(desk)
            lines = wrap(desk.asked(width), width)
            sketch = wrap(desk.first_drawing(width), width) if self.has_class("-wide") else []
            self.asked.show([*lines, *(sketch if len(lines) + len(sketch) <= self.asked.size.height else ())], 0)
            if desk.at is not None:
                self.asked.reveal(desk.at)
        self._show_title()

    def _show_told(self, desk: PracticeDesk) -> None:
        """The order and all that came to light; moves on only when something new did."""
        width = self.told.text_width
        lines = wrap(desk.told, width)
        new = len(desk.told) != self._count
        self._count = len(desk.told)
        self.told.show(lines, len(lines) if new else self.told.top)

    def _show_title(self) -> None:
        desk = self.desk
        if desk is None:
            return
        view = self._read_view
        more = "more: PgDn" if view.more_below else "more: PgUp" if view.top else ""
        self.title_bar.show(desk.head, "   ".join(filter(None, (desk.minutes, more))))

    @property
    def _read_view(self) -> LinesView:
        """The view that PgUp and PgDn read in."""
        desk = self.desk
        alone = desk is None or (desk.stage not in ("looking", "deciding"))
        return self.asked if alone else self.told

    # Keys and clicks

    def _calmly(self, step: Callable[[PracticeDesk], None]) -> None:
        """Carries a step out and shows what came of it; whatever goes wrong is said, and the line stays as it was."""
        desk = self.desk
        if desk is None or self.busy:
            return
        desk.text = self.line.value
        try:
            step(desk)
        except Exception as error:
            desk.complaint = (_problem(error),)
        self.line.hold(desk.text, refused=bool(desk.complaint) and bool(desk.text))
        self.show_desk()

    def action_key(self, id: str) -> None:
        """Carries out what a key stands for."""
        desk = self.desk
        if desk is None or self.busy:
            if id == "leave":
                self._close()
        elif not desk.can(id):
            return
        elif id in ("help", "draw", "learned"):
            self.app.push_screen(self._page_of(id, desk))
        elif id in ("leave", "back"):
            self._calmly(PracticeDesk.leave if id == "leave" else PracticeDesk.back)
        else:
            self._calmly(lambda held: held.send(id))

    def _page_of(self, id: str, desk: PracticeDesk) -> PracticePage:
        if id == "help":
            keys = [(key.written, key.says) for key in PRACTICE_KEYS if desk.can(key.id)] + list(_READ)
            return PracticePage(f"{desk.head} Help", lambda width: help_paras(desk, keys))
        if id == "draw":
            return PracticePage(f"{desk.head} Drawn", desk.drawings)
        return PracticePage(MADE_UP, partial(learned_paras, desk.sitting))

    def action_light(self) -> None:
        """Changes between light and dark."""
        if not self.app.no_color:
            self.app.theme = LIGHT.name if self.app.current_theme.dark else DARK.name

    def action_move(self, step: int) -> None:
        """Moves among the rows; without rows reads on."""
        desk = self.desk
        if desk is None or self.line.value or not desk.move(step):
            self._read_view.scroll_lines(step)
        else:
            self.show_desk()

    def action_page(self, step: int) -> None:
        """Reads on by a screenful."""
        view = self._read_view
        view.scroll_lines(step * max(1, view.size.height - 2))

    def take_enter(self) -> None:
        """Takes the line, or with an empty one the row or the marks. A new tire is made beside the screen."""
        desk = self.desk
        self.enter_waits = desk is None
        if desk is None or self.busy:
            return
        desk.text = self.line.value
        make = desk.waits_for_a_tire()
        if make is None:
            self._calmly(PracticeDesk.enter)
            return
        self.line.hold("")
        desk.text = ""
        self.busy = True
        if desk.stage == "opening":
            desk.stage = "making"
        self.show_desk()
        self.run_worker(partial(self._make_tire, make), thread=True, exit_on_error=False)

    def _make_tire(self, make: Callable[[], tuple[Round | None, list[Message]]]) -> None:
        try:
            made: tuple[Round | None, list[Message]] | str = make()
        except Exception as error:
            made = _problem(error)
        self.app.call_from_thread(self._made, made)

    def _made(self, made: tuple[Round | None, list[Message]] | str) -> None:
        desk = self.desk
        self.busy = False
        if desk is None:
            return
        typed = self.line.value
        if isinstance(made, str):
            desk.complaint = (made,)
            desk.stage = "opening" if desk.stage == "making" else desk.stage
        else:
            desk.take_made(*made)
        self.line.hold(typed)
        self.show_desk()

    def on_input_changed(self) -> None:
        """Stands at the row whose number is in the line."""
        if self.desk is not None and self.desk.point(self.line.value):
            self.show_desk()

    def take_space(self) -> bool:
        """Marks a row, where several can be taken."""
        if self.desk is None or not self.desk.several:
            return False
        self._calmly(PracticeDesk.mark)
        return True

    def take_too_long(self, text: str) -> None:
        """Says that a paste was not taken."""
        if self.desk is not None:
            self.desk.complaint = (f"{len(text)} characters pasted, longer than anything asked here; not taken.",)
            self.show_desk()

    def on_lines_view_row_picked(self, event: LinesView.RowPicked) -> None:
        """A click on a row takes it, or marks it where several can be taken."""

        def pick(desk: PracticeDesk) -> None:
            desk.at = event.row
            typed, desk.text = desk.text, ""
            desk.mark() if desk.several else desk.enter()
            desk.text = desk.text or typed

        self._calmly(pick)

    def on_lines_view_scrolled(self) -> None:
        """Says whether there is more to read."""
        self._show_title()

    def on_keys_bar_pressed(self, event: KeysBar.Pressed) -> None:
        """A click on a key does the same as the key."""
        self.app.simulate_key(event.key.key)


def _problem(error: Exception) -> str:
    """What went wrong, calmly."""
    if isinstance(error, Problems):
        return str(error)
    return f"Practice can't go on here ({shown(f'{type(error).__name__}: {error}', 200)})."
