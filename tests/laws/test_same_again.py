"""The same case gives the same answer: judged twice, its answers in another order, its injuries in another order."""

from __future__ import annotations

import random
from typing import Any

from hypothesis import assume, given
from hypothesis import strategies as st

from advisor.console.json_output import answer_of
from advisor.engine.evaluator import Judge
from advisor.model.problems import Problems
from tests.laws.cases import cases, few
from tests.laws.support import CaseData, answered, base, read, rules


def shuffled(data: Any, dice: random.Random) -> Any:
    """The same data with the keys of every mapping in another order; lists stay as they are."""
    if isinstance(data, dict):
        keys = list(data)
        dice.shuffle(keys)
        return {key: shuffled(data[key], dice) for key in keys}
    return [shuffled(item, dice) for item in data] if isinstance(data, list) else data


@few(60)
@given(cases(), st.randoms(use_true_random=False))
def test_the_order_of_answers_in_a_file_does_not_matter(case: CaseData, dice: random.Random) -> None:
    try:
        assert answered(shuffled(case, dice)) == answered(case)
    except Problems:
        assume(False)


@few(30)
@given(cases())
def test_judging_twice_and_by_a_new_judge_gives_the_same(case: CaseData) -> None:
    try:
        first = answered(case)
    except Problems:
        assume(False)
        return
    assert answered(case) == first
    fresh = Judge(rules())
    assert answer_of(fresh.judge(read(case)), fresh) == first


WHOLE = ("verdict", "ending", "restrictions", "settled", "could_end", "method", "also_allowed")


def _own(injury: dict[str, Any]) -> dict[str, Any]:
    """What is said of an injury, without its number."""
    reasons = sorted((reason["ruling"], reason["says"], reason["verdict"]) for reason in injury["reasons"])
    return {
        "verdict": injury["verdict"],
        "method": injury["method"],
        "ending": injury["ending"],
        "reasons": reasons,
    }


@few(60)
@given(cases(injuries=(2, 3)), st.randoms(use_true_random=False))
def test_injuries_in_another_order_are_judged_the_same(case: CaseData, dice: random.Random) -> None:
    order = list(range(len(case["injuries"])))
    dice.shuffle(order)
    moved = {**case, "injuries": [case["injuries"][index] for index in order]}
    try:
        first, second = answered(case), answered(moved)
    except Problems:
        assume(False)
        return
    assert [_own(second["injuries"][place]) for place in range(len(order))] == [
        _own(first["injuries"][index]) for index in order
    ]
    for name in WHOLE:
        assert first[name] == second[name], name
    for place, index in enumerate(order):
        for name in ("zone", "channel-length", "inner-offset", "stem-length"):
            assert first["worked_out"][f"{name}[{index}]"] == second["worked_out"][f"{name}[{place}]"]
    assert first["worked_out"]["nearest-repair"] == second["worked_out"]["nearest-repair"]


def test_a_shuffle_really_moves_keys() -> None:
    case = base("passenger")
    assert list(shuffled(case, random.Random(1))["answers"]) != list(case["answers"])
    assert shuffled(case, random.Random(1)) == case


def test_the_ending_does_not_hang_on_which_injury_was_told_first() -> None:
    shoulder = {**base("passenger")["injuries"][0], "injury-zone": "shoulder"}
    too_large = {**base("passenger")["injuries"][0], "injury-size": "9 mm"}
    endings = [
        answered({**base("passenger"), "injuries": injuries})["ending"]
        for injuries in ([shoulder, too_large], [too_large, shoulder])
    ]
    assert endings[0] == endings[1]
