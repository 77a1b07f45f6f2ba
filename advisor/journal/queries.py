"""Reads consultations back: their entries, the state they stand in, and those that were not brought to an end."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import datetime
from typing import Any

from msgspec import Struct

from advisor.journal.case_data import day_from
from advisor.journal.events import BRANCH, Entry
from advisor.journal.migrations import ENTRY_COLUMNS
from advisor.journal.projection import casing_of_code
from advisor.journal.state_diff import applied
from advisor.model import inputs
from advisor.model.case import CANT_TELL, Case
from advisor.model.problems import Misread
from advisor.model.saved import Saved

SUMMARY_COLUMNS = "id, begun, rules_id, edition, digest, state, casing, technician, plate, verdict, ending, decided"
_A_BLOCK = 500
NO_WORK: Mapping[str, Any] = {"ticks": [], "timers": [], "notes": [], "readings": []}
#: How a consultation without a verdict is called in a list.
STATES = {"open": "not finished", "left": "put away", "ended": "no verdict"}


class Summary(Struct, frozen=True):
    """A consultation in one row. `state` is open, ended, or left; `decided` is when the verdict was recorded."""

    id: str
    begun: str
    rules_id: str
    edition: str
    digest: str
    state: str
    casing: str
    technician: str
    plate: str
    verdict: str
    ending: str
    decided: str


def local_minute(at: str) -> str:
    """A time of an entry by this machine's clock, to the minute."""
    try:
        return datetime.fromisoformat(at).astimezone().strftime("%Y-%m-%d %H:%M")
    except (ValueError, OverflowError, OSError):
        return at[:16].replace("T", " ")


def tire_in_short(case: Case) -> str:
    """Size, position and first injury of a case, as far as they were told."""
    first = case.injuries[0] if case.injuries else {}
    said = [case.answers.get(name) for name in (inputs.SIDEWALL, inputs.WHEEL_POSITION)]
    said += [first.get(name) for name in (inputs.INJURY_ZONE, inputs.INJURY_SIZE)]
    return ", ".join(str(each) for each in said if each is not None and each is not CANT_TELL)


def tire_of_record(db: sqlite3.Connection, consultation: str) -> str:
    """Size, position and injury of a record in short; empty where it can't be read."""
    try:
        return tire_in_short(state_after(entries_of(db, consultation)).case)
    except (Misread, KeyError, ValueError, sqlite3.Error):
        return ""


def entries_of(db: sqlite3.Connection, consultation: str) -> list[Entry]:
    """A consultation's entries in their order."""
    sql = f"SELECT {ENTRY_COLUMNS} FROM entry WHERE consultation = ? ORDER BY step"  # noqa: S608
    return [Entry(*row) for row in db.execute(sql, (consultation,))]


def branches_of(db: sqlite3.Connection, origin: str) -> list[str]:
    """The names under which a consultation is here: its own, and those of ways it took elsewhere."""
    sql = "SELECT consultation FROM entry WHERE step = 1 AND (consultation = ? OR consultation BETWEEN ? AND ?)"
    return sorted(row[0] for row in db.execute(sql, (origin, f"{origin}{BRANCH}", f"{origin}{BRANCH}g")))


def all_entries(db: sqlite3.Connection) -> Iterator[Entry]:
    """Every entry in the order of the journal, block by block, so that no lock is held for long."""
    sql = f"SELECT {ENTRY_COLUMNS} FROM entry WHERE seq > ? ORDER BY seq LIMIT ?"  # noqa: S608
    seq = -(2**62)
    while rows := db.execute(sql, (seq, _A_BLOCK)).fetchall():
        yield from (Entry(*row) for row in rows)
        seq = onward(seq, rows[-1][0])


def state_after(entries: Iterable[Entry]) -> Saved:
    """The state that entries lead to. Raises Misread, KeyError or ValueError for what no journal of ours holds."""
    saved = Saved(Case())
    for entry in entries:
        if entry.kind == "begin":
            saved = Saved(Case(today=day_from(entry.data.get("today"))))
        else:
            saved = applied(saved, entry.kind, entry.data)
    return saved


