"""Whole sentences in a consultation: shown back with the words each answer came from, counted once confirmed."""

from __future__ import annotations

import re
from collections.abc import Container, Iterable
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from advisor.dialogue.changes import capital, take_several
from advisor.dialogue.line_parts import (
    LineRead,
    denied_but_for,
    doubly_told,
    said_strictly,
    same_answer,
    with_parts,
    without_well,
)
from advisor.dialogue.not_counted import PASSED_OVER, SAID_IN_DOUBT, notes_of_words
from advisor.dialogue.proposed_answers import (
    NUMBERS,
    doubts,
    heard_in,
    narrower_apart,
    note_of,
    note_of_asked,
    proposed_blocks,
    taken,
    to_look_at,
)
from advisor.dialogue.state import LONGEST_KEPT, AsSaid, Pending, SessionState, View
from advisor.engine.judgement_types import Judgement
from advisor.engine.templates import value_in_words
from advisor.loader.answer_codec import NONE_WORDS, OTHER_NO, OTHER_YES, plain
from advisor.model import inputs
from advisor.model.case import CANT_TELL, TIRE, Answer, Case, Choice, Choices, Key
from advisor.model.problems import shown
from advisor.model.ruleset import CantTellRule, ChoiceText, Node, Question, RuleSet, Verdict
from advisor.nlu.hedge_scope import helps_answer
from advisor.nlu.qualifiers import ALTERED
from advisor.nlu.result import Heard, Understood
from advisor.wording.blocks import Block, Said
from advisor.wording.messages import Message, findings_merged
from advisor.wording.verdict_card import question_in_words

CONFIRM = Question(
    id="understood",
    over="tire",
    key="understood",
    name="whether that was understood right",
    asks="Is that what you said?",
    kind="choice",
    choices=(
        ChoiceText("yes", "Yes, it counts"),
        ChoiceText("no", "No, drop all of it"),
    ),
    how="Or set it right in your own words: no, the steer axle. Type not 2 to take number 2 out.",
)
#: The same where nothing was said outright.
CONFIRM_DOUBT = replace(
    CONFIRM,
    choices=(ChoiceText("yes", "Yes, kept as a doubt"), CONFIRM.choices[1]),
    how="Or say outright what was found. Type not 1 to take number 1 out.",
)
#: What takes all that can be taken by its number along with the rest.
WITH_THEM = frozenset({"3", "take", "all", "all of it", "take all", "take them", "take both", "take it all"})
CONFIRM_NODE = Node("understood", "", "understood", False, "", None, CantTellRule(), (), ())
YES = OTHER_YES | {
    "yes", "y", "1", "correct", "right", "ok", "okay", "that's right", "true", "take it", "yes it counts",
    "yes, it counts",
}  # fmt: skip
NO = OTHER_NO | {
    "no",
    "n",
    "2",
    "wrong",
    "drop",
    "drop it",
    "drop them",
    "drop all of it",
    "no, drop all of it",
    "false",
}


def agrees(word: str) -> bool:
    """Whether a word agrees with something that waits, and is no number."""
    return word in YES and not word.isdecimal()


def goes_back_to(view: View, noted: AsSaid, text: str) -> bool:
    """Whether a line speaks of the sentence before it, which counts already, and does not just answer what is asked.

    A yes with more behind it, a no with a figure, a word that drops it, a thing of it named and not set right.
    """
    word = plain(text)
    if word in NO - NONE_WORDS - {"n", "2"} or (begins_with_yes(text) and not agrees(word)) or _NO_FIGURE.match(word):
        return True
    named = view.listener.spoken_of(text) & {one.key[0] for one in noted.pending.answers}
    if not named:
        return False
    heard = view.listener.hear(text, view.state.case, view.question_key)
    return bool(named - {one.key[0] for one in (*heard.understood, *heard.proposed)})


