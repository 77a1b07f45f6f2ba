"""What is done with a consultation: an answer taken or left out, one asked again, an end and a new beginning."""

from __future__ import annotations

from typing import Any

from msgspec.structs import replace

from advisor.dialogue.changes import capital, gone_on, take_several, what_changed, worked_out_lines
from advisor.dialogue.holder import Holder
from advisor.dialogue.not_counted import NOT_COUNTED, note_of_print, tells_something, typed_anew
from advisor.dialogue.prompt import Ask
from advisor.dialogue.state import LONGEST_KEPT, SessionState
from advisor.engine.templates import value_in_words
from advisor.loader.answer_codec import NONE_WORDS, plain
from advisor.loader.case_constraints import impossible, unread_words
from advisor.model import inputs
from advisor.model.case import CANT_TELL, Answer, Case, Choices, Key, Text
from advisor.model.problems import shown
from advisor.model.saved import Saved
from advisor.wording.blocks import Block
from advisor.wording.messages import Message, complaint, findings_merged
from advisor.wording.verdict_card import question_in_words

#: Said where a sentence that waits to be confirmed would be passed over.
WAITS = Message("complaint", ("Something waits to be confirmed. First say yes to count it, or no to drop it.",))


class AnswerTaking(Holder):
    """A consultation that answers are given to. Every step back keeps what was answered."""

    def take(self, answer: Answer) -> list[Message]:
        """Takes an answer to the question put now."""
        from advisor.dialogue import prior_repairs

        ask = self.ask
        if ask is None:
            return []
        saved, judge = self.state.saved, self.judge
        if self.state.pending is not None:
            from advisor.dialogue.confirmation import confirm

            return self.follow(confirm(self, str(answer)))
        before = self.judgement
        answer = self._with_what_was_found(ask.key, answer)
        case = saved.case.with_answer(ask.question.over, ask.key, answer)
        wrong = impossible(case, judge.rules) if answer is not CANT_TELL else []
        known_wrong = {label for _, label, _ in impossible(saved.case, judge.rules)} if wrong else set()
        for _, label, misread in wrong:
            if label not in known_wrong:
                return [complaint(misread)]
        if refused := self._go_on(replace(saved, case=case, order=self._order(ask), asking=None, ended=False)):
            return [refused]
        self._note_unread(ask.key, answer)
        now = self.judgement
        said = f"{capital(ask.title)}: {value_in_words(answer, ask.question)}"
        *others, last = said, *self._counts_as(ask, answer)
        worked_out = tuple(worked_out_lines(before, now, judge.rules))
        changed = list(what_changed(before, now, judge))
        if any(name == ask.key[0] for name, *_ in judge.graph.questioned) and not self.in_order:
            changed += self._slip(ask, answer)
        return [
            Message("noted", (*others, Block(last, worked_out))),
            *changed,
            *prior_repairs.said_in_time(self, ask.key),
        ]

    def _slip(self, ask: Ask, answer: Answer) -> list[Message]:
        """Asks a figure again behind a second look that called one a slip."""
        from advisor.dialogue.second_look import asked_again_says, slip

        again = slip(self, ask, answer)
        if again is None:
            return []
        self._asking(again)
        return [asked_again_says(again, self)]

    def _note_unread(self, key: Key, answer: Answer) -> None:
        """Keeps the words behind a print or a date code that are none of it among the notes."""
        if isinstance(answer, Text):
            words = unread_words(self.judge.rules.input_of(key[0]), answer.text)
            if words and not self.listener.hear(" ".join(words).casefold(), self.case).idle:
                self.state = self.state.noting(*note_of_print(words))

    def _with_what_was_found(self, key: Key, answer: Answer) -> Answer:
        """An answer of what was found, beside what was found before the rest was looked at: that stays."""
        if not isinstance(answer, Choices):
            return answer
        old = self.case.get(self.judge.rules.over_of(key[0]), key)
        return findings_merged(old, answer) if isinstance(old, Choices) and not old.complete else answer

    def _counts_as(self, ask: Ask, answer: Answer) -> tuple[str, ...]:
        counts_as = ask.node.cant_tell.counts_as
        if answer is not CANT_TELL or not counts_as:
            return ()
        choice = ask.question.choice(counts_as)
        return (f"Can't tell counts as: {choice.says if choice else counts_as}",)

    def skip(self) -> list[Message]:
        """Leaves the question out: one that is optional, or one that others can settle instead."""
        from advisor.dialogue import prior_repairs

        ask = self.ask
        if ask is None or not (ask.optional or (ask.instead and ask.key not in self.case.skipped)):
            return [Message("complaint", ("This question can't be left out. If it can't be told, say: can't tell.",))]
        case = self.case.with_skipped(ask.key)
        if refused := self._go_on(replace(self.saved, case=case, order=self._order(ask), asking=None)):
            return [refused]
        note = f"instead, {ask.instead}" if ask.instead else "left out"
        return [Message("noted", (f"{capital(ask.title)}: {note}",)), *prior_repairs.said_in_time(self, ask.key)]

    def take_several(self, given: list[tuple[Key, Any]]) -> list[Message]:
        """Takes several answers at once, each to its own question; one that can't be true is left out and named."""
        return self.follow(take_several(self, self.state, given))

    def _taken_together(self, ask: Ask | None, found: dict[Key, Answer | None]) -> list[Message]:
        """Takes what a line says, each part read back; the question put first is left out where that may be."""
        puts = {each.key: each for each in (ask, *ask.beside)} if ask is not None else {}
        unknown = {key for key, answer in found.items() if answer is CANT_TELL and key in puts}
        left = [key for key, answer in found.items() if answer is None]
        left += [key for key in unknown if self._better_left_out(puts[key])]
        open_lead = ask is not None and ask.optional and ask.key not in found and not ask.question.left_out_by
        if ask is not None and open_lead and len(found) > 1:  # one answer elsewhere leaves it asked
            left.append(ask.key)
        for key in left:
            self.state = replace(self.state, saved=replace(self.saved, case=self.case.with_skipped(key)))
        said = (Message("noted", (f"{capital(question_in_words(key, self.judge.rules))}: left out",)) for key in left)
        told = [(key, answer) for key, answer in found.items() if answer is not None and key not in left]
        given = [(key, self._with_what_was_found(key, answer)) for key, answer in told]
        for key, answer in given:
            self._note_unread(key, answer)
        return [*said, *self.take_several(given)]

    def _better_left_out(self, ask: Ask) -> bool:
        """Whether "can't tell" says no more than leaving it out: nothing rests on it, or others can settle it."""
        if ask.instead:
            return ask.key not in self.case.skipped
        return ask.optional and ask.question.over == "tire" and not ask.node.cant_tell.ending

    def back(self) -> list[Message]:
        """Goes back to the answer before, or to what was left out; it is kept until another one is given."""
        if self.pending is not None:
            self.state = replace(self.state, pending=None)
            return [Message("note", ("Dropped. Nothing of it counts.",))]
        gone_by = {key for key, _ in self.listed}
        order = [key for key in self.saved.order if key in gone_by]
        here = self.saved.asking
        before = order[: order.index(here)] if here in order else order
        if not before:
            return [Message("note", ("This is the first question.",))]
        return self._asking(before[-1])

    def change(self, key: Key) -> list[Message]:
        """Asks an earlier question again; its answer is kept until another one is given."""
        return [WAITS] if self.pending is not None else self._asking(key)

    def start_over(self) -> list[Message]:
        """Begins anew; who does the work and where it is kept stays."""
        kept = self.state
        self.state = SessionState(
            Saved(Case(today=self.today)),
            technician=kept.technician,
            kept_as=kept.kept_as,
            of_day=(*kept.of_day, *kept.work.readings),
        )
        return [Message("note", ("Starting over. Nothing is answered yet.",))]

    def stop(self) -> list[Message]:
        """Ends here with the verdict as things stand."""
        return [WAITS] if self.pending is not None else self._asking(None, ended=True)

    def end_without_injury(self, text: str) -> list[Message]:
        """Ends here where a tire has no injury: the rules judge one, so what is asked of it stays open."""
        self.state = self.state.noting(f"said to have no injury: {shown(text, LONGEST_KEPT)}")
        says = "No injury, as said: what is asked of one stays open. It ends with what was found; go on takes it up."
        return [Message("note", (says,)), *self.stop()]

    def resume(self, saved: Saved) -> None:
        """Takes up where a consultation stood."""
        self.state = replace(self.state, saved=saved)

    def go_on(self) -> list[Message]:
        """Takes up again after a stop or for a whole record, or leaves an earlier question as it was."""
        if self.for_the_record:
            self.state = replace(self.state, whole=True)
        return self._asking(None)

    def lose(self, text: str) -> bool:
        """Keeps a line that was not understood among the notes, where it may have told something."""
        ask = self.ask
        measured = ask is not None and ask.question.kind in inputs.FIGURE_KINDS
        told = tells_something(text, ask is None, self.judge.rules.phrases, measured)
        if told and measured and ask is not None and plain(text) in NONE_WORDS:
            text = f"{ask.question.name}: {text}"  # said to the next question, it is another answer
        if told:
            self.state = self.state.noting(f"{NOT_COUNTED}{shown(text, LONGEST_KEPT)}")
        return told

    def understood(self, text: str) -> None:
        """Ends the note of the line before where this one, which was understood, is the same typed anew."""
        if self.notes:
            self.state = self.state.noting(*typed_anew(self.notes, text, self.judge.rules.phrases.telling))

    def _asking(self, key: Key | None, ended: bool = False) -> list[Message]:
        self.state = replace(self.state, saved=replace(self.saved, asking=key, ended=ended))
        return []

    def _order(self, ask: Ask) -> tuple[Key, ...]:
        """The order of answering with this question in it."""
        order = self.state.saved.order
        return order if ask.key in order else (*order, ask.key)

    def _go_on(self, saved: Saved) -> Message | None:
        """Goes on to another case; stays, and says why, where what is described would vanish, or is too much."""
        self.state, refused = gone_on(self, self.state, saved)
        return refused
