"""Why, on one page: the shortest set of answers that gives the verdict, and the rulings that hold."""

from __future__ import annotations

from advisor.engine.judge import Judge, label_of
from advisor.engine.judgement import Judgement
from advisor.engine.wording import value_in_words
from advisor.model.case import Case, Key
from advisor.model.rules import Verdict
from advisor.talk.card import basis_in_words, question_in_words
from advisor.talk.reasons_short import ShortReason, short_reason
from advisor.talk.told import Part, Told, headline

MOST_RULINGS = 5


def why(judge: Judge, case: Case, judgement: Judgement) -> Told:
    """The short reason and the rulings that bring the verdict, each with limit, source and standing."""
    reason = short_reason(judge, case, judgement)
    lines = [headline(judgement, judge), *short_lines(judge, case, judgement, reason)]
    deciding = judgement.deciding[:MOST_RULINGS]
    if deciding:
        lines.append("What was said for it:" if judgement.verdict is Verdict.REPAIR else "The rulings that bring it:")
    for each in deciding:
        lines += [f"  {each.says}", f"  - {basis_in_words(each, judge.rules)}"]
    lines.append("To go further: why not repair, what if …, how sure, least change, what is a word.")
    parts: list[Part] = [
        {**_answer(key, case, judge), "role": "brings it" if key in reason.core else "keeps it so"}
        for key in reason.keys
    ]
    return Told("why", tuple(lines), tuple(parts))


def short_lines(judge: Judge, case: Case, judgement: Judgement, reason: ShortReason | None = None) -> list[str]:
    """The shortest reason in lines: the answers that bring the verdict, and how many keep it so."""
    reason = reason or short_reason(judge, case, judgement)
    if not reason.keys:
        return ["Nothing that was answered brings it: it stands until more is answered."]
    lines = []
    if reason.core:
        alone = "alone give it" if not reason.rest else "bring it"
        lines.append(
            f"The shortest reason - these {len(reason.core)} answers {alone}:"
            if len(reason.core) > 1
            else f"The shortest reason - this one answer {'alone gives it' if not reason.rest else 'brings it'}:"
        )
        lines += [f"  {question_in_words(key, judge.rules)}: {_said(key, case, judge)}" for key in reason.core]
    if reason.rest:
        names = "; ".join(question_in_words(key, judge.rules) for key in reason.rest)
        first = "It takes every one of these answers" if not reason.core else "These keep it from being anything else"
        lines += [f"{first} ({len(reason.rest)}):", f"  {names}"]
    return lines


def _said(key: Key, case: Case, judge: Judge) -> str:
    question = judge.rules.questions[key[0]]
    return value_in_words(case.get(question.over, key), question)


def _answer(key: Key, case: Case, judge: Judge) -> Part:
    return {"question": label_of(key, judge.rules), "answer": _said(key, case, judge)}
