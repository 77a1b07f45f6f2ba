"""A casing's history on one page: every consultation, its injuries and repairs, and all places in one drawing."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass

from advisor.engine.judge import Judge
from advisor.engine.wording import value_in_words
from advisor.errors import Misread, shown
from advisor.loading.fitting import fitted
from advisor.model.case import Answers, Case, Choice
from advisor.model.saved import Saved
from advisor.record.as_repair import as_repairs
from advisor.record.case_data import case_from
from advisor.record.reading import Summary, entries_of, last_verdict, of_casing, state_after


@dataclass(frozen=True, slots=True)
class Visit:
    """One consultation of a casing: its row, its case, and its verdict's data (empty where none was reached)."""

    summary: Summary
    case: Case
    decided: dict[str, object]


def visits_of(db: sqlite3.Connection, casing: str) -> list[Visit]:
    """A casing's consultations, the earliest first."""
    return [visit_of(db, summary) for summary in of_casing(db, casing)]


def visit_of(db: sqlite3.Connection, summary: Summary) -> Visit:
    """One consultation with its case: the one decided on, or as it stands where nothing was decided."""
    entries = entries_of(db, summary.id)
    decided = last_verdict(entries) or {}
    try:
        case = case_from(decided["case"]) if decided else state_after(entries).case
    except (Misread, KeyError, ValueError):
        case = Case()
    return Visit(summary, case, decided)


def history_lines(casing: str, visits: list[Visit], judge: Judge) -> Iterator[str]:
    """The history as lines."""
    count = len(visits)
    yield f"Casing {shown(casing, 80)}: {count} {'consultation' if count == 1 else 'consultations'}"
    for visit in visits:
        yield ""
        yield from _visit(visit, judge)


def _visit(visit: Visit, judge: Judge) -> Iterator[str]:
    row = visit.summary
    said = (("by", row.technician), ("plate", row.plate))
    by = "".join(f", {name} {shown(words, 60)}" for name, words in said if words)
    yield f"{(row.decided or row.begun)[:10]}  {row.verdict.upper() or 'no verdict'}  {row.id}{by}"
    if method := visit.decided.get("method"):
        yield f"  method: {method}"
    if row.ending:
        yield f"  ending: {row.ending}"
    yield f"  rules: {row.rules_id}, edition {row.edition}, digest {row.digest}"
    for place, answers in enumerate(visit.case.injuries, 1):
        yield f"  injury {place}: {_said(answers, judge)}"
    for place, answers in enumerate(visit.case.repairs, 1):
        yield f"  earlier repair {place}: {_said(answers, judge)}"


def _said(answers: Answers, judge: Judge) -> str:
    questions = judge.rules.questions
    rows = []
    for name, question in questions.items():
        if name in answers and not name.startswith("more-"):
            rows.append(f"{question.name}: {shown(value_in_words(answers[name], question), 80)}")
    return "; ".join(rows) or "nothing recorded"


def put_together(visits: list[Visit], judge: Judge) -> Case:
    """All places of a casing in one case to be drawn: what was injured before is drawn as an earlier repair."""
    repairs: list[Answers] = []
    for visit in visits[:-1]:
        if visit.summary.verdict == "repair":
            repairs.extend({**each, "repair-sound": Choice("yes")} for each in as_repairs(visit.case, judge))
    last = visits[-1].case if visits else Case()
    seen = [(each.get("repair-clock"), each.get("repair-offset")) for each in last.repairs]
    repairs = [each for each in repairs if (each.get("repair-clock"), each.get("repair-offset")) not in seen]
    every = [*repairs, *last.repairs]
    answers = {**last.answers, "earlier-repairs": Choice("yes" if every else "no")}
    items = tuple({**each, "more-repairs": Choice("yes" if place < len(every) else "no")}
                  for place, each in enumerate(every, 1))  # fmt: skip
    case = Case(answers, items, last.injuries, last.today)
    return fitted(Saved(case), judge.rules)[0].case