def put_again(view: View, text: str) -> list[Message]:
    """What waits, shown back behind a bare no that would drop something bad, and that names nothing; else nothing."""
    pending = view.state.pending
    if (
        pending is None
        or plain(text) not in NO
        or not _is_worse(view.judged(once_counted(view, pending)), view.judgement)
    ):
        return []
    return [Message("note", tuple(_shown_back(view, pending)))]


def to_confirm(pending: Pending, rules: RuleSet) -> Question:
    """What is asked of what waits; with a choice that takes what can be taken by its number."""
    put = CONFIRM if pending.answers else CONFIRM_DOUBT
    numbers = takeable(pending, rules)
    if not numbers:
        return put
    which = f"number{'s' if len(numbers) > 1 else ''} {' and '.join(map(str, numbers))}"
    says = f"Yes, and {which} too" if pending.answers else f"Yes, {which} {'are' if len(numbers) > 1 else 'is'} so"
    return replace(put, choices=(*put.choices, ChoiceText("take", says)))


DROPPED = Message("note", ("Dropped. Nothing of it counts.",))
HOW_TO_MEND = Message("note", ("Counted as said. To set one right type change and its name.",))
#: More answers than these that nothing speaks against are shown in one paragraph.
MOST_BY_THEMSELVES = 2
#: One word is an answer or none, no sentence; the complaint names the nearest words.
FEWEST_WORDS = 2
#: Ahead of what is said of one injury by its number.
_OF_INJURY = re.compile(
    r"\s*(?:the )?injury\s+(?:no\.?\s*|number\s+)?(?P<number>\d)\b[:,]?\s*(?:(?:is|has|was)\s+)?", re.I
)
_NO_FIGURE = re.compile(r"(?:no|nope|nah)[ ,]+-?\d[\d.,/]*\s*\S{0,6}$")
#: A letter by itself, which may be a yes or a no.
_LETTER = re.compile(r"(?<![\w'])[yn](?!\w)", re.I)
#: A line that begins with what is not there, and sets nothing right: no sealant.
_DENIES = re.compile(r"\s*no\s+\w", re.I)
#: One or several numbers to take or to leave out, in a line of their own or ahead of other words.
_PICKS = re.compile(
    rf"(?:(?P<yes>yes|yep|yeah|ok|okay)\b[ ,.;]*)?(?:and\s+)?"
    rf"(?P<how>take out|take|not|drop|without|except)\s+{NUMBERS}(?=$|[.!]$|[ ]*[,.;][ ]*(?=[^\s\d])|[ ]+and[ ]+\D)"
    r"[ ,.;!]*(?:and[ ]+)?",
    re.I,
)
_CALM = (
    "It can't be talked into a verdict: it says what the rules named say of what was found. "
    "Answer what can be answered."
)


