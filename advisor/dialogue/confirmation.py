"""Whole sentences in a consultation: shown back with the words each answer came from, counted once confirmed."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from advisor.dialogue.answer_parser import plain
from advisor.dialogue.proposed_answers import (
    SAID_IN_DOUBT,
    TAKE,
    doubts,
    narrower_apart,
    note_of,
    proposed_lines,
    taken,
)
from advisor.engine.templates import value_in_words
from advisor.model.case import TIRE, Choice, Choices, Key
from advisor.model.problems import shown
from advisor.model.ruleset import CantTellRule, ChoiceText, Node, Question, RuleSet
from advisor.nlu.result import Heard, Understood
from advisor.quick import dataclass, replace
from advisor.wording.messages import Message, put_together
from advisor.wording.verdict_card import question_in_words

if TYPE_CHECKING:
    from advisor.dialogue.session import Consultation

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
CONFIRM_NODE = Node("understood", "", "understood", False, "", None, CantTellRule(), (), ())
YES = frozenset(
    {
        "yes",
        "y",
        "1",
        "correct",
        "right",
        "ok",
        "okay",
        "yep",
        "yeah",
        "that's right",
        "true",
        "take it",
        "yes it counts",
        "yes, it counts",
    }
)
NO = frozenset(
    {"no", "n", "2", "wrong", "drop", "drop it", "drop them", "nope", "drop all of it", "no, drop all of it", "false"}
)
#: One word is an answer or none, no sentence; the complaint names the nearest words.
FEWEST_WORDS = 2
_OUT = re.compile(r"(?:not|drop|without|except|take out)\s+(?:number\s+)?(?P<number>\d{1,2})", re.I)
_CALM = (
    "It can't be talked into a verdict: it says what the rules named say of what was found. "
    "Answer what can be answered."
)


@dataclass(frozen=True, slots=True)
class Pending:
    """What was understood and waits to be confirmed; `proposed` was not said outright, and yes leaves it out.

    `lines` were typed one after another to come here; a journal keeps them.
    """

    heard: Heard
    answers: tuple[Understood, ...]
    proposed: tuple[Understood, ...] = ()
    lines: tuple[str, ...] = ()


def listener_of(consultation: Consultation):  # type: ignore[no-untyped-def]
    """The consultation's listener, made when first needed."""
    if consultation.listener is None:
        from advisor.nlu.pipeline import Listener

        consultation.listener = Listener(consultation.judge.rules)
    return consultation.listener


def listen(consultation: Consultation, text: str) -> list[Message]:
    """What comes of a sentence: shown back to be confirmed; nothing where nothing was understood."""
    before = consultation.pending
    asked = consultation.question_key
    heard = listener_of(consultation).hear(text, consultation.case, asked)
    if before and not heard.understood:
        heard = _of_waiting(consultation, text, before) or heard
    heard = narrower_apart(heard, consultation.case, consultation.judge.rules, asked)
    if not (heard.understood or heard.proposed) or (before is None and len(text.split()) < FEWEST_WORDS):
        return _nothing(consultation, heard, text)
    if before and before.heard.not_understood:
        consultation.notes.append(_not_understood(before.heard))
    answers = _merged(before.answers if before else (), heard.understood)
    said = {one.key for one in heard.understood if not isinstance(one.answer, Choices)}
    said |= {one.key for one in heard.proposed}
    left = tuple(one for one in before.proposed if one.key not in said) if before else ()
    consultation.notes.extend(_said_over(before, said, consultation.judge.rules) if before else ())
    pending = Pending(heard, answers, (*left, *heard.proposed), (*(before.lines if before else ()), text))
    consultation.pending = pending
    return [Message("note", tuple(_shown_back(consultation, pending)))]


def _said_over(before: Pending, said: set[Key], rules: RuleSet) -> list[str]:
    """The doubts that waited and that something said now takes the place of: none of them is lost."""
    doubted = (replace(one, hedge=one.doubt) for one in before.answers if one.doubt)
    return [note_of(one, rules) for one in (*before.proposed, *doubted) if one.key in said]


