"""Whole sentences in a consultation: shown back with the words each answer came from, counted once confirmed."""

from __future__ import annotations

import re

from msgspec.structs import replace

from advisor.dialogue.bare_figure import heard_with_tread
from advisor.dialogue.confirm_choices import (
    NO,
    YES,
    Picked,
    begins_with_yes,
    picked_in,
    takeable,
    takes_all,
)
from advisor.dialogue.if_counted import (
    asked_again,
    counted_now,
    left_in_doubt,
    notes_of_sentence,
    take_all,
    with_left_out,
)
from advisor.dialogue.line_parts import LineRead, doubly_told, is_denial, with_parts, without_well
from advisor.dialogue.not_counted import NOT_COUNTED, tells_besides
from advisor.dialogue.prompt_line import LineSays, parts_of
from advisor.dialogue.proposed_answers import narrower_apart, note_of, note_of_asked, taken
from advisor.dialogue.read_back import alters, left_open_by, sentence_of, shown_back, to_be_seen, with_a_way_back
from advisor.dialogue.state import LONGEST_KEPT, AsSaid, Pending, SessionState, View
from advisor.loader.answer_codec import NONE_WORDS, plain, written
from advisor.model import inputs
from advisor.model.case import Choice, Choices, Key
from advisor.model.problems import shown
from advisor.model.ruleset import RuleSet
from advisor.nlu.qualifiers import ALTERED
from advisor.nlu.result import AskBack, Heard, Understood
from advisor.wording.messages import Message, findings_merged

DROPPED = Message("note", ("Dropped. Nothing of it counts.",))
#: One word is an answer or none, no sentence; the complaint names the nearest words.
FEWEST_WORDS = 2
#: Ahead of what is said of one injury by its number.
_OF_INJURY = re.compile(
    r"\s*(?:the )?injury\s+(?:no\.?\s*|number\s+)?(?P<number>\d)\b[:,]?\s*(?:(?:is|has|was)\s+)?", re.I
)
_QUOTED = re.compile(r'"([^"]+)"')
_CALM = (
    "It can't be talked into a verdict: it says what the rules named say of what was found. "
    "Answer what can be answered."
)


def listen(
    view: View, text: str, parts: LineRead | None = None, beside: str = "", be_sure: str = ""
) -> tuple[SessionState, list[Message]]:
    """What comes of a sentence: shown back to be confirmed; nothing where nothing was understood.

    `parts` are those of a line, with what they say beyond doubt. `beside`: the whole line, of which the rest asks; it
    is shown back then, however plain it is; so it is where one has to `be_sure` of what it denies.
    """
    state, rules, asked = view.state, view.judge.rules, view.question_key
    before = state.pending
    hears = parts[0].behind if parts and parts[0].bare & parts[1].keys() else text
    if (of_one := _OF_INJURY.match(hears)) and int(of_one["number"]) <= len(state.case.injuries):
        asked, hears = (rules.question_now(inputs.INJURY_ZONE), int(of_one["number"]) - 1), hears[of_one.end() :]
    heard = replace(heard_with_tread(view.listener, hears, state.case, asked), text=beside or text)
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
        unread = notes_of_sentence(before.heard, rules)
        state = state.noting(*unread, *_said_over(before, said, rules))
        left = tuple(one for one in before.proposed if one.key not in said)
        heard = replace(heard, not_understood=(*heard.not_understood, *_bare_none(text, heard)))
    if be_sure:
        denied = (one.key for one in heard.understood if is_denial(one.answer))
        heard = replace(heard, asks_back=(*heard.asks_back, *(AskBack(key, be_sure) for key in denied)))
        words = [plain(one.words) for one in (*heard.understood, *heard.proposed)] + list(heard.not_understood)
        silent = (
            part for part in parts_of(text) if not any(plain(part) in each or each in plain(part) for each in words)
        )
        heard = replace(heard, not_understood=(*heard.not_understood, *silent))
    answers = _merged(before.answers if before else (), heard.understood)
    heard = replace(heard, proposed=_without_last_of_none(heard.proposed, answers, view))
    lines = (*(before.lines if before else ()), text)
    pending = Pending(heard, answers, (*left, *heard.proposed), lines, left_out)
    adds = before is None or (begins_with_yes(text) and not said & {one.key for one in before.answers})
    if adds and not (beside or be_sure) and not to_be_seen(view, pending):
        now, messages = with_left_out(view, pending, *take_all(view, state, pending))
        as_said = AsSaid(pending, view.state.saved, state.notes, now.saved)
        return replace(now, as_said=as_said), [*with_a_way_back(messages), *left_open_by(pending, rules)]
    return _waiting(view, state, _without_what_stands(view, pending))


def _without_what_stands(view: View, pending: Pending) -> Pending:
    """What waits without choices that stand so already, where something else is left to be looked at."""
    asked, case = view.question_key, view.state.case
    said = (one for one in pending.answers if isinstance(one.answer, Choice) and not one.doubt and one.key != asked)
    stands = {one.key for one in said if case.get(one.over, one.key) == one.answer}
    news = tuple(one for one in pending.answers if one.key not in stands)
    return replace(pending, answers=news) if news or pending.proposed else pending


def wait_with(view: View, text: str, found: LineSays) -> tuple[SessionState, list[Message]]:
    """What the parts of a line say, each by itself, shown back to be confirmed; None of a question leaves it out."""
    over, words = view.judge.rules.over_of, dict(zip(found, parts_of(text), strict=True))
    says = [(key, answer) for key, answer in found.items() if answer is not None]
    told = tuple(Understood(key, over(key[0]), answer, written(answer), words[key]) for key, answer in says)
    left_out = tuple(key for key, answer in found.items() if answer is None)
    return _waiting(view, view.state, Pending(Heard(text, told), told, lines=(text,), left_out=left_out))


