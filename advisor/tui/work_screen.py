"""The work step by step on a screen of its own: the list with ticks, the step in hand, timers that run on."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.widgets import Input

from advisor.dialogue.session import LONGEST_LINE
from advisor.dialogue.talk_commands import say
from advisor.dialogue.work_steps import plan_of, running_timers, step_block, timer_in_words
from advisor.loader.answer_codec import plain
from advisor.model.ruleset import Verdict
from advisor.tui.lines_view import LinesView
from advisor.tui.reading_screen import ReadingScreen
from advisor.tui.rendering import message_turn
from advisor.tui.status import Sign, Standing
from advisor.tui.text_blocks import BLANK, Para, wrap
from advisor.wording.blocks import under
from advisor.wording.messages import Message
from advisor.work.progress import key_of

if TYPE_CHECKING:
    from advisor.tui.presenter import Desk

_KEYS_LINE = "Enter tick  Esc back  note WORDS  found WHAT  timer  untick  report  PgUp/PgDn"
MOST_TIMERS = 3
#: How what belongs to a step looks, by its role.
_STYLES = {"caution": "note", "hold": "wrong", "figure": "quiet"}
#: Lines that only move in the work; they don't go into the conversation.
_MOVES = frozenset({"work", "tick", "untick", "timer", "work log"})


class WorkScreen(ReadingScreen[None]):
    """Shows the work of a desk's consultation. An empty Enter ticks the step in hand; a typed line is said."""

    CSS = """
    WorkScreen { layout: vertical; }
    #work-body { layout: horizontal; height: 1fr; }
    #work-list { width: 34; height: 100%; border-right: solid $foreground 30%; }
    WorkScreen.-narrow #work-list { display: none; }
    #work-step { width: 1fr; height: 100%; padding: 0 0 0 1; }
    #work-standing { height: 1; width: 100%; }
    #work-timers { height: 1; width: 100%; }
    #work-line { height: 1; border: none; background: $background; padding: 0; }
    #work-keys { height: 1; background: $surface; }
    """
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (100, "-wide")]  # noqa: RUF012

    def __init__(self, desk: Desk) -> None:
        super().__init__("work-step")
        self.desk = desk
        self.list = LinesView("work-list")
        self.timers = LinesView("work-timers")
        self.standing = Standing("work-standing")
        self.line = Input(placeholder="Enter ticks the step; or type", id="work-line", max_length=LONGEST_LINE)
        self.said: tuple[Message, ...] = ()

    def compose(self) -> ComposeResult:
        """The widgets, from top to bottom."""
        yield Horizontal(self.list, self.view, id="work-body")
        yield self.standing
        yield self.timers
        yield self.line
        yield Sign(_KEYS_LINE, "work-keys")

    def on_mount(self) -> None:
        """Begins at the step in hand; timers are looked at once a second."""
        self.line.focus()
        self.set_interval(1, self.show_timers)
        self.show()

    def show(self) -> None:
        """Shows list, step and timers as they stand."""
        plan = plan_of(self.desk.consultation)
        place = self.desk.consultation.work.current(plan)
        self.list.show(wrap(self._list(), self.list.text_width), 0)
        if place is not None:
            self.list.reveal(min(place + 2, len(plan) - 1))
        self.view.show(wrap(self._step(), self.view.text_width), 0)
        self._show_standing()
        self.show_timers()

    def on_lines_view_scrolled(self) -> None:
        """Says whether there is more to read."""
        self._show_standing()

    def _show_standing(self) -> None:
        """The verdict, how many steps are done, and whether there is more to read."""
        consultation = self.desk.consultation
        plan = plan_of(consultation)
        done = sum(consultation.work.tick_of(key_of(planned)) is not None for planned in plan)
        left = f"{consultation.standing()} - {done} of {len(plan)} steps done"
        self.standing.show(left, "more: PgDn" if self.view.more_below else "")

    def show_timers(self) -> None:
        """Shows what is left of each timer whose step is not done."""
        now, running = self.desk.consultation.now(), running_timers(self.desk.consultation)
        if self.desk.timer_just_over():
            self.app.bell()
        says = [Para(timer_in_words(timer, now), "title") for timer in running] if now else []
        self.timers.display = bool(says)
        self.timers.styles.height = min(MOST_TIMERS, len(says))
        self.timers.show(wrap(says, self.timers.text_width), 0)

    def _list(self) -> Iterator[Para]:
        consultation = self.desk.consultation
        plan = plan_of(consultation)
        current = consultation.work.current(plan)
        for place, planned in enumerate(plan):
            done = consultation.work.tick_of(key_of(planned)) is not None
            box = "[x] " if done else " >  " if place == current else "[ ] "
            where = "" if planned.injury in (None, 0) else f" ({planned.injury + 1})"
            style = "quiet" if done else "strong" if place == current else ""
            yield Para(f"{planned.step.title}{where}", style, box, "number", 0, place)

    def _step(self) -> Iterator[Para]:
        for message in self.said:
            yield from message_turn(message)
        if self.said:
            yield BLANK
        consultation = self.desk.consultation
        plan = plan_of(consultation)
        place = consultation.work.current(plan)
        if place is None:
            yield Para(f"All {len(plan)} steps are done. Type report for the record.", "strong")
            return
        step = step_block(consultation, plan, place)
        yield Para(step.text, "title")
        for detail in under(step):
            if detail.role != "timer":
                yield Para(detail.said, _STYLES.get(detail.role, ""), indent=2)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Ticks with an empty line; says what was typed otherwise, and goes back when there is no more work."""
        event.stop()
        text = event.value.strip() or self._habit()
        self.line.value = ""
        messages = say(self.desk.consultation, text)
        self.desk.keep()
        if plain(text) in _MOVES:
            self.said = tuple(message for message in messages if message.kind != "work")
        else:
            self.said = tuple(messages)
            self.desk.put(text, messages)
        if self.desk.consultation.ask is not None or not plan_of(self.desk.consultation):
            self.action_leave()
        else:
            self.show()

    def _habit(self) -> str:
        """What an empty Enter means: the next tick, but only while the tire is to be repaired."""
        judgement = self.desk.consultation.judgement
        return "tick" if judgement.verdict is Verdict.REPAIR else "work"
