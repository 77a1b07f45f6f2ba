"""One unit over two openings: worked by hand, across the valve, in doubt, and said only where a rule set has it."""

from __future__ import annotations

import json
import random

import pytest
import shapely
from shapely.affinity import rotate, translate

from advisor.domain.geometry.injury_channel import liner_ellipse
from advisor.domain.geometry.unit_cover import joint_cover_left, opening_reach
from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.loader.case_file import read_case, split_cases
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.quantity import Measure, between, exactly
from tests.engine.geometry_support import case_of

SHOP = Judge(load_rule_set(find_rule_set("demo-shop")))
MEASURED = {"injury-zone": "crown", "injury-angle": "0 deg", "injury-size": "6 mm"}


def mm(value: float | str) -> Measure:
    return exactly(str(value), "mm")


def shop(*injuries: dict[str, object]) -> Judgement:
    case = case_of("truck", list(injuries), unit_length="90 mm", unit_width="75 mm", earlier_repairs=[])
    (text,) = split_cases(json.dumps(case), "case")
    return SHOP.judge(read_case(text, SHOP.rules, None))


def test_worked_by_hand() -> None:
    """90 - 24 - (6 + 8) / 2 - 2 x 10 = 39 along; 75 - 16 - (6 + 10) / 2 - 20 = 31 across."""
    openings = ((mm(6), mm(6)), (mm(8), mm(10)))
    assert joint_cover_left((mm(90), mm(75)), (mm(24), mm(16)), openings, mm(10)) == (mm(39), mm(31))
    wide = joint_cover_left((mm(90), mm(75)), (between(20, 28, "mm"), mm(16)), openings, mm(10))
    assert wide == (between(35, 43, "mm"), mm(31))


def test_against_an_independent_library() -> None:
    """The two openings as ellipses, turned as they lie: what a box round both with the margin measures."""
    draw = random.Random(20260314)
    for _ in range(400):
        size, angle, turn = draw.uniform(3, 12), draw.uniform(0, 60), draw.uniform(0, 360)
        ellipse = liner_ellipse(mm(size), exactly(str(angle), "deg"))
        reach = opening_reach(ellipse, exactly(str(turn), "deg"))
        circle = shapely.Point(0, 0).buffer(0.5, quad_segs=512)
        long, short = (float(each.low) for each in (ellipse[1], ellipse[0]))
        # x runs clockwise along, y towards the serial side; the long way points to the clock direction
        shape = rotate(shapely.affinity.scale(circle, short, long), -turn, origin=(0, 0))
        dx, dy = draw.uniform(0, 60), draw.uniform(0, 40)
        left, bottom, right, top = shapely.union_all([shape, translate(shape, dx, dy)]).bounds
        along, across = joint_cover_left((mm(90), mm(75)), (mm(dx), mm(dy)), (reach, reach), mm(5))
        assert float(along.low) == pytest.approx(90 - (right - left) - 10, abs=0.01)
        assert float(across.low) == pytest.approx(75 - (top - bottom) - 10, abs=0.01)


@pytest.mark.parametrize(("second", "said"), [("12:05", True), ("12:20", False)])
def test_a_rule_set_with_a_ruling_says_it_across_the_valve(second: str, said: bool) -> None:
    got = shop(
        {**MEASURED, "clock": "11:59", "offset": "5 mm"},
        {**MEASURED, "clock": second, "offset": "-5 mm"},
    )
    assert ("shop-one-unit-for-two" in got.cautions) is said
    left = got.values["joint-cover"]
    assert isinstance(left, Measure) and (left.low >= 0) is said


def test_in_doubt_it_is_not_said() -> None:
    got = shop(
        {**MEASURED, "clock": "11:59", "offset": "5 mm"},
        {**MEASURED, "clock": "12:05-12:20", "offset": "-5 mm"},
    )
    assert "shop-one-unit-for-two" not in got.cautions


def test_the_published_rules_have_nothing_on_it_and_say_nothing() -> None:
    rules = load_rule_set(find_rule_set("us-road"))
    assert "joint-cover" not in rules.values
    assert not [caution for caution in rules.cautions.values() if "one unit could close" in caution.says.casefold()]