def listen(view: View, text: str, parts: LineRead | None = None) -> tuple[SessionState, list[Message]]:
    """What comes of a sentence: shown back to be confirmed; nothing where nothing was understood.

    `parts` are those of a line, with what they say beyond doubt.
    """
    state, rules, asked = view.state, view.judge.rules, view.question_key
    before = state.pending
    hears = parts[0].behind if parts and parts[0].bare & parts[1].keys() else text
    if (of_one := _OF_INJURY.match(hears)) and int(of_one["number"]) <= len(state.case.injuries):
        asked, hears = (rules.question_now(inputs.INJURY_ZONE), int(of_one["number"]) - 1), hears[of_one.end() :]
    heard = replace(view.listener.hear(hears, state.case, asked), text=text)
    if before and not heard.understood:
        heard = _of_waiting(view, text, before) or heard
    heard = narrower_apart(heard, state.case, rules, asked, state.notes)
    left_out: tuple[Key, ...] = before.left_out if before else ()
    if parts is not None:
        found, clear, line = parts
        heard = with_parts(heard, clear, found, line)
        left_out = tuple(key for key, answer in clear.items() if answer is None)
    heard = without_well(heard, rules)
    heard = replace(heard, passed_over=(*heard.passed_over, *doubly_told(heard, state.case, view.listener)))
    moved = _spoken_over(before, heard, view.listener.spoken_of(text)) if before else ()
    if before and moved:
        answers = tuple(one for one in before.answers if one.key not in {each.key for each in moved})
        before = replace(before, answers=answers, proposed=(*before.proposed, *moved))
    is_word = before is None and asked is not None and len(text.split()) < FEWEST_WORDS
    if is_word or not (heard.understood or heard.proposed or moved):
        return _nothing(view, heard, text)
    said = {one.key for one in heard.understood if not isinstance(one.answer, Choices)}
    said |= {one.key for one in heard.proposed}
    left: tuple[Understood, ...] = ()
    if before:
        unread = _notes_of(before.heard, rules)
        state = state.noting(*unread, *_said_over(before, said, rules))
        left = tuple(one for one in before.proposed if one.key not in said)
    answers = _merged(before.answers if before else (), heard.understood)
    lines = (*(before.lines if before else ()), text)
    pending = Pending(heard, answers, (*left, *heard.proposed), lines, left_out)
    adds = before is None or (begins_with_yes(text) and not said & {one.key for one in before.answers})
    if adds and not _to_be_seen(view, pending):
        now, messages = _left_out(view, pending, *_take_all(view, state, pending))
        as_said = AsSaid(pending, view.state.saved, state.notes, now.saved)
        return replace(now, as_said=as_said), [*_with_a_way_back(messages), *_left_open(pending, rules)]
    return _waiting(view, state, pending)


def _with_a_way_back(said: list[Message]) -> list[Message]:
    """What was noted without being asked back, with how one of it is set right where it is much."""
    if sum(message.kind == "noted" for message in said) <= MOST_BY_THEMSELVES:
        return said
    last = max(place for place, message in enumerate(said) if message.kind == "noted")
    return [*said[: last + 1], HOW_TO_MEND, *said[last + 1 :]]


def _left_open(pending: Pending, rules: RuleSet) -> list[Message]:
    """What a sentence that counts speaks of besides, and that is asked when its turn comes."""
    if not pending.answers:
        return []
    proposed = [f"{_item(one, rules)} - {heard_in(one)}" for one in pending.proposed]
    return [Message("note", (f"Not counted: {each}",)) for each in (*proposed, *_asked_back(pending, rules))]


def _item(one: Understood, rules: RuleSet) -> str:
    return f"{question_in_words(one.key, rules)}: {value_in_words(one.answer, rules.questions[one.key[0]])}"


def _asked_back(pending: Pending, rules: RuleSet) -> list[str]:
    """What a sentence touches, with nothing of it among what was heard: each question, and why."""
    held = {one.key for one in (*pending.answers, *pending.proposed)}
    asks = (ask for ask in pending.heard.asks_back if ask.key not in held)
    return [f"{rules.questions[ask.key[0]].name} - {_sentence_of(ask.why)}" for ask in asks]


def begins_with_yes(text: str) -> bool:
    """Whether a line begins with a word for yes."""
    first = re.split(r"[\s,;.]", plain(text), maxsplit=1)[0]
    return first in YES and not first.isdecimal()


def _to_be_seen(view: View, pending: Pending) -> bool:
    """Whether somebody has to look at what was understood before it counts: any of it is in doubt or left over.

    What was only said in doubt, can't be taken by its number and changes nothing is asked when its turn comes.
    """
    heard, case = pending.heard, view.state.case
    left_over = heard.not_understood or heard.passed_over or denied_but_for(heard, view.judge.rules)
    proposed = any(
        case.get(one.over, one.key) is not None or not isinstance(taken(one, view.judge.rules), str)
        for one in pending.proposed
    )
    unsure = "?" in heard.text or _LETTER.search(heard.text) or (heard.corrects and not _DENIES.match(heard.text))
    return bool(left_over or unsure or proposed or _in_question(view, pending)) or bool(
        pending.proposed and _in_doubt(view, pending)
    )


