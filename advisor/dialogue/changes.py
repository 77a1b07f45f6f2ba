"""What an answer does: the state it leads to, what was worked out of it, and what it did to the verdict."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from msgspec.structs import replace

from advisor.dialogue.prompt import settled_now
from advisor.dialogue.state import SessionState, View
from advisor.dialogue.withdrawals import too_many, would_vanish
from advisor.engine.derived.tire import printed
from advisor.engine.evaluator import Judge
from advisor.engine.facts import NOT_APPLICABLE, Facts
from advisor.engine.judgement_types import Judgement, Reason
from advisor.engine.templates import fill, value_in_words
from advisor.loader.case_constraints import impossible
from advisor.model import inputs
from advisor.model.case import CANT_TELL, TIRE, Answer, Case, Key
from advisor.model.problems import shown
from advisor.model.quantity import Measure, in_words
from advisor.model.ruleset import RuleSet, Verdict
from advisor.model.saved import Saved
from advisor.wording.blocks import Block, Said
from advisor.wording.messages import Message, complaint
from advisor.wording.verdict_card import question_in_words, reason_blocks

#: So many reasons that count by the same doubt are said in full.
MOST_OF_ONE_DOUBT = 2


def worked_out_lines(before: Judgement, now: Judgement, rules: RuleSet) -> Iterator[str]:
    """What an answer newly gave: each value by name, and what a sidewall's print did not tell."""
    said = set[str]()
    for name, value in now.values.items():
        home = rules.values[name.partition("[")[0]]
        if not home.said_back or value in (None, CANT_TELL, NOT_APPLICABLE) or value == before.values.get(name):
            continue
        words = in_words(value) if isinstance(value, Measure) else value_in_words(value)
        line = f"{home.name}: {words}"
        if words not in said or isinstance(value, Measure):
            yield f"worked out: {line}"
        said.add(words)
    name = rules.question_now(inputs.SIDEWALL)
    if now.walk.tire.answers.get(name) != before.walk.tire.answers.get(name):
        yield from _print_left_open(now.walk.tire)


def _print_left_open(tire: Facts) -> Iterator[str]:
    sidewall = printed(tire)
    if sidewall is None:
        return
    if sidewall.not_read:
        yield f"not read: {shown(' '.join(sidewall.not_read), 120)}"
    missing = [what for what in sidewall.missing if what.replace(" ", "-") not in tire.answers]
    if missing:
        yield f"the print as typed does not tell: {', '.join(missing)}"


def standing(judgement: Judgement, judge: Judge) -> str:
    """One line: what the case could still end as."""
    could = _or([str(verdict).upper() for verdict in judgement.could_end])
    if judgement.settled and not settled_now(judgement, judge):
        return f"{could} so far; what is still asked can worsen it"
    if judgement.settled:
        return f"Settled: {could}"
    held = min(judgement.could_end) is Verdict.HOLD  # what it is held for can be done, and it is judged again
    return f"{'As it is now' if held else 'Could still end as'}: {could}"


def what_changed(before: Judgement, now: Judgement, judge: Judge) -> Iterable[Message]:
    """What is ruled out, what is settled, what now stands against repair."""
    known = {(reason.ruling, reason.key) for reason in before.reasons if not _asked_next(reason, before, judge)}
    new = [
        reason
        for reason in now.reasons
        if (reason.ruling, reason.key) not in known
        and reason.verdict is not Verdict.REPAIR
        and not _asked_next(reason, now, judge)
    ]
    if new:
        yield Message("reason", _blocks_of_new(new, judge.rules))
        yield from _do_now(new, now, judge)
    yield from _asked_back(before, now, judge)
    still = {(reason.ruling, reason.key) for reason in now.reasons} if before.reasons else set()
    if any(each.verdict is not Verdict.REPAIR for each in before.reasons if (each.ruling, each.key) not in still):
        yield Message("note", (f"That changed what counts. {_stands(now, judge)}",))
    elif now.could_end != before.could_end:
        yield Message("standing", (_stands(now, judge),))


def _blocks_of_new(new: list[Reason], rules: RuleSet) -> tuple[Said, ...]:
    """What newly counts, each with what it rests on; what counts by one doubt in one line, where that is much."""
    blocks = list[Said](reason_blocks([each for each in new if not each.doubt], rules))
    by_doubt: dict[frozenset[Key], list[Reason]] = {}
    for each in new:
        if each.doubt:
            by_doubt.setdefault(each.doubt, []).append(each)
    for doubt, reasons in by_doubt.items():
        if len(reasons) <= MOST_OF_ONE_DOUBT:
            blocks += reason_blocks(reasons, rules)
            continue
        asked = " and ".join(question_in_words(key, rules) for key in sorted(doubt))
        blocks.append(f"in doubt ({asked}), so {len(reasons)} of the rules count; more reasons shows each")
    return tuple(blocks)


