"""A batch of cases in CSV against csv.DictReader over the same file, per core used, and what each stage of it costs.

Rows of seeded answers, nearly all different from each other. The aim of 3 x DictReader is held against the floor:
what reading the rows and writing JSON answers of this length take by themselves, with nothing judged at all.
Run: python tests/bench/batch.py [ROWS]      (100000 unless named)
"""

from __future__ import annotations

import csv
import json
import os
import random
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import date
from itertools import islice
from pathlib import Path
from typing import Any

from ratio import noted

from advisor.console.json_output import answer_of
from advisor.engine.evaluator import Judge
from advisor.loader.case_rows import Cells, Columns, row_case
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.problems import Place

MOST = 3
STAGED = 2000
TODAY = date(2026, 3, 14)
HEADER = (
    "vehicle,wheel-position,sidewall,tube,retread,found-pressure,set-pressure,run-low,demounted,findings,tread-depth,"
    "self-supporting,sealant,earlier-repairs,injury-depth,injury-zone,injury-size,injury-angle,inside-signs,injury-length"
)
TIRES = (("car", "P215/60R16 95H", 35), ("truck", "275/70R22.5 148/145M LOAD RANGE H", 110))


def write_rows(file: Path, count: int) -> None:
    """Seeded rows: pressure, tread, size, angle and length differ from row to row, the rest as a fleet has it."""
    dice = random.Random(3)
    with file.open("w") as out:
        out.write(f"{HEADER}\n")
        for _ in range(count):
            vehicle, sidewall, pressure = dice.choice(TIRES)
            place, zone = dice.choice(["drive", "drive", "steer"]), dice.choice(["crown", "crown", "crown", "shoulder"])
            found, size = pressure - dice.randrange(0, 90) / 10, dice.randrange(10, 120) / 10
            tread, angle = dice.randrange(4, 40) / 2, dice.randrange(0, 40)
            out.write(
                f"{vehicle},{place},{sidewall},tubeless,no,{found} psi,{pressure} psi,no,yes,none,{tread}/32 in,"
                f"no,no,no,through,{zone},{size} mm,{angle} deg,none,{size + dice.randrange(3)} mm\n"
            )


def seconds(work: Callable[[], object]) -> float:
    """How long it takes this process, in processor time."""
    begun = time.process_time()
    work()
    return time.process_time() - begun


def whole(command: list[str]) -> tuple[float, float]:
    """Seconds on the clock, and in processor time of all cores together."""
    before, begun = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    subprocess.run(command, stdout=subprocess.DEVNULL, check=True)
    taken, after = time.perf_counter() - begun, resource.getrusage(resource.RUSAGE_CHILDREN)
    return taken, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def stages(file: Path) -> list[tuple[str, float]]:
    """Microseconds a row of each stage, in one process, over the first rows of the file."""
    judge = Judge(load_rule_set(find_rule_set("us-road")))
    cells, columns = Cells(), Columns(HEADER.split(","), judge.rules, {}, "cases.csv")
    place = Place("cases.csv")
    steps: list[tuple[str, Callable[[Any], Any]]] = [
        ("typed as answers", lambda row: row_case(row, columns, cells, TODAY, place)),
        ("judged", judge.judge),
        ("answers put together", lambda judgement: answer_of(judgement, judge)),
        ("written as JSON", lambda answer: json.dumps(answer, ensure_ascii=False)),
    ]
    made: list[Any] = []
    found = [("rows read", seconds(lambda: made.extend(rows(file))))]
    for name, step in steps:
        found.append((name, seconds(lambda: made.__setitem__(slice(None), [step(each) for each in made]))))  # noqa: B023
    print(f"{sum(map(len, made)) / len(made):,.0f} characters of JSON a case")
    return [(name, taken / len(made) * 1e6) for name, taken in found]


def rows(file: Path) -> list[list[str]]:
    """The first rows."""
    with file.open(newline="") as lines:
        return list(islice(csv.reader(lines), 1, STAGED + 1))


def main() -> int:
    """Prints the stages, the floor and the whole; 1 when the aim was missed."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "cases.csv"
        write_rows(file, count)

        def read() -> int:
            with file.open(newline="") as rows:
                return sum(len(row) for row in csv.DictReader(rows))

        base = min(seconds(read) for _ in range(3)) / count * 1e6
        print(f"{'stage, one process':28} {'us a row':>9} {'x DictReader':>13}")
        found = stages(file)
        for name, taken in found:
            print(f"{name:28} {taken:9.1f} {taken / base:13.1f}")
        floor, full, each = found[0][1] + found[-1][1], 0.0, 0.0
        print(f"{'floor: read and write alone':28} {floor:9.1f} {floor / base:13.1f}")
        command = [sys.executable, "-m", "advisor", "decide", str(file), "--cores"]
        for how, cores in (("--json", os.cpu_count() or 1), ("--brief", os.cpu_count() or 1)):
            took, spent = whole([*command, str(cores), how])
            full, each = each, spent / count * 1e6
            print(
                f"{how}, {cores} core(s): {took:.1f} s, {count / took:,.0f} cases a second; {each:,.0f} us of a core a "
                f"case, {each / base:.0f} x DictReader, {each / floor:.1f} x the floor",
                flush=True,
            )
    noted("a batch: rows read and answers written, nothing judged", floor / base, "x csv.DictReader")
    noted("a batch with whole answers, per core, by that floor", full / floor, "x the floor")
    return int(not noted("a batch, a line a case, per core", each / base, "x csv.DictReader", MOST))


if __name__ == "__main__":
    sys.exit(main())
