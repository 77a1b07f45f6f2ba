"""Runs every benchmark beside this file and prints their tables, one after another.

Each is a ratio to a baseline in the same run; on a shared machine only the ratios mean anything.
Run: python tests/bench/run.py [NAME...]
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path


def main() -> None:
    """Runs the benchmarks named, or all of them."""
    here = Path(__file__).resolve()
    wanted = sys.argv[1:]
    for path in sorted(here.parent.glob("*.py")):
        if path != here and (not wanted or path.stem in wanted):
            print(f"\n== {path.stem}", flush=True)
            subprocess.run([sys.executable, str(path)], cwd=here.parent.parent.parent, check=False)


if __name__ == "__main__":
    main()
