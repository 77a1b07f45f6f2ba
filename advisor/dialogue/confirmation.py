"""Whole sentences in a consultation: shown back with the words each answer came from, counted once confirmed."""

from __future__ import annotations

import re
from collections.abc import Container, Iterable, Sequence
from typing import Any

from msgspec.structs import replace

from advisor.dialogue.changes import capital, take_several
from advisor.dialogue.line_parts import LineRead, denied_but_for, doubly_told, with_parts, without_well
from advisor.dialogue.not_counted import PASSED_OVER, SAID_IN_DOUBT, notes_of_words
from advisor.dialogue.proposed_answers import (
    NUMBERS,
    TAKE,
    doubts,
    narrower_apart,
    note_of,
    note_of_asked,
    proposed_blocks,
    taken,
)
from advisor.dialogue.state import LONGEST_KEPT, Pending, SessionState, View
from advisor.engine.judgement_types import Judgement
from advisor.engine.templates import value_in_words
from advisor.loader.answer_codec import OTHER_NO, OTHER_YES, plain
from advisor.model import inputs
from advisor.model.case import CANT_TELL, TIRE, Answer, Case, Choice, Choices, Key
from advisor.model.problems import shown
from advisor.model.ruleset import CantTellRule, ChoiceText, Node, Question, RuleSet, Verdict
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
DROPPED = Message("note", ("Dropped. Nothing of it counts.",))
#: One word is an answer or none, no sentence; the complaint names the nearest words.
FEWEST_WORDS = 2
_OUT = re.compile(rf"(?:not|drop|without|except|take out)\s+{NUMBERS}", re.I)
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
    return _waiting(view, state, Pending(heard, answers, (*left, *heard.proposed), lines, left_out))


def _notes_of(heard: Heard, rules: RuleSet) -> list[str]:
    """The notes of a sentence: words not understood, known ones that nothing was made of, an exception not heard."""
    excepted = denied_but_for(heard, rules)
    return notes_of_words(heard) + [f"{PASSED_OVER}{shown(part, LONGEST_KEPT)}" for part in excepted]


def _waiting(view: View, state: SessionState, pending: Pending) -> tuple[SessionState, list[Message]]:
    """The state with what waits now, shown back; with nothing left of it, it is dropped."""
    if not (pending.answers or pending.proposed):
        return replace(state, pending=None), [DROPPED]
    says = (
        *_shown_back(state.case, pending, view.judge.rules),
        *(_in_doubt(view, pending) if pending.proposed else ()),
    )
    return replace(state, pending=pending), [Message("note", says)]


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


def _shown_back(case: Case, pending: Pending, rules: RuleSet) -> list[Said]:
    understood = list[str]()
    for number, one in enumerate(pending.answers, 1):
        question = rules.questions[one.key[0]]
        old = case.get(one.over, one.key)
        now = value_in_words(one.answer, question)
        was = f" (until now: {value_in_words(old, question)})" if old is not None and old != one.answer else ""
        understood.append(f'{number}. {question_in_words(one.key, rules)}: {now}{was} - from "{shown(one.words, 80)}"')
    shown_keys = {one.key for one in pending.answers}
    understood += [
        f"and so {question_in_words(key, rules)}: {value_in_words(answer, rules.questions[key[0]])}"
        for key, answer in _given(case, pending, rules)
        if key not in shown_keys
    ]
    lines: list[Said] = [Block("Understood, not counted yet:", tuple(understood))] if understood else []
    lines += [f"Left out: {question_in_words(key, rules)}" for key in pending.left_out]
    lines += proposed_blocks(pending.proposed, len(pending.answers) + 1, case, rules)
    named = {one.key for one in pending.proposed}
    asks = [ask for ask in pending.heard.asks_back if ask.key not in named]
    heads = ["Counts with yes, be sure of it" if ask.key in shown_keys else "Asked back" for ask in asks]
    named_asks = zip(heads, asks, strict=True)
    lines += [f"{head}: {rules.questions[ask.key[0]].name} - {_sentence_of(ask.why)}" for head, ask in named_asks]
    if pending.heard.not_understood:
        words = ", ".join(shown(word, 40) for word in pending.heard.not_understood[:40])
        lines.append(f"Not understood, kept as a note: {words}.")
    return lines


