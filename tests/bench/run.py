"""Runs every benchmark beside this file, prints what each says, and at the end one table of all ratios.

Each is a ratio to a baseline in the same run; on a shared machine only the ratios mean anything.
Run: python tests/bench/run.py [--quick] [NAME...]      (--quick takes fewer rounds where a benchmark has a number)
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path

from ratio import MARK

#: What is no benchmark by itself.
HELPERS = ("run", "ratio", "floors", "made_up_rules")
#: Arguments for a short run, and for a whole one where it takes any.
QUICK = {"first_paint": ["--runs", "7"], "long_talk": ["--answers", "20", "--keys", "60"], "batch": ["3000"],
         "records": ["3000"], "volume": ["1000", "3000"], "kill": ["20"], "crowd": ["30"],
         "one_table": ["--quick"], "fleet": ["1000", "2000"]}  # fmt: skip


def said(path: Path, quick: bool, caches: str) -> list[str]:
    """The ratios of one benchmark; what it prints is printed as it comes."""
    kept = {"PYTHONPYCACHEPREFIX": f"{caches}/compiled", "ADVISOR_CACHE": f"{caches}/rules"}
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"} | kept
    command = [sys.executable, str(path), *(QUICK.get(path.stem, []) if quick else [])]
    found = []
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment) as process:
        for line in process.stdout or ():
            if line.startswith(MARK):
                found.append(f"{path.stem} | {line[len(MARK) :].strip()}")
            else:
                print(line, end="", flush=True)
    if process.returncode not in (0, 1) or (process.returncode and not found):
        found.append(f"{path.stem} | did not run to its end | | |")
    return found


def table(rows: list[str]) -> str:
    """The rows in columns: benchmark, what, ratio, aim, met or missed."""
    cells = [[cell.strip() for cell in row.split("|")] for row in ["benchmark | what | found | aim | ", *rows]]
    widths = [max(len(row[column]) for row in cells if column < len(row)) for column in range(5)]
    lines = ["  ".join(f"{cell:{width}}" for cell, width in zip(row, widths, strict=False)).rstrip() for row in cells]
    return "\n".join([lines[0], "-" * max(map(len, lines)), *lines[1:]])


def main() -> int:
    """Runs the benchmarks named, or all of them; 1 when an aim was missed."""
    here = Path(__file__).resolve().parent
    wanted = [word for word in sys.argv[1:] if word != "--quick"]
    rows: list[str] = []
    with tempfile.TemporaryDirectory() as caches:
        for path in sorted(here.glob("*.py")):
            if path.stem not in HELPERS and (not wanted or path.stem in wanted):
                print(f"\n== {path.stem}", flush=True)
                rows += said(path, "--quick" in sys.argv, caches)
    print(f"\n{table(rows)}")
    return int(any("MISSED" in row for row in rows))


if __name__ == "__main__":
    sys.exit(main())
