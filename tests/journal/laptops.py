"""Three laptops that share records: each a folder with a journal, and what may happen between them.

All of it invented. `standing` is what a journal holds, whatever it is named and in whichever order it came.
"""

from __future__ import annotations

import random
import sqlite3
from collections.abc import Iterable
from contextlib import closing
from pathlib import Path

from advisor.journal.case_data import case_data
from advisor.journal.data_folder import FILE_NAME
from advisor.journal.events import FORGOTTEN, Entry, NewEvent, draft, origin_of
from advisor.journal.log import Journal
from advisor.journal.merge import Joined, Joining, of_journal
from advisor.journal.private_words import commitments_of
from advisor.journal.queries import all_consultations, entries_of, last_verdict
from advisor.journal.redaction import forget, meant_by
from advisor.journal.session_locks import Claims
from advisor.journal.store import opened_to_read
from advisor.model.case import Case, Choice
from tests.journal.record_support import Clock

RULES = "0123456789abcdef"
VERDICTS = ("repair", "scrap", "hold")
VEHICLES = ("car", "truck", "bus", "trailer")
WORKERS = ("Worker One", "Worker Two")


class Laptop:
    """A folder with a journal that is opened for each thing that happens, as by windows one after another."""

    def __init__(self, folder: Path, clock: Clock) -> None:
        self.folder, self.clock = folder, clock
        self.journal().close()

    def journal(self) -> Journal:
        """The journal, opened."""
        return Journal(self.folder, self.clock)

    def names(self) -> list[str]:
        """The consultations, by name."""
        with closing(opened_to_read(self.folder / FILE_NAME)) as db:
            return [summary.id for summary in all_consultations(db)]

    def begin(self, dice: random.Random) -> None:
        """A new consultation with its first words."""
        journal = self.journal()
        name = f"260314-{dice.randrange(16**10):010x}"
        journal.append(self.first(name, journal.at, dice))
        journal.close()

    @staticmethod
    def first(name: str, at: str, dice: random.Random) -> list[NewEvent]:
        """How a consultation begins."""
        begun = {"rules": "us-road", "edition": "1", "today": "2026-03-14"}
        return [draft(name, at, "begin", RULES, begun), said(name, at, dice)]

    def go_on(self, dice: random.Random) -> None:
        """One of the consultations goes on."""
        names = self.names()
        if names:
            journal, name = self.journal(), dice.choice(names)
            journal.append([said(name, journal.at, dice) for _ in range(dice.randrange(1, 3))])
            journal.close()

    def forget(self, dice: random.Random) -> None:
        """A name or a consultation's words are forgotten."""
        journal = self.journal()
        assert journal.store is not None
        words = [*WORKERS, *self.names()]
        if found := meant_by(journal.store.db, dice.choice(words)):
            forget(journal.store, journal, found)
        journal.close()

    def take_in(self, other: Laptop) -> Joined:
        """Merges another laptop's journal into this one."""
        journal = self.journal()
        assert journal.store is not None
        with closing(opened_to_read(other.folder / FILE_NAME)) as db:
            joined = Joining(journal.store, Claims(self.folder), lambda _: "", trusted=True).join(of_journal(db))
        journal.close()
        return joined


def said(name: str, at: str, dice: random.Random) -> NewEvent:
    """Something that is said in a consultation."""
    vehicle = dice.choice(VEHICLES)
    kind = dice.choice(["answer", "answer", "verdict", "verdict", "technician", "plate", "note", "casing", "ended"])
    if kind == "answer":
        body = {"over": "tire", "key": ["vehicle", -1], "answer": {"choice": vehicle}}
        return draft(name, at, kind, RULES, body)
    if kind == "verdict":
        verdict = dice.choice(VERDICTS)
        case = case_data(Case({"vehicle": Choice(vehicle)}))
        body = {"verdict": verdict, "ending": f"{verdict}-so", "method": "", "restrictions": [], "case": case}
        return draft(name, at, kind, RULES, {**body, "ended": False})
    if kind == "casing":
        return draft(name, at, kind, RULES, {"casing": f"T{dice.randrange(3)}"})
    if kind == "ended":
        return draft(name, at, kind, RULES, {})
    return draft(name, at, kind, RULES, {}, {kind: dice.choice(WORKERS)})


Way = tuple[bytes, ...]


def standing(folder: Path) -> tuple[set[tuple[str, Way]], set[str], set[str]]:
    """The ways that no other stands for, by their links; the words that are there; what was forgotten."""
    with closing(sqlite3.connect(folder / FILE_NAME)) as db:
        ways = {summary.id: entries_of(db, summary.id) for summary in all_consultations(db)}
        words = {row[0] for row in db.execute("SELECT commitment FROM private")}
        gone = {row[0] for row in db.execute("SELECT commitment FROM without_words WHERE why = ?", (FORGOTTEN,))}
    return (
        {(origin_of(name), _links(way)) for name, way in ways.items() if not _covered(way, ways.values())},
        words,
        gone,
    )


def _links(way: Iterable[Entry]) -> Way:
    return tuple(entry.link for entry in way)


def _covered(way: list[Entry], others: Iterable[list[Entry]]) -> bool:
    """Whether another way goes on from this one and changes nothing of what it recorded."""
    links, mine = _links(way), _recorded(way)
    for other in others:
        if len(other) > len(way) and _links(other)[: len(links)] == links:
            theirs = _recorded(other)
            if not mine["verdict"] or all(theirs[name] == value for name, value in mine.items() if value):
                return True
    return False


def _recorded(way: list[Entry]) -> dict[str, object]:
    verdict = last_verdict(way) or {}
    found: dict[str, object] = {name: verdict.get(name) for name in ("verdict", "ending")}
    for name in ("casing", "technician", "plate"):
        said = [entry for entry in way if entry.kind == name]
        found[name] = (said[-1].data.get("casing") or commitments_of(said[-1]).get(name)) if said else None
    return found
