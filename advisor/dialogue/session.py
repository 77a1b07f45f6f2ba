"""A consultation: a case that grows by what is said. Both faces talk through this and only arrange its replies."""

from __future__ import annotations

from contextlib import suppress
from itertools import chain
from typing import TYPE_CHECKING

from msgspec.structs import replace

from advisor.dialogue.answering import AnswerTaking
from advisor.dialogue.asking_order import order_of
from advisor.dialogue.not_counted import NOTED_ONLY
from advisor.dialogue.prompt import Ask as Ask
from advisor.dialogue.state import LONGEST_KEPT, AsSaid, SessionState
from advisor.loader.answer_codec import NONE_WORDS, bare_choice, is_cant_tell, plain, read_typed
from advisor.loader.case_constraints import check_text, unread_words
from advisor.model import inputs
from advisor.model.case import Answer, Case, Choice, Choices, Key, Text
from advisor.model.problems import Misread, shown
from advisor.model.ruleset import Question
from advisor.wording.messages import Message, complaint

if TYPE_CHECKING:
    from advisor.dialogue.line_parts import AskedNow

LONGEST_LINE = 2000
NOTHING_OPEN = (
    "No question is open now. Ask why, why not, what if or how sure; see steps; change an answer; or start over."
)


_BOTH = '"{}" says yes and no, so nothing counts. Type yes or no by itself.'