def _asked_next(reason: Reason, judgement: Judgement, judge: Judge) -> bool:
    """Whether a reason that questions an answer is put as a question of its own, still open."""
    rulings = judge.rules.nodes[reason.node].rulings
    return reason.key in judgement.walk.to_ask and any(r.doubts for r in rulings if r.id == reason.ruling)


def _asked_back(before: Judgement, now: Judgement, judge: Judge) -> Iterable[Message]:
    """What does not fit together since this answer, each in one line, for it to be looked at again."""
    named = dict.fromkeys([name for reason in now.caution_reasons for name in reason.cautions])
    known = {name for reason in before.caution_reasons for name in reason.cautions} if named else set()
    for name in named:
        if name not in known and judge.rules.cautions[name].at_once:
            yield Message("note", (f"Look again: {judge.caution_in_words(name, now)}",))


def _do_now(new: list[Reason], now: Judgement, judge: Judge) -> Iterable[Message]:
    """What the gravest of new reasons asks for at once, unless something graver counts already."""
    endings = [judge.rules.endings[reason.ending] for reason in new if reason.ending]
    gravest = max(endings, key=lambda ending: ending.verdict, default=None)
    counting = (judge.rules.endings[reason.ending].verdict for reason in now.reasons if reason.ending)
    if gravest is not None and gravest.verdict is max(counting):
        says = (fill(text, now.walk.tire, judge.rules) for text in gravest.do_now)
        yield Message("do", (f"{str(gravest.verdict).upper()}. Do now: {' '.join(says)}",))


def _stands(now: Judgement, judge: Judge) -> str:
    if not settled_now(now, judge) or not now.missing:
        return standing(now, judge)
    return f"{standing(now, judge)}. You can stop here, or go on so that the record is whole."


def _or(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}"


def gone_on(view: View, state: SessionState, saved: Saved) -> tuple[SessionState, Message | None]:
    """The state with another case; or as the view has it, and why: what is described would vanish, or is too much."""
    saved = replace(saved, case=_asked_anew(view.state.case, saved.case, view.judge))
    before, after = view.judgement.walk, view.judged(saved.case).walk
    refused = would_vanish(before, after) or too_many(before, after)
    return (state if refused else replace(state, saved=saved)), refused


def take_several(
    view: View, state: SessionState, given: Iterable[tuple[Key, Answer]]
) -> tuple[SessionState, list[Message]]:
    """Takes several answers at once, each to its own question; one that can't be true is left out and named."""
    rules, messages = view.judge.rules, list[Message]()
    case, order = state.case, state.saved.order
    for key, answer in given:
        question = rules.questions[key[0]]
        tried = case.with_answer(question.over, key, answer)
        known = {label for _, label, _ in impossible(case, rules)}
        wrong = [error for _, label, error in impossible(tried, rules) if label not in known]
        if wrong:
            messages.append(complaint(wrong[0]))
            continue
        case, order = tried, order if key in order else (*order, key)
        said = capital(f"{question_in_words(key, rules)}: {value_in_words(answer, question)}")
        messages.append(Message("noted", (said,)))
    before = view.judgement
    state, refused = gone_on(view, state, replace(state.saved, case=case, order=order, asking=None, ended=False))
    if refused:
        return state, [refused]
    now = view.judged(state.case)
    if worked_out := tuple(worked_out_lines(before, now, rules)):
        messages.append(Message("note", (Block("", worked_out),)))
    return state, [*messages, *what_changed(before, now, view.judge)]


def _asked_anew(old: Case, new: Case, judge: Judge) -> Case:
    """The case without what confirmed answers that were changed since."""
    for asks, over, doubted in judge.graph.questioned:
        for index, answers in enumerate((new.answers,) if over == "tire" else new.instances(over)):
            place = TIRE if over == "tire" else index
            confirmed = answers.get(asks)
            if confirmed is None or confirmed != old.get(over, (asks, place)):
                continue
            if any(old.get(each, (name, place)) != new.get(each, (name, place)) for each, name in doubted):
                new = new.with_answer(over, (asks, place), None)
    return new


def capital(text: str) -> str:
    """A text with a capital at its head."""
    return text[:1].upper() + text[1:]
