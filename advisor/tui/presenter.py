"""What typing, picking and the keys do to the consultation at the screen. Knows no widget.

The drawings as paragraphs, worked out anew only when an answer, the width or the unit has changed.
The flow of a consultation at the screen: what is said goes into the conversation, then the next thing is asked.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from advisor.dialogue.answer_list import ask_again
from advisor.dialogue.asides import said_beside
from advisor.dialogue.event_sink import Recorder, at_its_end, kept
from advisor.dialogue.place_in_whole import place_in_whole
from advisor.dialogue.session import Consultation
from advisor.dialogue.talk_commands import START_OVER, say, sections_asked
from advisor.drawings.drawn_for import anything_placed, anything_to_draw, sketch_of
from advisor.engine.spelling_variant import spelled
from advisor.loader.answer_codec import plain
from advisor.model.case import Choice, Key
from advisor.model.problems import shown
from advisor.tui import prompt_bar
from advisor.tui.dialogs import ChangeAnswer, ExplainWord, Leave, NameTire, SaveAs, StartOver, TakeUp
from advisor.tui.export_text import card_text, default_name, save
from advisor.tui.keymap import key_help
from advisor.tui.prompt_bar import Prompt, PromptRow, Refused, take_marked, take_row, with_marks
from advisor.tui.rendering import TurnLog, asked_turn, message_turn, opening, reply_turns, said_turn
from advisor.tui.text_blocks import BLANK, Line, Para
from advisor.wording.blocks import Block
from advisor.wording.messages import Message, as_spelled_here

if TYPE_CHECKING:
    from textual.screen import Screen

    from advisor.dialogue.day_list import DayRow
    from advisor.dialogue.hot_reload import LiveRules
    from advisor.drawings.scene import Names
    from advisor.practise.sitting import Sitting
    from advisor.tui.dialogs import Aside


class Drawn:
    """The drawings of a consultation at a width in columns."""

    def __init__(self) -> None:
        self._for: object = None
        self._paras: tuple[Para, ...] = ()

    def paras(self, conversation: Conversation, columns: int, unit: Names | None = None) -> tuple[Para, ...]:
        """The paragraphs, each drawing with its sentences, then the distances between repair units."""
        from advisor.dialogue.drawing_messages import drawing_messages

        consultation = conversation.consultation
        ask = consultation.ask
        now = (consultation.case, ask.key if ask else None, columns, unit)
        if now != self._for:
            messages = drawing_messages(consultation, columns - 1, unit)
            self._paras = tuple(para for message in messages for para in message_turn(message))
            self._for = now
        return self._paras[1:] if self._paras[:1] == (BLANK,) else self._paras


LONGEST_SAID = 200
#: The tire's name typed at the card, in the words that offer it.
_NAME = re.compile(r"\s*name(?:\s+(?:it|the tire|the tyre))?[\s:,]*(?P<name>.*?)\s*", re.I)
#: The number of a part with a word right behind it.
_ROW_THEN = re.compile(r"\s*(?P<row>\d{1,2})(?P<rest>[^\W\d_].*)", re.S)
#: So much of the verdict stays in sight while something long is read.
READING_LINES = 2
_BACK_TO_CARD = "Enter: the whole card; "
_TITLES = {
    "end": "Verdict",
    "change": "So far",
    "word": "A word of the trade",
    "file": "Save",
    "name": "Whose tire it was",
    "start-over": "Start over",
    "take-up": "Not finished",
    "quit": "Leave",
}


class Conversation:
    """A consultation with what was said, and what is asked for now: a question, the end, or something aside."""

    def __init__(self, consultation: Consultation, now: Callable[[], datetime]) -> None:
        self.consultation = consultation
        self.now = now
        self.recorder: Recorder | None = None
        self.live: LiveRules | None = None
        #: What has to be done before anything typed is taken: the journal has to be open.
        self.before: Callable[[], None] | None = None
        #: Makes the screen of recorded casings, given what takes one for this consultation; None without a journal.
        self.open_casings: Callable[[Callable[[str], None]], Screen[None]] | None = None
        #: Makes a sitting of practice by the same rules; None where there is none.
        self.make_practice: Callable[[], Sitting] | None = None
        #: The report's page of a consultation as HTML; None where nobody can make it.
        self.page_of: Callable[[Consultation], str] | None = None
        #: The screen to open next, by what its key is called.
        self.to_open = ""
        #: Whether the work's screen was left for questions that came up there.
        self.left_work = False
        #: A file just saved, and whether it is a page for a browser to show and print.
        self.saved: Path | None = None
        self.to_print = False
        self.transcript = TurnLog()
        self.transcript.add(opening(consultation.judge))
        self.text = ""
        self.complaint: tuple[str, ...] = ()
        #: The row at which the arrows stand, and the one they were moved to; a number in the line points elsewhere.
        self.at: int | None = None
        self.stood: int | None = None
        self.marked: frozenset[str] = frozenset()
        self.touched = False
        self.leaving = False
        self._drawings = Drawn()
        self.to_copy = ""
        #: Sections of the verdict that are open, None for as many as there is room for; whether something long is
        #: being read in its place.
        self.opened: frozenset[str] | None = None
        self._open_now: frozenset[str] = frozenset()
        self.reading = False
        #: Whether something was said last that is no answer: the question or the verdict stands as before.
        self.said_aside = False
        #: Whether what was said last is more than that an answer was taken.
        self.weighty = False
        self._stash, self._stash_stale = "", False
        #: Whether the next typing takes the line's place: it was refused, or is only proposed.
        self.stale = False
        self._rung: frozenset[object] = frozenset()
        self.current_aside: Aside | None = None
        self.settle()
        self.transcript.begin()

    # What can be seen

    @property
    def aside(self) -> bool:
        """Whether something else than the question is asked for now."""
        return self.current_aside is not None

    @property
    def answered(self) -> bool:
        """Whether anything is answered or left out; found without what `listed` says of each answer."""
        case, questions = self.consultation.case, self.consultation.judge.rules.questions
        said = (case.get(questions[key[0]].over, key) is not None for key in self.consultation.saved.order)
        return any(said) or bool(self.consultation.left_out)

    def timers(self) -> str:
        """What is left of the work's timers, in short; empty where none runs."""
        if not self.consultation.work.timers:
            return ""
        from advisor.dialogue.work_steps import timers_in_short

        return timers_in_short(self.consultation)

    def timer_just_over(self) -> bool:
        """Whether a timer came to its end since this was last asked."""
        now = self.consultation.now()
        over = {timer for timer in self.consultation.work.timers if now is not None and timer.over(now)}
        new, self._rung = over - self._rung, frozenset(over)
        return bool(new)

    def panel(self, width: int, height: int) -> list[Line]:
        """What is asked for now, or the verdict, as lines of the frame above the line."""
        from advisor.tui.ask_panel import (
            SKETCH_COLUMNS,
            SMALL_SKETCH_COLUMNS,
            card_panel,
            glance_lines,
            heading_panel,
            open_at_first,
            question_panel,
        )

        if self.prompt.kind == "end":
            card = self.consultation.card()
            if self.reading:
                return glance_lines(card, width)[:READING_LINES]
            if self.opened is None:
                self._open_now = open_at_first(card, self.prompt.rows, width, height)
            else:
                self._open_now = self.opened
            return card_panel(card, self.prompt.rows, self.at, self._open_now, width, height)
        if self.reading:
            return heading_panel(self.prompt, width)
        sketches = (self._sketch(columns) for columns in (SKETCH_COLUMNS, SMALL_SKETCH_COLUMNS))
        return question_panel(self.prompt, self.at, self.marked, width, height, *sketches)

    def _sketch(self, columns: int) -> list[str]:
        """The sketch that goes with the open question."""
        if self._asked is None or self.aside or not sketch_of(self._asked.key[0], self.consultation.judge):
            return []
        from advisor.drawings.selection import small_sketch

        return small_sketch(self._asked.key[0], self.consultation.judge, columns)

    def hint(self, width: int) -> str:
        """What can be typed, for the empty line."""
        hint = self.prompt.hint
        if self.beside_card and self.prompt.kind == "end":
            hint = f"{_BACK_TO_CARD}{hint.partition('; ')[2] if hint.startswith('Enter') else hint}"
        return prompt_bar.hint_at(hint, width)

    @property
    def beside_card(self) -> bool:
        """Whether what was said last has taken the card's room."""
        return self.reading or (self.prompt.kind == "end" and self.said_aside)

    @property
    def esc_does(self) -> str:
        """What Esc does here, where it does more than leave all as it was."""
        if isinstance(self.current_aside, TakeUp):
            return "another tire"
        return "the card" if self.beside_card and self.prompt.kind == "end" else ""

    def whole_card(self) -> None:
        """What was said was read: the card, or the question, has all its room again."""
        self.reading = self.said_aside = self.weighty = False

    @property
    def panel_title(self) -> str:
        """What the frame above the line is about."""
        if self._asked is not None and not self.aside:
            now = self.consultation.judgement
            if self.consultation.pending is not None:
                return self._asked.asks
            return place_in_whole(self._asked, now, self.consultation.judge)
        return spelled(_TITLES.get(self.prompt.kind, ""), self.consultation.judge.rules)

    @property
    def verdict_shown(self) -> str:
        """The verdict in the frame, in lower case; empty while something is asked."""
        return str(self.consultation.judgement.verdict) if self.prompt.kind == "end" else ""

    def drawn(self, columns: int) -> tuple[Para, ...]:
        """What stands beside a verdict: the drawings, where something has a place; nothing while a question is open."""
        if (
            self._asked is not None
            or self.aside
            or not anything_placed(self.consultation.case, self.consultation.judge.rules)
        ):
            return ()
        return self._drawings.paras(self, columns)

    def so_far(self, width: int) -> Iterator[Para]:
        """All that was answered or left out as a table, one line each, for the side."""
        rows = prompt_bar.answer_rows(self.consultation)
        if not rows:
            yield Para("Nothing is answered yet.", "quiet")
            return
        wide = max(len(row.number) for row in rows)
        columns = prompt_bar.name_columns(rows, width - wide - 1)
        group = ""
        for row in rows:
            if row.group != group:
                group = row.group
                yield Para(group, "title")
            text = prompt_bar.table_row(row, columns, width - wide - 1)
            whole = "…" not in text  # a name or an answer that has no room on one line is read on two
            said = text if whole else f"{row.says}: {row.answer.partition(' (')[0]}"
            yield Para(said, "", f"{row.number:>{wide}} ", "number", 0, int(row.number) - 1, whole)

    def put(self, typed: str, messages: list[Message]) -> None:
        """Puts an exchange into the conversation and asks for what is needed next."""
        self.transcript.begin()
        before, now = self._asked, self.consultation.ask
        asked = before is not None and (now is None or now.key != before.key)
        if before is not None and asked:
            self.transcript.add(asked_turn(before))
        if typed.strip():
            self.transcript.add(said_turn(shown(typed.strip(), LONGEST_SAID), not asked))
        self.transcript.reply()
        for turn in reply_turns(messages):
            self.transcript.add(turn)
        self.weighty = any(message.kind not in ("noted", "standing") for message in messages)
        self.said_aside = bool(messages) and not asked and (now is None) == (before is None)
        self.settle()

    def settle(self) -> None:
        """Asks for what the consultation needs next; the card is put when nothing is left to ask."""
        ask = self._asked = self.consultation.ask
        self.complaint = ()
        self.reading = False
        self.touched = False
        self.marked = prompt_bar.marked_before(self.consultation, ask)
        if ask is not None:
            self.opened = None
            self.prompt: Prompt = prompt_bar.question_prompt(self.consultation, ask)
        else:
            self.prompt = self._at_the_end()
        self.at = self.stood = self.prompt.begin

    def _at_the_end(self) -> Prompt:
        """What can be opened under the verdict, and gone on with."""
        from advisor.tui.ask_panel import section_rows

        now, rows = self.consultation.judgement, section_rows(self.consultation.card())
        work = bool(self.consultation.judge.methods.plan(now))
        drawn = anything_placed(self.consultation.case, self.consultation.judge.rules)
        if self.recorder is not None and not self.recorder.casing:
            rows = (*rows, prompt_bar.name_row())
        return prompt_bar.end_prompt(rows, bool(now.missing), work, drawn, self.consultation.for_the_record)

    def open(self, aside: Aside) -> None:
        """Asks for something else than the question; the line is kept for later."""
        if self.current_aside is None:
            self._stash, self._stash_stale = self.text, self.stale
        self.current_aside = aside
        self.prompt, self.reading = aside.prompt, False
        self.text, self.complaint, self.stale = aside.prompt.text, (), True
        self.at = self.stood = aside.prompt.begin
        self.transcript.begin()

    def close(self, *messages: Message, typed: str = "") -> None:
        """Comes back to the question, with the line as it was."""
        self.current_aside = None
        self.tell(messages, typed)
        self.text, self._stash, self.stale = self._stash, "", self._stash_stale

    def tell(self, messages: Iterable[Message], typed: str = "") -> None:
        """Puts something into the conversation that is no answer; what is typed and marked stays."""
        before = (self._asked.key if self._asked else None, self.stood, self.marked, self.touched)
        text = self.text
        self.put(typed, list(messages))
        self.text = text
        if self._asked and self._asked.key == before[0]:
            _, self.stood, self.marked, self.touched = before
            self.at = self.stood

    def keep(self) -> None:
        """Keeps what was done, before anything new shows; says what there is to say about it."""
        for message in kept(self.recorder, self.consultation):
            self.transcript.add(message_turn(message))

    def trouble(self, error: Exception) -> None:
        """Says calmly that something in the program went wrong."""
        found = shown(f"{type(error).__name__}: {error}", LONGEST_SAID)
        text = self.text
        self.transcript.begin()
        note = f"Something in the program went wrong ({found}). Your answers are kept."
        self.reading = False
        self.transcript.add((BLANK, Para(note, "wrong")))
        self.text = text