def confirm(view: View, text: str) -> tuple[SessionState, list[Message]]:
    """What is typed while something waits to be confirmed: yes, no, not 2, or a correction."""
    word, state, pending = plain(text), view.state, view.state.pending
    if pending is None:
        return state, []
    if word in YES:
        return _left_out(view, pending, *_take_all(view, pending))
    if word in NO:
        return replace(state, pending=None), [DROPPED]
    if match := _OUT.fullmatch(word):
        return _take_out(view, replace(pending, lines=(*pending.lines, text)), _numbers(match))
    if match := TAKE.fullmatch(word):
        return _take_proposed(view, replace(pending, lines=(*pending.lines, text)), _numbers(match))
    if word.isdecimal():
        says = f"Type 1 for yes or 2 for no. A figure needs its unit here: {word[:9]} mm."
        return state, [Message("complaint", (says,))]
    state, found = listen(view, text)
    return state, found or [
        Message("complaint", ("Type yes if it is right, no to drop it, or set it right in your own words.",))
    ]


def _left_out(
    view: View, pending: Pending, state: SessionState, said: list[Message]
) -> tuple[SessionState, list[Message]]:
    """Leaves out what the line said to be none: round, so no length."""
    case = state.case
    for key in pending.left_out:
        case = case.with_skipped(key)
        said = [Message("noted", (f"{capital(question_in_words(key, view.judge.rules))}: left out",)), *said]
    return replace(state, saved=replace(state.saved, case=case)), said


def _numbers(match: re.Match[str]) -> list[int]:
    return [int(number) for number in re.findall(r"\d+", match["numbers"])]


def _take_out(view: View, pending: Pending, numbers: Sequence[int]) -> tuple[SessionState, list[Message]]:
    every = (*pending.answers, *pending.proposed)
    if refused := _no_such(numbers, len(every)):
        return view.state, [refused]
    out = [every[number - 1] for number in numbers]
    answers = tuple(one for one in pending.answers if one not in out)
    proposed = tuple(one for one in pending.proposed if one not in out)
    return _waiting(view, view.state, replace(pending, answers=answers, proposed=proposed))


def _no_such(numbers: Sequence[int], most: int) -> Message | None:
    wrong = next((number for number in numbers if not 1 <= number <= most), None)
    return Message("complaint", (f"There is no number {wrong} here.",)) if wrong is not None else None


def _take_proposed(view: View, pending: Pending, numbers: Sequence[int]) -> tuple[SessionState, list[Message]]:
    """Puts proposals among what yes will count, with their doubt; one that only helps has to be said outright."""
    outright = len(pending.answers)
    if refused := _no_such(numbers, outright + len(pending.proposed)):
        return view.state, [refused]
    if (said := min(numbers)) <= outright:
        return view.state, [
            Message("complaint", (f"Number {said} was said outright or taken already: yes counts it.",))
        ]
    picked = [pending.proposed[number - outright - 1] for number in numbers]
    answers = list[Understood]()
    for one in picked:
        answer = taken(one, view.judge.rules, " ".join(pending.lines))
        if isinstance(answer, str):
            return view.state, [Message("complaint", (answer,))]
        answers.append(answer)
    left = tuple(one for one in pending.proposed if one not in picked)
    merged = _merged(pending.answers, tuple(answers))
    return _waiting(view, view.state, replace(pending, answers=merged, proposed=left))


def _take_all(view: View, pending: Pending) -> tuple[SessionState, list[Message]]:
    """Counts what was confirmed; the words not understood and the doubts are kept as notes."""
    rules = view.judge.rules
    notes = _notes_of(pending.heard, rules)
    doubted = (one for one in pending.answers if one.doubt)
    notes += [f"{SAID_IN_DOUBT}{question_in_words(one.key, rules)}: {one.doubt}" for one in doubted]
    notes += [note_of(one, rules) for one in pending.proposed]
    held = {one.key for one in (*pending.answers, *pending.proposed)}
    open_ones = (ask for ask in pending.heard.asks_back if ask.key not in held)
    notes += [note_of_asked(ask.key, ask.why, pending.heard.text, rules) for ask in open_ones]
    state = replace(view.state, pending=None).noting(*notes)
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


def once_counted(view: View) -> Case:
    """The case as it would be once what waits is confirmed."""
    pending = view.state.pending
    return view.state.case if pending is None else _take_all(view, pending)[0].case


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