def _in_question(view: View, pending: Pending) -> set[Key]:
    """The answers to look at: not said beyond doubt, asked back, other than what stands, or by other words than theirs.

    Those that can only help a repair have to be what their words say by themselves.
    """
    case, rules = view.state.case, view.judge.rules
    asked = {ask.key for ask in pending.heard.asks_back}
    return {
        one.key
        for one in pending.answers
        if one.doubt
        or one.key in asked
        or _alters(case, one)
        or _shares_words(one, pending.proposed)
        or (
            helps_answer(rules.questions[one.key[0]], one.answer)
            and not said_strictly(one.words, one.key, one.answer, rules)
        )
    }


def _shares_words(one: Understood, others: Iterable[Understood]) -> bool:
    """Whether something else may be said by the same words: not been run flat."""
    words = plain(one.words)
    return any(words in plain(each.words) or plain(each.words) in words for each in others)


def _alters(case: Case, one: Understood) -> bool:
    old = case.get(one.over, one.key)
    if isinstance(one.answer, Choices):
        return old is not None and findings_merged(old, one.answer) != old
    return old is not None and not same_answer(old, one.answer)


def _notes_of(heard: Heard, rules: RuleSet) -> list[str]:
    """The notes of a sentence: words not understood, known ones that nothing was made of, an exception not heard."""
    excepted = denied_but_for(heard, rules)
    return notes_of_words(heard) + [f"{PASSED_OVER}{shown(part, LONGEST_KEPT)}" for part in excepted]


def _waiting(view: View, state: SessionState, pending: Pending) -> tuple[SessionState, list[Message]]:
    """The state with what waits now, shown back; with nothing left of it, it is dropped."""
    if not (pending.answers or pending.proposed):
        return replace(state, pending=None), [DROPPED]
    return replace(state, pending=pending), [Message("note", tuple(_shown_back(view, pending)))]


def _said_over(before: Pending, said: set[Key], rules: RuleSet) -> list[str]:
    """The doubts that waited and that something said now takes the place of: none of them is lost."""
    doubted = (replace(one, hedge=one.doubt) for one in before.answers if one.doubt)
    return [note_of(one, rules) for one in (*before.proposed, *doubted) if one.key in said]


def _spoken_over(before: Pending, heard: Heard, named: set[str]) -> tuple[Understood, ...]:
    """The answers that wait and that a line speaks of again without setting them right: they are not outright now."""
    told = {one.key for one in (*heard.understood, *heard.proposed)}
    named = named | {ask.key[0] for ask in heard.asks_back}
    return tuple(
        replace(one, hedge=f'{ALTERED} "{shown(heard.text, 60)}"')
        for one in before.answers
        if one.key[0] in named - {key[0] for key in told}
        and not (isinstance(one.answer, Choices) and one.answer.present)
    )


def _of_waiting(view: View, text: str, before: Pending) -> Heard | None:
    """A bare figure as a correction of the one measure that waits and that it fits: no, 7 mm."""
    keys = [one.key for one in before.answers if view.judge.rules.questions[one.key[0]].quantity]
    tried = [(key, view.listener.hear(text, view.state.case, key)) for key in keys]
    found = [heard for key, heard in tried if [one.key for one in heard.understood] == [key]]
    return found[0] if len(found) == 1 else None


def _merged(old: tuple[Understood, ...], new: tuple[Understood, ...]) -> tuple[Understood, ...]:
    """The answers waiting, with those said now in place of earlier ones to the same question."""
    by_key = {one.key: one for one in old}
    for one in new:
        there = by_key.get(one.key)
        if there is not None and isinstance(one.answer, Choices):
            one = replace(one, answer=findings_merged(there.answer, one.answer))
        by_key[one.key] = one
    return tuple(by_key.values())


