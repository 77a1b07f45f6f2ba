"""What a consultation is: the one place that holds its state, and what follows from that, found when first asked."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from typing import TYPE_CHECKING

from msgspec.structs import replace

from advisor.dialogue.asking_order import order_of
from advisor.dialogue.changes import standing
from advisor.dialogue.not_counted import SAID_IN_DOUBT, said_besides, said_first
from advisor.dialogue.prompt import Ask, ask_at, prompt_keys, settled_now
from advisor.dialogue.state import Pending, SessionState
from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.engine.spelling_variant import spelled
from advisor.engine.templates import value_in_words
from advisor.model.case import TIRE, Case, Key
from advisor.model.problems import shown
from advisor.model.ruleset import Verdict
from advisor.model.saved import Saved
from advisor.wording.messages import Message
from advisor.wording.verdict_card import Card, question_in_words, verdict_card
from advisor.work.progress import Work

if TYPE_CHECKING:
    from advisor.nlu.pipeline import Listener


class Holder:
    """The rules, the clock, and the one place that holds the state of a consultation.

    Everything said gives a next state (`SessionState`); the functions that find it look at this as a `View` and write
    nothing. From outside a state is gone on to by `become` and `follow` alone.
    """

    def __init__(
        self, judge: Judge, today: date, clock: Callable[[], datetime] | None = None, in_order: bool = False
    ) -> None:
        """`in_order`: one question after another, as they stand in the rules, and to the last of them."""
        self._judge, self.today, self.in_order = judge, today, in_order
        #: The clock for the work's times; without one no time is noted and no timer runs.
        self.clock = clock
        #: Whether the journal was asked what was read at the work on the tires before on this day.
        self.day_looked_up = False
        #: Makes the report of a kept consultation as a page, and says where it is; None where none can be made.
        self.make_page: Callable[[str], tuple[str, ...]] | None = None
        self.state = SessionState(Saved(Case(today=today)))
        #: What follows from the state, found when first asked: judgements by case, the question due, the ear.
        self._known: tuple[tuple[Case, Judgement], ...] = ()
        self._of_day: tuple[date | None, Judge] | None = None
        self._due: tuple[Judgement, tuple[Key, ...]] | None = None
        self._asks: tuple[Judgement, Ask] | None = None
        self._open: tuple[Saved, bool, Ask | None, int] | None = None
        self._rows: tuple[Judgement, Saved, list[tuple[Key, str, str, bool]]] | None = None
        self._listener: Listener | None = None

    @property
    def judge(self) -> Judge:
        """The judge by the limits of the case's day."""
        day = self.state.saved.case.today
        if self._of_day is None or self._of_day[0] != day:
            self._of_day = day, self._judge.on(day)
        return self._of_day[1]

    @property
    def case(self) -> Case:
        """The case as answered so far."""
        return self.state.saved.case

    @property
    def saved(self) -> Saved:
        """The case and the order of answering, as a journal keeps them."""
        return self.state.saved

    @property
    def pending(self) -> Pending | None:
        """The sentence that waits to be confirmed."""
        return self.state.pending

    @property
    def notes(self) -> tuple[str, ...]:
        """The words not understood and the doubts said."""
        return self.state.notes

    @property
    def work(self) -> Work:
        """The repair's progress."""
        return self.state.work

    @property
    def judgement(self) -> Judgement:
        """The judgement as things stand."""
        case = self.state.saved.case
        return self._known[0][1] if self._known and self._known[0][0] is case else self.judged(case)

    def judged(self, case: Case) -> Judgement:
        """The judgement of a case; of the two looked at last it is known."""
        for known, judgement in self._known:
            if known is case:
                return judgement
        found = self.judge.judge(case, self._known[0][1] if self._known else None)
        self._known = ((case, found), *self._known[:1])
        return found

    @property
    def listener(self) -> Listener:
        """Hears sentences by these rules; made when first needed."""
        if self._listener is None:
            from advisor.nlu.pipeline import Listener

            self._listener = Listener(self.judge.rules)
        return self._listener

    @property
    def ask(self) -> Ask | None:
        """The question to put now, or None when the consultation is at its end."""
        state, found = self.state, self._open
        pending = state.pending
        if pending is None and found is not None and found[0] is state.saved and found[1] is state.whole:
            return found[2]
        if pending is not None:
            from advisor.dialogue.confirm_choices import CONFIRM_NODE, to_confirm

            put = to_confirm(pending, self.judge.rules)
            return Ask((put.id, TIRE), put, CONFIRM_NODE, put.name, put.asks, put.how, confirms=True)
        return self._open_and_left[0]

    @property
    def question_key(self) -> Key | None:
        """The address of the rule set's question that is open, also while a sentence waits to be confirmed."""
        ask = self.open_question
        return ask.key if ask else None

    @property
    def open_question(self) -> Ask | None:
        """The rule set's question that is open, also while a sentence waits to be confirmed."""
        return self._open_and_left[0]

    @property
    def _open_and_left(self) -> tuple[Ask | None, int]:
        """The open question, and how many are left that can't change the verdict; found once for a state."""
        state = self.state
        found = self._open
        if found is None or found[0] is not state.saved or found[1] is not state.whole:
            now = self.judgement
            left = self._left_for_the_record(now)
            found = self._open = state.saved, state.whole, self._find_open(left, now), left
        return found[2:]

    def _find_open(self, left: int, now: Judgement) -> Ask | None:
        saved, judge = self.state.saved, self.judge
        if saved.asking is not None:
            return ask_at(saved.asking, now, judge)
        keys = () if saved.ended or left else self._put(now)
        if not keys:
            return None
        if self._asks is None or self._asks[0] is not now:
            first, *others = [ask_at(key, now, judge) for key in keys]
            self._asks = (now, replace(first, beside=tuple(others)))
        return self._asks[1]

    def _put(self, now: Judgement) -> tuple[Key, ...]:
        """The questions that come next, together."""
        if self._due is None or self._due[0] is not now:
            self._due = (now, prompt_keys(self.case, now, self.judge, in_order=self.in_order))
        return self._due[1]

    @property
    def for_the_record(self) -> int:
        """How many questions are left that can't change the verdict; 0 before, and where they are asked anyway."""
        return self._open_and_left[1]

    def _left_for_the_record(self, now: Judgement) -> int:
        saved = self.state.saved
        if self.in_order or self.state.whole or saved.asking or saved.ended or not self._put(now):
            return 0
        return order_of(self.judge).left(now) if settled_now(now, self.judge) else 0

    @property
    def answered(self) -> list[tuple[Key, str, str, bool]]:
        """What was said, in order: address, question's name, answer, and whether it still counts."""
        if not self.saved.order:
            return []
        now, saved = self.judgement, self.saved
        if self._rows is None or self._rows[0] is not now or self._rows[1] is not saved:
            self._rows = now, saved, self._answered(now)
        return list(self._rows[2])

    def _answered(self, now: Judgement) -> list[tuple[Key, str, str, bool]]:
        rules, reached = self.judge.rules, now.walk.reached
        rows = []
        for key in self.saved.order:
            question = rules.questions[key[0]]
            answer = self.case.get(question.over, key)
            if answer is not None:
                rows.append((key, question_in_words(key, rules), value_in_words(answer, question), key in reached))
        return rows

    @property
    def left_out(self) -> list[tuple[Key, str]]:
        """What was left out on purpose and is not asked now: address and question's name."""
        rules, open_now = self.judge.rules, self.judgement.walk.to_ask
        order = dict.fromkeys((*self.saved.order, *sorted(self.case.skipped)))
        found = (key for key in order if key in self.case.skipped and key not in open_now)
        return [(key, question_in_words(key, rules)) for key in found]

    @property
    def listed(self) -> list[tuple[Key, str]]:
        """All that can be asked again, as it is numbered: what was answered, then what was left out."""
        return [*((key, name) for key, name, *_ in self.answered), *self.left_out]

    def card(self) -> Card:
        """The verdict card as things stand; while a sentence waits, the worse of with it and without."""
        if self.pending is None:
            return verdict_card(self.judgement, self.judge, self._said_first(), self._said_besides())
        from advisor.dialogue.if_counted import once_counted

        both = self.judgement, self.judged(once_counted(self, self.pending))
        now = max(both, key=lambda each: (each.verdict, len(each.restrictions)))
        words = shown(self.pending.heard.text, 80)
        waits = f'Say first whether this is so: "{words}". This is the worse of with it and without.'
        return verdict_card(now, self.judge, waits)

    def _said_first(self) -> str:
        """What the card says ahead of all else: what was typed and does not count, doubts that a repair passes over."""
        repair = self.judgement.verdict is Verdict.REPAIR
        said = [said_first(self.notes, self.judge.rules.phrases, repair)] if self.notes else []
        tests = [f'{each.field.replace("-", " ")}: "{shown(each.text, 60)}"' for each in self.work.not_passed]
        said += [f"Said of a test, which did not pass - {', '.join(tests)}."] if repair and tests else []
        if repair and any(note.startswith(SAID_IN_DOUBT) for note in self.notes):
            from advisor.dialogue.proposed_answers import answered_over

            said.append(answered_over(self.notes, self.case, self.saved.order, self.judge.rules))
        return spelled(" ".join(filter(None, said)), self.judge.rules)

    def _said_besides(self) -> str:
        """What the card of a repair says at the end of what to do: words that were not understood and are no news."""
        if not self.notes or self.judgement.verdict is not Verdict.REPAIR:
            return ""
        return said_besides(self.notes, self.judge.rules.phrases)

    def now(self) -> datetime | None:
        """The time by the clock that was handed in, to the second; None without one."""
        return self.clock().replace(microsecond=0) if self.clock else None

    def standing(self) -> str:
        """One line: what the case could still end as."""
        return standing(self.judgement, self.judge)

    def become(self, state: SessionState) -> None:
        """Goes on to a state."""
        self.state = state

    def follow(self, found: tuple[SessionState, list[Message]]) -> list[Message]:
        """Goes on to the state found; gives what is to be said."""
        self.state, messages = found
        return messages

    def judge_by(self, judge: Judge) -> None:
        """From now on these rules judge and hear."""
        self._of_day = None
        self._judge, self._known, self._due, self._asks, self._open, self._listener = judge, (), None, None, None, None
        self.state = replace(self.state, as_said=None)
