"""That it can't be told whether a tire ran low never counts for more than that it did, in any rule set."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import pytest

from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from tests.laws.support import base, changed, read

RULES = ("us-road", "uk-road", "de-road", "demo-shop")
INSIDE: tuple[Any, ...] = (None, ["none"], ["stain"], "cant-tell", {"absent": ["stain"]})


@lru_cache(maxsize=3)
def judge_by(rules: str) -> Judge:
    return Judge(load_rule_set(find_rule_set(rules)))


def by(rules: str, tire: str, said: dict[str, str], inside: Any, demounted: str) -> Judgement:
    case = changed(base(tire), {f"answers.{name}": value for name, value in said.items()})
    case["answers"] |= {"demounted": demounted} | ({} if inside is None else {"run-low-inside": inside})
    return judge_by(rules).judge(read(case, judge_by(rules).rules))


@pytest.mark.parametrize("rules", RULES)
@pytest.mark.parametrize("tire", ["passenger", "light-truck", "medium-truck"])
@pytest.mark.parametrize("inside", INSIDE)
@pytest.mark.parametrize("demounted", ["yes", "no"])
def test_cant_tell_is_as_grave_as_yes_and_warns_of_as_much(rules: str, tire: str, inside: Any, demounted: str) -> None:
    for name, fine, worst in (("run-low", "no", "yes"), ("found-pressure", "55 psi", "0 psi")):
        plain = {"found-pressure": "55 psi", "set-pressure": "55 psi", "run-low": "no"}
        said = (fine, "cant-tell", worst)
        no, unknown, yes = (by(rules, tire, plain | {name: each}, inside, demounted) for each in said)
        assert no.verdict <= unknown.verdict <= yes.verdict, name
        about_low = {caution for caution in yes.cautions if caution.startswith("run-low")}
        assert about_low <= set(unknown.cautions), name


@pytest.mark.parametrize("rules", RULES)
@pytest.mark.parametrize("tire", ["passenger", "light-truck"])
def test_a_repair_of_one_that_may_have_run_low_says_so_first(rules: str, tire: str) -> None:
    for inside, begins in ((["none"], "It may have run low"), (None, "It may have run low")):
        said = {"found-pressure": "55 psi", "set-pressure": "55 psi", "run-low": "cant-tell"}
        got = by(rules, tire, said, inside, "yes")
        assert str(got.verdict) == "repair"
        assert judge_by(rules).do_now(got)[0].startswith(begins)
        assert ("run-low-not-gone-over" in got.cautions) == (inside is None)


@pytest.mark.parametrize("rules", RULES)
@pytest.mark.parametrize("tire", ["passenger", "light-truck"])
def test_what_is_known_of_its_running_low_is_said_and_no_more(rules: str, tire: str) -> None:
    """Found low and said not to have been driven so, it is treated as run low; that it ran low is not claimed."""
    not_driven = {"found-pressure": "41.25 psi", "set-pressure": "55 psi", "run-low": "no"}
    first = judge_by(rules).do_now(by(rules, tire, not_driven, ["none"], "yes"))[0]
    assert first.startswith("Found low (75 %)") and "ran low" not in first
    driven = by(rules, tire, not_driven | {"run-low": "yes"}, ["none"], "yes")
    assert judge_by(rules).do_now(driven)[0].startswith("It ran low")