def _nothing(view: View, heard: Heard, text: str) -> tuple[SessionState, list[Message]]:
    """Where nothing was understood: what is asked back, or a calm line to an order; else nothing."""
    state, names = view.state, view.judge.rules.questions
    if _orders(view.judge.rules, text):
        return state.noting(shown(text, LONGEST_KEPT)), [Message("note", (_CALM,))]
    others = [ask for ask in heard.asks_back if ask.key != view.question_key]
    asked = names.get((view.question_key or ("", 0))[0])
    words = len(text.split())
    measured = asked is not None and asked.kind in inputs.FIGURE_KINDS and words <= FEWEST_WORDS
    if not others or measured or words < FEWEST_WORDS:
        return state, []
    lines = [f"Not taken, and asked back: {names[ask.key[0]].name} - {_sentence_of(ask.why)}" for ask in others]
    state = state.noting(*(note_of_asked(ask.key, ask.why, text, view.judge.rules) for ask in others))
    return _asked_again(view, state, (ask.key for ask in others), lines)


def _asked_again(
    view: View, state: SessionState, keys: Iterable[Key], says: Iterable[str]
) -> tuple[SessionState, list[Message]]:
    """The first of some questions that was answered before is put once more: what stands there is in doubt.

    Until then it counts as can't tell, where a repair would stand on it.
    """
    rules, case = view.judge.rules, state.case
    again = next((key for key in keys if case.get(rules.over_of(key[0]), key) is not None), None)
    if again is None:
        return state, [Message("note", tuple(says))]
    open_again = case.with_answer(rules.over_of(again[0]), again, CANT_TELL)
    now, stands = view.judged(case), case.get(rules.over_of(again[0]), again)
    found = isinstance(stands, Choices) and bool(stands.present)
    if now.verdict is Verdict.REPAIR and not found:
        case, says = open_again, (*says, f"Until it is said, {question_in_words(again, rules)} counts as can't tell.")
    saved = replace(state.saved, case=case, asking=again, ended=False)
    return replace(state, saved=saved), [Message("note", tuple(says))]


def _sentence_of(why: str) -> str:
    return why if why.endswith("?") else f"{why}."


def _orders(rules: RuleSet, text: str) -> bool:
    """Whether a text tells it to pass the tire, or is rude."""
    words = f" {' '.join(re.findall(r'[a-z]+', text.casefold()))} "
    roles = rules.phrases.cues.items()
    return any(f" {phrase} " in words for phrase, named in roles if "unsafe" in named or "rude" in named)


def _shown_back(view: View, pending: Pending) -> list[Said]:
    """What waits, by its numbers: first what has to be looked at, then what else was said, in one paragraph."""
    rules, case = view.judge.rules, view.state.case
    asks = {ask.key: ask.why for ask in pending.heard.asks_back}
    first, plainly = list[str](), list[str]()
    look = _to_look_at(view, pending)
    for number, one in enumerate(pending.answers, 1):
        said = f"{number}. {_item(one, rules)}"
        if one.key not in look:
            plainly.append(said)
            continue
        old = case.get(one.over, one.key)
        was = (
            f" (until now: {value_in_words(old, rules.questions[one.key[0]])})"
            if old is not None and old != one.answer
            else ""
        )
        sure = f"; be sure of it: {_sentence_of(asks[one.key])}" if one.key in asks else ""
        first.append(f'{said}{was} - from "{shown(one.words, 80)}"{sure}')
    shown_keys = {one.key for one in pending.answers}
    first += [
        f"and so {question_in_words(key, rules)}: {value_in_words(answer, rules.questions[key[0]])}"
        for key, answer in _given(case, pending, rules)
        if key not in shown_keys
    ]
    head = "Understood, not counted yet:"
    lines: list[Said] = [Block(head, to_look_at(first))] if first else []
    lines += [f"Left out: {question_in_words(key, rules)}" for key in pending.left_out]
    lines += proposed_blocks(pending.proposed, len(pending.answers) + 1, case, rules)
    lines += _in_doubt(view, pending) if pending.proposed else []
    lines += [f"Asked back: {each}" for each in _asked_back(pending, rules)]
    if pending.heard.not_understood:
        words = ", ".join(shown(word, 40) for word in pending.heard.not_understood[:40])
        lines.append(f"Not understood, kept as a note: {words}.")
    if pending.heard.passed_over:
        words = ", ".join(shown(word, 40) for word in pending.heard.passed_over)
        lines.append(f"Said, and nothing made of it: {words}.")
    also = "With yes these count too" if first else "With yes these count" if pending.proposed else head[:-1]
    return [*lines, Block(f"{'; '.join(plainly)}.", role="beside", lead=also)] if plainly else lines


