"""A consultation: a case that grows by what is said. Both faces talk through this and only arrange its replies."""

from __future__ import annotations

import re
from collections.abc import Callable
from contextlib import suppress
from datetime import date, datetime
from itertools import chain
from typing import TYPE_CHECKING, Any

from msgspec.structs import replace

from advisor.dialogue.asking_order import order_of
from advisor.dialogue.changes import capital, gone_on, standing, take_several, what_changed, worked_out_lines
from advisor.dialogue.not_counted import (
    NOT_COUNTED,
    SAID_IN_DOUBT,
    note_of_print,
    said_besides,
    said_first,
    tells_something,
    typed_anew,
)
from advisor.dialogue.prompt import Ask as Ask
from advisor.dialogue.prompt import ask_at, prompt_keys, settled_now
from advisor.dialogue.state import LONGEST_KEPT, AsSaid, Pending, SessionState
from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.engine.spelling_variant import spelled
from advisor.engine.templates import value_in_words
from advisor.loader.answer_codec import NONE_WORDS, YES_OR_NO, bare_choice, is_cant_tell, plain, read_typed
from advisor.loader.case_constraints import check_text, impossible, unread_words
from advisor.model import inputs
from advisor.model.case import CANT_TELL, TIRE, Answer, Case, Choice, Choices, Key, Text
from advisor.model.problems import Misread, shown
from advisor.model.ruleset import Verdict
from advisor.model.saved import Saved
from advisor.wording.blocks import Block
from advisor.wording.messages import Message, complaint, findings_merged
from advisor.wording.verdict_card import Card, question_in_words, verdict_card
from advisor.work.progress import Work

if TYPE_CHECKING:
    from advisor.nlu.pipeline import Listener

LONGEST_LINE = 2000
#: A line that sets something right, whatever was understood of it; "no," does so where no is no answer.
_CORRECTION = re.compile(
    r"\s*(?:(?:no|nope|wait|oh|ok|hang on|hold on)[ ,.:;-]+)*"
    r"(?:sorry|correction|scratch|i mean|i meant|make (?:that|it)|actually|oops|my mistake)\b.*\w+",
    re.I,
)
_NO_COMMA = re.compile(r"\s*(?:no|nope)\s*,\s*\w", re.I)
NOTHING_OPEN = (
    "No question is open now. Ask why, why not, what if or how sure; see steps; change an answer; or start over."
)
#: Said where a sentence that waits to be confirmed would be passed over.
WAITS = Message("complaint", ("Something waits to be confirmed. First say yes to count it, or no to drop it.",))


