"""What a yes makes of a sentence that waits: the answers it counts, the doubts it leaves, what it opens again."""

from __future__ import annotations

from collections.abc import Container, Iterable
from typing import Any

from msgspec.structs import replace

from advisor.dialogue.changes import capital, take_several
from advisor.dialogue.line_parts import denied_but_for
from advisor.dialogue.not_counted import PASSED_OVER, SAID_IN_DOUBT, notes_of_words
from advisor.dialogue.proposed_answers import doubts, note_of, note_of_asked
from advisor.dialogue.state import LONGEST_KEPT, Pending, SessionState, View
from advisor.engine.judgement_types import Judgement
from advisor.engine.templates import value_in_words
from advisor.model import inputs
from advisor.model.case import CANT_TELL, TIRE, Answer, Case, Choice, Choices, Key
from advisor.model.problems import shown
from advisor.model.ruleset import RuleSet, Verdict
from advisor.nlu.qualifiers import ALTERED
from advisor.nlu.result import Heard, Understood
from advisor.wording.blocks import Said
from advisor.wording.messages import Message, findings_merged
from advisor.wording.verdict_card import question_in_words


def once_counted(view: View, pending: Pending) -> Case:
    """The case as it would be once what waits is confirmed."""
    return take_all(view, view.state, pending)[0].case


def is_worse(one: Judgement, other: Judgement) -> bool:
    """Whether a judgement is worse, or forbids more, or rules out what the other could still end as."""
    return (
        one.verdict > other.verdict
        or min(one.could_end) > min(other.could_end)
        or (one.verdict is other.verdict and bool(set(one.restrictions) - set(other.restrictions)))
    )


def counted_now(view: View, pending: Pending) -> tuple[SessionState, list[Message]]:
    return with_left_out(view, pending, *take_all(view, view.state, pending))


def with_left_out(
    view: View, pending: Pending, state: SessionState, said: list[Message]
) -> tuple[SessionState, list[Message]]:
    """Leaves out what the line said to be none: round, so no length."""
    case = state.case
    for key in pending.left_out:
        case = case.with_skipped(key)
        said = [Message("noted", (f"{capital(question_in_words(key, view.judge.rules))}: left out",)), *said]
    return replace(state, saved=replace(state.saved, case=case)), said


def take_all(view: View, state: SessionState, pending: Pending) -> tuple[SessionState, list[Message]]:
    """Counts what was confirmed; the words not understood and the doubts are kept as notes."""
    rules = view.judge.rules
    notes = notes_of_sentence(pending.heard, rules)
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
        again = [one.key for one in pending.proposed if one.hedge.startswith(ALTERED) or _stands(one, state.case)]
        return asked_again(view, state, (*again, *_not_taken(pending, ())), (says,))
    state, said = take_several(view, state, given)
    asked = [key for key in _not_taken(pending, dict(given)) if state.case.get(rules.over_of(key[0]), key) is not None]
    if not asked or state.saved.asking is not None:
        return state, said
    state, more = asked_again(view, state, asked, ())
    return state, [*said, *(message for message in more if message.blocks)]


def _stands(one: Understood, case: Case) -> bool:
    """Whether what is said in doubt now is what was answered before: not driven soft, he says."""
    return case.get(one.over, one.key) == one.answer


def notes_of_sentence(heard: Heard, rules: RuleSet) -> list[str]:
    """The notes of a sentence: words not understood, known ones that nothing was made of, an exception not heard."""
    excepted = denied_but_for(heard, rules)
    return notes_of_words(heard) + [f"{PASSED_OVER}{shown(part, LONGEST_KEPT)}" for part in excepted]


def _counted(view: View, pending: Pending) -> list[tuple[Key, Any]]:
    """What yes counts: what was said outright, and what stands or was said so and is in doubt by what was not."""
    rules, case = view.judge.rules, view.state.case
    given = given_by(case, pending, rules)
    known = dict(doubts(pending.proposed, dict(given), case, rules))
    given = [(key, known.pop(key, answer)) for key, answer in given] + list(known.items())
    opened = _opened(view, pending.proposed, given)
    return [(key, answer) for key, answer in given if key not in opened] + [(key, CANT_TELL) for key in opened]


def given_by(case: Case, pending: Pending, rules: RuleSet) -> list[tuple[Key, Any]]:
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


def left_in_doubt(view: View, pending: Pending) -> list[Said]:
    """What stands, or was said outright, and what yes makes of it by what was only said in doubt."""
    rules, changed = view.judge.rules, opened_by_doubt(view, pending)
    says = (
        f"{question_in_words(key, rules)}: {value_in_words(each, rules.questions[key[0]])}"
        for key, each in changed.items()
    )
    return [f"But they leave a doubt. With yes it counts as {'; '.join(says)}."] if changed else []


def opened_by_doubt(view: View, pending: Pending) -> dict[Key, Answer]:
    """What yes makes of answers by what was only said in doubt, by their addresses."""
    if not pending.proposed:
        return {}
    outright = dict(given_by(view.state.case, pending, view.judge.rules))
    return {key: answer for key, answer in _counted(view, pending) if outright.get(key) != answer}


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
        if stands not in (None, CANT_TELL) and not isinstance(stands, Choices) and is_worse(view.judged(tried), now):
            found[key] = None
    return list(found)


def asked_again(
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