def _to_look_at(view: View, pending: Pending) -> set[Key]:
    """The answers that are shown with their words: what is in question, what makes it worse, and of a few all."""
    keys = {one.key for one in pending.answers}
    look = _in_question(view, pending)
    if len(keys - look) <= MOST_BY_THEMSELVES:
        return keys
    now = view.judgement
    if not _is_worse(view.judged(once_counted(view, pending)), now):
        return look
    alone = ((one, view.state.case.with_answer(one.over, one.key, one.answer)) for one in pending.answers)
    return look | {one.key for one, case in alone if _is_worse(view.judged(case), now)}


def confirm(view: View, text: str) -> tuple[SessionState, list[Message]]:
    """What is typed while something waits to be confirmed: yes, no, numbers to take or to leave out, a correction."""
    word, state, pending = plain(text), view.state, view.state.pending
    if pending is None:
        return state, []
    if word in YES:
        return _counted_now(view, pending)
    if word in NO:
        return replace(state, pending=None), [DROPPED]
    with_them = {*WITH_THEM, *(plain(choice.says) for choice in to_confirm(pending, view.judge.rules).choices[2:])}
    if (numbers := takeable(pending, view.judge.rules)) and word in with_them:
        return _by_numbers(view, pending, Picked(tuple(numbers), yes=True))
    if word.isdecimal():
        says = f"Type 1 for yes or 2 for no. A figure needs its unit here: {word[:9]} mm."
        return state, [Message("complaint", (says,))]
    if picked := picked_in(text):
        return _by_numbers(view, replace(pending, lines=(*pending.lines, picked.words)), picked)
    state, found = listen(view, text)
    return state, found or [
        Message("complaint", ("Type yes if it is right, no to drop it, or set it right in your own words.",))
    ]


def _counted_now(view: View, pending: Pending) -> tuple[SessionState, list[Message]]:
    return _left_out(view, pending, *_take_all(view, view.state, pending))


def _left_out(
    view: View, pending: Pending, state: SessionState, said: list[Message]
) -> tuple[SessionState, list[Message]]:
    """Leaves out what the line said to be none: round, so no length."""
    case = state.case
    for key in pending.left_out:
        case = case.with_skipped(key)
        said = [Message("noted", (f"{capital(question_in_words(key, view.judge.rules))}: left out",)), *said]
    return replace(state, saved=replace(state.saved, case=case)), said


class Picked(Struct, frozen=True):
    """What a line takes and leaves out by number, whether it says yes to all, and what else stands behind it."""

    take: tuple[int, ...] = ()
    out: tuple[int, ...] = ()
    yes: bool = False
    rest: str = ""

    @property
    def words(self) -> str:
        """The numbers as a line of their own."""
        takes, outs = ((word, numbers) for word, numbers in (("take", self.take), ("not", self.out)))
        return ", ".join(f"{word} {', '.join(map(str, numbers))}" for word, numbers in (takes, outs) if numbers)


def picked_in(text: str) -> Picked | None:
    """The numbers at the head of a line: take 4 and 5, not 6, the tread is 12/32; None where it begins otherwise."""
    take, out, yes, at = list[int](), list[int](), False, 0
    while match := _PICKS.match(text, at):
        numbers = [int(number) for number in re.findall(r"\d+", match["numbers"])]
        (take if match["how"].casefold() == "take" else out).extend(numbers)
        yes, at = yes or bool(match["yes"]), match.end()
    return Picked(tuple(take), tuple(out), yes, text[at:].strip()) if take or out else None


