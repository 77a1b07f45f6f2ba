"""`advisor decide` on one case, whole process, against `python -c pass`, in turn within each round.

Run: python tests/bench/deciding.py
"""

from __future__ import annotations

import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from ratio import noted

ROUNDS = 15
CASE = """answers:
  vehicle: car
  wheel-position: drive
  tire-class: passenger
  construction: radial
  tube: tubeless
  retread: "no"
  found-pressure: 30 psi
  set-pressure: 35 psi
  run-low: "no"
  demounted: "yes"
  findings: [none]
  tread-depth: 6/32 in
  self-supporting: "no"
  sealant: "no"
  earlier-repairs: []
injuries:
  - {injury-depth: through, injury-zone: crown, injury-size: 4 mm, injury-angle: 10 deg, inside-signs: [none]}
"""


def seconds(command: list[str], own: dict[str, str]) -> float:
    """How long a process takes, start to end, with folders of its own for compiled files and kept rules."""
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    begun = time.perf_counter()
    subprocess.run(command, stdout=subprocess.DEVNULL, check=True, env={**environment, **own})
    return time.perf_counter() - begun


def main() -> None:
    """Prints the medians and their ratios: as every start but the first one after a change is, and as that one."""
    with tempfile.TemporaryDirectory() as folder:
        case, rules = Path(folder) / "case.yaml", Path(folder) / "rules"
        case.write_text(CASE)
        own = {"PYTHONPYCACHEPREFIX": f"{folder}/compiled", "ADVISOR_CACHE": str(rules)}
        decide = [sys.executable, "-m", "advisor", "decide", str(case)]
        times: dict[str, list[float]] = {"python -c pass": [], "advisor decide CASE": [], "the same, rules anew": []}
        for number in range(ROUNDS + 1):
            base = seconds([sys.executable, "-c", "pass"], own)
            kept = seconds(decide, own)
            shutil.rmtree(rules, ignore_errors=True)
            anew = seconds(decide, own)
            if number:
                for name, found in zip(times, (base, kept, anew), strict=True):
                    times[name].append(found)
    bare, *others = times.values()
    for name, found in times.items():
        print(f"{name:24} {statistics.median(found) * 1000:10.1f} ms")
    for name, found in zip(list(times)[1:], others, strict=True):
        noted(name, statistics.median(b / a for a, b in zip(bare, found, strict=True)), "x python -c pass")


if __name__ == "__main__":
    main()
