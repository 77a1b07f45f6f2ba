"""What a casing's earlier consultations say of repairs on it: to be looked for on the tire, never taken on trust."""

from __future__ import annotations

import sqlite3

from advisor.engine.judge import Judge
from advisor.errors import Misread
from advisor.model.case import Answers, Case
from advisor.record.case_data import case_from
from advisor.record.reading import Summary, entries_of, last_verdict, of_casing

_PLACE = ("clock", "offset", "injury-zone")
_OLD_PLACE = ("repair-clock", "repair-offset")


def known_casing_lines(db: sqlite3.Connection, casing: str, judge: Judge) -> list[str]:
    """Lines on a known casing for the start of a consultation; none for one that is not known."""
    try:
        found = [summary for summary in of_casing(db, casing) if summary.verdict]
    except sqlite3.Error:
        return []
    if not found:
        return []
    lines = [f"This casing is in the journal already ({len(found)} before). Look for each of these on the tire:"]
    for summary in found:
        lines.extend(f"  {line}" for line in _repairs(db, summary))
    return [*lines, "None of it is taken as an answer. Say what you find when the earlier repairs are asked."]


def _repairs(db: sqlite3.Connection, summary: Summary) -> list[str]:
    decided = last_verdict(entries_of(db, summary.id)) or {}
    head = f"{summary.decided[:10]}: {summary.verdict}"
    try:
        case = case_from(decided.get("case"))
    except Misread:
        return [head]
    done = decided.get("method") or ""
    lines = [f"{head}{f' by {done}' if done else ''}, {_count(case)}"]
    lines += [f"  injury {place}: {_place(each, _PLACE)}" for place, each in enumerate(case.injuries, 1)]
    lines += [f"  earlier repair {place}: {_place(each, _OLD_PLACE)}" for place, each in enumerate(case.repairs, 1)]
    return lines


def _count(case: Case) -> str:
    count = len(case.injuries)
    return f"{count} {'injury' if count == 1 else 'injuries'}"


def _place(answers: Answers, names: tuple[str, ...]) -> str:
    said = [str(answers[name]) for name in names if name in answers]
    return ", ".join(said) or "place not recorded"
