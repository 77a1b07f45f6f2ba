"""`advisor decide` on one case, whole process, against `python -c pass`, in turn within each round.

Run: python tests/bench/deciding.py
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

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


def seconds(command: list[str]) -> float:
    """How long a process takes, start to end."""
    begun = time.perf_counter()
    subprocess.run(command, stdout=subprocess.DEVNULL, check=True)
    return time.perf_counter() - begun


def main() -> None:
    """Prints the median of both and their ratio."""
    with tempfile.TemporaryDirectory() as folder:
        case = Path(folder) / "case.yaml"
        case.write_text(CASE)
        ways = {
            "python -c pass": [sys.executable, "-c", "pass"],
            "advisor decide CASE": [sys.executable, "-m", "advisor", "decide", str(case)],
        }
        times: dict[str, list[float]] = {name: [] for name in ways}
        for _ in range(ROUNDS):
            for name, command in ways.items():
                times[name].append(seconds(command))
    base, own = (statistics.median(found) for found in times.values())
    ratios = [b / a for a, b in zip(*times.values(), strict=True)]
    print(f"{'way':24} {'median ms':>10}")
    for name, found in times.items():
        print(f"{name:24} {statistics.median(found) * 1000:10.1f}")
    print(f"ratio {own / base:.1f} (rounds {min(ratios):.1f} to {max(ratios):.1f})")


if __name__ == "__main__":
    main()