def _waiting(view: View, state: SessionState, pending: Pending) -> tuple[SessionState, list[Message]]:
    """The state with what waits now, shown back; with nothing left of it, it is dropped."""
    if not (pending.answers or pending.proposed):
        return replace(state, pending=None), [DROPPED]
    return replace(state, pending=pending), [Message("note", tuple(shown_back(view, pending)))]


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


def _bare_none(text: str, heard: Heard) -> list[str]:
    """The parts of a line that are a bare none, where nothing was heard in one: none is said of no question here."""
    said = {plain(one.words) for one in (*heard.understood, *heard.proposed)} | set(heard.not_understood)
    return [part for part in parts_of(text)[1:] if plain(part) in NONE_WORDS and plain(part) not in said]


def _without_last_of_none(
    proposed: tuple[Understood, ...], answers: tuple[Understood, ...], view: View
) -> tuple[Understood, ...]:
    """What may have been heard, without that some earlier repair was the last one where there is said to be none."""
    rules = view.judge.rules
    none = any(rules.input_of(one.key[0]) == inputs.EARLIER_REPAIRS and one.answer == Choice("no") for one in answers)
    last = rules.more_of(inputs.OVER_REPAIRS)
    return tuple(one for one in proposed if not (none and one.key[0] == last and one.answer == Choice("no")))


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
    lines = [f"Not taken, and asked back: {names[ask.key[0]].name} - {sentence_of(ask.why)}" for ask in others]
    state = state.noting(*(note_of_asked(ask.key, ask.why, text, view.judge.rules) for ask in others))
    if tells_besides(_without_asked(text, heard), view.judge.rules.phrases):
        state = state.noting(f"{NOT_COUNTED}{shown(text, LONGEST_KEPT)}")
    return asked_again(view, state, (ask.key for ask in others), lines)


def _without_asked(text: str, heard: Heard) -> str:
    """A line without the words that are asked back: the rest of it was not taken either."""
    for words in (words for ask in heard.asks_back for words in _QUOTED.findall(ask.why)):
        text = re.sub(rf"\b{re.escape(words)}\b", " ", text, flags=re.I)
    return text


def _orders(rules: RuleSet, text: str) -> bool:
    """Whether a text tells it to pass the tire, or is rude."""
    words = f" {' '.join(re.findall(r'[a-z]+', text.casefold()))} "
    roles = rules.phrases.cues.items()
    return any(f" {phrase} " in words for phrase, named in roles if "unsafe" in named or "rude" in named)


def confirm(view: View, text: str) -> tuple[SessionState, list[Message]]:
    """What is typed while something waits to be confirmed: yes, no, numbers to take or to leave out, a correction."""
    word, state, pending = plain(text), view.state, view.state.pending
    if pending is None:
        return state, []
    if word in YES:
        return _counted_with_a_yes(view, pending)
    if word in NO:
        return replace(state, pending=None), [DROPPED]
    if takes_all(word, pending, view.judge.rules):
        return _by_numbers(view, pending, Picked(tuple(takeable(pending, view.judge.rules)), yes=True))
    if word.isdecimal():
        says = f"Type 1 for yes or 2 for no. A figure needs its unit here: {word[:9]} mm."
        return state, [Message("complaint", (says,))]
    if picked := picked_in(text):
        return _by_numbers(view, replace(pending, lines=(*pending.lines, picked.words)), picked)
    state, found = listen(view, text)
    return state, found or [
        Message("complaint", ("Type yes if it is right, no to drop it, or set it right in your own words.",))
    ]


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
    pending = replace(pending, heard=_without_what_is_gone(view, pending, [ones[number] for number in picked.out]))
    if (picked.yes and not picked.rest) or (picked.take and not picked.rest and _all_picked(view, pending)):
        return _counted_with_a_yes(view, pending)
    return _waiting(view, view.state, pending)


def _counted_with_a_yes(view: View, pending: Pending) -> tuple[SessionState, list[Message]]:
    """Counts what waits; a word that drops it right behind takes it back."""
    if pending.drops:
        from advisor.dialogue.no_further import drops_now

        return drops_now(view, pending)
    now, messages = counted_now(view, pending)
    as_said = AsSaid(pending, view.state.saved, view.state.notes, now.saved, confirmed=True)
    return replace(now, as_said=as_said), messages


def _without_what_is_gone(view: View, pending: Pending, out: list[Understood]) -> Heard:
    """What was heard, with no injury that only rested on what was taken out: the words left tell of fewer."""
    heard, text = pending.heard, pending.heard.text
    held = {one.key for one in (*pending.answers, *pending.proposed) if one.over == inputs.OVER_INJURIES}
    gone = {one.key[1] for one in out if one.over == inputs.OVER_INJURIES} - {index for _, index in held}
    if not gone:
        return heard
    for one in out:
        text = text.replace(one.words, " ")
    told = view.listener.hear(text, view.state.case, view.question_key).injuries
    last = max((index for _, index in held), default=-1)
    return replace(heard, injuries=min(heard.injuries, max(told, last + 1)))


def _all_picked(view: View, pending: Pending) -> bool:
    """Whether nothing is left to look at behind numbers that were taken: nothing else to take, nothing altered."""
    case = view.state.case
    altered = any(alters(case, one) for one in pending.answers)
    return not (altered or takeable(pending, view.judge.rules) or (pending.proposed and left_in_doubt(view, pending)))
