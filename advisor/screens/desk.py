"""What typing, picking and the keys do to the consultation at the screen. Knows no widget."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from advisor.model.case import Choice, Key
from advisor.screens.asides import Change, ExplainWord, Leave, SaveAs, StartOver
from advisor.screens.conversation import Conversation
from advisor.screens.key_help import help_lines
from advisor.screens.prompts import Row
from advisor.screens.save_text import card_text
from advisor.screens.taking import Refused, take_marked, take_row, with_marks
from advisor.talk.commands import say
from advisor.talk.drawable import anything_to_draw
from advisor.talk.earlier import ask_again
from advisor.talk.message import Message
from advisor.talk.recorder import said_aside
from advisor.talk.typed import plain


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
        before, self.at = self.at, self.stood if place is None else place
        return self.at != before

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
        if count:
            start = (-1 if step > 0 else count) if self.at is None else self.at
            self.at = self.stood = max(0, min(count - 1, start + step))
        return bool(count)

    def mark(self) -> None:
        """Marks the row, or takes its mark away."""
        row = self.row
        if row is not None and self.prompt.several and isinstance(row.means, Choice):
            self.marked = self.marked ^ {row.means.id}
            self.touched = True
            self.complaint = ()

    @property
    def row(self) -> Row | None:
        """The row at which the arrows stand."""
        return self.prompt.rows[self.at] if self.at is not None and self.at < len(self.prompt.rows) else None

    def _picked(self) -> bool:
        return self.row is not None or self.touched

    def _pick(self) -> None:
        row = self.row
        if self.current_aside is not None:
            if row is not None:
                self.current_aside.take(self, row)
        elif self.touched and (self.marked or row is None or isinstance(row.means, Choice)):
            if not self.marked:
                raise Refused("Nothing is marked. Space marks a row; 0 is for none of these.")
            numbers = [r.number for r in self.prompt.rows if isinstance(r.means, Choice) and r.means.id in self.marked]
            self._said(", ".join(numbers), take_marked(self.consultation, self.marked, row))
        elif row is not None:
            self._said(row.number or row.says, take_row(self.consultation, row))

    def _typed(self, text: str) -> None:
        if self.current_aside is not None:
            self.current_aside.typed(self, text)
            return
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
        messages = said_aside(self.recorder, self.consultation, text)
        if messages is not None:
            self.tell(messages, text)
        return messages is not None

    def _said(self, typed: str, messages: Iterable[Message]) -> None:
        """Puts an exchange into the conversation. Raises Refused when nothing of it was taken."""
        messages = list(messages)
        if messages and all(message.kind == "complaint" for message in messages):
            raise Refused(*(line for message in messages for line in message.lines))
        self.put(typed, messages)
        self.text = ""

    # Keys

    def why(self) -> None:
        """Why things stand as they do."""
        self.tell(say(self.consultation, "why"))

    def why_asked(self) -> None:
        """Why the open question is asked."""
        self.tell(say(self.consultation, "why ask"))

    def help(self) -> None:
        """The keys that work now and what can be typed."""
        self.tell([Message("help", help_lines(self.can))])

    def back(self) -> None:
        """Goes back to the answer before."""
        self.tell(self.consultation.back())

    def change(self) -> None:
        """Picks an earlier answer to change."""
        if not self.answered:
            self.complaint = ("Nothing is answered yet.",)
        else:
            self.open(Change(self))

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
        if self.current_aside is not None:
            self.close()
        elif self.complaint and self.text:
            self.text, self.complaint = "", ()
        elif self.prompt.given:
            self.tell(self.consultation.go_on())

    def can(self, key: str) -> bool:
        """Whether a key does anything now."""
        if key == "cancel":
            return self.aside or self.prompt.given or bool(self.complaint and self.text)
        if self.aside:
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
        if key == "casings":
            return self.open_casings is not None
        if key == "work":
            return self._asked is None and bool(self.consultation.judge.methods.plan(self.consultation.judgement))
        return self.answered if key in ("change", "copy", "save", "start_over") else True


KEY_WORDS: dict[str, Callable[[Desk], None]] = {
    "help": Desk.help,
    "?": Desk.help,
    "change": Desk.change,
    "casings": Desk.casings,
    "start over": Desk.start_over,
    "save": Desk.save,
    "copy": Desk.copy,
    "quit": Desk.quit,
    "exit": Desk.quit,
    "q": Desk.quit,
}
