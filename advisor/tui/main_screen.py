"""The one screen: conversation, side view, standing, input line, complaint, keys. Shows what the desk holds."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import TYPE_CHECKING, Any, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.screen import Screen
from textual.timer import Timer

from advisor.model.problems import shown
from advisor.tui.answer_input import AnswerLine
from advisor.tui.keymap import KEYS
from advisor.tui.lines_view import LinesView
from advisor.tui.look import TALL, WIDE, WIDER
from advisor.tui.status import Complaint, KeysBar, Sign, Standing
from advisor.tui.text_blocks import Para, wrap

if TYPE_CHECKING:
    from advisor.tui.presenter import Desk

#: Keys that open a screen of their own.
SCREENS = ("work", "draw", "casings", "beside", "practise")
READING = (Para("advisor", "title", indent=1), Para("Reading the rules …", "quiet", indent=1))


def calmly(step: Callable[..., None]) -> Callable[..., None]:
    """Carries a step out and shows what came of it; whatever goes wrong is said, and the line stays as it was."""

    @wraps(step)
    def carried_out(self: TalkScreen, *given: Any) -> None:
        desk = self.desk
        if desk is None:
            return
        if desk.before is not None:
            desk.before()
        desk.text = self.line.value
        try:
            step(self, desk, *given)
            desk.keep()
            self.line.hold(desk.text, refused=bool(desk.complaint))
            self.show_desk()
        except Exception as error:
            desk.trouble(error)
            self.show_desk()

    return carried_out


class TalkScreen(Screen[None]):
    """Arranges the desk on the terminal. All keys work while the input line has the focus."""

    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (WIDE, "-wide"), (WIDER, "-wider")]  # noqa: RUF012
    VERTICAL_BREAKPOINTS = [(0, "-tiny"), (TALL, "-room")]  # noqa: RUF012
    BINDINGS: ClassVar[list[BindingType]] = [
        *(
            Binding(key.key, f"desk('{key.id}')", key.label, id=key.id, tooltip=key.says)
            for key in KEYS
            if key.id not in ("quit", "light", *SCREENS)
        ),
        *(Binding(key.key, key.id, key.label, id=key.id, tooltip=key.says) for key in KEYS if key.id in SCREENS),
    ]

    def __init__(self) -> None:
        super().__init__()
        self.desk: Desk | None = None
        self.talk = LinesView("talk")
        self.talk.lines = wrap(READING, 60)
        self.side = LinesView("side")
        self.standing = Standing("standing")
        self.line = AnswerLine(self, "line")
        self.complaint = Complaint("complaint")
        self.keys = KeysBar("keys")
        self._seen: object = None
        self._watch: Timer | None = None

    def compose(self) -> ComposeResult:
        """The widgets, from top to bottom."""
        yield Horizontal(self.talk, self.side, id="body")
        yield self.standing
        yield Horizontal(Sign("> ", "sign"), self.line, id="entry")
        yield self.complaint
        yield self.keys

    def on_mount(self) -> None:
        """Shows that the rules are being read."""
        self.line.focus()
        self.show_keys()

    def on_lines_view_resized(self) -> None:
        """Wraps everything anew."""
        self.show_desk()

    # Showing

    def show_desk(self) -> None:
        """Shows what the desk holds, but for the line; the conversation moves only when something new was said."""
        desk = self.desk
        if desk is None:
            return
        if desk.leaving:
            self.app.exit(0)
            return
        if desk.to_open:
            desk.to_open = ""
            self.call_after_refresh(self.action_casings)
        if desk.to_copy:
            self.app.copy_to_clipboard(desk.to_copy)
            desk.to_copy = ""
        self.line.placeholder = desk.prompt.hint
        self.complaint.show(desk.complaint)
        self._show_talk(desk)
        if self.side.display:
            self._show_side(desk)
        self._show_standing()
        self.show_keys()
        if self._watch is None and desk.consultation.work.timers:
            self._watch = self.set_interval(1, self._watch_timers)

    def _watch_timers(self) -> None:
        """Once a second while a timer of the work runs: what is left; a sound when it is over."""
        if self.desk is not None and self.app.screen is self:
            if self.desk.timer_just_over():
                self.app.bell()
            self._show_standing()

    def _show_talk(self, desk: Desk) -> None:
        width = self.talk.text_width
        said, new = desk.transcript.lines(width)
        tail = wrap(desk.tail(), width)
        seen = (desk.transcript.count, desk.prompt, width, self.talk.size.height)
        place = _place(len(said), new, len(tail), max(1, self.talk.size.height))
        top = self.talk.top if seen == self._seen else place
        self._seen = seen
        self.talk.show([*said, *tail], top)
        if desk.at is not None:
            self.talk.reveal(desk.at)

    def _show_side(self, desk: Desk) -> None:
        """What was said so far; beside a verdict the drawings, where there are any and the answers fit no more."""
        drawn = desk.drawn(self.side.text_width)
        self.set_class(bool(drawn), "-drawn")
        lines = wrap(drawn or desk.so_far(), self.side.text_width)
        self.side.show(lines, 0 if drawn else len(lines))

    def _show_standing(self) -> None:
        if self.desk is not None:
            flag = self.desk.live.flag if self.desk.live else ""
            stands = self.desk.consultation.standing()
            says = (self.desk.timers(), "more: PgDn" if self.talk.more_below else "")
            self.standing.show(f"{flag}. {stands}" if flag else stands, "   ".join(filter(None, says)))

    def show_keys(self) -> None:
        """Shows the keys that work now."""
        self.keys.show([key for key in KEYS if self.can(key.id)])

    def can(self, id: str) -> bool:
        """Whether a key does anything now."""
        if id == "light":
            return not self.app.no_color
        if self.desk is None:
            return id == "quit"
        return self.desk.can(id)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """The one place that says whether a key may be used now."""
        if action == "desk":
            return self.can(str(parameters[0]))
        return self.can(action) if action in SCREENS else True

    # Keys and clicks

    @calmly
    def action_desk(self, desk: Desk, id: str) -> None:
        """Carries out what a key stands for."""
        getattr(desk, id)()

    def action_work(self) -> None:
        """Walks through the work on a screen of its own."""
        from advisor.tui.work_screen import WorkScreen

        if self.desk is not None:
            self.app.push_screen(WorkScreen(self.desk), lambda _: self.show_desk())

    def action_draw(self) -> None:
        """Shows the drawings on a screen of their own."""
        from advisor.tui.drawings_screen import DrawScreen

        if self.desk is not None:
            self.app.push_screen(DrawScreen(self.desk))

    def action_casings(self) -> None:
        """Looks through the recorded casings on a screen of its own."""
        if self.desk is not None and (open_casings := self.desk.open_casings) is not None:
            self.app.push_screen(open_casings(self._take_casing), lambda _: self.show_desk())

    @calmly
    def _take_casing(self, desk: Desk, casing: str) -> None:
        desk.say_aside(f"casing {casing}")

    def action_practise(self) -> None:
        """Made-up tires on a screen of their own; the consultation stays as it is."""
        if self.desk is not None and (make := self.desk.make_practice) is not None:
            from advisor.tui.practise_screen import PractiseScreen

            self.app.push_screen(PractiseScreen(make), self._practised)

    def _practised(self, trouble: str | None) -> None:
        """Back from practice; says why where it could not go on."""
        if self.desk is not None and trouble:
            self.desk.complaint = tuple(trouble.splitlines())
        self.show_desk()

    def action_beside(self) -> None:
        """Sets the case under other rules beside this one, on a screen of its own."""
        from advisor.tui.compare_screen import BesideScreen

        if self.desk is not None:
            self.app.push_screen(BesideScreen(self.desk))

    @calmly
    def ask_to_leave(self, desk: Desk) -> None:
        """Leaves, or asks first."""
        desk.quit()

    def action_move(self, step: int) -> None:
        """Moves among the rows; with a text in the line, or no rows, reads on."""
        desk = self.desk
        if desk is None or self.line.value or not desk.move(step):
            self.talk.scroll_lines(step)
        else:
            self.show_desk()

    def action_page(self, step: int) -> None:
        """Reads on by a screenful."""
        self.talk.scroll_lines(step * max(1, self.talk.size.height - 2))

    @calmly
    def take_enter(self, desk: Desk) -> None:
        """Takes the line, or with an empty one the row or the marks."""
        desk.enter()

    def on_input_changed(self) -> None:
        """Stands at the row whose number is in the line."""
        if self.desk is not None and self.desk.point(self.line.value):
            self._show_talk(self.desk)

    def take_space(self) -> bool:
        """Marks a row, where several can be taken."""
        if self.desk is None or not self.desk.prompt.several:
            return False
        self._take_space()
        return True

    @calmly
    def _take_space(self, desk: Desk) -> None:
        desk.mark()

    @calmly
    def take_too_long(self, desk: Desk, text: str) -> None:
        """Says that a paste was not taken."""
        begins = shown(text[:40])
        desk.complaint = (f'{len(text)} characters pasted, longer than any answer; not taken. They begin "{begins}".',)

    @calmly
    def on_lines_view_row_picked(self, desk: Desk, event: LinesView.RowPicked) -> None:
        """A click on a choice picks it; one on an earlier answer asks it again."""
        if event.view is self.talk:
            desk.pick_row(event.row)
        elif not desk.aside:
            desk.change_key(desk.consultation.listed[event.row][0])

    def on_lines_view_scrolled(self) -> None:
        """Says whether there is more to read."""
        self._show_standing()

    def on_keys_bar_pressed(self, event: KeysBar.Pressed) -> None:
        """A click on a key does the same as the key."""
        self.app.simulate_key(event.key.key)


def _place(said: int, new: int, tail: int, height: int) -> int:
    """The line to stand at the top: all that is new and asked if it fits, else its beginning."""
    end = said + tail - height
    if height < TALL - 2:
        return min(end, said)
    if said - new > height // 2 and said + tail - new > height:
        return new
    return min(end, said) if tail > height else end