def takeable(pending: Pending, rules: RuleSet) -> list[int]:
    """The numbers of what was not said outright and can be taken by them."""
    first = len(pending.answers) + 1
    return [place for place, one in enumerate(pending.proposed, first) if not isinstance(taken(one, rules), str)]


def _by_numbers(view: View, pending: Pending, picked: Picked) -> tuple[SessionState, list[Message]]:
    """Takes numbers and leaves numbers out, all as they were shown; then what else the line says."""
    every, outright = (*pending.answers, *pending.proposed), len(pending.answers)
    wrong = next((number for number in (*picked.take, *picked.out) if not 1 <= number <= len(every)), None)
    if wrong is not None:
        return view.state, [Message("complaint", (f"There is no number {wrong} here.",))]
    said = next((number for number in picked.take if number <= outright), None)
    if said is not None:
        says = f"Number {said} was said outright or taken already: yes counts it."
        return view.state, [Message("complaint", (says,))]
    ones = {number: every[number - 1] for number in (*picked.take, *picked.out)}
    new = list[Understood]()
    for number in picked.take:
        answer = taken(ones[number], view.judge.rules, " ".join(pending.lines))
        if isinstance(answer, str):
            return view.state, [Message("complaint", (answer,))]
        new.append(answer)
    gone = tuple(ones.values())
    answers = _merged(tuple(one for one in pending.answers if one not in gone), tuple(new))
    proposed = tuple(one for one in pending.proposed if one not in gone)
    pending = replace(pending, answers=answers, proposed=proposed)
    if (picked.yes and not picked.rest) or (picked.take and not picked.rest and _all_picked(view, pending)):
        return _counted_now(view, pending)
    return _waiting(view, view.state, pending)


def _all_picked(view: View, pending: Pending) -> bool:
    """Whether nothing is left to look at behind numbers that were taken: nothing else to take, nothing altered."""
    case = view.state.case
    altered = any(_alters(case, one) for one in pending.answers)
    return not (altered or takeable(pending, view.judge.rules) or (pending.proposed and _in_doubt(view, pending)))


def _take_all(view: View, state: SessionState, pending: Pending) -> tuple[SessionState, list[Message]]:
    """Counts what was confirmed; the words not understood and the doubts are kept as notes."""
    rules = view.judge.rules
    notes = _notes_of(pending.heard, rules)
    doubted = (one for one in pending.answers if one.doubt)
    notes += [f"{SAID_IN_DOUBT}{question_in_words(one.key, rules)}: {one.doubt}" for one in doubted]
    asks = {ask.key: ask.why for ask in pending.heard.asks_back}
    notes += [note_of(one, rules, asks.get(one.key, "")) for one in pending.proposed]
    held = {one.key for one in (*pending.answers, *pending.proposed)}
    open_ones = (ask for ask in pending.heard.asks_back if ask.key not in held)
    notes += [note_of_asked(ask.key, ask.why, pending.heard.text, rules) for ask in open_ones]
    state = replace(state, pending=None).noting(*notes)
    given = _counted(view, pending)
    if not given:
        still = "; ".join(question_in_words(one.key, rules) for one in pending.proposed)
        says = f"Nothing was said outright, so nothing counts. Still open: {still}."
        altered = [one.key for one in pending.proposed if one.hedge.startswith(ALTERED)]
        return _asked_again(view, state, (*altered, *_not_taken(pending, ())), (says,))
    state, said = take_several(view, state, given)
    asked = [key for key in _not_taken(pending, dict(given)) if state.case.get(rules.over_of(key[0]), key) is not None]
    if not asked or state.saved.asking is not None:
        return state, said
    state, more = _asked_again(view, state, asked, ())
    return state, [*said, *(message for message in more if message.blocks)]