class Consultation:
    """One consultation: the rules, the clock, and the one place that holds its state.

    Everything said gives a next state (`SessionState`); the functions that find it look at this as a `View` and write
    nothing. From outside a state is gone on to by `become` and `follow` alone. Every step back keeps what was answered.
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
        self._state = SessionState(Saved(Case(today=today)))
        #: What follows from the state, found when first asked: judgements by case, the question due, the ear.
        self._known: tuple[tuple[Case, Judgement], ...] = ()
        self._of_day: tuple[date | None, Judge] | None = None
        self._due: tuple[Judgement, tuple[Key, ...]] | None = None
        self._asks: tuple[Judgement, Ask] | None = None
        self._open: tuple[Saved, bool, Ask | None, int] | None = None
        self._rows: tuple[Judgement, Saved, list[tuple[Key, str, str, bool]]] | None = None
        self._listener: Listener | None = None

    # What is

    @property
    def judge(self) -> Judge:
        """The judge by the limits of the case's day."""
        day = self._state.saved.case.today
        if self._of_day is None or self._of_day[0] != day:
            self._of_day = day, self._judge.on(day)
        return self._of_day[1]

    @property
    def state(self) -> SessionState:
        """Where it stands."""
        return self._state

    @property
    def case(self) -> Case:
        """The case as answered so far."""
        return self._state.saved.case

    @property
    def saved(self) -> Saved:
        """The case and the order of answering, as a journal keeps them."""
        return self._state.saved

    @property
    def pending(self) -> Pending | None:
        """The sentence that waits to be confirmed."""
        return self._state.pending

    @property
    def notes(self) -> tuple[str, ...]:
        """The words not understood and the doubts said."""
        return self._state.notes

    @property
    def work(self) -> Work:
        """The repair's progress."""
        return self._state.work

    @property
    def judgement(self) -> Judgement:
        """The judgement as things stand."""
        case = self._state.saved.case
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
        state, found = self._state, self._open
        pending = state.pending
        if pending is None and found is not None and found[0] is state.saved and found[1] is state.whole:
            return found[2]
        if pending is not None:
            from advisor.dialogue.confirmation import CONFIRM_NODE, to_confirm

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
        state = self._state
        found = self._open
        if found is None or found[0] is not state.saved or found[1] is not state.whole:
            now = self.judgement
            left = self._left_for_the_record(now)
            found = self._open = state.saved, state.whole, self._find_open(left, now), left
        return found[2:]

    def _find_open(self, left: int, now: Judgement) -> Ask | None:
        saved, judge = self._state.saved, self.judge
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
        saved = self._state.saved
        if self.in_order or self._state.whole or saved.asking or saved.ended or not self._put(now):
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
        from advisor.dialogue.confirmation import once_counted

        both = self.judgement, self.judged(once_counted(self, self.pending))
        now = max(both, key=lambda each: (each.verdict, len(each.restrictions)))
        words = shown(self.pending.heard.text, 80)
        waits = f'Say first whether this is so: "{words}". This is the worse of with it and without.'
        return verdict_card(now, self.judge, waits)

    def _said_first(self) -> str:
        """What the card says ahead of all else: what was typed and does not count, doubts that a repair passes over."""
        repair = self.judgement.verdict is Verdict.REPAIR
        said = [said_first(self.notes, self.judge.rules.phrases, repair)] if self.notes else []
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

    # What can be done

    def become(self, state: SessionState) -> None:
        """Goes on to a state."""
        self._state = state

    def follow(self, found: tuple[SessionState, list[Message]]) -> list[Message]:
        """Goes on to the state found; gives what is to be said."""
        self._state, messages = found
        return messages

    def judge_by(self, judge: Judge) -> None:
        """From now on these rules judge and hear."""
        self._of_day = None
        self._judge, self._known, self._due, self._asks, self._open, self._listener = judge, (), None, None, None, None
        self._state = replace(self._state, as_said=None)

    def answer(self, text: str) -> list[Message]:
        """Takes a typed answer to the question put now; a text that can't be read comes back as a complaint.

        What it may have told stays among the notes and first on the card, until it is typed anew.
        """
        if held := self._held(text):
            return held
        noted = self._state.as_said
        before, put = replace(self._state, as_said=None), self.ask
        self._state = before
        said = (self._back_to(noted, text) if noted is not None else []) or self._heard(text)
        refused = self._is_refused(said, before)
        if not refused:
            self._state = replace(self._state, refused=False)
            if self.notes == before.notes:
                self.understood(text)
        elif before.pending is None and put is not None and " " in text.strip():
            self._state = replace(before, refused=True)
        if refused and self.lose(text) and put is None:
            return [Message("complaint", (f"{NOTHING_OPEN} What you typed counts for nothing; the card says so.",))]
        return said

    def _is_refused(self, said: list[Message], before: SessionState) -> bool:
        return bool(said) and self._state == before and all(message.kind == "complaint" for message in said)

    def _heard(self, text: str) -> list[Message]:
        """What comes of a typed line as it stands; where that is not clear, of what is left without what is no news."""
        before, phrases = self._state, self.judge.rules.phrases
        if phrases.bare and not text.strip().isdecimal():
            from advisor.dialogue.no_news import in_bare_words

            text = in_bare_words(text, phrases)
        said = self._come_of(text)
        waits = self._state.pending
        clear = waits is None and self._state.notes == before.notes and not self._is_refused(said, before)
        if clear or before.pending is not None or " " not in text.strip() or len(text) > LONGEST_LINE:
            return said  # of what waits a part that is well may be set right
        from advisor.dialogue.no_news import without_no_news

        whole, self._state = self._state, before
        rules, ask = self.judge.rules, self.ask
        open_now = {key: rules.questions[key[0]] for key in self.judgement.walk.to_ask}
        told = without_no_news(text, ask.question if ask else None, open_now, rules)
        outright = waits is not None and waits.outright and plain(told) not in NONE_WORDS
        again = self._come_of(told) if told != text and not outright else []
        if not again or self._is_refused(again, before):
            self._state = whole
            return said
        return again

    def _held(self, text: str) -> list[Message]:
        """A yes or no right behind a refused line, or a yes behind one noted as said, says first what it would answer.

        Nothing waits to be confirmed there, and nothing else to be dropped.
        """
        from advisor.dialogue.confirmation import agrees

        ask, word, noted = self.ask, plain(text), self._state.as_said
        behind_noted = noted is not None and not noted.held and agrees(word)
        if not behind_noted and not (self._state.refused and word in YES_OR_NO):
            return []
        held = replace(noted, held=True) if noted is not None else None
        self._state = replace(self._state, refused=False, as_said=held)
        counts = "is noted; drop it takes it back, change and a name sets one right" if noted else "counts for nothing"
        says = f"Nothing waits here: the line before {counts}."
        try:
            if ask is None or word not in YES_OR_NO or ask.question.kind == inputs.TEXT:
                return [Message("complaint", (says,))] if noted else []
            answer = value_in_words(read_typed(ask.question, text), ask.question)
        except Misread:
            return [Message("complaint", (says,))] if noted else []
        says = f"{says} {capital(word)} would answer what is asked."
        return [Message("complaint", (says, f"{capital(ask.title)}: {answer}. If that is meant, type it once more."))]

    def _back_to(self, noted: AsSaid, text: str) -> list[Message]:
        """What comes of a line that speaks of the sentence before it, as if that still waited to be confirmed."""
        from advisor.dialogue.confirmation import goes_back_to

        if self.saved is not noted.after or self.pending is not None:
            return []
        ask = self.ask
        yes_no = ask is not None and any(choice.id == "no" for choice in ask.question.choices)
        corrects = _CORRECTION.match(text) or (not yes_no and _NO_COMMA.match(text))
        if not corrects and not goes_back_to(self, noted, text):
            return []
        from advisor.dialogue.confirmation import put_again

        self._state = replace(self._state, saved=noted.before, notes=noted.notes, pending=noted.pending)
        return put_again(self, text) or self._come_of(text)

    def understood(self, text: str) -> None:
        """Ends the note of the line before where this one, which was understood, is the same typed anew."""
        if self.notes:
            self._state = self._state.noting(*typed_anew(self.notes, text, self.judge.rules.phrases.telling))

    def lose(self, text: str) -> bool:
        """Keeps a line that was not understood among the notes, where it may have told something."""
        ask = self.ask
        measured = ask is not None and ask.question.kind in inputs.FIGURE_KINDS
        told = tells_something(text, ask is None, self.judge.rules.phrases, measured)
        if told and measured and ask is not None and plain(text) in NONE_WORDS:
            text = f"{ask.question.name}: {text}"  # said to the next question, it is another answer
        if told:
            self._state = self._state.noting(f"{NOT_COUNTED}{shown(text, LONGEST_KEPT)}")
        return told

    def _come_of(self, text: str) -> list[Message]:
        """What comes of a typed answer, nothing of it noted."""
        ask = self.ask
        if self._state.pending is not None:
            from advisor.dialogue.confirmation import confirm

            return self._yes_and_on(text) or self._numbers_and_on(text) or self.follow(confirm(self, text))
        if ask is None and self.for_the_record and not text.strip():
            return self.go_on()
        if ask is None:
            return self._as_sentence(text) or [Message("complaint", (NOTHING_OPEN,))]
        if len(text) > LONGEST_LINE:
            found = f"{len(text)} characters, which is longer than any answer here. Type it shorter."
            return self._as_sentence(text) or [Message("complaint", (found,))]
        if not text.strip():
            return self._empty(ask)
        from advisor.dialogue.prompt_line import contrary_part

        against = contrary_part(text, self.judge.rules)
        if against and bare_choice(ask.question, against) != "no":
            says = f'"{shown(against, 40)}" may say something more or the contrary, so nothing of the line is taken.'
            return [Message("complaint", (f"{says} Say by itself what was found.",))]
        if ask.beside and not self._is_own(ask, text) and (several := self._in_one_line(ask, text)) is not None:
            return several
        from advisor.dialogue.prompt_line import bare_answer

        if self._leaves_out(ask, text) or (is_cant_tell(text) and self._better_left_out(ask)):
            return self.skip()
        try:
            answer = read_typed(ask.question, bare_answer(text, ask.question))
            if isinstance(answer, Text):
                check_text(self.judge.rules.input_of(ask.key[0]), text, self.today)
        except Misread as error:
            other = self._of_another(ask, text)
            heard = other or self._in_parts(ask, text) or self._as_sentence(text) or self._as_correction(ask, text)
            return heard or self._part_unread(ask, text) or [complaint(error)]
        more = self._says_more(ask, text)
        return ((self._in_parts(ask, text) or self._as_sentence(text)) if more else []) or self.take(answer)

    @staticmethod
    def _is_own(ask: Ask, text: str) -> bool:
        """Whether a text is an answer to the question put first, as it stands: that one is meant then."""
        if is_cant_tell(text) or plain(text) in chain(*ask.question.words_for.values()):
            return True
        if ask.question.kind == "choices":
            return plain(text) in NONE_WORDS
        try:
            return isinstance(read_typed(ask.question, text), Choice)
        except Misread:
            return False

    def _in_one_line(self, ask: Ask, text: str) -> list[Message] | None:
        """What comes of a line that answers several questions of the prompt; None where it is no such line."""
        from advisor.dialogue.prompt_line import Ambiguous, bare_words, begins_bare, by_name, read_prompt_line

        prompts = [tuple(each.key for each in (ask, *ask.beside))]
        prompts += [each.keys for each in order_of(self.judge).prompts(self.case, self.judgement, frozenset())]
        rules, read = self.judge.rules, []
        for place, keys in enumerate(dict.fromkeys(prompts)):
            try:
                found = read_prompt_line(text, {key: rules.questions[key[0]] for key in keys}, rules, place == 0)
            except Ambiguous as error:
                if place == 0 and (parts := self._in_parts(ask, text)):
                    return parts
                heard = self._as_sentence(text) if place == 0 and begins_bare(text) else []
                return heard or ([complaint(error)] if place == 0 else None)
            except Misread:
                found = None
            if found is not None and place == 0:
                if ask.key not in found and bare_words(text):
                    return None  # said to what was asked, not to what may be told in the same line
                return self._taken_together(ask, found)
            if place == 0 and (named := next(iter(by_name(text, ask.question, rules)), None)) is not None:
                return self.take(named)  # its name with it: tread 1.5 mm
            read += [found] if found is not None else []
        return self._taken_together(None, read[0]) if len(read) == 1 else None

    def _yes_and_on(self, text: str) -> list[Message]:
        """What comes of a yes with answers behind it to what is asked next: yes, rear; nothing where it is none such.

        A figure behind it may set one right that waits, so it is none.
        """
        from advisor.dialogue.confirmation import YES, confirm

        word, _, rest = text.strip().partition(" ")
        before, waits, rest = self._state, self.pending, rest.lstrip(" ,;")
        if waits is None or not rest or plain(word).rstrip(",;") not in YES or plain(word).isdecimal():
            return []
        said = self.follow(confirm(self, "yes"))
        ask, then = self.ask, self.case
        more = self._in_parts(ask, rest) or self._in_one_line(ask, rest) or [] if ask is not None else []
        of = self.judge.rules.questions
        new = {name for name, index in self.saved.order if self.case != then and self._differs(then, (name, index))}
        held = {one.key[0] for one in (*waits.answers, *waits.proposed)}
        same = {of[name].quantity for name in new} & {of[name].quantity for name in held} - {""}
        if not more or not new or self.pending is not None or same or any(each.kind == "complaint" for each in more):
            self._state = before
            return []
        return [*said, *more]

    def _numbers_and_on(self, text: str) -> list[Message]:
        """What comes of numbers taken or left out with more words behind them: those are a line of their own."""
        from advisor.dialogue.confirmation import confirm, picked_in

        picked = picked_in(text)
        if picked is None or not picked.rest:
            return []
        said = self.follow(confirm(self, text))
        if any(message.kind == "complaint" for message in said):
            return said
        return [*(said if self.pending is None else ()), *self._come_of(picked.rest)]

    def _differs(self, case: Case, key: Key) -> bool:
        over = self.judge.rules.over_of(key[0])
        return case.get(over, key) != self.case.get(over, key)

    def _in_parts(self, ask: Ask, text: str) -> list[Message]:
        """What comes of a line of which some parts are beyond doubt: taken, or shown back with what the rest tells."""
        from advisor.dialogue.confirmation import listen
        from advisor.dialogue.line_parts import AskedNow, beyond_doubt, read_parts

        of, prompts = self.judge.rules.questions, order_of(self.judge).prompts(self.case, self.judgement, frozenset())
        here = {each.key: each.question for each in (ask, *ask.beside)}
        choices = [key for key in self.judgement.walk.to_ask if of[key[0]].kind == "choice"]
        keys = (*(key for prompt in prompts for key in prompt.keys), *choices)
        others = {} if self.in_order else {key: of[key[0]] for key in keys}
        stands = {key: of[key[0]] for key, *_ in self.answered if key not in here}
        others = {key: question for key, question in others.items() if key not in here and key not in stands}
        line = AskedNow(here, others, stands, self.case, self.listener)
        found = read_parts(text, line)
        clear = beyond_doubt(found, line)
        if found.shown_back:
            told = any(answer is not None for answer in clear.values())
            return self.follow(listen(self, text, (found, clear, line))) if told else []
        of_list = ask.key in clear and ask.question.kind == "choices"
        if not clear or (len(clear) == 1 and not (found.bare or of_list)):  # of one thing it is a sentence
            return []
        return self._taken_together(ask if here.keys() & clear.keys() else None, clear)

    def _part_unread(self, ask: Ask, text: str) -> list[Message]:
        """Which part of a line for several questions was not understood; nothing of it is taken."""
        if not ask.beside:
            return []
        from advisor.dialogue.prompt_line import unread_parts

        rules = self.judge.rules
        unread = unread_parts(text, {each.key: rules.questions[each.key[0]] for each in (ask, *ask.beside)}, rules)
        if not unread:
            return []
        says = " and ".join(f'"{shown(part, 40)}"' for part in unread)
        return [
            Message(
                "complaint",
                (f"{says} says nothing here, so nothing of the line is taken. Say it otherwise, or leave it out.",),
            )
        ]

    def _of_another(self, ask: Ask, text: str) -> list[Message]:
        """What comes of a word that is no print, but a choice of just one other open question: taken and read back."""
        if ask.question.kind != "text" or self.in_order or is_cant_tell(text):
            return []
        from advisor.dialogue.prompt_line import is_one_thing

        found: dict[Key, Answer | None] = {}
        for key, visit in self.judgement.walk.to_ask.items():
            question = self.judge.rules.questions[visit.stop.node.asks]
            if question.kind == "choice" and not text.strip().isdecimal():
                with suppress(Misread):
                    found[key] = read_typed(question, text)
        if any(str(answer) in ("yes", "no") for answer in found.values()):
            return []  # yes and no, in whatever words, are said only to what was asked
        by_id = {key: answer for key, answer in found.items() if str(answer) == plain(text)}
        one = by_id if len(by_id) == 1 else found
        if len(one) > 1 and is_one_thing(one.values()):
            one = dict([next(iter(one.items()))])
        return self._taken_together(None, one) if len(one) == 1 else []

    def _taken_together(self, ask: Ask | None, found: dict[Key, Answer | None]) -> list[Message]:
        """Takes what a line says, each part read back; the question put first is left out where that may be."""
        puts = {each.key: each for each in (ask, *ask.beside)} if ask is not None else {}
        unknown = {key for key, answer in found.items() if answer is CANT_TELL and key in puts}
        left = [key for key, answer in found.items() if answer is None]
        left += [key for key in unknown if self._better_left_out(puts[key])]
        if ask is not None and ask.optional and ask.key not in found and not ask.question.left_out_by:
            left.append(ask.key)
        for key in left:
            self._state = replace(self._state, saved=replace(self.saved, case=self.case.with_skipped(key)))
        said = (Message("noted", (f"{capital(question_in_words(key, self.judge.rules))}: left out",)) for key in left)
        told = [(key, answer) for key, answer in found.items() if answer is not None and key not in left]
        given = [(key, self._with_what_was_found(key, answer)) for key, answer in told]
        for key, answer in given:
            self._note_unread(key, answer)
        return [*said, *self.take_several(given)]

    def _as_sentence(self, text: str) -> list[Message]:
        """What comes of a text as a whole sentence; nothing where nothing of it was understood."""
        from advisor.dialogue.confirmation import listen

        return self.follow(listen(self, text))

    def _as_correction(self, ask: Ask, text: str) -> list[Message]:
        """A correction that nothing was understood of: the last answer may not be right, so it is asked again."""
        yes_no = any(choice.id == "no" for choice in ask.question.choices)
        if not self.saved.order or not (_CORRECTION.match(text) or (not yes_no and _NO_COMMA.match(text))):
            return []
        self.lose(text)
        return [Message("note", (f"Not understood as a correction: {shown(text, 60)}",)), *self.back()]

    def _says_more(self, ask: Ask, text: str) -> bool:
        """Whether a text that could be words for anything tells something else as well: it is a sentence then."""
        if ask.question.kind != "text" or not unread_words(self.judge.rules.input_of(ask.key[0]), text):
            return False
        heard = self.listener.hear(text, self.case, ask.key)
        told = [one.key for one in (*heard.understood, *heard.proposed)] + [one.key for one in heard.asks_back]
        return any(key != ask.key for key in told)

    def _better_left_out(self, ask: Ask) -> bool:
        """Whether "can't tell" says no more than leaving it out: nothing rests on it, or others can settle it."""
        if ask.instead:
            return ask.key not in self.case.skipped
        return ask.optional and ask.question.over == "tire" and not ask.node.cant_tell.ending

    @staticmethod
    def _leaves_out(ask: Ask, text: str) -> bool:
        """Whether a text says, in the question's own words, that there is nothing to measure."""
        return ask.optional and plain(text) in ask.question.left_out_by

    def _empty(self, ask: Ask) -> list[Message]:
        if ask.given:
            return self.go_on()
        if ask.optional:
            return self.skip()
        return [Message("complaint", ("Nothing was typed. Type an answer, or: can't tell.",))]

    def take(self, answer: Answer) -> list[Message]:
        """Takes an answer to the question put now."""
        from advisor.dialogue import prior_repairs

        ask = self.ask
        if ask is None:
            return []
        saved, judge = self._state.saved, self.judge
        if self._state.pending is not None:
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
        changed = what_changed(before, now, judge)
        return [
            Message("noted", (*others, Block(last, worked_out))),
            *changed,
            *prior_repairs.said_in_time(self, ask.key),
        ]

    def _note_unread(self, key: Key, answer: Answer) -> None:
        """Keeps the words behind a print or a date code that are none of it among the notes."""
        if isinstance(answer, Text):
            words = unread_words(self.judge.rules.input_of(key[0]), answer.text)
            if words and not self.listener.hear(" ".join(words).casefold(), self.case).idle:
                self._state = self._state.noting(*note_of_print(words))

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
        return self.follow(take_several(self, self._state, given))

    def back(self) -> list[Message]:
        """Goes back to the answer before, or to what was left out; it is kept until another one is given."""
        if self.pending is not None:
            self._state = replace(self._state, pending=None)
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
        kept = self._state
        self._state = SessionState(
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
        self._state = self._state.noting(f"said to have no injury: {shown(text, LONGEST_KEPT)}")
        says = "No injury, as said: what is asked of one stays open. It ends with what was found; go on takes it up."
        return [Message("note", (says,)), *self.stop()]

    def resume(self, saved: Saved) -> None:
        """Takes up where a consultation stood."""
        self._state = replace(self._state, saved=saved)

    def go_on(self) -> list[Message]:
        """Takes up again after a stop or for a whole record, or leaves an earlier question as it was."""
        if self.for_the_record:
            self._state = replace(self._state, whole=True)
        return self._asking(None)

    def _asking(self, key: Key | None, ended: bool = False) -> list[Message]:
        self._state = replace(self._state, saved=replace(self.saved, asking=key, ended=ended))
        return []

    def _order(self, ask: Ask) -> tuple[Key, ...]:
        """The order of answering with this question in it."""
        order = self._state.saved.order
        return order if ask.key in order else (*order, ask.key)

    def _go_on(self, saved: Saved) -> Message | None:
        """Goes on to another case; stays, and says why, where what is described would vanish, or is too much."""
        self._state, refused = gone_on(self, self._state, saved)
        return refused
