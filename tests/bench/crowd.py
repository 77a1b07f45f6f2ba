"""How many prompts truthful technicians need until the verdict is settled.

`python tests/bench/crowd.py [RULES] [N] [--in-order]`.

The crowd is made up and seeded: tires of practice, one for each ruling, limit and doubt in turn, no verdict left out
for long. Each knows everything about its tire, and answers each prompt of `advisor walk`. Prints the averages by
verdict, with the aim; exit 1 where one is missed.
"""

from __future__ import annotations

import os
import sys
from collections import defaultdict
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from statistics import mean

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from ratio import noted

from advisor.dialogue.walking import Walked, walked
from advisor.engine.evaluator import Judge
from advisor.loader.cache import copies_folder, ready_rule_set
from advisor.loader.paths import find_rule_set
from advisor.model.case import Case
from advisor.practise.made_up import Workshop
from advisor.practise.tire_maker import TireMaker, drawn
from advisor.practise.tire_plan import MIXED, plan_for

#: Settled after so many prompts at most, averaged.
AIMS = {"scrap": 4, "refer": 9, "repair": 10, "hold": 9}
SEED = "crowd"


def crowd(rules: str, count: int) -> tuple[Judge, Iterator[Case]]:
    """The judge, and so many whole cases, the same each time."""
    folder, copies = find_rule_set(rules), copies_folder(os.environ)
    workshop = Workshop(ready_rule_set(folder, copies), date(2026, 3, 14))
    maker = TireMaker(workshop, plan_for(workshop, copies, folder))
    items = drawn(maker.whole(), MIXED, 0, count, SEED)
    return workshop.judge, (maker.made(item, number).case for number, item in enumerate(items))


def averages(judge: Judge, cases: Iterator[Case], in_order: bool) -> dict[str, list[Walked]]:
    """The consultations walked, by verdict."""
    found: dict[str, list[Walked]] = defaultdict(list)
    for case in cases:
        each = walked(judge, case, in_order)
        found[str(each.verdict)].append(each)
    return found


def main() -> int:
    """Prints the table; 1 where an aim was missed."""
    words = sys.argv[1:]
    rules = next((word for word in words if not word.isdigit() and word != "--in-order"), "us-road")
    count = int(next((word for word in words if word.isdigit()), "300"))
    found, met = averages(*crowd(rules, count), "--in-order" in words), True
    print(f"{rules}: {count} made-up technicians, seed {SEED}")
    for verdict, aim in AIMS.items():
        several = found.get(verdict, [])
        ended = [each.settled_after for each in several if each.settled_after is not None]
        if not ended:
            print(f"{verdict:7} none settled of {len(several)}")
            continue
        prompts, questions = mean(one for one, _ in ended), mean(two for _, two in ended)
        whole = mean(len(each.prompts) for each in several)
        print(
            f"{verdict:7} {len(several):3} tires, {len(several) - len(ended)} never settled; settled after "
            f"{prompts:.1f} prompts, {questions:.1f} questions; whole record {whole:.1f} prompts"
        )
        met &= noted(f"{rules} {verdict} settled", prompts, "prompts", aim)
    return int(not met)


if __name__ == "__main__":
    sys.exit(main())
