"""Whether a sentence has to be looked at before it counts, and how it is shown back: what is in question first."""

from __future__ import annotations

import re
from collections.abc import Iterable

from advisor.dialogue.confirm_choices import says_no
from advisor.dialogue.if_counted import given_by, is_worse, left_in_doubt, once_counted, opened_by_doubt
from advisor.dialogue.line_parts import denied_but_for, said_strictly, same_answer
from advisor.dialogue.proposed_answers import heard_in, proposed_blocks, taken, to_look_at
from advisor.dialogue.state import Pending, View
from advisor.engine.templates import value_in_words
from advisor.loader.answer_codec import plain
from advisor.model.case import Case, Choices, Key
from advisor.model.problems import shown
from advisor.model.ruleset import RuleSet
from advisor.nlu.hedge_scope import helps_answer
from advisor.nlu.result import Understood
from advisor.wording.blocks import Block, Said
from advisor.wording.messages import Message, findings_merged
from advisor.wording.verdict_card import question_in_words

HOW_TO_MEND = Message("note", ("Counted as said. To set one right type change and its name.",))
#: More answers than these that nothing speaks against are shown in one paragraph.
MOST_BY_THEMSELVES = 2
#: A letter by itself, which may be a yes or a no.
_LETTER = re.compile(r"(?<![\w'])[yn](?!\w)", re.I)


def to_be_seen(view: View, pending: Pending) -> bool:
    """Whether somebody has to look at what was understood before it counts: any of it is in doubt or left over.

    What was only said in doubt, can't be taken by its number and changes nothing is asked when its turn comes.
    """
    heard, case = pending.heard, view.state.case
    left_over = heard.not_understood or heard.passed_over or denied_but_for(heard, view.judge.rules)
    proposed = any(
        case.get(one.over, one.key) is not None or not isinstance(taken(one, view.judge.rules), str)
        for one in pending.proposed
    )
    corrects = heard.corrects and not says_no(heard.text, r"\s+\w", view.judge.rules)  # no sealant sets nothing right
    unsure = "?" in heard.text or _LETTER.search(heard.text) or corrects
    return bool(left_over or unsure or proposed or _in_question(view, pending)) or bool(
        pending.proposed and left_in_doubt(view, pending)
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
        or alters(case, one)
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


def alters(case: Case, one: Understood) -> bool:
    old = case.get(one.over, one.key)
    if isinstance(one.answer, Choices):
        return old is not None and findings_merged(old, one.answer) != old
    return old is not None and not same_answer(old, one.answer)


def shown_back(view: View, pending: Pending) -> list[Said]:
    """What waits, by its numbers: first what has to be looked at, then what else was said, in one paragraph."""
    if pending.drops:
        from advisor.dialogue.withdrawals import drop_shown_back

        return drop_shown_back(view, pending)
    rules, case = view.judge.rules, view.state.case
    asks = {ask.key: ask.why for ask in pending.heard.asks_back}
    first, plainly = list[str](), list[str]()
    look, doubted = _to_look_at(view, pending), opened_by_doubt(view, pending)
    for number, one in enumerate(pending.answers, 1):
        said = f"{number}. {_item(one, rules)}"
        if one.key in doubted:
            first.append(f'{said} - from "{shown(one.words, 80)}"; what may have been heard leaves it open')
            continue
        if one.key not in look:
            plainly.append(said)
            continue
        old = case.get(one.over, one.key)
        was = (
            f" (until now: {value_in_words(old, rules.questions[one.key[0]])})"
            if old is not None and old != one.answer
            else ""
        )
        sure = f"; be sure of it: {sentence_of(asks[one.key])}" if one.key in asks else ""
        first.append(f'{said}{was} - from "{shown(one.words, 80)}"{sure}')
    shown_keys = {one.key for one in pending.answers}
    first += [
        f"and so {question_in_words(key, rules)}: {value_in_words(answer, rules.questions[key[0]])}"
        for key, answer in given_by(case, pending, rules)
        if key not in shown_keys
    ]
    head = "Understood, not counted yet:"
    lines: list[Said] = [Block(head, to_look_at(first))] if first else []
    lines += [f"Left out: {question_in_words(key, rules)}" for key in pending.left_out]
    lines += proposed_blocks(pending.proposed, len(pending.answers) + 1, case, rules)
    lines += left_in_doubt(view, pending) if pending.proposed else []
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
    if not is_worse(view.judged(once_counted(view, pending)), now):
        return look
    alone = ((one, view.state.case.with_answer(one.over, one.key, one.answer)) for one in pending.answers)
    return look | {one.key for one, case in alone if is_worse(view.judged(case), now)}


def with_a_way_back(said: list[Message]) -> list[Message]:
    """What was noted without being asked back, with how one of it is set right where it is much."""
    if sum(message.kind == "noted" for message in said) <= MOST_BY_THEMSELVES:
        return said
    last = max(place for place, message in enumerate(said) if message.kind == "noted")
    return [*said[: last + 1], HOW_TO_MEND, *said[last + 1 :]]


def left_open_by(pending: Pending, rules: RuleSet) -> list[Message]:
    """What a sentence that counts speaks of besides, and that is asked when its turn comes."""
    if not pending.answers:
        return []
    asked = (Message("note", (f"Not counted: {each}",)) for each in _asked_back(pending, rules))
    return [*not_counted(pending.proposed, rules), *asked]


def not_counted(proposed: Iterable[Understood], rules: RuleSet) -> list[Message]:
    """What may have been heard and is left for its question, each in one line."""
    return [Message("note", (f"Not counted: {_item(one, rules)} - {heard_in(one)}",)) for one in proposed]


def _item(one: Understood, rules: RuleSet) -> str:
    return f"{question_in_words(one.key, rules)}: {value_in_words(one.answer, rules.questions[one.key[0]])}"


def _asked_back(pending: Pending, rules: RuleSet) -> list[str]:
    """What a sentence touches, with nothing of it among what was heard: each question, and why."""
    held = {one.key for one in (*pending.answers, *pending.proposed)}
    asks = (ask for ask in pending.heard.asks_back if ask.key not in held)
    return [f"{rules.questions[ask.key[0]].name} - {sentence_of(ask.why)}" for ask in asks]


def sentence_of(why: str) -> str:
    return why if why.endswith("?") else f"{why}."