def _counted(view: View, pending: Pending) -> list[tuple[Key, Any]]:
    """What yes counts: what was said outright, and what stands or was said so and is in doubt by what was not."""
    rules, case = view.judge.rules, view.state.case
    given = _given(case, pending, rules)
    known = dict(doubts(pending.proposed, dict(given), case, rules))
    given = [(key, known.pop(key, answer)) for key, answer in given] + list(known.items())
    opened = _opened(view, pending.proposed, given)
    return [(key, answer) for key, answer in given if key not in opened] + [(key, CANT_TELL) for key in opened]


def _in_doubt(view: View, pending: Pending) -> list[Said]:
    """What stands, or was said outright, and what yes makes of it by what was only said in doubt."""
    rules, case = view.judge.rules, view.state.case
    outright = dict(_given(case, pending, rules))
    changed = [(key, answer) for key, answer in _counted(view, pending) if outright.get(key) != answer]
    says = (
        f"{question_in_words(key, rules)}: {value_in_words(each, rules.questions[key[0]])}" for key, each in changed
    )
    return [f"But they leave a doubt. With yes it counts as {'; '.join(says)}."] if changed else []


def _not_taken(pending: Pending, given: Container[Key]) -> list[Key]:
    """What a sentence speaks of and was asked back, with nothing of it taken or proposed."""
    held = {one.key for one in (*pending.answers, *pending.proposed)}
    return [ask.key for ask in pending.heard.asks_back if ask.key not in held and ask.key not in given]


def _opened(view: View, proposed: Iterable[Understood], given: Iterable[tuple[Key, Answer]]) -> list[Key]:
    """What stands and is open again, as something else was said in doubt with which the verdict would be worse."""
    rules, case = view.judge.rules, view.state.case
    for key, answer in given:
        case = case.with_answer(rules.over_of(key[0]), key, answer)
    found, now = dict[Key, None](), view.judged(case)
    for one in proposed:
        key, tried = one.key, case.with_answer(one.over, one.key, one.answer)
        if case.get(one.over, key) is None and one.over == inputs.EARLIER_REPAIRS:
            key = (rules.question_now(inputs.EARLIER_REPAIRS), TIRE)  # not put, as there was said to be none
            tried = tried.with_answer("tire", key, Choice("yes"))
        stands = case.get(rules.over_of(key[0]), key)
        if stands not in (None, CANT_TELL) and not isinstance(stands, Choices) and _is_worse(view.judged(tried), now):
            found[key] = None
    return list(found)


def _is_worse(one: Judgement, other: Judgement) -> bool:
    """Whether a judgement is worse, or forbids more, or rules out what the other could still end as."""
    return (
        one.verdict > other.verdict
        or min(one.could_end) > min(other.could_end)
        or (one.verdict is other.verdict and bool(set(one.restrictions) - set(other.restrictions)))
    )


def once_counted(view: View, pending: Pending) -> Case:
    """The case as it would be once what waits is confirmed."""
    return _take_all(view, view.state, pending)[0].case


def _given(case: Case, pending: Pending, rules: RuleSet) -> list[tuple[Key, Any]]:
    """The answers to take, with "yes, one more" for each injury that another one follows."""
    last = max([pending.heard.injuries - 1, *(one.key[1] for one in pending.answers), TIRE])
    more = next((part.more for part in rules.parts if part.over == "injuries" and part.more), "")
    given: list[tuple[Key, Any]] = []
    for one in pending.answers:
        old = case.get(one.over, one.key)
        answer = findings_merged(old, one.answer) if isinstance(one.answer, Choices) else one.answer
        given.append((one.key, answer))
    if more and last > TIRE:
        given += [
            ((more, index), Choice("yes"))
            for index in range(last)
            if case.get("injuries", (more, index)) != Choice("yes")
        ]
    order = {name: place for place, name in enumerate(rules.questions)}
    return sorted(given, key=lambda pair: (pair[0][1], order[pair[0][0]]))
