"""Loading a rule set against the C parser's own compose time over the same texts, in turn within each round.

Loading is everything: reading the files, composing, typing every value, checking every name, with a place for each.
Run: python tests/bench/loading.py
"""

from __future__ import annotations

import gc
import statistics
import sys
import time
from collections.abc import Callable

import yaml
from ratio import noted

from advisor.loader.ruleset_loader import FILES, find_rule_set, load_rule_set

ROUNDS = 21
MOST = 1.5


def seconds(work: Callable[[], object]) -> float:
    """How long it takes in processor time, the collector of cycles at rest for both, as in a start."""
    gc.collect()
    gc.disable()
    begun = time.process_time()
    made = work()
    taken = time.process_time() - begun
    del made
    gc.enable()
    return taken


def main() -> int:
    """Prints both medians and the ratio; 1 when the aim was missed."""
    folder = find_rule_set("us-road")
    texts = [(folder / name).read_text() for name in FILES if (folder / name).exists()]
    lines = sum(text.count("\n") for text in texts)
    ours, floor = [], []
    for _ in range(ROUNDS):
        floor.append(seconds(lambda: [yaml.compose(text, Loader=yaml.CBaseLoader) for text in texts]))
        ours.append(seconds(lambda: load_rule_set(folder)))
    ratio = statistics.median(a / b for a, b in zip(ours, floor, strict=True))
    one, other = (statistics.median(times) * 1000 for times in (ours, floor))
    print(f"us-road, {lines} lines: loaded in {one:.1f} ms, composed by the C parser in {other:.1f} ms")
    print(f"per 1,500 lines {one * 1500 / lines:.1f} ms")
    return int(not noted("a rule set loaded from its YAML", ratio, "x composing it", MOST))


if __name__ == "__main__":
    sys.exit(main())
