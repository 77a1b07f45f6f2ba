"""What a casing's earlier records say of repairs on it: to be looked for on the tire, never taken on trust."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import suppress

from advisor.domain.clock import clock_in_words
from advisor.engine.evaluator import Judge
from advisor.engine.templates import value_in_words
from advisor.journal.casing_history import CasingVisit, as_repairs, visit_of
from advisor.journal.queries import of_casing
from advisor.loader.answer_fit import fitted_answers
from advisor.loader.renamed import case_now
from advisor.model import inputs
from advisor.model.case import Answers, Case
from advisor.model.problems import Misread, shown
from advisor.model.proposed import Proposed
from advisor.model.quantity import Measure
from advisor.model.ruleset import RuleSet
from advisor.wording.blocks import Block, Said

_PLACE = (
    inputs.REPAIR_CLOCK,
    inputs.REPAIR_OFFSET,
    inputs.REPAIR_UNIT_LENGTH,
    inputs.REPAIR_UNIT_WIDTH,
    inputs.REPAIR_KIND,
)
_LEADS = (
    (inputs.REPAIR_OFFSET, "offset"),
    (inputs.REPAIR_UNIT_LENGTH, "unit along"),
    (inputs.REPAIR_UNIT_WIDTH, "across"),
)
MOST_PROPOSED = 12


def proposed_for(db: sqlite3.Connection, casing: str, judge: Judge, but: str = "") -> list[Proposed]:
    """The repairs that the records of a casing speak of, the earliest first; `but` is the consultation now open."""
    found: list[Proposed] = []
    with suppress(sqlite3.Error, Misread, ValueError, KeyError):
        for visit in _readable(db, casing)[0]:
            if visit.summary.id != but and visit.summary.verdict:
                for each in _of_visit(visit, judge):
                    if not any(_same_place(each.answers, other.answers, judge.rules) for other in found):
                        found.append(each)
    return found[:MOST_PROPOSED]


def known_lines(db: sqlite3.Connection, casing: str, but: str = "") -> list[Said]:
    """One line for each time that a known casing was judged before; none for a casing that is not known."""
    try:
        readable, damaged = _readable(db, casing)
    except sqlite3.Error:
        return []
    visits = [visit for visit in readable if visit.summary.id != but and visit.summary.verdict]
    if not visits and not damaged:
        return []
    lines = list[str]()
    for visit in visits:
        method = visit.decided.get("method") or ""
        count = len(visit.case.injuries)
        how = f" by {method}" if method and visit.summary.verdict == "repair" else ""
        injuries = f"{count} {'injury' if count == 1 else 'injuries'}"
        lines.append(f"{visit.summary.decided[:10]}: {visit.summary.verdict}{how}, {injuries}")
    if damaged:
        lines.append(f"{damaged} more can't be read, as the journal is damaged there: advisor casings --verify")
    return [Block(f"Casing {shown(casing, 60)} is in the journal already:", tuple(lines))]


def _readable(db: sqlite3.Connection, casing: str) -> tuple[list[CasingVisit], int]:
    """A casing's consultations that can be read, and how many can't. Raises sqlite3.Error."""
    found, damaged = list[CasingVisit](), 0
    for summary in of_casing(db, casing):
        try:
            found.append(visit_of(db, summary))
        except (sqlite3.Error, UnicodeError):
            damaged += 1
    return found, damaged


def _of_visit(visit: CasingVisit, judge: Judge) -> Iterator[Proposed]:
    day = visit.summary.decided[:10]
    if visit.summary.verdict == "repair":
        for number, answers in enumerate(as_repairs(visit.case, judge), 1):
            yield _proposed(f"{day}, injury {number}, to be repaired then", answers, judge)
    for number, answers in enumerate(_earlier(visit.case, judge.rules), 1):
        yield _proposed(f"{day}, earlier repair {number} seen then", answers, judge)


def _earlier(case: Case, rules: RuleSet) -> Iterator[Answers]:
    for answers in case_now(case, rules).repairs:
        yield {name: answers[name] for name in map(rules.question_now, _PLACE) if name in answers}


def _proposed(says: str, answers: Answers, judge: Judge) -> Proposed:
    fitting = fitted_answers(inputs.OVER_REPAIRS, answers, judge.rules)
    questions, name_now = judge.rules.questions, judge.rules.question_now
    words = {name: value_in_words(answer, questions[name]) for name, answer in fitting.items()}
    clock = fitting.get(name_now(inputs.REPAIR_CLOCK))
    place = [f"at {clock_in_words(clock)}"] if isinstance(clock, Measure) else []
    for name, lead in ((name_now(name), lead) for name, lead in _LEADS):
        place += [f"{lead} {words[name]}"] if name in words else []
    return Proposed(f"{says}: {', '.join(place) or 'place not recorded'}", fitting)


def _same_place(one: Answers, other: Answers, rules: RuleSet) -> bool:
    names = tuple(map(rules.question_now, (inputs.REPAIR_CLOCK, inputs.REPAIR_OFFSET)))
    return all(name in one for name in names) and [one.get(name) for name in names] == [other.get(n) for n in names]