class Desk(Conversation):
    """One technician's consultation at the screen.

    `text` is what the input line holds: the screen sets it before each step and shows it after. `complaint` is
    what is wrong with it. `at` is the row at which the arrows stand, `marked` the choices marked with Space,
    `to_copy` what is meant for the clipboard.
    """

    # Typing and picking

    def enter(self) -> None:
        """Takes the line, or with an empty line the row or the marks. What is refused stays in the line."""
        self.complaint = ()
        if self.beside_card and self.prompt.kind == "end" and not (self.text.strip() or self._picked()):
            self.whole_card()
            return
        self.reading = False
        try:
            if self.text.strip() or not self._picked():
                self._typed(self.text)
            else:
                self._pick()
        except Refused as refused:
            self.complaint = refused.lines

    def point(self, text: str) -> bool:
        """Stands at the row whose number is typed, else where it stood; tells whether that moved it. Takes nothing."""
        place = None if self.prompt.several else self.prompt.row_numbered(text)
        before = (self.at, self.reading)
        self.at = self.stood if place is None else place
        self.reading = self.reading and not text
        return (self.at, self.reading) != before

    def pick_row(self, place: int) -> None:
        """Takes a row, or marks it where several can be taken together."""
        if not 0 <= place < len(self.prompt.rows):
            return
        self.at = self.stood = place
        if self.prompt.several and isinstance(self.prompt.rows[place].means, Choice):
            self.mark()
            return
        self.complaint = ()
        try:
            self._pick()
        except Refused as refused:
            self.complaint = refused.lines

    def move(self, step: int) -> bool:
        """Moves to the next or the previous row; tells whether there are rows."""
        count = len(self.prompt.rows)
        self.reading = False
        if count:
            start = (-1 if step > 0 else count) if self.at is None else self.at
            self.at = self.stood = max(0, min(count - 1, start + step))
        return bool(count)

    def mark(self) -> None:
        """Marks the row, or takes its mark away."""
        row = self.row
        self.reading = False
        if row is not None and self.prompt.several and isinstance(row.means, Choice):
            self.marked = self.marked ^ {row.means.id}
            self.touched = True
            self.complaint = ()

    @property
    def row(self) -> PromptRow | None:
        """The row at which the arrows stand."""
        return self.prompt.rows[self.at] if self.at is not None and self.at < len(self.prompt.rows) else None

    def _picked(self) -> bool:
        return self.row is not None or self.touched

    def _pick(self) -> None:
        row = self.row
        if self.current_aside is not None:
            if row is not None:
                self.current_aside.take(self, row)
        elif self.prompt.kind == "end":
            self.fold(row)
        elif self.touched and (self.marked or row is None or isinstance(row.means, Choice)):
            if not self.marked:
                raise Refused("Nothing is marked. Space marks a row; 0 is for none of these.")
            numbers = [r.number for r in self.prompt.rows if isinstance(r.means, Choice) and r.means.id in self.marked]
            self._said(", ".join(numbers), take_marked(self.consultation, self.marked, row))
        elif row is not None:
            self._said(row.number or row.says, take_row(self.consultation, row))

    def fold(self, row: PromptRow | None) -> None:
        """Opens a section of the verdict, or folds it again."""
        self.reading = self.said_aside = False
        if row is not None and row.means == prompt_bar.NAME_IT:
            self.open(NameTire())
        elif row is not None:
            self.opened = self._open_now ^ {str(row.means)}

    def _unfold(self, text: str) -> bool:
        """Opens the sections that a line asks for; tells whether it was such a line."""
        place = self.prompt.row_numbered(text)
        words = (str(self.prompt.rows[place].means),) if place is not None else sections_asked(self.consultation, text)
        if words:
            every = [row.means for row in self.prompt.rows]
            self.opened = self._open_now ^ {words[0]} if place is not None else self._open_now | set(words)
            self.at = self.stood = every.index(words[0])
            self.text = ""
        return bool(words)

    def _without_row(self, text: str) -> str:
        """A question typed right behind the digit of a part of the verdict, without that digit."""
        match = _ROW_THEN.match(text) if self.prompt.kind == "end" else None
        if match is None or self.prompt.row_numbered(match["row"]) is None:
            return text
        from advisor.dialogue.question_form import asks_by_form

        return match["rest"] if asks_by_form(match["rest"]) else text

    def _named(self, text: str) -> bool:
        """Takes the tire's name as the card offers it: `name it`, or with the name behind it; whether it was that."""
        match = _NAME.fullmatch(text)
        if match is None or not any(row.means == prompt_bar.NAME_IT for row in self.prompt.rows):
            return False
        self.text = ""
        self.open(NameTire())
        if match["name"]:
            assert self.current_aside is not None
            self.current_aside.typed(self, match["name"])
        return True

    def _typed(self, text: str) -> None:
        if self.current_aside is not None:
            self.current_aside.typed(self, text)
            return
        if self.prompt.kind == "end" and plain(text) == "verdict":
            self.text = ""
            self.whole_card()
            return
        if self.prompt.kind == "end" and (self._unfold(text) or self._named(text)):
            return
        text = self._without_row(text)
        if self.say_aside(text):
            self.text = ""
            return
        command = KEY_WORDS.get(plain(text))
        if command is not None:
            self.text = ""
            command(self)
            return
        place = self.prompt.row_numbered(text)
        if place is not None and not self.prompt.several:
            self._said(text.strip(), take_row(self.consultation, self.prompt.rows[place]))
        elif self.touched and self.marked:
            self._said(text, with_marks(self.consultation, self.marked, text))
        else:
            self._said(text, say(self.consultation, text))

    def say_aside(self, text: str) -> bool:
        """Takes what is said of the consultation beside its answers; tells whether it was such a thing."""
        record = self.recorder.consultation if self.recorder is not None else ""
        messages = said_beside(self.recorder, self.consultation, text)
        if messages is not None and self.recorder is not None and self.recorder.consultation != record:
            self.other_tire(messages)
        elif messages is not None:
            self.tell(messages, text)
        return messages is not None

    def day_rows(self) -> list[DayRow]:
        """The tires of the day as they stand; none where nothing is kept."""
        from advisor.dialogue.day_list import rows_now

        return [] if self.recorder is None else rows_now(self.recorder, self.consultation, self.now())

    def go_into(self, row: DayRow) -> None:
        """Goes on with another tire of the day; where that can't be, says why."""
        from advisor.dialogue.day_list import go_into

        if self.recorder is not None:
            messages = go_into(self.recorder, self.consultation, row)
            if any(message.kind == "complaint" for message in messages):
                self.complaint = tuple(text for message in messages for text in message.texts)
            else:
                self.other_tire(messages)

    def to_its_work(self) -> None:
        """Asks for the work's screen where the work was begun and is not done."""
        if self.can("work") and self.consultation.work.begun and not at_its_end(self.consultation):
            self.to_open = "work"

    def other_tire(self, messages: list[Message]) -> None:
        """Nothing of the tire before stays in the conversation or in the line."""
        self.transcript.clear()
        self.opened = self._asked = self.current_aside = None
        self.left_work = False
        self.put("", messages)
        self.text = ""

    def _said(self, typed: str, messages: Iterable[Message]) -> None:
        """Puts an exchange into the conversation. Raises Refused when nothing of it was taken."""
        messages = list(messages)
        if messages and all(message.kind == "complaint" for message in messages):
            if self.prompt.kind == "end":
                self.prompt = self._at_the_end()
            raise Refused(*(text for message in messages for text in message.texts))
        self.put(typed, messages)
        self.text = ""

    # Keys

    def why(self) -> None:
        """Why things stand as they do."""
        self.tell(say(self.consultation, "why"))

    def why_asked(self) -> None:
        """How the open question is found out, whole, and why it is asked."""
        how = self._asked.how if self._asked is not None else ""
        first = [Message("help", (Block(how, lead="How"),))] if how else []
        self.tell([*first, *say(self.consultation, "why ask")])

    def help(self) -> None:
        """The keys that work now and what can be typed."""
        self.tell([as_spelled_here(Message("help", key_help(self.can)), self.consultation.judge.rules)])

    def back(self) -> None:
        """Goes back to the answer before."""
        self.tell(self.consultation.back())

    def work(self) -> None:
        """Goes to the work's own screen, as its key does; while something is asked, what stands in the way."""
        if self.can("work"):
            self.to_open = "work"
        else:
            self._said("work", say(self.consultation, "work"))

    def change(self) -> None:
        """Picks an earlier answer to change."""
        if not self.answered:
            self.complaint = ("Nothing is answered yet.",)
        else:
            self.open(ChangeAnswer(self))

    def change_key(self, key: Key) -> None:
        """Asks a question again that was answered or left out."""
        self.tell(ask_again(self.consultation, key))

    def word(self) -> None:
        """Explains a term of the trade."""
        self.open(ExplainWord(self))

    def copy(self) -> None:
        """Hands the card over for the clipboard."""
        self.to_copy = card_text(self.consultation)
        note = "Sent to the terminal's clipboard. Not every terminal takes it; F8 saves it as a file."
        self.tell([Message("note", (note,))])

    def save(self) -> None:
        """Saves card and answers as a text file."""
        self.open(SaveAs(self))

    def report(self) -> None:
        """The report as a page: beside the record and opened; where none is kept, or in a browser, a file to print."""
        if self.page_of is None or (self.consultation.make_page is not None and self.consultation.state.kept_as):
            self.tell(say(self.consultation, "report page"))
            return
        name = default_name(self.now(), ".html")
        self.saved, self.to_print = save(Path(name), self.page_of(self.consultation), again=True), True
        self.tell([Message("note", (f"The report's page is saved as {shown(str(self.saved))}. Print it from there.",))])

    def casings(self) -> None:
        """Asks for the screen of recorded casings."""
        if self.open_casings is None:
            raise Refused("Nothing is kept here, so there are no recorded casings to look through.")
        self.to_open = "casings"

    def start_over(self) -> None:
        """Begins anew after a yes."""
        self.open(StartOver(self))

    def quit(self) -> None:
        """Leaves at once when nothing would be lost or when asked twice, else after a yes."""
        kept = self.recorder is not None and self.recorder.safe
        if not self.answered or kept or isinstance(self.current_aside, Leave):
            self.leaving = True
        else:
            self.open(Leave(self))

    def cancel(self) -> None:
        """Leaves an aside, or an earlier answer as it was."""
        if self.beside_card:
            self.whole_card()
        elif self.current_aside is not None:
            self.close()
        elif self.complaint and self.text:
            self.text, self.complaint = "", ()
        elif self.prompt.given:
            self.tell(self.consultation.go_on())

    def can(self, key: str) -> bool:
        """Whether a key does anything now."""
        if key == "cancel":
            return self.aside or self.beside_card or self.prompt.given or bool(self.complaint and self.text)
        if self.aside and not (key == "today" and isinstance(self.current_aside, TakeUp)):
            return key == "quit"
        if key == "why_asked":
            return self._asked is not None
        if key == "back":
            return self.answered or self.consultation.pending is not None
        if key == "beside":
            return self._asked is None
        if key == "draw":
            asked = self.consultation.ask
            return anything_to_draw(self.consultation.case, asked.key if asked else None, self.consultation.judge)
        if key in ("casings", "today"):
            return self.open_casings is not None
        if key == "practise":
            return self.make_practice is not None
        if key in ("work", "report"):
            return self._asked is None
        return self.answered if key in ("change", "copy", "save", "start_over") else True


KEY_WORDS: dict[str, Callable[[Desk], None]] = {
    "help": Desk.help,
    "?": Desk.help,
    "change": Desk.change,
    "work": Desk.work,
    "casings": Desk.casings,
    **dict.fromkeys(START_OVER, Desk.start_over),
    "save": Desk.save,
    "copy": Desk.copy,
    "quit": Desk.quit,
    "exit": Desk.quit,
    "q": Desk.quit,
}