def last_verdict(entries: Iterable[Entry]) -> dict[str, Any] | None:
    """The last verdict recorded, as data, with the digest of its rule set; None where there is none."""
    found = None
    for entry in entries:
        if entry.kind == "verdict":
            found = {**entry.data, "digest": entry.rules, "at": entry.at}
    return found


def summary_of(db: sqlite3.Connection, record: str) -> Summary | None:
    """A consultation's row by its id; None where there is none."""
    row = db.execute(f"SELECT {SUMMARY_COLUMNS} FROM consultation WHERE id = ?", (record,)).fetchone()  # noqa: S608
    return Summary(*row) if row else None


def unfinished(db: sqlite3.Connection, most: int = 20) -> list[Summary]:
    """Consultations that were neither brought to an end nor left, the latest first."""
    sql = f"SELECT {SUMMARY_COLUMNS} FROM consultation WHERE state = 'open' ORDER BY number DESC LIMIT ?"  # noqa: S608
    return [Summary(*row) for row in db.execute(sql, (most,))]


def of_casing(db: sqlite3.Connection, casing: str) -> list[Summary]:
    """A casing's consultations, as they stand one after another in this journal: by their last verdict, else their end.

    A clock may be wrong and goes back, so times order nothing. A name may be a whole identification number as well.
    """
    last = "(SELECT max(seq) FROM entry e WHERE e.consultation = c.id"
    sql = f"""SELECT {SUMMARY_COLUMNS} FROM consultation c WHERE casing <> '' AND casing COLLATE NOCASE IN (?, ?)
        ORDER BY coalesce({last} AND e.kind = 'verdict'), {last})), number"""  # noqa: S608
    return [Summary(*row) for row in db.execute(sql, (casing, casing_of_code(casing)))]


def told_before(summaries: Iterable[Summary]) -> set[str]:
    """The ids of those whose time is before that of one that stands ahead of them in the journal.

    Then a clock went back, or records of another journal were taken in behind them.
    """
    found, latest = set(), ""
    for each in summaries:
        at = each.decided or each.begun
        if at < latest or (each.decided and each.decided < each.begun):
            found.add(each.id)
        latest = max(latest, at)
    return found


def all_consultations(db: sqlite3.Connection) -> Iterator[Summary]:
    """Every consultation in the order in which they came into this journal."""
    number = 0
    sql = f"SELECT number, {SUMMARY_COLUMNS} FROM consultation WHERE number > ? ORDER BY number LIMIT ?"  # noqa: S608
    while rows := db.execute(sql, (number, _A_BLOCK)).fetchall():
        yield from (Summary(*row[1:]) for row in rows)
        number = onward(number, rows[-1][0])


def onward(number: int, last: int) -> int:
    """The number to read on from. Raises sqlite3.DatabaseError where reading would go in a circle."""
    if last <= number:
        raise sqlite3.DatabaseError("its rows are not in their order")
    return last


def noted(entries: Sequence[Entry], words_of: Callable[[Entry], Mapping[str, str]]) -> tuple[list[str], dict[str, Any]]:
    """The notes that entries hold, and the work as plain data; what was forgotten is marked so."""
    notes, work = list[str](), dict(NO_WORK)
    for entry in entries:
        if entry.kind == "restart":
            notes, work = [], dict(NO_WORK)
        elif entry.kind == "work":
            work |= {name: entry.data.get(name, []) for name in ("ticks", "timers", "readings")}
        elif entry.kind == "note":
            text, where = words_of(entry).get("note", "(deleted)"), entry.data.get("work")
            if where is None:
                notes.append(text)
            else:
                work["notes"] = [*work["notes"], [text, *where]]
    return notes, work


def still_heard(entries: Sequence[Entry], words_of: Callable[[Entry], Mapping[str, str]]) -> list[str]:
    """The lines of what still waited to be confirmed, as they were typed one after another."""
    found = list[str]()
    for entry in entries:
        if entry.kind in ("heard", "restart"):
            said = words_of(entry).get("heard", "") if entry.data.get("waits") else ""
            found = [*found, said] if said else []
    return found
