"""A made-up fleet on a cluster begun here: every record judged, then again by two editions; rows a second, and growth.

The records are made up by a seed and marked as invented. Run: python tests/bench/fleet.py [ROWS...] [--cores N]
(10000 and 50000 unless named; 5000000 is a fleet.) What a further row takes is held against the first size: cost grows
with the rows and no faster. Processor time of all processes together, less that of an empty run's; the clock beside it.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from ratio import noted

from tests.fleet.made_up_fleet import stricter_edition, write_fleet

#: So many partitions at least, so that every process has work.
PARTS = 8


def said(*words: str) -> tuple[float, float, str]:
    """Processor seconds of a command and all its processes, seconds on the clock, and what it printed."""
    before, begun = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    done = subprocess.run([sys.executable, "-m", "advisor", *words], capture_output=True, text=True, check=False)
    if done.returncode not in (0, 1, 2) or not done.stdout:
        raise SystemExit(done.stderr)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    spent = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return spent, time.perf_counter() - begun, done.stdout


def main() -> int:
    """Prints a line a size; 1 where a row of a larger fleet costs more than one of the smallest."""
    words = sys.argv[1:]
    cores = int(words[words.index("--cores") + 1]) if "--cores" in words else os.cpu_count() or 1
    sizes = [int(word) for word in words if word.isdigit() and words[words.index(word) - 1] != "--cores"]
    base, grown = 0.0, 0.0
    with tempfile.TemporaryDirectory() as home:
        edition = stricter_edition(Path(home) / "rules")
        few = write_fleet(Path(home) / "few", 2 * cores, rows_a_file=1)
        start, clock, _ = said("decide", str(few), "--into", f"{home}/start", "--carry", "record", *_on(cores))
        print(
            f"a cluster of {cores} processes begun and ended: {start:.1f} s, {clock:.1f} on the clock; taken off below"
        )
        heads = ("rows", "judged, s", "rows/s a core", "on the clock", "two editions", "rows/s a core", "on the clock")
        print("".join(f"{head:>14}" for head in heads))
        for rows in sizes or [10_000, 50_000]:
            records = write_fleet(Path(home) / f"in-{rows}", rows, rows_a_file=min(50_000, -(-rows // PARTS)))
            out = f"{home}/out-{rows}"
            judged, clock, _ = said("decide", str(records), "--into", out, "--carry", "record", *_on(cores))
            pair = ("compare", "us-road", str(edition), "--records", "--data", str(records), "--carry", "record")
            twice, other, told = said(*pair, "--into", f"{out}-recall", *_on(cores))
            once, both = max(0.001, judged - start), max(0.001, twice - start)
            found = (rows, once, rows / once, clock, both, rows / both, other)
            print("".join(f"{each:14,.0f}" for each in found))
            print("".join(f"    {line}\n" for line in told.splitlines()[:-1]), end="", flush=True)
            base, grown = base or once / rows, once / rows
        noted("a row of the largest fleet", grown / base, "x one of the smallest", 1.1)
    return int(grown > 1.1 * base)


def _on(cores: int) -> tuple[str, ...]:
    return "--cluster", "local", "--cores", str(cores)


if __name__ == "__main__":
    sys.exit(main())
