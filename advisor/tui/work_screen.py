"""The work step by step on a screen of its own: the stages with ticks, the step in hand, timers that run on."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.widgets import Input

from advisor.dialogue.asides import said_beside
from advisor.dialogue.session import LONGEST_LINE
from advisor.dialogue.talk_commands import START_OVER, say
from advisor.dialogue.work_fields import lacking_fields, offered_again
from advisor.dialogue.work_steps import hand_on, plan_of, running_timers, step_block, step_in_hand, timer_in_words
from advisor.loader.answer_codec import plain
from advisor.model.problems import shown
from advisor.tui.keymap import KeyHint, work_help
from advisor.tui.lines_view import LinesView
from advisor.tui.prompt_bar import hint_at
from advisor.tui.reading_screen import ReadingScreen
from advisor.tui.rendering import message_turn
from advisor.tui.status import KeysBar, Standing
from advisor.tui.text_blocks import BLANK, Para, wrap
from advisor.wording.blocks import Block, blocks_of, under
from advisor.wording.messages import Message, as_spelled_here
from advisor.work.plan import PlanStage, stage_in_hand, stages_of

if TYPE_CHECKING:
    from advisor.dialogue.day_list import DayRow
    from advisor.engine.judgement_types import PlannedStep
    from advisor.tui.presenter import Desk

_TICK = KeyHint("enter", "Enter", "tick", "tick", "Tick the step in hand, or take what is typed.")
_STAGE = KeyHint("f4", "F4", "stage", "tick stage", "Tick the rest of the stage, as far as nothing stands in the way.")
_UNTICK = KeyHint("f5", "F5", "say('untick')", "untick", "Take the last tick back.")
_KEYS = (
    KeyHint("f1", "F1", "help", "help", "These keys, and what can be typed at the work."),
    KeyHint("f2", "F2", "say('why')", "why", "Why the verdict is what it is."),
    KeyHint("f3", "F3", "found", "found", "What turned up, picked from a list."),
    _STAGE,
    _UNTICK,
    KeyHint("f6", "F6", "say('take back')", "take back", "What was found last was not so."),
    KeyHint("f7", "F7", "say('work log')", "log", "What was done, and when."),
    KeyHint("f9", "F9", "anew", "anew", "Another tire: this repair stays open, and today goes back into it."),
    KeyHint("f12", "F12", "say('report page')", "report", "The report as a page."),
    KeyHint("ctrl+y", "^Y", "today", "today", "Today's tires, and from there into any of them."),
    KeyHint("escape", "Esc", "leave", "back", "Back to the verdict."),
)
_TO_TYPE = "Enter ticks the step; or type 1-8, found WHAT, note WORDS, a reading"
MOST_TIMERS = 3
#: Steps from one number to another, typed without a word before them.
_SEVERAL = re.compile(r"\d{1,3}\s*-\s*\d{1,3}")
#: How what belongs to a step looks, by its role.
_STYLES = {"reply": "strong", "caution": "note", "hold": "wrong", "figure": "strong", "stage": "quiet"}
#: What stands ahead of a step's long text: a small screen has no room for all of it.
_FIRST = ("stage", "figure", "hold", "reply")
#: Lines whose answer is read in the step's place; Esc goes back to the step.
_READ = frozenset({"work log", "why"})
#: Lines that only move in the work; they don't go into the conversation.
_MOVES = frozenset({"work", "tick", "tick early", "tick anyway", "untick", "timer"})


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
    #work-keys { background: $surface; color: $foreground; }
    """
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (100, "-wide")]  # noqa: RUF012
    BINDINGS: ClassVar[list[BindingType]] = [Binding(key.key, key.id, key.label, show=False) for key in _KEYS]

    def __init__(self, desk: Desk) -> None:
        super().__init__("work-step")
        self.desk = desk
        self.list = LinesView("work-list")
        self.timers = LinesView("work-timers")
        self.standing = Standing("work-standing")
        self.line = Input(placeholder=_TO_TYPE, id="work-line", max_length=LONGEST_LINE)
        self.keys = KeysBar("work-keys")
        self.said: tuple[Message, ...] = ()
        self.reading = False

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
        """Shows list, step and timers as they stand, once there is room."""
        if not self.view.size.width:
            return
        plan = plan_of(self.desk.consultation)
        place = self.desk.consultation.work.current(plan)
        self.list.show(wrap(self._list(plan), self.list.text_width), 0)
        if place is not None:
            self.list.reveal(place)
        self.line.placeholder = self._to_type(plan)
        self.keys.show([each for each in (_TICK, *_KEYS) if self._can(each, bool(plan))])
        self.view.show(wrap(self._step(plan), self.view.text_width), 0)
        self._show_standing()
        self.show_timers()

    def _to_type(self, plan: list[PlannedStep]) -> str:
        """What the line takes now: the field that the step still lacks, where there is one."""
        consultation = self.desk.consultation
        place = consultation.work.current(plan)
        if place is None:
            return "type report, note or why"
        lacking = lacking_fields(consultation, plan[place])
        again = ", ".join(text for _, text in offered_again(consultation, plan[place]))
        ways = ", ".join((*((f"same for {again}",) if again else ()), *lacking))
        return hint_at(f"Enter ticks the step, or type {ways}", self.size.width - 1) if ways else _TO_TYPE

    def _can(self, key: KeyHint, plan: bool) -> bool:
        """Whether a key does anything now."""
        consultation = self.desk.consultation
        if key in (_TICK, _STAGE):
            return plan and consultation.work.current(plan_of(consultation)) is not None
        if key.key == "f6":
            return bool(consultation.state.finds)
        if key.key == "ctrl+y":
            return self.desk.can("today")
        return bool(consultation.work.ticks) if key == _UNTICK else True

    def on_lines_view_scrolled(self) -> None:
        """Says whether there is more to read."""
        self._show_standing()

    def on_keys_bar_pressed(self, event: KeysBar.Pressed) -> None:
        """A tap on a key does the same as the key."""
        self.app.simulate_key(event.key.key)

    def action_help(self) -> None:
        """The keys that work here and what can be typed."""
        plan = bool(plan_of(self.desk.consultation))
        keys = [each for each in (_TICK, *_KEYS) if self._can(each, plan)]
        helps = Message("help", work_help(keys))
        self.reading, self.said = True, (as_spelled_here(helps, self.desk.consultation.judge.rules),)
        self.show()

    def action_stage(self) -> None:
        """Ticks the rest of the stage in hand."""
        consultation = self.desk.consultation
        plan = plan_of(consultation)
        stage, place = stage_in_hand(plan, consultation.work), consultation.work.current(plan)
        self.action_say("tick" if stage is None or place is None else f"tick {place + 1}-{stage.places[-1] + 1}")

    def action_found(self) -> None:
        """Picks what turned up; what is measured is then typed into the line."""
        from advisor.dialogue.work_findings import finds_to_pick
        from advisor.tui.found_screen import FoundScreen

        consultation = self.desk.consultation
        planned = step_in_hand(consultation)
        injury = (planned.injury or 0) if planned is not None else 0
        of = f" at injury {injury + 1}" if len(consultation.judgement.injuries) > 1 else ""
        self.app.push_screen(FoundScreen(finds_to_pick(consultation, injury), of), self._found)

    def _found(self, line: str | None) -> None:
        if line and line.endswith(" "):
            self.line.value = line
            self.line.cursor_position = len(line)
        elif line:
            self.action_say(line)

    def action_anew(self) -> None:
        """Another tire, asked at the question's place; the repair that was begun stays open."""
        self.desk.to_open = "start_over"
        self.dismiss(None)

    def action_leave(self) -> None:
        """Back to the step from what was read in its place, else to the verdict."""
        if self.reading:
            self.said, self.reading = (), False
            self.show()
        else:
            self.dismiss(None)

    def action_today(self) -> None:
        """Today's tires."""
        from advisor.tui.today_screen import TodayScreen

        if self.desk.can("today"):
            self.app.push_screen(TodayScreen(self.desk), self._go_into)

    def _go_into(self, row: DayRow | None) -> None:
        if row is not None:
            self.desk.go_into(row)
            self.desk.keep()
            self.said = (Message("complaint", self.desk.complaint),) if self.desk.complaint else ()
            self._show_or_leave(again=False)

    def _show_standing(self) -> None:
        """The verdict, how many steps are done, and whether there is more to read."""
        consultation = self.desk.consultation
        plan = plan_of(consultation)
        done = sum(map(consultation.work.done, plan))
        casing = self.desk.recorder.casing if self.desk.recorder is not None else ""
        named = f"{shown(casing, 20)} - {consultation.standing()}" if casing else consultation.standing()
        left = f"{named} - {done} of {len(plan)} steps done" if plan else named
        self.standing.show(left, "more: PgDn" if self.view.more_below else "")

    def show_timers(self) -> None:
        """Shows what is left of each timer whose step is not done."""
        now, running = self.desk.consultation.now(), running_timers(self.desk.consultation)
        if self.desk.timer_just_over():
            self.app.bell()
        several = len(self.desk.consultation.judgement.injuries) > 1
        says = [Para(timer_in_words(timer, now, several), "title") for timer in running] if now else []
        lines = wrap(says, self.timers.text_width if says and self.timers.display else self.size.width - 2)
        self.timers.display = bool(says)
        self.timers.styles.height = min(MOST_TIMERS, len(lines))
        self.timers.show(lines, 0, min(MOST_TIMERS, len(lines)))

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
            details = [detail for detail in under(step) if detail.role != "timer"]
            for detail in sorted(details, key=lambda detail: detail.role not in _FIRST):
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
        if plain(text) in START_OVER:
            self.action_anew()
            return
        record = self.desk.consultation.state.kept_as
        if (messages := said_beside(self.desk.recorder, self.desk.consultation, text)) is None:
            messages = say(self.desk.consultation, text)
        self.desk.keep()
        if record != self.desk.consultation.state.kept_as:
            self.desk.other_tire(messages)
            self.said = tuple(messages)
            self._show_or_leave(again=False)
            return
        self.reading = plain(text) in _READ
        if plain(text) == "work log":
            self.said = tuple(messages)
        elif _moves(text):
            self.said = tuple(message for message in messages if message.kind != "work")
        else:
            self.said = tuple(message for message in messages if not _shown_below(message))
            self.desk.put(text, messages)
        self._show_or_leave()

    def _show_or_leave(self, again: bool = True) -> None:
        """Goes to the questions where one is open; `again`: and back here once they are answered."""
        if self.desk.consultation.ask is not None:
            self.desk.left_work = again
            self.dismiss(None)
        else:
            self.show()


def _shown_below(message: Message) -> bool:
    """Whether the screen shows it anyway, or the conversation does: what to do with the tire, and the whole card."""
    titled = bool(message.blocks) and isinstance(message.blocks[0], Block) and message.blocks[0].role == "title"
    return message.card is not None or (message.kind == "work" and titled)


def _moves(text: str) -> bool:
    return plain(text) in _MOVES or plain(text).startswith("tick")
