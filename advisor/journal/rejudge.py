"""Judges recorded cases again under two editions, one after another; memory does not grow with their number."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from functools import lru_cache

from msgspec import Struct

from advisor.engine.evaluator import Judge
from advisor.journal.case_data import case_from
from advisor.journal.queries import onward
from advisor.loader.answer_fit import fitted
from advisor.model.problems import Misread
from advisor.model.saved import Saved

_A_BLOCK = 500
_SQL = """SELECT c.number, c.id, c.casing, c.decided, e.body FROM consultation c
    JOIN entry e ON e.seq = (SELECT max(seq) FROM entry v WHERE v.consultation = c.id AND v.kind = 'verdict')
    WHERE c.number > ? AND c.verdict <> '' AND c.rules_id = ? ORDER BY c.number LIMIT ?"""


#: A record as the journal gives it: id, casing, when it was decided, and the body of its verdict.
Record = tuple[str, str, str, str]


class Rejudged(Struct, frozen=True):
    """A recorded case under two editions: verdicts then and now, the rulings that are new, and what no longer fits.

    `recorded` is the verdict that was recorded. `problem` is empty unless the record can't be read.
    """

    id: str
    casing: str
    decided: str
    recorded: str
    old: str
    new: str
    new_rulings: tuple[str, ...] = ()
    not_fitting: tuple[str, ...] = ()
    problem: str = ""
    old_method: str = ""
    new_method: str = ""
    restrictions_added: tuple[str, ...] = ()
    restrictions_gone: tuple[str, ...] = ()

    @property
    def differs(self) -> bool:
        """Whether the new edition decides otherwise: another verdict, method or restriction."""
        return self.old != self.new or self.differs_in_detail

    @property
    def differs_in_detail(self) -> bool:
        """Whether the method or a restriction is another one."""
        return self.old_method != self.new_method or bool(self.restrictions_added or self.restrictions_gone)


def rejudged(db: sqlite3.Connection, old: Judge, new: Judge, rules_id: str) -> Iterator[Rejudged]:
    """Every decided record of a rule set, judged by both editions, in the order of the journal."""
    return (rejudge(record, old, new) for _, record in decided_records(db, rules_id))


def left_aside(db: sqlite3.Connection, rules_id: str) -> tuple[int, int]:
    """How many records `decided_records` leaves aside: not decided, and decided by another rule set."""
    counts = "SELECT sum(verdict = ''), sum(verdict <> '' AND rules_id <> ?) FROM consultation"
    open_ones, others = db.execute(counts, (rules_id,)).fetchone()
    return open_ones or 0, others or 0


def decided_records(db: sqlite3.Connection, rules_id: str) -> Iterator[tuple[int, Record]]:
    """Every decided record of a rule set with its number, in the order of the journal, block by block."""
    number = 0
    while rows := db.execute(_SQL, (number, rules_id, _A_BLOCK)).fetchall():
        yield from ((row[0], row[1:]) for row in rows)
        number = onward(number, rows[-1][0])


@lru_cache(maxsize=2)
def _same_questions(old: Judge, new: Judge) -> bool:
    return old.rules.questions == new.rules.questions


def rejudge(record: Record, old: Judge, new: Judge) -> Rejudged:
    """A record judged by both editions."""
    name, casing, decided, body = record
    try:
        data = json.loads(body)
        case = case_from(data["case"])
    except (Misread, ValueError, KeyError, TypeError, RecursionError) as error:
        return Rejudged(name, casing, decided, "", "", "", problem=str(error)[:200])
    recorded = str(data.get("verdict", ""))
    saved, left_out = fitted(Saved(case), new.rules)
    before = old.judge(saved.case if _same_questions(old, new) else fitted(Saved(case), old.rules)[0].case)
    after = new.judge(saved.case)
    now = new.rules.renamed
    renamed = {**now["ending"], **now["restriction"]}
    known = {renamed.get(reason.ruling, reason.ruling) for reason in before.reasons}
    rulings = tuple(sorted({r.ruling for r in after.reasons if r.ruling not in known and r.verdict == after.verdict}))
    restrictions = {now["restriction"].get(each, each) for each in before.restrictions}
    return Rejudged(
        name,
        casing,
        decided,
        recorded,
        str(before.verdict),
        str(after.verdict),
        rulings,
        tuple(left_out),
        old_method=now["method"].get(before.method, before.method),
        new_method=after.method,
        restrictions_added=tuple(sorted({*after.restrictions} - restrictions)),
        restrictions_gone=tuple(sorted(restrictions - {*after.restrictions})),
    )
