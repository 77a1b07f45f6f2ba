"""A fleet's journal, all of it invented: casings that come back, with injuries at places, names, plates and notes.

Run: python -m tests.journal.fleet FOLDER [CONSULTATIONS [SEED]]
"""

from __future__ import annotations

import random
import sys
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from itertools import islice
from pathlib import Path
from typing import Any

from msgspec.structs import replace

from advisor.domain.clock import read_clock
from advisor.engine.evaluator import Judge
from advisor.journal.case_data import case_data
from advisor.journal.events import NOTHING_BEFORE, Entry, NewEvent, canonical, chain_of, draft, link_of
from advisor.journal.log import Journal
from advisor.journal.projection import fill_finder, follow
from advisor.journal.recorder import verdict_data
from advisor.journal.state_diff import saved_data
from advisor.journal.store import insert, last_in
from advisor.loader.case_file import read_case, split_cases
from advisor.loader.kept_cases import with_older_answers
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.case import Answers, Case, Choice, Text
from advisor.model.quantity import exactly
from advisor.model.saved import Saved

BEGINS = datetime(2026, 1, 5, 6, 0, tzinfo=UTC)
DIFFERENT = 400
A_BLOCK = 500
WORKERS = tuple(f"Worker {name}" for name in ("One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight"))
NOTES = ("rim bent at the bead", "nail pulled out by the driver", "second look at the liner", "valve replaced")
TRUCK = """{"answers": {"vehicle": "truck", "wheel-position": "drive", "sidewall": "11R22.5", "tube": "tubeless",
"retread": "no", "load-range": "G", "construction": "radial", "tire-class": "medium-truck", "found-pressure": "100 psi",
"set-pressure": "105 psi", "run-low": "no", "demounted": "yes", "findings": ["none"], "tread-depth": "9/32 in",
"self-supporting": "no", "sealant": "no", "earlier-repairs": [], "unit-length": "90 mm", "unit-width": "75 mm"},
"injuries": [{"injury-depth": "through", "injury-zone": "crown", "injury-size": "8 mm", "injury-length": "8 mm",
"injury-angle": "10 deg", "inside-signs": ["none"], "clock": "2:00", "offset": "-35 mm", "tread-width": "220 mm",
"casing-thickness": "22 mm", "lean": "along-tread"}]}"""


def cases(by: Judge, dice: random.Random) -> Iterator[tuple[Case, dict[str, Any]]]:
    """Different cases with what is decided of each."""
    base = with_older_answers(read_case(next(split_cases(TRUCK, "case")), by.rules, BEGINS.date()), by.rules)
    for _ in range(DIFFERENT):
        count = dice.choice([1, 1, 1, 2])
        injuries = tuple(
            {**_injury(base.injuries[0], dice), "more-injuries": Choice("yes" if place < count else "no")}
            for place in range(1, count + 1)
        )
        wheel = Choice(dice.choice(["drive", "drive", "trailer", "steer"]))
        case = Case({**base.answers, "wheel-position": wheel}, (), injuries, BEGINS.date())
        yield case, verdict_data(case, by.judge(case))


def _injury(base: Answers, dice: random.Random) -> Answers:
    size = exactly(dice.randrange(30, 130), "mm")
    size = type(size)(size.low / 10, size.high / 10, "mm", f"{float(size.low / 10)} mm")
    return {
        **base,
        "injury-size": size,
        "injury-length": size,
        "injury-zone": Choice(dice.choice(["crown", "crown", "crown", "shoulder"])),
        "clock": read_clock(f"{dice.randrange(1, 13)}:{dice.choice(['00', '15', '30', '45'])}"),
        "offset": exactly(dice.randrange(-60, 61, 5), "mm"),
    }


def fill_fleet(folder: Path, by: Judge, count: int, seed: int = 5) -> None:
    """Writes a journal of that many consultations; a casing comes about three times."""
    journal = Journal(folder, lambda: BEGINS)
    assert journal.store is not None
    several = fleet(by, count, seed)
    while drafts := [draft for one in islice(several, A_BLOCK) for draft in one]:
        journal.store.append(drafts)
    journal.close()


