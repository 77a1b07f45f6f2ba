"""The work step by step on a screen of its own: the stages with ticks, the step in hand, timers that run on."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.widgets import Input

from advisor.dialogue.session import LONGEST_LINE
from advisor.dialogue.talk_commands import say
from advisor.dialogue.work_steps import hand_on, plan_of, running_timers, step_block, timer_in_words
from advisor.loader.answer_codec import plain
from advisor.tui.lines_view import LinesView
from advisor.tui.reading_screen import ReadingScreen
from advisor.tui.rendering import message_turn
from advisor.tui.status import Sign, Standing
from advisor.tui.text_blocks import BLANK, Para, wrap
from advisor.wording.blocks import Block, blocks_of, under
from advisor.wording.messages import Message
from advisor.work.plan import PlanStage, stage_in_hand, stages_of

if TYPE_CHECKING:
    from advisor.engine.judgement_types import PlannedStep
    from advisor.tui.presenter import Desk

_KEYS_LINE = "Enter tick  1-8 several  found WHAT  note WORDS  untick  F12 report  Esc back"
_NO_STEPS_LINE = "F12 report  take back  note WORDS  why  Esc back to the verdict"
MOST_TIMERS = 3
#: Steps from one number to another, typed without a word before them.
_SEVERAL = re.compile(r"\d{1,3}\s*-\s*\d{1,3}")
#: How what belongs to a step looks, by its role.
_STYLES = {"caution": "note", "hold": "wrong", "figure": "strong", "stage": "quiet"}
#: Lines that only move in the work; they don't go into the conversation.
_MOVES = frozenset({"work", "tick", "tick early", "tick anyway", "untick", "timer", "work log"})


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
    BINDINGS: ClassVar[list[BindingType]] = [Binding("f12", "say('report page')", "report", show=False)]

    def __init__(self, desk: Desk) -> None:
        super().__init__("work-step")
        self.desk = desk
        self.list = LinesView("work-list")
        self.timers = LinesView("work-timers")
        self.standing = Standing("work-standing")
        self.line = Input(placeholder="Enter ticks the step; or type", id="work-line", max_length=LONGEST_LINE)
        self.keys = Sign(_KEYS_LINE, "work-keys")
        self.said: tuple[Message, ...] = ()

    def compose(self) -> ComposeResult:
        """The widgets, from top to bottom."""
        yield Horizontal(self.list, self.view, id="work-body")
        yield self.standing
        yield self.timers
        yield self.line
        yield self.keys

    def on_mount(self) -> None:
        """Begins at the step in hand; timers are looked at once a second."""
        self.line.focus()
        self.set_interval(1, self.show_timers)
        self.show()

    def show(self) -> None:
        """Shows list, step and timers as they stand."""
        plan = plan_of(self.desk.consultation)
        place = self.desk.consultation.work.current(plan)
        self.list.show(wrap(self._list(plan), self.list.text_width), 0)
        if place is not None:
            self.list.reveal(place)
        self.line.placeholder = "Enter ticks the step; or type" if place is not None else "type report, note or why"
        self.keys.text = _KEYS_LINE if plan else _NO_STEPS_LINE
        self.keys.refresh()
        self.view.show(wrap(self._step(plan), self.view.text_width), 0)
        self._show_standing()
        self.show_timers()

    def on_lines_view_scrolled(self) -> None:
        """Says whether there is more to read."""
        self._show_standing()

    def _show_standing(self) -> None:
        """The verdict, how many steps are done, and whether there is more to read."""
        consultation = self.desk.consultation
        plan = plan_of(consultation)
        done = sum(map(consultation.work.done, plan))
        left = f"{consultation.standing()} - {done} of {len(plan)} steps done" if plan else consultation.standing()
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

    def _list(self, plan: list[PlannedStep]) -> Iterator[Para]:
        """The stages; the one in hand opened, the others by how many of their steps are done."""
        work = self.desk.consultation.work
        here = stage_in_hand(plan, work)
        for stage in stages_of(plan):
            if stage == here:
                yield Para(stage.heading, "title", row=-1)
                yield from self._opened(plan, stage)
                continue
            done = sum(work.done(plan[place]) for place in stage.places)
            whole = len(stage.places)
            box = "[x] " if done == whole else "[ ] "
            count = f" ({done} of {whole})" if 0 < done < whole else f" ({whole})" if whole > 1 else ""
            yield Para(f"{stage.heading}{count}", "quiet" if done == whole else "", box, "number", 0)

    def _opened(self, plan: list[PlannedStep], stage: PlanStage) -> Iterator[Para]:
        work = self.desk.consultation.work
        current = work.current(plan)
        for place in stage.places:
            planned = plan[place]
            done = work.done(planned)
            box = "[x] " if done else " >  " if place == current else "[ ] "
            where = "" if planned.injury in (None, 0) else f" ({planned.injury + 1})"
            style = "quiet" if done else "strong" if place == current else ""
            yield Para(f"{place + 1} {planned.step.title}{where}", style, box, "number", 1, place)

    def _step(self, plan: list[PlannedStep]) -> Iterator[Para]:
        for message in self.said:
            yield from message_turn(message)
        if self.said:
            yield BLANK
        consultation = self.desk.consultation
        place = consultation.work.current(plan)
        if place is not None:
            step = step_block(consultation, plan, place)
            yield Para(step.text, "title")
            for detail in under(step):
                if detail.role != "timer":
                    yield Para(detail.said, _STYLES.get(detail.role, ""), indent=2)
        elif plan:
            yield Para(f"All {len(plan)} steps are done. F12 makes the report.", "strong")
        yield from self._handed_on()

    def _handed_on(self) -> Iterator[Para]:
        """What to do with a tire that is not repaired here."""
        for block in blocks_of(hand_on(self.desk.consultation)):
            yield BLANK
            yield Para(block.said, "title" if block.role == "title" else "")
            for detail in under(block):
                yield Para(detail.said, "", "- ", "", 2)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Ticks with an empty line; says what was typed otherwise."""
        event.stop()
        self.line.value = ""
        text = event.value.strip() or "tick"
        self.action_say(f"tick {text}" if _SEVERAL.fullmatch(text) else text)

    def action_say(self, text: str) -> None:
        """Says a line, and shows what came of it; goes back to the questions where one is open now."""
        messages = say(self.desk.consultation, text)
        self.desk.keep()
        if _moves(text):
            self.said = tuple(message for message in messages if message.kind != "work")
        else:
            self.said = tuple(message for message in messages if not _shown_below(message))
            self.desk.put(text, messages)
        if self.desk.consultation.ask is not None:
            self.action_leave()
        else:
            self.show()


def _shown_below(message: Message) -> bool:
    """Whether the screen shows it anyway, or the conversation does: what to do with the tire, and the whole card."""
    titled = bool(message.blocks) and isinstance(message.blocks[0], Block) and message.blocks[0].role == "title"
    return message.card is not None or (message.kind == "work" and titled)


def _moves(text: str) -> bool:
    return plain(text) in _MOVES or plain(text).startswith("tick")
