"""Why, on one page of 80 columns and 24 lines, and each step of it opened further: why 1, why answers, why limits."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable

from advisor.engine.judge import Judge, label_of
from advisor.engine.judgement import Judgement, Reason
from advisor.engine.wording import value_in_words
from advisor.model.case import Case, Key
from advisor.model.rules import Verdict
from advisor.talk.card import basis_in_words, question_in_words
from advisor.talk.reasons_short import ShortReason, short_reason
from advisor.talk.told import Told, headline

COLUMNS = 78
#: A screen of 24 lines, less the line that was typed.
PAGE_LINES = 23
#: So much of a long list of answers stands on the page; the rest is opened by name.
LONGEST_LIST = 200
#: So many steps are named at the foot of the page.
MOST_NAMED = 3
STEP = re.compile(r"why\s+(?:number\s+|step\s+)?(?P<what>[0-9]{1,2}|answers?|limits?)\s*\??", re.I)


def lines_taken(lines: Iterable[str]) -> int:
    """How many lines of a page a text takes, wrapped as the faces wrap it."""
    return sum(len(textwrap.wrap(line.strip(), COLUMNS - (8 if line.startswith("  ") else 4))) or 1 for line in lines)


def reasons_of(now: Judgement) -> tuple[Reason, ...]:
    """The rulings that a page numbers: those that bring the verdict; where none does, all that hold."""
    return tuple(now.deciding or now.reasons)


def page(judge: Judge, case: Case, now: Judgement, reason: ShortReason | None = None) -> list[str]:
    """The shortest reason and the rulings that hold, each with limit, source and standing, on one page."""
    lines = [headline(now, judge), *_short(judge, case, reason or short_reason(judge, case, now))]
    reasons = reasons_of(now)
    if reasons:
        lines.append("What was said for it:" if now.verdict is Verdict.REPAIR else "The rulings that bring it:")
    steps = [f"why {number}" for number in range(1, min(len(reasons), MOST_NAMED) + 1)]
    last = f"To open a step: {', '.join([*steps, 'why answers', 'why limits'])}."
    more = "To go further: why not repair, what if …, how sure, least change, what is a word."
    shown = 0
    for number, each in enumerate(reasons, 1):
        step = [f"  {number}. {each.says}", f"  - {basis_in_words(each, judge.rules)}"]
        if shown and lines_taken([*lines, *step, "", "", last, more]) > PAGE_LINES:
            break
        lines += step
        shown = number
    if shown < len(reasons):
        lines.append(f"  and {len(reasons) - shown} more: why {shown + 1} …")
    others = [each for each in now.reasons if each not in reasons]
    if others:
        lines.append(f"  also counting: {len(others)}; open them by why limits.")
    return [*lines, last, more]


def _short(judge: Judge, case: Case, reason: ShortReason) -> list[str]:
    from advisor.talk.why_short import short_lines

    found = short_lines(judge, case, reason)
    return [line if len(line) <= LONGEST_LIST else f"{line[:LONGEST_LIST].rpartition(';')[0]}; …" for line in found]


def why_step(judge: Judge, case: Case, now: Judgement, what: str) -> Told:
    """One step of the page opened: a ruling by its number, the answers, or the limits held against."""
    if what.isdecimal():
        return _ruling(judge, now, int(what))
    reason = short_reason(judge, case, now)
    if what.casefold().startswith("answer"):
        lines = [f"{question_in_words(key, judge.rules)}: {_said(key, case, judge)}" for key in reason.keys]
        parts = tuple(
            {"question": label_of(key, judge.rules), "answer": _said(key, case, judge)} for key in reason.keys
        )
        return Told("why", (f"It rests on these {len(lines)} answers:", *(f"  {line}" for line in lines)), parts)
    from advisor.talk.why import passed_lines

    lines = passed_lines(now, judge.rules)
    others = [each.says for each in now.reasons if each not in reasons_of(now)]
    if others:
        lines += ["These count as well:", *(f"  {says}" for says in others)]
    return Told("why", tuple(lines or ["No other limit was held against the answers."]), ())


def _ruling(judge: Judge, now: Judgement, number: int) -> Told:
    from advisor.talk.why import chain_lines, term_lines

    reasons = reasons_of(now)
    if not 1 <= number <= len(reasons):
        known = f"1 to {len(reasons)}" if reasons else "none"
        return Told("", (f"There is no step {number}; the steps are {known}.",))
    each = reasons[number - 1]
    said = f"{each.says} {each.limit.says if each.limit else ''}"
    lines = (*chain_lines(number, each, judge.rules), *term_lines(said, judge))
    return Told(
        "why", lines, ({"ruling": each.ruling, "question": label_of(each.key, judge.rules), "says": each.says},)
    )


def _said(key: Key, case: Case, judge: Judge) -> str:
    question = judge.rules.questions[key[0]]
    return value_in_words(case.get(question.over, key), question)
