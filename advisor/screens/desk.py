"""The state behind the screen: consultation, conversation, and what is asked for now. Knows no widget."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from advisor.errors import shown
from advisor.model.case import Choice
from advisor.screens import prompts
from advisor.screens.lines import Para
from advisor.screens.prompts import Prompt, Row
from advisor.screens.save_text import default_name, result_text, save
from advisor.screens.taking import Refused, take_marked, take_row
from advisor.screens.transcript import Transcript
from advisor.screens.turns import asked_turn, message_turn, opening, said
from advisor.talk.commands import say
from advisor.talk.consultation import Consultation
from advisor.talk.message import Message
from advisor.talk.typed import plain
from advisor.talk.why import explain_word

#: Typed words that do the same as a key.
KEY_WORDS = {
    "help": "help",
    "change": "change",
    "start over": "start_over",
    "quit": "quit",
    "exit": "quit",
    "q": "quit",
    "save": "save",
    "copy": "copy",
}


class Desk:
    """One technician's consultation at the screen. `complaint` is what is wrong with the line as typed."""

    def __init__(self, consultation: Consultation, now: Callable[[], datetime]) -> None:
        self.consultation = consultation
        self.now = now
        self.transcript = Transcript()
        self.transcript.add(opening(consultation.judge))
        self.complaint: tuple[str, ...] = ()
        self.at: int | None = None
        self.marked: frozenset[str] = frozenset()
        self.leaving = False
        self.touched = False
        self._stash = ""
        self._ended = False
        self.prompt = self._main_prompt()
        self._begin_prompt()

    # What can be seen

    @property
    def aside(self) -> bool:
        """Whether something else than the question is asked for now."""
        return self.prompt.kind not in ("question", "end")

    @property
    def answered(self) -> bool:
        """Whether anything is answered."""
        return bool(self.consultation.answered)

    def tail(self) -> tuple[Para, ...]:
        """What is asked for now, as paragraphs."""
        return prompts.prompt_paras(self.prompt, self.at, self.marked)

    # Typing and picking

    def enter(self, text: str) -> str:
        """Takes the line as it is; gives what the line shall hold then, which is the text itself when it is refused."""
        self.complaint = ()
        try:
            if not text.strip() and self.prompt.rows and (self.at is not None or self.touched):
                return self._pick()
            return self._aside(text) if self.aside else self._line(text)
        except Refused as refused:
            self.complaint = refused.lines
            return text

    def digit(self, digit: str) -> bool:
        """Takes the row with a number at once; tells whether there is one."""
        place = self.prompt.row_numbered(digit)
        if place is None or not self.prompt.at_once:
            return False
        self.complaint = ()
        self.at = place
        self._take(self.prompt.rows[place], digit)
        return True

    def pick_row(self, place: int) -> None:
        """Takes a row, or marks it where several can be taken."""
        if not 0 <= place < len(self.prompt.rows):
            return
        self.complaint = ()
        self.at = place
        row = self.prompt.rows[place]
        if self.prompt.several and isinstance(row.means, Choice):
            self.mark()
        else:
            self._pick()

    def move(self, step: int) -> bool:
        """Moves to the next or the last row; tells whether there are rows."""
        count = len(self.prompt.rows)
        if not count:
            return False
        start = -1 if step > 0 else count
        self.at = max(0, min(count - 1, (start if self.at is None else self.at) + step))
        return True

    def mark(self) -> None:
        """Marks the row, or takes its mark away."""
        row = self.prompt.rows[self.at] if self.at is not None else None
        if row is not None and self.prompt.several and isinstance(row.means, Choice):
            self.marked = self.marked ^ {row.means.id}
            self.touched = True

    def _pick(self) -> str:
        if self.prompt.several and self.prompt.kind == "question":
            row = self.prompt.rows[self.at] if self.at is not None else None
            typed, messages = take_marked(self.consultation, row, self.marked, self.touched, self.prompt.rows)
            self._said(typed, messages)
        elif self.at is not None:
            row = self.prompt.rows[self.at]
            self._take(row, row.number or row.says)
        return ""

    def _take(self, row: Row, typed: str) -> None:
        if self.aside:
            self._take_aside(row, typed)
            return
        self._said(typed, take_row(self.consultation, row))

    def _line(self, text: str) -> str:
        key = KEY_WORDS.get(plain(text))
        if key is not None:
            getattr(self, key)()
            return self.prompt.text
        place = self.prompt.row_numbered(text)
        if place is not None and not self.prompt.several:
            self._take(self.prompt.rows[place], text.strip())
        elif self.touched and self.marked:
            typed, messages = take_marked(self.consultation, None, self.marked, True, self.prompt.rows, text)
            self._said(typed, messages)
        else:
            self._said(text, say(self.consultation, text))
        return ""

    def _said(self, typed: str, messages: Iterable[Message]) -> None:
        """Puts an exchange into the conversation. Raises Refused when it was not taken."""
        messages = list(messages)
        wrong = next((message for message in messages if message.kind == "complaint"), None)
        if wrong is not None:
            raise Refused(*wrong.lines)
        ask = self._asked
        self.transcript.begin()
        now = self.consultation.ask
        if ask is not None and (now is None or now.key != ask.key):
            self.transcript.add(asked_turn(ask, self._number))
        if typed.strip():
            self.transcript.add(said(shown(typed, 200)))
        for message in messages:
            if message.kind != "standing":
                self.transcript.add(message_turn(message))
        self.settle()

    # Asides

    def settle(self) -> None:
        """Asks for what the consultation needs next; the card is put when nothing is left to ask."""
        self.prompt = self._main_prompt()
        self._begin_prompt()

    def _main_prompt(self) -> Prompt:
        ask = self.consultation.ask
        self._asked = ask
        self._number = prompts.question_number(self.consultation, ask) if ask else 0
        if ask is not None:
            self._ended = False
            return prompts.question_prompt(self.consultation, ask)
        if not self._ended:
            self._ended = True
            self.transcript.begin()
            self.transcript.add(message_turn(Message("card", (), self.consultation.card())))
        return prompts.end_prompt()

    def _begin_prompt(self) -> None:
        self.at = self.prompt.begin
        self.touched = False
        ask = self._asked
        marks = self.prompt.several and ask is not None
        self.marked = prompts.marked_before(self.consultation, ask) if marks and ask else frozenset()
        self.complaint = ()

    def _open(self, prompt: Prompt, text: str = "") -> None:
        if not self.aside:
            self._stash = text
        self.prompt = prompt
        self.complaint = ()
        self.at = prompt.begin

    def cancel(self) -> str:
        """Leaves an aside, or an earlier answer as it was; gives what the line shall hold."""
        if self.aside:
            self.settle()
            text, self._stash = self._stash, ""
            return text
        self._said("", self.consultation.go_on())
        return ""

    def _close(self, note: Message | None = None, typed: str = "") -> str:
        text, self._stash = self._stash, ""
        if note is not None:
            self.transcript.begin()
            if typed:
                self.transcript.add(said(shown(typed, 200)))
            self.transcript.add(message_turn(note))
        self.settle()
        return text

    def _aside(self, text: str) -> str:
        place = self.prompt.row_numbered(text)
        if place is not None:
            self._take_aside(self.prompt.rows[place], text.strip())
            return self.prompt.text
        if self.prompt.kind == "word" and text.strip():
            message = explain_word(text, self.consultation.judge.rules)
            if message.kind == "complaint":
                raise Refused(*message.lines)
            return self._close(message, f"what is {text.strip()}")
        if self.prompt.kind == "file":
            path = save(Path(text.strip()), result_text(self.consultation))
            return self._close(Message("note", (f"Saved as {shown(str(path))}",)))
        if self.prompt.kind in ("quit", "start-over") and plain(text) in ("yes", "y", "no", "n"):
            self._take_aside(self.prompt.rows[0 if plain(text) in ("yes", "y") else 1], text)
            return ""
        raise Refused(f'"{shown(text, 60)}" is none of the rows above. Esc goes back.')
