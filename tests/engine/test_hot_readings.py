"""A hot reading is brought to cold by the law's table (49 CFR 393.75, inflation pressure), or not used at all."""

from datetime import date

import pytest

from advisor.engine.evaluator import Judge
from advisor.loader.case_file import read_case, split_cases
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set

JUDGE = Judge(load_rule_set(find_rule_set("us-road")))
CASE = """
answers: {{vehicle: truck, sidewall: "{size}", found-pressure: {found}, set-pressure: {wanted}, {hot} demounted: "no"}}
"""


def share(size, found, wanted, speed=None):
    hot = f"mean-speed: {speed}, " if speed else ""
    text = next(split_cases(CASE.format(size=size, found=found, wanted=wanted, hot=hot), "case"))
    return JUDGE.judge(read_case(text, JUDGE.rules, date(2026, 3, 14))).values["pressure-share"]


@pytest.mark.parametrize(
    ("size", "found", "wanted", "speed", "percent"),
    [
        # 126: 1700 kg, under the line of 4,000 lb: 5 psi off, both ends of the speed band included
        ("225/70R19.5 126/124M", "85 psi", "100 psi", "41 mph", 80),
        ("225/70R19.5 126/124M", "85 psi", "100 psi", "55 mph", 80),
        # 148: 3150 kg, above it: 15 psi off
        ("275/70R22.5 148/145M", "85 psi", "100 psi", "50 mph", 70),
        ("275/70R22.5 148/145M", "85 psi", "100 psi", None, 85),
    ],
)
def test_the_table_is_taken_off(size, found, wanted, speed, percent):
    value = share(size, found, wanted, speed)
    assert value.low == value.high == percent


@pytest.mark.parametrize("speed", ["40 mph", "56 mph", "cant-tell", "50-60 mph"])
def test_outside_the_table_there_is_no_share(speed):
    assert share("275/70R22.5 148/145M", "100 psi", "110 psi", speed) is None


def test_without_a_load_rating_there_is_none_either():
    assert share("275/70R22.5", "100 psi", "110 psi", "50 mph") is None
