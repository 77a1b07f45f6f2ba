"""The journal as it grows: the same things done with 10,000, 100,000 and more consultations, one line for each.

Start and look-up must not grow with their number, everything else at most linearly; each is held against the smallest.
Run: python tests/bench/volume.py [COUNT...] [--in FOLDER]     (FOLDER keeps the journals for the next time)
"""

from __future__ import annotations

import re
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections import deque
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from itertools import islice
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from ratio import noted

from advisor.engine.evaluator import Judge
from advisor.journal.casing_history import visits_of
from advisor.journal.export import export_lines
from advisor.journal.integrity import verify
from advisor.journal.log import Journal
from advisor.journal.rejudge import rejudged
from advisor.journal.resume import offers
from advisor.journal.search import found_by
from advisor.journal.store import Connection, opened_to_read
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from tests.journal.fleet import pour_fleet

COUNTS = (10_000, 100_000)
#: What must not grow with the number, and what at most as the number does; factors allow for a noisy machine.
CONSTANT, LINEAR = ("start", "look-up", "first screen", "re-judging 1000"), ("verify", "export", "re-judging")
NOISE_CONSTANT, NOISE_LINEAR = 2.0, 1.5
#: A check keeps where each consultation stands; everything else is read block by block.
GROWING, NOISE_MEMORY = ("verify",), (1.5, 10.0)
ROUNDS = 9


def judge() -> Judge:
    """The judge of the default rules."""
    return Judge(load_rule_set(find_rule_set("us-road")))


def _median(step: Callable[[], object], rounds: int = ROUNDS) -> float:
    times = []
    for _ in range(rounds):
        started = time.process_time()
        step()
        times.append(time.process_time() - started)
    return statistics.median(times)


def _start(folder: Path) -> None:
    journal = Journal(folder, lambda: datetime.now(UTC))
    offers(journal, "us-road")
    journal.close()


def _export(db: Connection) -> None:
    for _ in export_lines(db):
        pass


def one(folder: Path, what: str) -> float:
    """Seconds of processor time for one thing in a process of its own, so that the memory it takes is its own."""
    if what == "start":
        _start(folder)
        return _median(lambda: _start(folder))
    with closing(opened_to_read(folder / "journal.sqlite")) as db:
        if what == "look-up":
            visits_of(db, "F000123")
            return _median(lambda: visits_of(db, "F000123"))
        if what == "first screen":
            return _median(lambda: found_by(db, [], 50))
        if what == "verify":
            started = time.process_time()
            found = verify(db)
            if found.problems:
                raise SystemExit(f"verify: {found.problems[:3]}")
            return time.process_time() - started
        if what == "export":
            return _median(lambda: _export(db), 1)
        by, most = judge(), 1000 if what == "re-judging 1000" else None
        return _median(lambda: deque(islice(rejudged(db, by, by, "us-road"), most), 0), 1)


def _most_memory() -> float:
    """The most memory that this process took, in MB; the other figure is inherited from whoever started it."""
    status = Path("/proc/self/status")
    found = re.search(r"VmHWM:\s+(\d+)", status.read_text()) if status.exists() else None
    return (int(found[1]) if found else resource.getrusage(resource.RUSAGE_SELF).ru_maxrss) / 1024


def _measured(folder: Path, what: str) -> tuple[float, float]:
    done = subprocess.run(
        [sys.executable, __file__, "--one", str(folder), what], capture_output=True, text=True, check=True
    )
    seconds, memory = done.stdout.split()
    return float(seconds), float(memory)


def _held(found: dict[int, dict[str, tuple[float, float]]]) -> None:
    """Each count against the smallest one."""
    least = min(found)
    for count in sorted(found):
        for what in (*CONSTANT, *LINEAR) if count > least else ():
            ratio = found[count][what][0] / found[least][what][0]
            most = NOISE_CONSTANT if what in CONSTANT else NOISE_LINEAR * count / least
            noted(f"{what}, {count} against {least}", ratio, "x", most)
            grown = found[count][what][1] / found[least][what][1]
            noted(f"memory of {what}, {count} against {least}", grown, "x", NOISE_MEMORY[what in GROWING])


def main() -> None:
    """Fills, measures, and prints a table."""
    words = sys.argv[1:]
    if words[:1] == ["--one"]:
        seconds = one(Path(words[1]), words[2])
        print(seconds, _most_memory())
        return
    kept = Path(words[words.index("--in") + 1]) if "--in" in words else None
    counts = [int(word) for word in words if word.isdigit()] or list(COUNTS)
    by, found = judge(), dict[int, dict[str, tuple[float, float]]]()
    with tempfile.TemporaryDirectory() as name:
        print(f"{'consultations':>14}{'file MB':>9}  " + "".join(f"{what:>22}" for what in (*CONSTANT, *LINEAR)))
        for count in counts:
            folder = (kept or Path(name)) / str(count)
            if not (folder / "journal.sqlite").exists():
                pour_fleet(folder, by, count)
            found[count] = {what: _measured(folder, what) for what in (*CONSTANT, *LINEAR)}
            size = (folder / "journal.sqlite").stat().st_size / 2**20
            cells = [f"{took * 1e3:.1f} ms, {memory:.0f} MB" for took, memory in found[count].values()]
            print(f"{count:>14,}{size:>9.0f}  " + "".join(f"{cell:>22}" for cell in cells), flush=True)
    _held(found)


if __name__ == "__main__":
    main()