class Consultation(AnswerTaking):
    """One consultation: what comes of a typed line."""

    def answer(self, text: str) -> list[Message]:
        """Takes a typed answer to the question put now; a text that can't be read comes back as a complaint.

        What it may have told stays among the notes and first on the card, until it is typed anew.
        """
        from advisor.dialogue.as_said import held
        from advisor.dialogue.read_back import MOST_BY_THEMSELVES

        if first := self.follow(held(self, text)):
            return first
        noted = self.state.as_said
        before, put = replace(self.state, as_said=None, list_before=False, asked_back=""), self.ask
        self.state = before
        said = (self._back_to(noted, text) if noted is not None else []) or self._heard(text)
        refused = self._is_refused(said, before)
        if not refused and not text.isalnum():
            self._keep_what_was_lost(text, before, put)
        if put is not None and not refused and " " in text.strip() and len(text) <= LONGEST_LINE:
            said = [*said, *self._left_open_beside(text)]
        if not refused:
            listed = before.pending is not None or sum(each.kind == "noted" for each in said) > MOST_BY_THEMSELVES
            self.state = replace(self.state, refused=False, list_before=listed)
            if self.notes == before.notes:
                self.understood(text)
        elif before.pending is None and put is not None and " " in text.strip():
            self.state = replace(before, refused=True)
        if refused and self.lose(text) and put is None:
            return [Message("complaint", (f"{NOTHING_OPEN} What you typed counts for nothing; the card says so.",))]
        return said

    def _keep_what_was_lost(self, text: str, before: SessionState, ask: Ask | None) -> None:
        """Notes the clauses of a line that nothing came of and that may tell something bad: first on the card."""
        from advisor.dialogue.clauses_lost import clauses_lost

        lost = clauses_lost(self, text, before, ask) if len(text) <= LONGEST_LINE else []
        self.state = self.state.noting(*(f"{NOTED_ONLY}{shown(each, LONGEST_KEPT)}" for each in lost))

    def _back_to(self, noted: AsSaid, text: str) -> list[Message]:
        """What comes of a line that speaks of the sentence before it, as if that still waited to be confirmed."""
        from advisor.dialogue.as_said import put_again, way_back

        before = way_back(self, noted, text)
        if before is None:
            return []
        self.state = before
        return put_again(self, text) or self._come_of(text)

    def _is_refused(self, said: list[Message], before: SessionState) -> bool:
        return bool(said) and self.state == before and all(message.kind == "complaint" for message in said)

    def _heard(self, text: str) -> list[Message]:
        """What comes of a typed line as it stands; where that is not clear, of what is left without what is no news."""
        from advisor.dialogue.bare_figure import in_full

        before, phrases, text = self.state, self.judge.rules.phrases, in_full(text)
        if phrases.bare and not text.strip().isdecimal():
            from advisor.dialogue.no_news import in_bare_words

            text = in_bare_words(text, phrases)
        said = (self._both_ways(text) if not text.isalnum() else []) or self._come_of(text)
        waits = self.state.pending
        clear = waits is None and self.state.notes == before.notes and not self._is_refused(said, before)
        if clear or before.pending is not None or " " not in text.strip() or len(text) > LONGEST_LINE:
            return said  # of what waits a part that is well may be set right
        from advisor.dialogue.no_news import without_no_news
        from advisor.dialogue.prompt_line import contrary_part

        if contrary_part(text, self.judge.rules):
            return said  # what it denies is needed to see what stands against it
        whole, self.state = self.state, before
        rules, ask = self.judge.rules, self.ask
        open_now = {key: rules.questions[key[0]] for key in self.judgement.walk.to_ask}
        told = without_no_news(text, ask.question if ask else None, open_now, rules)
        outright = waits is not None and waits.outright and plain(told) not in NONE_WORDS
        again = self._come_of(told) if told != text and not outright else []
        if not again or self._is_refused(again, before):
            self.state = whole
            return said
        return again

    def _left_open_beside(self, text: str) -> list[Message]:
        """That parts of a line that tell nothing bad may answer what is open, and don't count: kept as notes."""
        from advisor.dialogue.no_further import tells_of_more_than_one
        from advisor.dialogue.no_news import may_answer
        from advisor.dialogue.proposed_answers import note_of
        from advisor.dialogue.read_back import not_counted

        found, rules = may_answer(text, self), self.judge.rules
        self.state = self.state.noting(*(note_of(one, rules) for one in found))
        if self.state.pending is None and (more := tells_of_more_than_one(self, text)):
            self.state = self.state.noting(f"{NOTED_ONLY}{shown(more, LONGEST_KEPT)}")
        return not_counted(found, rules)

    def _come_of(self, text: str) -> list[Message]:
        """What comes of a typed answer, nothing of it noted."""
        ask = self.ask
        if self.state.pending is not None:
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
        from advisor.dialogue.prompt_line import rest_unknown

        if (said := self._word_and_more(ask, text)) is not None:
            return said
        text = "can't tell" if not ask.beside and rest_unknown(text) else text
        own = self._own_choice(ask.question, text) if ask.beside else None
        if ask.beside and own is None and not self._is_own(ask, text):
            several = self._in_one_line(ask, text)
            if several is not None:
                return several
        from advisor.dialogue.prompt_line import bare_answer
        from advisor.dialogue.second_look import round_after_all

        if (key := round_after_all(self, ask, text)) is not None:
            return self._asking(key) or self.skip()
        if self._leaves_out(ask, text) or (is_cant_tell(text) and self._better_left_out(ask)):
            return self.skip()
        try:
            answer = own or read_typed(ask.question, bare_answer(text, ask.question))
            if isinstance(answer, Text):
                check_text(self.judge.rules.input_of(ask.key[0]), text, self.today)
        except Misread as error:
            other = self._of_another(ask, text)
            heard = other or self._in_parts(ask, text) or self._as_sentence(text) or self._as_correction(ask, text)
            return heard or self._part_unread(ask, text) or [complaint(error)]
        more = self._says_more(ask, text)
        return ((self._in_parts(ask, text) or self._as_sentence(text)) if more else []) or self.take(answer)

    def _word_and_more(self, ask: Ask, text: str) -> list[Message] | None:
        """What comes of a bare word with more behind it that closes it or takes it back; of a bounded figure.

        None for any other line.
        """
        from advisor.dialogue.behind_a_bare_word import bare_ahead, contrary_shown_back, only_closes
        from advisor.dialogue.figure_bound import leaves_worst_open, without_bound
        from advisor.dialogue.prompt_line import contrary_part, only_one

        if leaves_worst_open(text, ask.question):
            found = f'"{shown(text, 40)}", which leaves open how bad it is'
            return [complaint(Misread(found, "the figure where it is worst, or can't tell"))]
        if (figure := without_bound(text, ask.question)) is not None:
            with suppress(Misread):
                return self.take(read_typed(ask.question, figure))
        bare, rules = bare_ahead(text, ask.question), self.judge.rules
        if bare is not None and only_closes(bare, ask.question, rules):
            return self.take(bare.answer)
        if bare is not None and (back := contrary_shown_back(self, ask.key, bare, text)) is not None:
            return self.follow(back)
        against = contrary_part(text, rules)
        if against and only_one(against, rules):
            why = f'"{against}" may mean an exception to what is denied'
            if heard := self._in_parts(ask, text, why):
                return heard
        if against and bare_choice(ask.question, against) != "no":
            says = f'"{shown(against, 40)}" may say something more or the contrary, so nothing of the line is taken.'
            return [Message("complaint", (f"{says} Say by itself what was found.",))]
        return None

    def _both_ways(self, text: str) -> list[Message]:
        """That a yes and a no in one line count for nothing; with a comma they may answer two of several questions."""
        from advisor.dialogue.confirm_choices import says_both

        ask, waits = self.ask, self.state.pending is not None
        if not (waits or (ask is not None and not (ask.beside and "," in text))):
            return []
        if not says_both(text, self.judge.rules, waits):
            return []
        if not waits:
            self.lose(text)
        return [Message("note", (_BOTH.format(shown(text, 40)),))]

    @staticmethod
    def _is_own(ask: Ask, text: str) -> bool:
        """Whether a text, no choice, answers the question put first as it stands: that one is meant then."""
        if is_cant_tell(text) or plain(text) in chain(*ask.question.words_for.values()):
            return True
        return ask.question.kind == inputs.CHOICES and plain(text) in NONE_WORDS

    @staticmethod
    def _own_choice(question: Question, text: str) -> Choice | None:
        """The choice that a text is of the question put first, as it stands: that one is meant then."""
        try:
            answer = read_typed(question, text) if question.kind != inputs.CHOICES else None
        except Misread:
            return None
        return answer if isinstance(answer, Choice) else None

    @staticmethod
    def _of_own_list(question: Question, text: str) -> Choices | None:
        """What a line says that is made of words of the list put first alone: it is meant, whatever else has them."""
        try:
            answer = read_typed(question, text) if question.kind == inputs.CHOICES else None
        except Misread:
            return None
        return answer if isinstance(answer, Choices) and answer.present else None

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
                if place == 0 and (own := self._of_own_list(ask.question, text)) is not None:
                    return self.take(own)
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
        """What comes of a yes, and of what stands behind it: nothing where that is a word on what waits.

        Idle words make no other yes; answers to what is asked next are taken; what tells of nothing is kept as a note.
        A figure behind it may set one right that waits.
        """
        from advisor.dialogue.confirm_choices import takes_some_back, yes_and_rest
        from advisor.dialogue.confirmation import confirm
        from advisor.dialogue.no_news import is_no_news

        before, waits, rest = self.state, self.pending, yes_and_rest(text, self.judge.rules)
        if waits is None or rest is None:
            return []
        said = self.follow(confirm(self, "yes"))
        if not rest or (more := self._behind_yes(before, rest)):
            return [*said, *more] if rest else said
        self.state = before
        answer, rules = self.follow(confirm(self, text)), self.judge.rules
        idle = is_no_news(rest, rules.phrases)
        if not self._is_refused(answer, before) or (takes_some_back(rest, rules) and not idle):
            return answer
        said = self.follow(confirm(self, "yes"))
        if idle:
            return said
        self.lose(rest)
        return [*said, Message("complaint", (f'"{shown(rest, 60)}", kept as a note.',))]

    def _behind_yes(self, before: SessionState, rest: str) -> list[Message]:
        """What comes of answers behind a yes to what is asked next; nothing where they may be of what waited."""
        ask, then, waits = self.ask, self.case, before.pending
        more = self._in_parts(ask, rest) or self._in_one_line(ask, rest) or [] if ask is not None else []
        of = self.judge.rules.questions
        new = {name for name, index in self.saved.order if self.case != then and self._differs(then, (name, index))}
        held = {one.key[0] for one in (*waits.answers, *waits.proposed)} if waits is not None else set()
        same = {of[name].quantity for name in new} & {of[name].quantity for name in held} - {""}
        if not new or self.pending is not None or same or any(each.kind == "complaint" for each in more):
            return []
        return more

    def _numbers_and_on(self, text: str) -> list[Message]:
        """What comes of numbers taken or left out with more words behind them: those are a line of their own."""
        from advisor.dialogue.confirm_choices import picked_in
        from advisor.dialogue.confirmation import confirm

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

    def _in_parts(self, ask: Ask, text: str, waits: str = "") -> list[Message]:
        """What comes of a line of which some parts are beyond doubt: taken, or shown back with what the rest tells.

        `waits`: why all of it is shown back, whatever is beyond doubt.
        """
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
        if waits:
            return self.follow(listen(self, text, (found, clear, line), be_sure=waits))
        if found.shown_back and (in_turn := self._one_after_another(text, found.unknown, line)):
            return in_turn
        if found.shown_back:
            told = any(answer is not None for answer in clear.values())
            return self.follow(listen(self, text, (found, clear, line))) if told else []
        of_list = ask.key in clear and ask.question.kind == "choices"
        if not clear or (len(clear) == 1 and not (found.bare or of_list)):  # of one thing it is a sentence
            return []
        return self._taken_together(ask if here.keys() & clear.keys() else None, clear)

    def _one_after_another(self, text: str, unread: list[str], line: AskedNow) -> list[Message]:
        """What comes of bare words that answer the questions of the prompt in the order shown: it is shown back.

        Not where one none follows on the answer to the first, and the findings come next: off, none.
        """
        from advisor.dialogue.confirmation import wait_with
        from advisor.dialogue.prompt_line import bare_words, in_order_shown

        if len(line.here) < 2 or not unread or not all(map(bare_words, unread)):
            return []
        found = in_order_shown(text, line.here, self.judge.rules)
        names = [self.judge.rules.input_of(name) for name, _ in found]
        if len(unread) == 1 and names == [inputs.DEMOUNTED, inputs.FINDINGS]:
            return self._taken_together(self.ask, found)
        return self.follow(wait_with(self, text, found)) if found else []

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

    def _as_sentence(self, text: str) -> list[Message]:
        """What comes of a text as a whole sentence; nothing where nothing of it was understood."""
        from advisor.dialogue.confirmation import listen

        return self.follow(listen(self, text))

    def _as_correction(self, ask: Ask, text: str) -> list[Message]:
        """A correction that nothing was understood of: the last answer may not be right, so it is asked again."""
        from advisor.dialogue.as_said import drops, sets_right

        if self.saved.order and drops(text):
            says = "Nothing waits to be dropped. What was answered last is asked again; it stays until it is answered."
            return [Message("note", (says,)), *self.back()]
        if not self.saved.order or not sets_right(text, ask, self.judge.rules):
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
