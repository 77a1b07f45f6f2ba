"""Why, on one page: the shortest set of answers that gives the verdict, and the rulings that hold."""

from __future__ import annotations

from advisor.engine.judge import Judge, label_of
from advisor.engine.judgement import Judgement
from advisor.engine.wording import value_in_words
from advisor.model.case import Case, Key
from advisor.talk.card import question_in_words
from advisor.talk.reasons_short import ShortReason, short_reason
from advisor.talk.told import Part, Told


def why(judge: Judge, case: Case, judgement: Judgement) -> Told:
    """The short reason and the rulings that bring the verdict, each with limit, source and standing, on one page."""
    from advisor.talk.why_page import page

    reason = short_reason(judge, case, judgement)
    parts: list[Part] = [
        {**_answer(key, case, judge), "role": "brings it" if key in reason.core else "keeps it so"}
        for key in reason.keys
    ]
    return Told("why", tuple(page(judge, case, judgement, reason)), tuple(parts))


def short_lines(judge: Judge, case: Case, reason: ShortReason) -> list[str]:
    """The shortest reason in lines: the answers that bring the verdict, and how many keep it so."""
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
