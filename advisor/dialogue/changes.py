"""Several answers taken at once.

Says back what was worked out of an answer, so that a misreading is seen at once.
What an answer did to the verdict, and what the case could still end as.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from advisor.engine.decision import Judgement, Reason
from advisor.engine.derived.tire import printed
from advisor.engine.evaluator import Judge
from advisor.engine.facts import NOT_APPLICABLE, Facts
from advisor.engine.templates import fill, value_in_words
from advisor.loader.case_constraints import impossible
from advisor.model.case import CANT_TELL, Case, Key
from advisor.model.problems import shown
from advisor.model.quantity import Measure, in_words
from advisor.model.ruleset import RuleSet, Verdict
from advisor.wording.messages import Message, complaint
from advisor.wording.verdict_card import question_in_words, reason_lines


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
            yield f"  worked out: {line}"
        said.add(words)
    if now.walk.tire.said("sidewall") != before.walk.tire.said("sidewall"):
        yield from _print_left_open(now.walk.tire)


def _print_left_open(tire: Facts) -> Iterator[str]:
    sidewall = printed(tire)
    if sidewall is None:
        return
    if sidewall.not_read:
        yield f"  not read: {shown(' '.join(sidewall.not_read), 120)}"
    missing = [what for what in sidewall.missing if what.replace(" ", "-") not in tire.answers]
    if missing:
        yield f"  the print as typed does not tell: {', '.join(missing)}"


def standing(judgement: Judgement) -> str:
    """One line: what the case could still end as."""
    could = _or([str(verdict).upper() for verdict in judgement.could_end])
    return f"Settled: {could}" if judgement.settled else f"Could still end as: {could}"


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
        yield Message("reason", reason_lines(new, judge.rules))
        yield from _do_now(new, now, judge)
    yield from _asked_back(before, now, judge)
    still = {(reason.ruling, reason.key) for reason in now.reasons}
    gone = [reason for reason in before.reasons if (reason.ruling, reason.key) not in still]
    if any(reason.verdict is not Verdict.REPAIR for reason in gone):
        yield Message("note", (f"That changed what counts. {_stands(now)}",))
    elif now.could_end != before.could_end:
        yield Message("standing", (_stands(now),))


def _asked_next(reason: Reason, judgement: Judgement, judge: Judge) -> bool:
    """Whether a reason that questions an answer is put as a question of its own, still open."""
    rulings = judge.rules.nodes[reason.node].rulings
    return reason.key in judgement.walk.to_ask and any(r.doubts for r in rulings if r.id == reason.ruling)


def _asked_back(before: Judgement, now: Judgement, judge: Judge) -> Iterable[Message]:
    """What does not fit together since this answer, each in one line, for it to be looked at again."""
    known = {reason.caution for reason in before.caution_reasons}
    for name in dict.fromkeys(reason.caution for reason in now.caution_reasons):
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


def _stands(now: Judgement) -> str:
    if not now.settled or not now.missing:
        return standing(now)
    return f"{standing(now)}. You can stop here, or go on so that the record is whole."


def _or(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}"


def take_several(
    given: list[tuple[Key, Any]], case: Case, order: tuple[Key, ...], judge: Judge
) -> tuple[list[Message], Case, tuple[Key, ...]]:
    """The messages, the case and the order of answering with these answers; one that can't be true is left out."""
    rules, messages = judge.rules, list[Message]()
    for key, answer in given:
        question = rules.questions[key[0]]
        tried = case.with_answer(question.over, key, answer)
        known = {label for _, label, _ in impossible(case, rules)}
        wrong = [error for _, label, error in impossible(tried, rules) if label not in known]
        if wrong:
            messages.append(complaint(wrong[0]))
            continue
        case, order = tried, order if key in order else (*order, key)
        said = f"{question_in_words(key, rules)}: {value_in_words(answer, question)}"
        messages.append(Message("noted", (f"{said[:1].upper()}{said[1:]}",)))
    return messages, case, order
