"""The journal against plain floors, ratios of medians taken in turn.

1  an answer kept, against a bare SQLite commit of a row of the same size (WAL, full sync)
2  opening a journal of N consultations, against opening an empty one
3  a search among N consultations
4  judging N records again, against plain if/else over the same answers

Run: python tests/bench/records.py [N [FOLDER]]
100000 consultations, unless named; FOLDER is a fleet's journal that is filled already.
"""

from __future__ import annotations

import random
import sqlite3
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from ratio import noted

from advisor.engine.evaluator import Judge
from advisor.journal.integrity import verify
from advisor.journal.log import Journal
from advisor.journal.rejudge import rejudged
from advisor.journal.resume import begin_recording
from advisor.journal.search import found_by
from advisor.loader.case_file import read_case, split_cases
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.case import Case, Choice
from advisor.model.quantity import exactly
from advisor.model.saved import Saved
from tests.journal.fleet import fill_fleet

ROUNDS, ANSWERS = 7, 60
TODAY = date(2026, 3, 14)
CASE = """{"answers": {"vehicle": "car", "wheel-position": "drive", "sidewall": "P215/60R16 95H", "tube": "tubeless",
"retread": "no", "found-pressure": "30 psi", "set-pressure": "35 psi", "run-low": "no", "demounted": "yes",
"findings": ["none"], "tread-depth": "6/32 in", "self-supporting": "no", "sealant": "no", "earlier-repairs": []},
"injuries": [{"injury-depth": "through", "injury-zone": "crown", "injury-size": "4 mm", "injury-length": "4 mm",
"injury-angle": "10 deg", "inside-signs": ["none"]}]}"""


def judge() -> Judge:
    """The judge of the default rules."""
    return Judge(load_rule_set(find_rule_set("us-road")))


def now() -> datetime:
    """The time."""
    return datetime.now(UTC)


def answer_ratio(folder: Path, by: Judge) -> None:
    """An answer kept against a bare commit."""
    case = read_case(next(split_cases(CASE, "case")), by.rules, TODAY)
    journal = Journal(folder / "kept", now)
    bare = sqlite3.connect(folder / "bare.sqlite", isolation_level=None)
    for line in ("journal_mode = WAL", "synchronous = FULL"):
        bare.execute(f"PRAGMA {line}")
    bare.execute("CREATE TABLE entry(seq INTEGER PRIMARY KEY, body TEXT)")
    body = "x" * 350
    ours, floor = [], []
    for _ in range(ROUNDS):
        keeper, mine, other = begin_recording(journal, by.rules), list[float](), list[float]()
        saved = Saved(Case(today=TODAY))
        for place in range(ANSWERS):
            answers = {**saved.case.answers, **dict(list(case.answers.items())[place % 14 : place % 14 + 1])}
            answers["tread-depth"] = exactly(place, "mm")
            key = ("tread-depth", -1)
            saved = Saved(Case(answers, today=TODAY), saved.order if key in saved.order else (*saved.order, key))
            started = time.perf_counter()
            keeper.keep(saved, None)
            mine.append(time.perf_counter() - started)
            started = time.perf_counter()
            bare.execute("BEGIN IMMEDIATE")
            bare.execute("INSERT INTO entry(body) VALUES (?)", (body,))
            bare.execute("COMMIT")
            other.append(time.perf_counter() - started)
        ours.append(statistics.median(mine))
        floor.append(statistics.median(other))
    journal.close()
    show("an answer kept / bare commit", ours, floor, 1.5)


def show(name: str, ours: list[float], floor: list[float], most: float | None) -> None:
    """One line: both medians and the median of the rounds' own ratios."""
    ratios = [a / b for a, b in zip(ours, floor, strict=True)]
    limit = f"  at most {most}" if most else ""
    one, other = (statistics.median(times) * 1e3 for times in (ours, floor))
    ratio = f"ratio {statistics.median(ratios):.2f} ({min(ratios):.2f} to {max(ratios):.2f}){limit}"
    print(f"{name:44} {one:10.3f} ms {other:10.3f} ms   {ratio}", flush=True)
    noted(name, statistics.median(ratios), "x", most)


