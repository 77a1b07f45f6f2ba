"""What one typed answer takes until the next question's text: calls of Python functions, at each of ten answers.

A consultation in the free order of asking, in plain lines, kept by a journal. Of each answer the calls between the
line that was read and the next one that is waited for, and where most of them go. The consultation is held twice by
the same judge; the second one counts, and what the first one took, with all met for the first time, is told beside it.
Run: python tests/bench/one_answer.py [MODULES]. Calls, so that a busy machine shows nothing.
"""

from __future__ import annotations

import cProfile
import pstats
import statistics
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from datetime import date, datetime
from pathlib import Path

if __package__:
    from .ratio import noted
else:
    from ratio import noted

from advisor.console.session_lines import converse
from advisor.dialogue.session import Consultation
from advisor.engine.evaluator import Judge
from advisor.journal.log import Journal
from advisor.journal.recorder import Keeper
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set

#: What is answered, by question; the others with "can't tell".
ANSWERS = {
    "vehicle": "truck", "wheel-position": "drive", "tire-class": "medium-truck", "load-range": "H",
    "construction": "radial", "tube": "tubeless", "retread": "no", "found-pressure": "104 psi",
    "set-pressure": "110 psi", "run-low": "no", "demounted": "yes", "findings": "none", "tread-depth": "9/32 in",
    "self-supporting": "no", "sealant": "no", "earlier-repairs": "no", "sidewall": "275/70R22.5 148/145M",
    "injury-depth": "through", "injury-zone": "crown", "injury-size": "6 mm", "injury-angle": "10 deg",
    "inside-signs": "none", "more-injuries": "no",
}  # fmt: skip
POSITIONS = 10
AIM = 500
TODAY = date(2026, 3, 14)


class Meter:
    """Counts the calls of functions written in Python between two lines, by module."""

    def __init__(self) -> None:
        self._profile = cProfile.Profile()
        self.found: list[tuple[str, Counter[str]]] = []

    def start(self) -> None:
        """From here on calls count."""
        self._profile = cProfile.Profile()
        self._profile.enable()

    def stop(self, line: str) -> None:
        """Notes what was counted since the line was read."""
        self._profile.disable()
        calls: dict[tuple[str, int, str], tuple[int, int]] = pstats.Stats(self._profile).stats  # type: ignore[attr-defined]
        counted: Counter[str] = Counter()
        for (file, _, name), each in calls.items():
            if file != "~" and name not in ("stop", "<genexpr>"):
                counted[f"{Path(file).parent.name}/{Path(file).stem}.{name}"] += each[1]
            elif name == "<genexpr>":
                counted[f"{Path(file).parent.name}/{Path(file).stem} generators"] += each[1]
        self.found.append((line, counted))


def typed(consultation: Consultation, meter: Meter) -> Iterator[str]:
    """The answers as a technician types them, one question at a time."""
    for _ in range(POSITIONS + 1):
        ask = consultation.ask
        if ask is None:
            return
        line = ANSWERS.get(ask.key[0], "can't tell")
        meter.start()
        yield line
        meter.stop(f"{ask.key[0]}: {line}")


def measured(judge: Judge, folder: Path) -> list[tuple[str, Counter[str]]]:
    """What each answer took."""
    meter = Meter()
    consultation = Consultation(judge, TODAY, lambda: datetime(2026, 3, 14, 12))
    journal = Journal(folder, lambda: datetime(2026, 3, 14, 12))
    keeper = Keeper(journal, judge.rules.about, judge.rules.digest, journal.new_id())
    for _ in converse(consultation, typed(consultation, meter), lambda text: None, keeper):
        pass
    return meter.found[:POSITIONS]


def counted_twice() -> tuple[bool, list[tuple[str, Counter[str]]]]:
    """Whether the median of the second consultation meets the aim, and what each of its answers took."""
    judge = Judge(load_rule_set(find_rule_set("us-road")))
    with tempfile.TemporaryDirectory() as first, tempfile.TemporaryDirectory() as second:
        begun, found = measured(judge, Path(first)), measured(judge, Path(second))
    before, now = (statistics.median(counted.total() for _, counted in each) for each in (begun, found))
    print(f"calls of a typed answer in a first consultation: median {before:,.0f}")
    return noted("one typed answer until the next question", now, "calls", AIM), found


def main() -> int:
    """Prints the calls of each answer and where they go; 1 where the median is over the aim."""
    met, found = counted_twice()
    for line, counted in found:
        print(f"{counted.total():7,} calls  {line}")
    whole: Counter[str] = Counter()
    for _, counted in found:
        whole += counted
    for name, count in whole.most_common(int(sys.argv[1]) if len(sys.argv) > 1 else 12):
        print(f"{count / len(found):9,.0f}  {name}")
    return int(not met)


if __name__ == "__main__":
    sys.exit(main())
