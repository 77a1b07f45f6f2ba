"""Thousands of whole cases, judged by the program and by the verdict table written a second time."""

from __future__ import annotations

import random
from collections import Counter
from typing import Any

import pytest

from tests.laws.support import NAIL_HOLE, CaseData, base, judged
from tests.trees.plain_rules import ALWAYS_SCRAP, expected, method_of

BATCHES = 6
CASES_A_BATCH = 150

TIRE_CHOICES: dict[str, tuple[Any, ...]] = {
    "vehicle": ("car", "van-or-pickup", "truck", "truck", "bus", "trailer", "other"),
    "wheel-position": ("steer", "steer", "drive", "trailer", "other", "cant-tell"),
    "tire-class": ("passenger", "light-truck", "medium-truck"),
    "load-range": ("C", "E", "F", "G", "H", "SL"),
    "construction": ("radial", "bias"),
    "retread": ("no", "recapped", "regrooved"),
    "run-low": ("no", "yes"),
    "demounted": ("yes", "no"),
    "tread-depth": (
        "1/32 in",
        "2/32 in",
        "2.1/32 in",
        "3.9/32 in",
        "4/32 in",
        "1.6 mm",
        "1.7 mm",
        "3.1 mm",
        "3.2 mm",
    ),
    "self-supporting": ("no", "yes"),
    "sealant": ("no", "yes"),
    "found-pressure": ("48 psi", "49 psi", "0 psi"),
    "findings": tuple([name] for name in sorted(ALWAYS_SCRAP | {"bulge", "liner-split", "other-damage"})),
    "earlier-repairs": ([], [{"sound": "no"}]),
    "bulge-height": ("1/8 in", "3/8 in", "13/32 in"),
    "bulge-mark": ("yes", "no"),
}
INJURY_CHOICES: dict[str, tuple[Any, ...]] = {
    "injury-depth": ("through", "reaches-cord", "rubber-only", "rubber-only"),
    "injury-zone": ("crown", "shoulder", "sidewall", "bead"),
    "injury-size": ("1/4 in", "9/32 in", "3/8 in", "13/32 in", "6 mm", "6.2 mm", "10 mm", "10.2 mm"),
    "injury-angle": ("0 deg", "25 deg", "25.1 deg", "40 deg"),
    "cut-depth": ("1.9/32 in", "2/32 in", "2.1/32 in"),
    "inside-signs": (["liner-split"], ["loose-cord"], ["rust"], ["separation"]),
}
#: What every case has, as the table asks it of none.
FILLED = {
    "bulge-mark": "yes",
    "bulge-height": "1/8 in",
    "set-pressure": "60 psi",
    "found-pressure": "57 psi",
}


def any_case(dice: random.Random) -> CaseData:
    """A whole case with exact answers, a few of them not those of a plain repair."""
    case = base(dice.choice(("passenger", "light-truck", "medium-truck", "medium-truck")))
    case["answers"] |= FILLED
    for name in dice.sample(sorted(TIRE_CHOICES), dice.choice((0, 1, 2, 3))):
        case["answers"][name] = dice.choice(TIRE_CHOICES[name])
    injury = {**NAIL_HOLE, "cut-depth": "1/32 in"}
    for name in dice.sample(sorted(INJURY_CHOICES), dice.choice((0, 1, 2, 3))):
        injury[name] = dice.choice(INJURY_CHOICES[name])
    case["injuries"] = [injury]
    if dice.random() < 1 / len(TIRE_CHOICES) + 0.1:
        zone = dice.choice(INJURY_CHOICES["injury-zone"])
        cut = {
            "injury-depth": "rubber-only",
            "injury-zone": zone,
            "cut-depth": "1/32 in",
            "inside-signs": ["none"],
        }
        case["injuries"].append(cut)
    return case


@pytest.mark.parametrize("batch", range(BATCHES))
def test_the_program_agrees_with_the_table_written_a_second_time(batch: int) -> None:
    dice = random.Random(batch)
    seen: Counter[str] = Counter()
    for _ in range(CASES_A_BATCH):
        case = any_case(dice)
        got, want = judged(case), expected(case)
        seen[want.verdict] += 1
        assert str(got.verdict) == want.verdict, case
        assert ("not-steer-axle" in got.restrictions) == want.not_steer, case
        if want.verdict == "repair":
            assert got.method == method_of(case), case
        assert not got.missing or got.settled, case
    assert set(seen) == {"repair", "refer", "hold", "scrap"}
