"""The one screen: what was said, the open question or the verdict in its frame, side view, input line, keys.

Shows what the desk holds. The frame is always in sight; what was said has the lines above it.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial, wraps
from typing import TYPE_CHECKING, Any, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.geometry import Size
from textual.screen import Screen
from textual.timer import Timer

from advisor.model.problems import shown
from advisor.tui.answer_input import AnswerLine
from advisor.tui.keymap import KEYS
from advisor.tui.lines_view import LinesView
from advisor.tui.look import TALL, WIDE, WIDER, WIDEST
from advisor.tui.status import Complaint, KeysBar, Sign, Standing
from advisor.tui.text_blocks import Line, Para, wrap

if TYPE_CHECKING:
    from advisor.dialogue.day_list import DayRow
    from advisor.tui.presenter import Desk

#: Keys that open a screen of their own.
SCREENS = ("work", "today", "draw", "casings", "beside", "practise")
VERDICTS = ("repair", "refer", "hold", "scrap")
#: So many lines of what was said stay in sight above a question.
LEAST_SAID = 2
#: The columns of the frame's two sides.
FRAME = 2
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
        desk.text, desk.stale = self.line.value, self.line.refused
        try:
            step(self, desk, *given)
            desk.keep()
            self.line.hold(desk.text, refused=bool(desk.complaint) or desk.stale)
            self.show_desk()
        except Exception as error:
            desk.trouble(error)
            self.show_desk()

    return carried_out


class TalkScreen(Screen[None]):
    """Arranges the desk on the terminal. All keys work while the input line has the focus."""

    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (WIDE, "-wide"), (WIDER, "-wider"), (WIDEST, "-widest")]  # noqa: RUF012
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
        self.panel = LinesView("panel", framed=True)
        self.side = LinesView("side", framed=True)
        self.standing = Standing("standing", framed=True)
        self.sign = Sign("> ", "sign")
        self.line = AnswerLine(self, "line")
        self.complaint = Complaint("complaint")
        self.keys = KeysBar("keys", palette=True)
        self._seen: object = None
        self._title = ""
        self._watch: Timer | None = None

    def suit(self, size: Size) -> None:
        """Has the classes of a size from the start, so that the style of every widget is worked out but once."""
        for room, steps in ((size.width, self.HORIZONTAL_BREAKPOINTS), (size.height, self.VERTICAL_BREAKPOINTS)):
            self.add_class(max(step for step in steps if step[0] <= room)[1], update=False)

    def compose(self) -> ComposeResult:
        """The widgets, from top to bottom."""
        yield Horizontal(Vertical(self.talk, self.panel, self.standing, id="main"), self.side, id="body")
        yield Horizontal(self.sign, self.line, id="entry")
        yield self.complaint
        yield self.keys

    def on_mount(self) -> None:
        """Shows that the rules are being read."""
        self.line.focus()
        self.show_keys()

    def on_resize(self) -> None:
        """Lays everything out anew, once the widgets have their new width."""
        self.call_after_refresh(self.show_desk)

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
        if desk.left_work and desk.consultation.ask is None and not desk.aside:
            desk.left_work = False
            desk.to_its_work()
        if desk.to_open:
            goes = getattr(self, f"action_{desk.to_open}", partial(self.action_desk, desk.to_open))
            self.call_after_refresh(goes)
            desk.to_open = ""
        self._hand_over(desk)
        if desk.to_copy:
            self.app.copy_to_clipboard(desk.to_copy)
            desk.to_copy = ""
        self.line.placeholder = desk.hint(self.size.width - len(self.sign.text) - 1)
        self.complaint.show((*desk.complaint, *self.line.hint))
        self._show_main(desk)
        if self.side.display:
            self._show_side(desk)
        if self._watch is None and desk.consultation.work.timers:
            self._watch = self.set_interval(1, self._watch_timers)

    def _hand_over(self, desk: Desk) -> None:
        """A file just saved goes to the visitor's browser; at a terminal the page to print is opened in one."""
        path, printed = desk.saved, desk.to_print
        desk.saved, desk.to_print = None, False
        if path is not None and self.app.is_web:
            self.app.deliver_text(path, open_method="browser" if printed else "download")
        elif path is not None and printed:
            self.app.open_url(path.as_uri())

    def _watch_timers(self) -> None:
        """Once a second while a timer of the work runs: what is left; a sound when it is over."""
        if self.desk is not None and self.app.screen is self:
            if self.desk.timer_just_over():
                self.app.bell()
            self._show_standing()

    def _show_main(self, desk: Desk) -> None:
        """The frame as high as it needs to be, and above it what was said, which moves only when there is more."""
        self.show_keys()
        height = max(3, self.size.height - 1 - self.complaint.rows - self.keys.rows)
        width = self.panel.text_width
        talk_width = width + FRAME
        said, new = desk.transcript.lines(talk_width)
        wanted = desk.panel(width, height - 2 - (0 if desk.verdict_shown else LEAST_SAID))
        seen = (desk.transcript.count, desk.prompt, talk_width, height, desk.said_aside)
        fresh = seen != self._seen
        room = max(height // 3, height - 2 - min(len(wanted), height - 2 - LEAST_SAID))
        if fresh and len(said) - new > room and desk.said_aside:
            desk.reading = True
            wanted = desk.panel(width, height - 2)
            self.show_keys()
        reply = desk.transcript.reply_start
        free = self._said_room(desk, height - 2, len(said) - new, len(said) - reply, len(wanted))
        panel = max(1, min(len(wanted), height - 2 - free))
        if desk.verdict_shown and not desk.reading and not desk.said_aside:
            panel = height - 2
        elif panel < len(wanted):
            wanted = desk.panel(width, panel)
            panel = min(panel, len(wanted))
        talk = height - 2 - panel
        self._seen = seen
        self._frame(desk, panel)
        self.talk.display = talk > 0
        begins = 0 if desk.transcript.count == 1 else _place(len(said), reply, talk)
        if len(said) < talk:  # near the question that it leads to
            said = [*[Line(())] * (talk - len(said)), *said]
        self.talk.show(said, begins if fresh else self.talk.top, talk)
        self.panel.show(wanted, 0 if fresh else self.panel.top, panel)
        if desk.at is not None:
            self.panel.reveal(desk.at, under=bool(desk.verdict_shown))
        self._show_standing()

    @staticmethod
    def _said_room(desk: Desk, height: int, new: int, reply: int, wanted: int) -> int:
        """How many lines are kept for what was said last: all of it where it counts, else what the rows leave.

        What was taken of a line, a `reply` of so many lines, is kept ahead of what the question can do without.
        """
        if desk.verdict_shown and not desk.said_aside:
            return 0
        room = height if desk.weighty else height - wanted
        least = LEAST_SAID if height >= TALL else 1
        return max(least, min(height // 4, reply), min(height // 3, new, room))

    def _frame(self, desk: Desk, height: int) -> None:
        """The frame's height, title and colour; without colours its words and signs say the same."""
        if self.panel.styles.height is None or self.panel.styles.height.value != height + 1:
            self.panel.styles.height = height + 1
        title = desk.panel_title
        if title != self._title:
            self._title = title
            self.panel.border_title = Content(f" {shown(title)} ") if title else None
        for verdict in VERDICTS:
            for each in (self.panel, self.standing):
                each.set_class(desk.verdict_shown == verdict, f"-{verdict}")

    def _show_side(self, desk: Desk) -> None:
        """What was said so far; beside a verdict the drawings, where there are any and the answers fit no more."""
        drawn = desk.drawn(self.side.text_width)
        self.set_class(bool(drawn), "-drawn")
        self.side.border_title = Content(" Drawings " if drawn else " So far ")
        lines = wrap(drawn or desk.so_far(self.side.text_width), self.side.text_width)
        self.side.show(lines, 0 if drawn else len(lines))

    def _show_standing(self) -> None:
        if self.desk is not None:
            flag = self.desk.live.flag if self.desk.live else ""
            stands = self.desk.consultation.standing()
            more = self._reads().more_below or (self.panel.more_below and not self.desk.reading)
            says = (self.desk.timers(), "more: PgDn" if more else "")
            self.standing.show(f"{flag}. {stands}" if flag else stands, "   ".join(filter(None, says)))

    def show_keys(self) -> None:
        """Shows the keys that work now."""
        label = self.desk.esc_does if self.desk is not None else ""
        keys = (key for key in KEYS if self.can(key.id))
        self.keys.show([key._replace(label=label) if label and key.id == "cancel" else key for key in keys])

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
            self.app.push_screen(WorkScreen(self.desk), lambda _: self._worked())

    def _worked(self) -> None:
        """Back from the work: the card has all its room, as what was said there was read there."""
        if self.desk is not None:
            self.desk.whole_card()
        self.show_desk()

    def action_today(self) -> None:
        """Shows the tires of the day, and goes into the one that is taken."""
        from advisor.tui.today_screen import TodayScreen

        if self.desk is not None and self.desk.can("today"):
            self.app.push_screen(TodayScreen(self.desk), self._go_into)

    @calmly
    def _go_into(self, desk: Desk, row: DayRow | None) -> None:
        """Goes on with a tire of the day; straight to its work where that was begun."""
        if row is not None:
            desk.go_into(row)
            desk.to_its_work()

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
            self._reads().scroll_lines(step)
        else:
            self.show_desk()

    def action_page(self, step: int) -> None:
        """Reads on by a screenful."""
        view = self._reads()
        view.scroll_lines(step * max(1, view.room - 2))

    def _reads(self) -> LinesView:
        """What is read on: a verdict that is longer than its frame, else what was said."""
        whole = self.desk is not None and self.desk.verdict_shown and not self.desk.reading
        return self.panel if whole and self.panel.last_top else self.talk if self.talk.display else self.panel

    @calmly
    def take_enter(self, desk: Desk) -> None:
        """Takes the line, or with an empty one the row or the marks."""
        desk.enter()

    def on_input_changed(self) -> None:
        """Stands at the row whose number is in the line."""
        if self.desk is not None and self.desk.point(self.line.value):
            self._show_main(self.desk)

    def take_space(self) -> bool:
        """Marks a row, where several can be taken."""
        if self.desk is None or not (self.desk.prompt.several or (self.desk.verdict_shown and self.desk.row)):
            return False
        self._take_space()
        return True

    @calmly
    def _take_space(self, desk: Desk) -> None:
        if desk.verdict_shown:
            desk.fold(desk.row)
        else:
            desk.mark()

    @calmly
    def take_too_long(self, desk: Desk, text: str) -> None:
        """Says that a paste was not taken."""
        begins = shown(text[:40])
        desk.complaint = (f'{len(text)} characters pasted, longer than any answer; not taken. They begin "{begins}".',)

    @calmly
    def on_lines_view_row_picked(self, desk: Desk, event: LinesView.RowPicked) -> None:
        """A click on a choice picks it; one on an earlier answer asks it again."""
        if event.view is self.panel:
            desk.pick_row(event.row)
        elif not desk.aside:
            desk.change_key(desk.consultation.listed[event.row][0])

    def on_lines_view_scrolled(self) -> None:
        """Says whether there is more to read."""
        self._show_standing()

    def on_keys_bar_pressed(self, event: KeysBar.Pressed) -> None:
        """A click on a key does the same as the key."""
        self.app.simulate_key(event.key.key)


def _place(said: int, new: int, height: int) -> int:
    """The line to stand at the top: so that all that is new can be seen if it fits, else its beginning."""
    return min(new, said) if said - new > height else said - height