def fleet(by: Judge, count: int, seed: int) -> Iterator[list[NewEvent]]:
    """The drafts of one consultation after another."""
    dice = random.Random(seed)
    several = [_bodies(case, decided) for case, decided in cases(by, dice)]
    return (_one(number, max(1, count // 3), several, by, dice) for number in range(count))


def pour_fleet(folder: Path, by: Judge, count: int, seed: int = 5) -> None:
    """The same for very many, several times quicker: one transaction, no sync, words and search list put in last.

    The entries, their hashes and the lists are made by the program's own functions; `--verify` finds nothing in it.
    """
    journal = Journal(folder, lambda: BEGINS)
    assert journal.store is not None
    db, kept = journal.store.db, list[tuple[str, bytes, str]]()
    for setting in ("journal_mode = OFF", "synchronous = OFF", "secure_delete = OFF", "cache_size = -1000000"):
        db.execute(f"PRAGMA {setting}")
    seq, chain = last_in(db)
    db.execute("BEGIN")
    for drafts in fleet(by, count, seed):
        link = NOTHING_BEFORE
        for step, each in enumerate(drafts, 1):
            seq += 1
            link = link_of(link, each.consultation, step, each.at, each.kind, each.rules, each.body)
            chain = chain_of(chain, seq, link, each.consultation)
            entry = Entry(seq, each.consultation, step, each.at, each.kind, each.rules, each.body, link, chain)
            insert(db, entry)
            follow(db, entry, dict(zip([each.kind], (one.words for one in each.private), strict=False)))
            kept += [(one.commitment, one.salt, one.words) for one in each.private]
    db.executemany("INSERT INTO private(commitment, salt, words) VALUES (?, ?, ?)", sorted(kept))
    fill_finder(db)
    db.execute("COMMIT")
    db.execute("PRAGMA journal_mode = WAL")
    journal.close()


def _bodies(case: Case, decided: dict[str, Any]) -> tuple[str, str]:
    """The bodies of a case's answers and of its verdict, with marks where code and day go in."""
    case = replace(case, answers={**case.answers, "dot-code": Text("CODE?")}, today=date.max)
    order = tuple((name, -1) for name in case.answers)
    return canonical(saved_data(Saved(case, order))), canonical({**decided, "case": case_data(case)})


def _one(number: int, casings: int, several: list[tuple[str, str]], by: Judge, dice: random.Random) -> list[NewEvent]:
    bodies = dice.choice(several)
    moment = BEGINS + timedelta(minutes=3 * number)
    at, digest, name = f"{moment:%Y-%m-%dT%H:%M:%S}.000000Z", by.rules.digest, f"{moment:%y%m%d}-{number:010x}"
    casing = dice.randrange(casings)
    code = f"DOT 1X9Y{casing % 676:03}A {1 + casing % 52:02}{18 + casing % 8}"
    answers, decided = (each.replace("CODE?", code).replace(f"{date.max}", at[:10]) for each in bodies)
    about = {"rules": by.rules.about.id, "edition": by.rules.about.edition, "today": at[:10], "program": "invented"}
    drafts = [
        draft(name, at, "begin", digest, about),
        draft(name, at, "technician", digest, {}, {"technician": dice.choice(WORKERS)}),
        draft(name, at, "plate", digest, {}, {"plate": f"XY {dice.randrange(1000, 9999)}"}),
        NewEvent(name, at, "case", digest, answers),
        NewEvent(name, at, "verdict", digest, decided),
    ]
    if dice.random() < 0.9:
        drafts.insert(1, draft(name, at, "casing", digest, {"casing": f"F{casing:06}"}))
    if dice.random() < 0.2:
        drafts.append(draft(name, at, "note", digest, {}, {"note": dice.choice(NOTES)}))
    return [*drafts, draft(name, at, "ended", digest, {})]


def main() -> None:
    """Fills a folder."""
    count, seed = (int(word) for word in (*sys.argv[2:], *("100000", "5")[len(sys.argv) - 2 :]))
    pour_fleet(Path(sys.argv[1]), Judge(load_rule_set(find_rule_set("us-road"))), count, seed)


if __name__ == "__main__":
    main()
