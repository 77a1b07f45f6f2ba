"""Which verdicts are still possible: held against every way of answering what is left, by brute force.

The choices of the questions come from the rule set, the figures stand on both sides of each limit. `could_end` must
list every verdict that is reached, and no other than the one that stands while the answers are missing.
"""

from __future__ import annotations

import itertools
import random
from typing import Any

import pytest

from tests.laws.support import CaseData, answered, base, changed, rules

FIGURES: dict[str, list[Any]] = {
    "found-pressure": ["0 psi", "60 psi", "100 psi"],
    "set-pressure": ["50 psi", "105 psi", "150 psi"],
    "tread-depth": ["0 mm", "2/32 in", "3/32 in", "9/32 in"],
    "earlier-repairs": [[], [{"sound": "no"}]],
    "injury-size": ["4 mm", "6 mm", "8 mm", "10 mm", "11 mm"],
    "injury-angle": ["0 deg", "25 deg", "30 deg"],
    "cut-depth": ["1/32 in", "2/32 in", "3/32 in"],
}
NEEDED = tuple(name for name in base("passenger")["answers"] if not rules().questions[name].older_cases)
OF_THE_INJURY = tuple(base("passenger")["injuries"][0])


def every_answer(label: str) -> list[Any]:
    """Answers that stand for all, "can't tell" among them where the question may be answered so."""
    name = label.partition("[")[0]
    question = rules().questions[name]
    if name in FIGURES:
        found = list(FIGURES[name])
    elif question.kind == "choices":
        found = [["none"], *([choice.id] for choice in question.choices)]
    else:
        found = [choice.id for choice in question.choices]
    return [*found, "cant-tell"]


def completions(case: CaseData, labels: list[str]) -> list[CaseData]:
    """The case with the answers left open given in every way."""
    paths = [f"injuries[0].{label[:-3]}" if label.endswith("[0]") else f"answers.{label}" for label in labels]
    ways = itertools.product(*(every_answer(label) for label in labels))
    return [changed(case, dict(zip(paths, way, strict=True))) for way in ways]


def reached(case: CaseData, labels: list[str], deep: int = 1) -> set[str]:
    """The verdicts that the ways of answering end in; a question that an answer brings up is answered in turn."""
    found: set[str] = set()
    for whole in completions(case, labels):
        answer = answered(whole)
        more = [label for label in answer["missing"] if label not in labels]
        found |= reached(whole, more, deep - 1) if more and deep else {answer["verdict"]}
    return found


def odd_cases() -> list[CaseData]:
    """Seeded cases with one or two answers taken out, some about a tire that can't be looked at yet."""
    draw = random.Random(2319)
    found = []
    for number in range(90):
        case = base(("passenger", "light-truck", "medium-truck")[number % 3])
        tire, injury = case["answers"], case["injuries"][0]
        injury["injury-depth"] = draw.choice(["through", "through", "rubber-only", "reaches-cord"])
        injury["injury-zone"] = draw.choice(["crown", "crown", "shoulder", "sidewall"])
        injury["injury-size"] = draw.choice(["4 mm", "8 mm", "11 mm"])
        tire["wheel-position"] = draw.choice(["steer", "drive"])
        tire["demounted"] = draw.choice(["yes", "yes", "yes", "no"])
        tire["sealant"] = draw.choice(["no", "no", "no", "yes"])
        tire["tread-depth"] = draw.choice(["8/32 in", "8/32 in", "2/32 in"])
        for _ in range(draw.choice([1, 1, 2])):
            holder, name = draw.choice([*((tire, name) for name in NEEDED), *((injury, n) for n in OF_THE_INJURY)])
            holder.pop(name, None)
        found.append(case)
    return found


@pytest.mark.parametrize("case", odd_cases(), ids=lambda case: "")
def test_every_verdict_that_can_be_reached_is_listed_and_no_other(case: CaseData) -> None:
    answer = answered(case)
    left = [*answer["missing"], *answer["measure_again"]]
    if "vehicle" in left or len(completions(case, left)) > 400:
        pytest.skip("too many ways to try them all")
    brought = reached(case, left)
    assert brought <= set(answer["could_end"])
    assert set(answer["could_end"]) <= brought | {answer["verdict"]}
    assert answer["settled"] == (len(answer["could_end"]) == 1)
    assert answer["settled"] or left


@pytest.mark.parametrize("left_out", ["answers.findings", "answers.earlier-repairs", "injuries[0].inside-signs"])
@pytest.mark.parametrize("because", [{"answers.demounted": "no"}, {"answers.sealant": "yes"}])
def test_what_cannot_be_looked_at_yet_is_missing_all_the_same(left_out: str, because: dict[str, str]) -> None:
    answer = answered(changed(base("passenger"), {**because, left_out: None}))
    assert answer["verdict"] == "hold"
    assert answer["could_end"] == ["hold", "scrap"]
    assert not answer["settled"]
    label = left_out.partition(".")[2] + ("[0]" if left_out.startswith("injuries") else "")
    assert answer["missing"] == [label]


def test_two_rulings_that_share_an_open_answer_rule_a_repair_out_together() -> None:
    case = changed(base("light-truck"), {"answers.load-range": None, "injuries[0].injury-zone": "shoulder"})
    assert answered(case)["could_end"] == ["refer", "hold", "scrap"]
    too_large = changed(base("light-truck"), {"answers.load-range": None, "injuries[0].injury-size": "8 mm"})
    assert answered(too_large)["could_end"] == ["repair", "hold", "scrap"]


def test_a_missing_angle_leaves_open_where_the_inner_end_lies() -> None:
    slant = {
        "injuries[0].offset": "60 mm",
        "injuries[0].tread-width": "220 mm",
        "injuries[0].casing-thickness": "22 mm",
        "injuries[0].lean": "toward-shoulder",
        "injuries[0].injury-angle": None,
    }
    answer = answered(changed(base("medium-truck"), slant))
    assert answer["verdict"] == "hold"
    assert answer["missing"] == ["injury-angle[0]"]
    assert answer["could_end"] == ["repair", "refer", "hold"]


def test_an_unknown_earlier_repair_is_one_to_look_at_again_while_the_tire_is_on_the_wheel() -> None:
    answer = answered(
        changed(base("medium-truck"), {"answers.demounted": "no", "answers.earlier-repairs": "cant-tell"})
    )
    assert answer["measure_again"] == ["earlier-repairs"]
    assert answer["could_end"] == ["hold", "scrap"]
