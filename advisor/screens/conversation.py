"""The flow of a consultation at the screen: what is said goes into the conversation, then the next thing is asked."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from datetime import datetime
from typing import TYPE_CHECKING

from advisor.errors import shown
from advisor.screens import prompts
from advisor.screens.drawn import Drawn
from advisor.screens.lines import BLANK, Para
from advisor.screens.prompts import Prompt
from advisor.screens.transcript import Transcript
from advisor.screens.turns import asked_turn, message_turn, opening, said
from advisor.talk.consultation import Consultation
from advisor.talk.drawable import anything_placed
from advisor.talk.message import Message
from advisor.talk.recorder import Recorder, kept

if TYPE_CHECKING:
    from textual.screen import Screen

    from advisor.screens.asides import Aside
    from advisor.talk.live_rules import LiveRules

LONGEST_SAID = 200


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
        self.to_open = ""
        self.transcript = Transcript()
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
        self._ended = False
        self._stash = ""
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
        """Whether anything is answered or left out."""
        return bool(self.consultation.listed)

    def timers(self) -> str:
        """What is left of the work's timers, in short; empty where none runs."""
        if not self.consultation.work.timers:
            return ""
        from advisor.talk.work_lines import timers_in_short

        return timers_in_short(self.consultation)

    def timer_just_over(self) -> bool:
        """Whether a timer came to its end since this was last asked."""
        now = self.consultation.now()
        over = {timer for timer in self.consultation.work.timers if now is not None and timer.over(now)}
        new, self._rung = over - self._rung, frozenset(over)
        return bool(new)

    def tail(self) -> tuple[Para, ...]:
        """What is asked for now, as paragraphs."""
        return prompts.prompt_paras(self.prompt, self.at, self.marked)

    def drawn(self, columns: int) -> tuple[Para, ...]:
        """What stands beside a verdict: the drawings, where something has a place; nothing while a question is open."""
        if self._asked is not None or self.aside or not anything_placed(self.consultation.case):
            return ()
        return self._drawings.paras(self, columns)

    def so_far(self) -> Iterator[Para]:
        """All answers with their numbers and what was left out, for the side."""
        yield Para("So far", "title")
        rows = self.consultation.answered
        for place, (_, name, answer, counts) in enumerate(rows):
            yield Para(name, "quiet", f"{place + 1:>2} ", "number", 0, place)
            yield Para(answer, "", "", "", 3, place)
            if not counts:
                yield Para("does not count now", "note", "x ", "wrong", 3, place)
        left_out = self.consultation.left_out
        if left_out:
            yield BLANK
            yield Para("Left out", "title")
        for place, (_, name) in enumerate(left_out, len(rows)):
            yield Para(name, "quiet", f"{place + 1:>2} ", "number", 0, place)
        if not rows:
            yield BLANK
            yield Para("Nothing is answered yet.", "quiet")

    def put(self, typed: str, messages: list[Message]) -> None:
        """Puts an exchange into the conversation and asks for what is needed next."""
        self.transcript.begin()
        before, now = self._asked, self.consultation.ask
        asked = before is not None and (now is None or now.key != before.key)
        if before is not None and asked:
            answered = self.consultation.case.get(before.question.over, before.key) is not None
            self.transcript.add(asked_turn(before, self._number if answered else 0))
        if typed.strip():
            self.transcript.add(said(shown(typed.strip(), LONGEST_SAID), not asked))
        for message in messages:
            if message.kind != "standing":
                self.transcript.add(message_turn(message))
        self.settle()

    def settle(self) -> None:
        """Asks for what the consultation needs next; the card is put when nothing is left to ask."""
        ask = self._asked = self.consultation.ask
        self.complaint = ()
        self.touched = False
        self.marked = prompts.marked_before(self.consultation, ask)
        self._number = prompts.question_number(self.consultation, ask)
        if ask is not None:
            self._ended = False
            self.prompt: Prompt = prompts.question_prompt(self.consultation, ask, self._number)
        else:
            if not self._ended:
                self._ended = True
                self.transcript.begin()
                self.transcript.add(message_turn(Message("card", (), self.consultation.card())))
            now = self.consultation.judgement
            work = bool(self.consultation.judge.methods.plan(now))
            self.prompt = prompts.end_prompt(bool(now.missing), work, anything_placed(self.consultation.case))
        self.at = self.stood = self.prompt.begin

    def open(self, aside: Aside) -> None:
        """Asks for something else than the question; the line is kept for later."""
        if self.current_aside is None:
            self._stash = self.text
        self.current_aside = aside
        self.prompt = aside.prompt
        self.text, self.complaint = aside.prompt.text, ()
        self.at = self.stood = aside.prompt.begin
        self.transcript.begin()

    def close(self, *messages: Message, typed: str = "") -> None:
        """Comes back to the question, with the line as it was."""
        self.current_aside = None
        self.tell(messages, typed)
        self.text, self._stash = self._stash, ""

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
        self.transcript.add((BLANK, Para(note, "wrong")))
        self.text = text