def cases_of(by: Judge, count: int) -> list[Case]:
    """Different cases, made of seeded answers."""
    base = read_case(next(split_cases(CASE, "case")), by.rules, TODAY)
    dice = random.Random(3)
    found = []
    for _ in range(count):
        size = exactly(dice.randrange(10, 120), "mm")
        size = type(size)(size.low / 10, size.high / 10, "mm", f"{float(size.low / 10)} mm")
        answers = {**base.answers, "vehicle": Choice(dice.choice(["car", "van-or-pickup", "truck"]))}
        zone = Choice(dice.choice(["crown", "crown", "shoulder", "sidewall"]))
        found.append(Case(answers, (), ({**base.injuries[0], "injury-size": size, "injury-zone": zone},), TODAY))
    return found


def opening_ratio(full: Path, empty: Path) -> None:
    """Opening a full journal against an empty one, up to knowing whether something is unfinished."""
    from advisor.journal.resume import offers

    ours, floor = [], []
    for _ in range(ROUNDS):
        for folder, found in ((full, ours), (empty, floor)):
            times = []
            for _ in range(15):
                started = time.perf_counter()
                journal = Journal(folder, now)
                offers(journal, "us-road")
                times.append(time.perf_counter() - started)
                journal.close()
            found.append(statistics.median(times))
    show("opening, full / empty", ours, floor, 1.1)


def searches(folder: Path) -> None:
    """The slowest of some searches."""
    db = sqlite3.connect(folder / "journal.sqlite")
    slowest = []
    for words in (["F012345"], ["one", "scrap"], ["repair"], ["2026-03-14"], ["worker"], ["f"], ["f01", "three"],
                  ["f0 w t 2 x"], ["worker eight xy 12"], ["rim bent"], ["nothing"]):  # fmt: skip
        times = [_timed(lambda: found_by(db, words, 500)) for _ in range(ROUNDS)]  # noqa: B023
        slowest.append(max(times) * 1e3)
        print(f"search {' '.join(words):37} {statistics.median(times) * 1e3:10.3f} ms   slowest {max(times) * 1e3:.1f}"
              "  at most 50", flush=True)  # fmt: skip
    noted("a search, the slowest", max(slowest), "ms", 50)


def verifying(folder: Path) -> None:
    """The whole chain looked through."""
    with sqlite3.connect(folder / "journal.sqlite") as db:
        started = time.perf_counter()
        found = verify(db)
    took = time.perf_counter() - started
    print(f"verified: {found.entries} entries in {took:.1f} s, problems: {len(found.problems)}", flush=True)


def _timed(step: Callable[[], object]) -> float:
    started = time.perf_counter()
    step()
    return time.perf_counter() - started


def rejudging(folder: Path, by: Judge, count: int) -> None:
    """Records judged again a second, and plain if/else over the same answers."""
    db = sqlite3.connect(folder / "journal.sqlite")
    some = min(count, 2000)
    found = rejudged(db, by, by, "us-road")
    took = _timed(lambda: [next(found) for _ in range(some)])
    cases = cases_of(by, some)
    plain = _timed(lambda: [_plain(case) for case in cases])
    alone = _timed(lambda: [by.judge(case) for case in cases])
    print(f"judging again: {some / took:.0f} records a second by two editions; judging alone {some / alone:.0f} a "
          f"second; plain if/else over the same answers {some / plain:.0f} a second", flush=True)  # fmt: skip
    noted("records judged again by two editions", took / plain, "x plain if/else, verdict only")


def _plain(case: Case) -> str:
    """A few of the rules as plain code, only to have a floor."""
    injury = case.injuries[0]
    size, zone = injury["injury-size"], injury["injury-zone"]
    if case.answers["findings"].present or injury["inside-signs"].present:  # type: ignore[union-attr]
        return "scrap"
    if zone != Choice("crown"):
        return "scrap" if zone == Choice("sidewall") else "refer"
    return "scrap" if size.high > 6 else "repair"  # type: ignore[union-attr]


def main() -> None:
    """Prints every comparison."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    by = judge()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        answer_ratio(folder, by)
        fill_fleet(folder / "empty", by, 0)
        full = Path(sys.argv[2]) if len(sys.argv) > 2 else folder / "full"
        if not full.exists():
            took = _timed(lambda: fill_fleet(full, by, count))
            print(f"{count} consultations written in {took:.1f} s", flush=True)
        size = (full / "journal.sqlite").stat().st_size
        print(f"{count} consultations, {size / count:.0f} bytes each", flush=True)
        opening_ratio(full, folder / "empty")
        searches(full)
        verifying(full)
        rejudging(full, by, count)


if __name__ == "__main__":
    main()
