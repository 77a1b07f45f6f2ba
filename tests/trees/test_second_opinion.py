"""Thousands of whole cases, judged by the program and by the verdict table written a second time."""

from __future__ import annotations

import random
from collections import Counter
from typing import Any

import pytest

from advisor.model.ruleset import STANDINGS
from tests.laws.support import NAIL_HOLE, CaseData, base, judged
from tests.trees.plain_rules import ALWAYS_SCRAP, FIGURES, expected, method_of, printed

BATCHES = 6
CASES_A_BATCH = 150


def around(name: str) -> tuple[str, ...]:
    """Each printed figure itself, and a little to both sides of it, also in the other unit."""
    found = []
    for text in printed(name):
        number, unit = text.rsplit(" ", 1)
        over, _, under = number.partition("/")
        near = [float(over) * share for share in (0.97, 1.03)]
        found += [text, *(f"{each:.3f}{'/' * bool(under)}{under} {unit}" for each in near)]
        found += [f"{each / int(under) * 25.4:.3f} mm" for each in near if under]
    return tuple(found)


TIRE_CHOICES: dict[str, tuple[Any, ...]] = {
    "vehicle": ("car", "van-or-pickup", "truck", "truck", "bus", "trailer", "other"),
    "wheel-position": ("steer", "steer", "drive", "trailer", "other", "cant-tell"),
    "tire-class": ("passenger", "light-truck", "medium-truck"),
    "load-range": ("C", "E", "F", "G", "H", "SL"),
    "construction": ("radial", "bias"),
    "retread": ("no", "recapped", "regrooved"),
    "run-low": ("no", "yes"),
    "demounted": ("yes", "no"),
    "tread-depth": (*around("tread-floor"), *around("tread-steer")),
    "self-supporting": ("no", "yes"),
    "sealant": ("no", "yes"),
    "found-pressure": ("48 psi", "49 psi", "0 psi"),
    "findings": tuple([name] for name in sorted(ALWAYS_SCRAP | {"bulge", "liner-split", "other-damage"})),
    "earlier-repairs": ([], [{"sound": "no"}]),
    "bulge-height": around("marked-bulge"),
    "bulge-mark": ("yes", "no"),
}
INJURY_CHOICES: dict[str, tuple[Any, ...]] = {
    "injury-depth": ("through", "reaches-cord", "rubber-only", "rubber-only"),
    "injury-zone": ("crown", "shoulder", "sidewall", "bead"),
    "injury-size": (*around("hole-light"), *around("hole-truck")),
    "injury-angle": ("0 deg", *around("one-piece-angle")),
    "cut-depth": around("sidewall-cut"),
    "inside-signs": (["liner-split"], ["loose-cord"], ["rust"], ["separation"]),
}
#: What every case has, as the table asks it of none.
FILLED = {
    "bulge-mark": "yes",
    "bulge-height": "1/8 in",
    "set-pressure": "60 psi",
    "found-pressure": "57 psi",
    "regroove-mark": "yes",
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


def test_each_figure_says_where_it_stands() -> None:
    for row in FIGURES.values():
        assert row["source"] and row["clause"] and row["standing"] in STANDINGS, row


def test_the_table_can_disagree(monkeypatch: pytest.MonkeyPatch) -> None:
    case = base("passenger")
    monkeypatch.setitem(FIGURES, "hole-light", FIGURES["hole-light"] | {"metric": "1 mm"})
    assert expected(case).verdict == "scrap" and str(judged(case).verdict) == "repair"
