"""How fast talking is, against one judgement of the same case: `python tests/bench/talking.py`.

Prints milliseconds and, for comparing machines, the ratio to one judgement. Bounds: a sentence 20 ms, why and
what-if 50 ms; least change, which tries places and unit sizes, 200 ms.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from ratio import noted

from advisor.dialogue.intents import told
from advisor.model.case import Case
from tests.dialogue.talk_cases import CASES, judge
from tests.nlu.sentence_table import listener, rows

BOUNDS_MS = {"a sentence": 20, "why": 50, "why not": 50, "what if": 50, "how sure": 50, "least change": 200}


def milliseconds(work: Callable[[], object], times: int = 9) -> float:
    """The median of several runs, in processor time, so that a busy machine says little."""
    taken = []
    for _ in range(times):
        start = time.process_time()
        work()
        taken.append((time.process_time() - start) * 1000)
    return statistics.median(taken)


def _asked(case: Case, question: str) -> float:
    now = judge().judge(case)
    return milliseconds(lambda: told(judge(), case, now, question, listener()), 3)


def measured() -> dict[str, float]:
    """The slowest of each over the sentences of the table and the cases, and one judgement."""
    ear = listener()
    found = {"one judgement": milliseconds(lambda: judge().judge(CASES["repair"]))}
    found["a sentence"] = max(milliseconds(lambda text=row.text: ear.hear(text), 3) for row in rows())
    questions = {
        "why": "why?",
        "why not": "why not repair?",
        "what if": "what if the angle were 30 degrees?",
        "how sure": "how sure?",
        "least change": "least change",
    }
    for name, question in questions.items():
        found[name] = max(_asked(case, question) for case in CASES.values())
    return found


def main() -> int:
    """Prints the table; 1 when a bound is broken."""
    found = measured()
    base = found["one judgement"]
    for name in BOUNDS_MS:
        noted(f"{name}, the slowest", found[name] / base, "judgements")
    for name, taken in found.items():
        bound = BOUNDS_MS.get(name)
        mark = "" if bound is None else f"  bound {bound} ms{'' if taken <= bound else '  TOO SLOW'}"
        print(f"{name:<14} {taken:8.2f} ms  {taken / base:7.1f} judgements{mark}")
    return int(any(found[name] > bound for name, bound in BOUNDS_MS.items()))


if __name__ == "__main__":
    sys.exit(main())
