"""A casing's history on one page: every consultation, its injuries and repairs, and all places in one drawing.

What an injury that was repaired is to a later consultation: an earlier repair, where its unit came to sit.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Iterator, Mapping
from fractions import Fraction
from typing import Any

from msgspec import Struct

from advisor.domain.geometry.liner_layout import Patch
from advisor.engine.derived.spacing import liner_round, placed_units
from advisor.engine.evaluator import Judge
from advisor.engine.facts import Facts
from advisor.engine.templates import value_in_words
from advisor.journal.case_data import case_from
from advisor.journal.events import Entry, origin_of
from advisor.journal.private_words import words_of
from advisor.journal.projection import casing_of_code
from advisor.journal.queries import Summary, entries_of, last_verdict, noted, of_casing, state_after, told_before
from advisor.loader.answer_fit import fitted
from advisor.loader.renamed import answers_now, case_now
from advisor.model import inputs
from advisor.model.case import Answer, Answers, Case, Choice
from advisor.model.problems import Misread, shown
from advisor.model.quantity import Measure
from advisor.model.ruleset import RuleSet
from advisor.model.saved import Saved
from advisor.wording.blocks import Block, Said

_FULL_TURN_DEG = 360


def as_repairs(case: Case, judge: Judge) -> list[Answers]:
    """The injuries of a case as answers over earlier repairs: kind, place by the inner end, and the unit's size.

    Whether a repair is sound is never among them: that is only found by looking.
    """
    judgement = judge.judge(case_now(case, judge.rules))
    tire = judgement.walk.tire
    around = liner_round(tire)
    return [
        _as_repair(unit.facts, unit.patch, around, judgement.injuries[unit.facts.index].method)
        for unit in placed_units(tire)
        if unit.new
    ]


def _as_repair(injury: Facts, patch: Patch | None, around: Measure | None, method: str) -> Answers:
    answers: dict[str, Answer | None] = {inputs.REPAIR_CLOCK: injury.measure(inputs.CLOCK)}
    answers[inputs.REPAIR_OFFSET] = injury.measure("inner-offset") or injury.measure(inputs.OFFSET)
    answers[inputs.REPAIR_UNIT_LENGTH] = injury.measure(inputs.UNIT_LENGTH)
    answers[inputs.REPAIR_UNIT_WIDTH] = injury.measure(inputs.UNIT_WIDTH)
    if patch is not None and around is not None and patch.clock is not None:
        answers[inputs.REPAIR_CLOCK] = _turned(patch.clock, patch.shift, around)
        answers |= {
            inputs.REPAIR_OFFSET: patch.across,
            inputs.REPAIR_UNIT_LENGTH: patch.length,
            inputs.REPAIR_UNIT_WIDTH: patch.width,
        }
    answers[inputs.REPAIR_UNIT_TURN] = (
        injury.measure(inputs.UNIT_TURN)
        if injury.rules.question_now(inputs.UNIT_TURN) in injury.rules.questions
        else None
    )
    answers[inputs.REPAIR_KIND] = Choice("section" if method == "section-repair" else "nail-hole")
    return {name: answer for name, answer in answers.items() if answer is not None}


def _turned(clock: Measure, shift: Measure, around: Measure) -> Measure:
    """The clock position of a unit's centre, where the channel leans along the tread."""
    if shift.exact and shift.low == 0:
        return clock
    ends = [shift.low / size * _FULL_TURN_DEG for size in (around.low, around.high)]
    ends += [shift.high / size * _FULL_TURN_DEG for size in (around.low, around.high)]
    low, high = clock.low + min(ends), clock.high + max(ends)
    turns = Fraction(low // _FULL_TURN_DEG) * _FULL_TURN_DEG
    return Measure(low - turns, high - turns, "deg")


#: Said of a record whose time does not go with its place in the journal.
WENT_BACK = (
    "A clock was wrong or went back, or this was taken in from another journal: its time is before that of a record "
    "that stands ahead of it. The order is the journal's."
)


class CasingVisit(Struct, frozen=True):
    """One consultation of a casing: its row, its case, and its verdict's data (empty where none was reached).

    `ticks` are the steps of the work that were done, as [step, injury or -1, time, method].
    """

    summary: Summary
    case: Case
    decided: Mapping[str, Any]
    notes: tuple[str, ...] = ()
    ticks: tuple[Any, ...] = ()


def visits_of(db: sqlite3.Connection, casing: str) -> list[CasingVisit]:
    """A casing's consultations, the one recorded last the last."""
    return [visit_of(db, summary) for summary in of_casing(db, casing)]


def visit_of(db: sqlite3.Connection, summary: Summary) -> CasingVisit:
    """One consultation with its case: the one decided on, or as it stands where nothing was decided."""
    entries = entries_of(db, summary.id)
    decided = last_verdict(entries) or {}
    case = _case(decided, entries)
    notes, work = noted(entries, lambda entry: words_of(db, entry))
    notes += [str(note[0]) for note in work["notes"]]
    return CasingVisit(summary, case, decided, tuple(notes), tuple(work["ticks"]))


def decided_case(db: sqlite3.Connection, summary: Summary) -> CasingVisit:
    """The same without notes and work: quick, as only the last verdict's entry is read."""
    sql = "SELECT body, rules, at FROM entry WHERE consultation = ? AND kind = 'verdict' ORDER BY step DESC LIMIT 1"
    row = db.execute(sql, (summary.id,)).fetchone()
    if row is None:
        entries = entries_of(db, summary.id)
        return CasingVisit(summary, _case({}, entries), {})
    try:
        decided = {**json.loads(row[0]), "digest": row[1], "at": row[2]}
    except (ValueError, TypeError, RecursionError):
        decided = {}
    return CasingVisit(summary, _case(decided, ()), decided)


def _case(decided: Mapping[str, Any], entries: Iterable[Entry]) -> Case:
    try:
        return case_from(decided["case"]) if decided else state_after(entries).case
    except (Misread, KeyError, ValueError, TypeError):
        return Case()


def same_code(db: sqlite3.Connection, visits: list[CasingVisit], rules: RuleSet) -> list[Summary]:
    """Consultations without a name of their own whose tire bears the same whole code as one of these."""
    known = {visit.summary.id for visit in visits}
    name = rules.question_now(inputs.DOT_CODE)
    texts = (case_now(visit.case, rules).answers.get(name, "") for visit in visits)
    codes = {casing_of_code(str(text)) for text in texts} - {""}
    return [row for code in sorted(codes) for row in of_casing(db, code) if row.id not in known]


def overview(casing: str, visits: list[CasingVisit]) -> Block:
    """A line for each time: day, verdict, method, injuries, by whom; the one recorded last is the last."""
    count = len(visits)
    back = told_before(visit.summary for visit in visits)
    each = (Block(_head(visit), (WENT_BACK,) if visit.summary.id in back else ()) for visit in visits)
    times = f"{count} {'consultation' if count == 1 else 'consultations'}"
    return Block(f"Casing {shown(casing, 80)}: {times}", tuple(each))


def details_of(visits: list[CasingVisit], judge: Judge) -> Iterator[Block]:
    """All that is recorded of each time."""
    return (Block(_head(visit), tuple(_recorded(visit, judge))) for visit in visits)


def _recorded(visit: CasingVisit, judge: Judge) -> Iterator[Said]:
    row = visit.summary
    plate = f", plate {shown(row.plate, 40)}" if row.plate else ""
    fork = f", a way that record {origin_of(row.id)} took elsewhere" if origin_of(row.id) != row.id else ""
    yield f"record {row.id}{fork}{plate}; begun {_time(row.begun)}{_decided(row)}"
    if row.ending:
        yield Block(row.ending, lead="ending")
    if restrictions := visit.decided.get("restrictions"):
        yield Block(", ".join(str(each) for each in restrictions), lead="restrictions")
    yield Block(f"{row.rules_id}, edition {row.edition}, digest {row.digest}", lead="rules")
    for place, answers in enumerate(visit.case.injuries, 1):
        yield Block(_said(answers, "injuries", judge), lead=f"injury {place}")
    for place, answers in enumerate(visit.case.repairs, 1):
        yield Block(_said(answers, inputs.OVER_REPAIRS, judge), lead=f"earlier repair {place}")
    yield from _work(visit)
    yield from (Block(shown(note, 300), lead="note") for note in visit.notes)


def _head(visit: CasingVisit) -> str:
    row = visit.summary
    verdict = row.verdict.upper() or {"left": "PUT AWAY", "open": "NOT FINISHED"}.get(row.state, "NO VERDICT")
    method = visit.decided.get("method")
    how = f" by {method}" if method and row.verdict == "repair" else ""
    count = len(visit.case.injuries)
    injuries = f", {count} {'injury' if count == 1 else 'injuries'}" if count else ""
    by = f", by {shown(row.technician, 60)}" if row.technician else ""
    return f"{(row.decided or row.begun)[:10]}  {verdict}{how}{injuries}{by}"


def _time(at: str) -> str:
    return f"{at[:16].replace('T', ' ')} UTC"


def _decided(row: Summary) -> str:
    return f", decided {_time(row.decided)}" if row.decided else ""


def _work(visit: CasingVisit) -> Iterator[Block]:
    """What was ticked of the work; that a repair was allowed does not say that it was made."""
    if visit.ticks:
        last = str(visit.ticks[-1][2] or "")[:16].replace("T", " ")
        yield Block(f"{len(visit.ticks)} steps ticked{f', the last {last}' if last else ''}", lead="work")
    elif visit.summary.verdict == "repair":
        yield Block("no step was ticked here", lead="work")


def _said(recorded: Answers, over: str, judge: Judge) -> str:
    answers, rows = answers_now(recorded, over, judge.rules), []
    for name, question in judge.rules.questions.items():
        if name in answers and judge.rules.input_of(name) not in inputs.ONE_MORE:
            rows.append(f"{question.name}: {shown(value_in_words(answers[name], question), 80)}")
    return "; ".join(rows) or "nothing recorded"


def visits_put_together(visits: list[CasingVisit], judge: Judge) -> tuple[Case, list[str]]:
    """All places of a casing in one case to be drawn, and what each earlier repair in it is.

    What was to be repaired before is drawn as an earlier repair, where its unit came to sit.
    """
    rules = judge.rules
    last = case_now(visits[-1].case, rules) if visits else Case()
    seen = {_place(each, rules) for each in last.repairs}
    repairs: list[tuple[str, Answers]] = []
    for visit in visits[:-1]:
        day = (visit.summary.decided or visit.summary.begun)[:10]
        every = enumerate(as_repairs(visit.case, judge) if visit.summary.verdict == "repair" else (), 1)
        known = ((number, answers_now(each, inputs.OVER_REPAIRS, rules)) for number, each in every)
        sound = {rules.question_now(inputs.REPAIR_SOUND): Choice("yes")}
        repairs += [(f"{day}, injury {number}", {**each, **sound}) for number, each in known]
    repairs = [
        (label, each) for label, each in repairs if not {_place(each, rules)} <= seen or None in _place(each, rules)
    ]
    repairs += [(f"earlier repair {number} as last seen", each) for number, each in enumerate(last.repairs, 1)]
    answers = {**last.answers, rules.question_now(inputs.EARLIER_REPAIRS): Choice("yes" if repairs else "no")}
    more = rules.more_of(inputs.OVER_REPAIRS)
    items = tuple({**each, more: Choice("yes" if place < len(repairs) else "no")}
                  for place, (_, each) in enumerate(repairs, 1))  # fmt: skip
    case = fitted(Saved(Case(answers, items, last.injuries, last.today)), judge.rules)[0].case
    return case, [f"R{place}: {label}" for place, (label, _) in enumerate(repairs, 1)]


def _place(repair: Answers, rules: RuleSet) -> tuple[object, object]:
    clock, offset = map(rules.question_now, (inputs.REPAIR_CLOCK, inputs.REPAIR_OFFSET))
    return repair.get(clock), repair.get(offset)