def _of_waiting(consultation: Consultation, text: str, before: Pending) -> Heard | None:
    """A bare figure as a correction of the one measure that waits and that it fits: no, 7 mm."""
    keys = [one.key for one in before.answers if consultation.judge.rules.questions[one.key[0]].quantity]
    tried = [(key, listener_of(consultation).hear(text, consultation.case, key)) for key in keys]
    found = [heard for key, heard in tried if [one.key for one in heard.understood] == [key]]
    return found[0] if len(found) == 1 else None


def _merged(old: tuple[Understood, ...], new: tuple[Understood, ...]) -> tuple[Understood, ...]:
    """The answers waiting, with those said now in place of earlier ones to the same question."""
    by_key = {one.key: one for one in old}
    for one in new:
        there = by_key.get(one.key)
        if there is not None and isinstance(one.answer, Choices):
            one = replace(one, answer=put_together(there.answer, one.answer))
        by_key[one.key] = one
    return tuple(by_key.values())


def _nothing(consultation: Consultation, heard: Heard, text: str) -> list[Message]:
    """Where nothing was understood: what is asked back, or a calm line to an order; else nothing."""
    if _orders(consultation, text):
        consultation.notes.append(shown(text, 300))
        return [Message("note", (_CALM,))]
    names = consultation.judge.rules.questions
    others = [ask for ask in heard.asks_back if ask.key != consultation.question_key]
    asked = names.get((consultation.question_key or ("", 0))[0])
    words = len(text.split())
    measured = asked is not None and asked.kind in ("measure", "readings", "clock") and words <= FEWEST_WORDS
    if not others or measured or words < FEWEST_WORDS:
        return []
    lines = [f"Not taken, and asked back: {names[ask.key[0]].name} - {_sentence_of(ask.why)}" for ask in others]
    return [Message("note", tuple(lines))]


def _sentence_of(why: str) -> str:
    return why if why.endswith("?") else f"{why}."


def _orders(consultation: Consultation, text: str) -> bool:
    """Whether a text tells it to pass the tire, or is rude."""
    words = f" {' '.join(re.findall(r'[a-z]+', text.casefold()))} "
    roles = consultation.judge.rules.phrases.cues.items()
    return any(f" {phrase} " in words for phrase, named in roles if "unsafe" in named or "rude" in named)


def _shown_back(consultation: Consultation, pending: Pending) -> list[str]:
    rules = consultation.judge.rules
    lines = ["Understood, not counted yet:"] if pending.answers else []
    for number, one in enumerate(pending.answers, 1):
        question = rules.questions[one.key[0]]
        old = consultation.case.get(one.over, one.key)
        now = value_in_words(one.answer, question)
        was = f" (until now: {value_in_words(old, question)})" if old is not None and old != one.answer else ""
        lines.append(f'  {number}. {question_in_words(one.key, rules)}: {now}{was} - from "{shown(one.words, 80)}"')
    shown_keys = {one.key for one in pending.answers}
    lines += [
        f"  and so {question_in_words(key, rules)}: {value_in_words(answer, rules.questions[key[0]])}"
        for key, answer in _given(consultation, pending)
        if key not in shown_keys
    ]
    lines += proposed_lines(pending.proposed, len(pending.answers) + 1, consultation.case, rules)
    named = {one.key for one in pending.proposed}
    asks = [ask for ask in pending.heard.asks_back if ask.key not in named]
    lines += [f"Asked back: {rules.questions[ask.key[0]].name} - {_sentence_of(ask.why)}" for ask in asks]
    if pending.heard.not_understood:
        words = ", ".join(shown(word, 40) for word in pending.heard.not_understood[:40])
        lines.append(f"Not understood, kept as a note: {words}.")
    return lines


def confirm(consultation: Consultation, text: str) -> list[Message]:
    """What is typed while something waits to be confirmed: yes, no, not 2, or a correction."""
    word, pending = plain(text), consultation.pending
    if pending is None:
        return []
    if word in YES:
        return take_all(consultation)
    if word in NO:
        consultation.pending = None
        return [Message("note", ("Dropped. Nothing of it counts.",))]
    if match := _OUT.fullmatch(word):
        return _take_out(consultation, replace(pending, lines=(*pending.lines, text)), int(match["number"]))
    if match := TAKE.fullmatch(word):
        return _take_proposed(consultation, replace(pending, lines=(*pending.lines, text)), int(match["number"]))
    if word.isdecimal():
        return [Message("complaint", (f"Type 1 for yes or 2 for no. A figure needs its unit here: {word[:9]} mm.",))]
    found = listen(consultation, text)
    return found or [
        Message("complaint", ("Type yes if it is right, no to drop it, or set it right in your own words.",))
    ]


def _take_out(consultation: Consultation, pending: Pending, number: int) -> list[Message]:
    every = (*pending.answers, *pending.proposed)
    if not 1 <= number <= len(every):
        return [Message("complaint", (f"There is no number {number}.",))]
    out = every[number - 1]
    left = replace(
        pending,
        answers=tuple(one for one in pending.answers if one is not out),
        proposed=tuple(one for one in pending.proposed if one is not out),
    )
    consultation.pending = left if left.answers or left.proposed else None
    if consultation.pending is None:
        return [Message("note", ("Dropped. Nothing of it counts.",))]
    return [Message("note", tuple(_shown_back(consultation, left)))]


def _take_proposed(consultation: Consultation, pending: Pending, number: int) -> list[Message]:
    """Puts a proposal among what yes will count, with its doubt; one that only helps has to be said outright."""
    place = number - len(pending.answers) - 1
    if 0 < number <= len(pending.answers):
        return [Message("complaint", (f"Number {number} was said outright or taken already: yes counts it.",))]
    if not 0 <= place < len(pending.proposed):
        return [Message("complaint", (f"There is no number {number} here.",))]
    one = taken(pending.proposed[place], consultation.judge.rules)
    if isinstance(one, str):
        return [Message("complaint", (one,))]
    left = (*pending.proposed[:place], *pending.proposed[place + 1 :])
    pending = replace(pending, answers=_merged(pending.answers, (one,)), proposed=left)
    consultation.pending = pending
    return [Message("note", tuple(_shown_back(consultation, pending)))]


def take_all(consultation: Consultation) -> list[Message]:
    """Counts what was confirmed; the words not understood and the doubts are kept as notes."""
    pending = consultation.pending
    if pending is None:
        return []
    consultation.pending = None
    rules = consultation.judge.rules
    if pending.heard.not_understood:
        consultation.notes.append(_not_understood(pending.heard))
    for one in pending.answers:
        if one.doubt:
            consultation.notes.append(f"{SAID_IN_DOUBT}{question_in_words(one.key, rules)}: {one.doubt}")
    consultation.notes.extend(note_of(one, rules) for one in pending.proposed)
    given = _given(consultation, pending)
    worse = doubts(pending.proposed, dict(given), consultation.case, rules)
    known = dict(worse)
    given = [(key, known.pop(key, answer)) for key, answer in given] + list(known.items())
    if not given:
        open_ones = "; ".join(question_in_words(one.key, rules) for one in pending.proposed)
        return [Message("note", (f"Nothing was said outright, so nothing counts. Still open: {open_ones}.",))]
    return consultation.take_several(given)


def _not_understood(heard: Heard) -> str:
    return "not understood: " + " ".join(shown(word, 40) for word in heard.not_understood[:200])


def _given(consultation: Consultation, pending: Pending) -> list[tuple[Key, Any]]:
    """The answers to take, with "yes, one more" for each injury that another one follows."""
    rules, case = consultation.judge.rules, consultation.case
    last = max([pending.heard.injuries - 1, *(one.key[1] for one in pending.answers), TIRE])
    more = next((part.more for part in rules.parts if part.over == "injuries" and part.more), "")
    given: list[tuple[Key, Any]] = []
    for one in pending.answers:
        old = case.get(one.over, one.key)
        answer = put_together(old, one.answer) if isinstance(one.answer, Choices) else one.answer
        given.append((one.key, answer))
    if more and last > TIRE:
        given += [
            ((more, index), Choice("yes"))
            for index in range(last)
            if case.get("injuries", (more, index)) != Choice("yes")
        ]
    order = {name: place for place, name in enumerate(rules.questions)}
    return sorted(given, key=lambda pair: (pair[0][1], order[pair[0][0]]))
