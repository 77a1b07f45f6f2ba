"""Cautions that must never stand side by side, and those that must."""

from __future__ import annotations

import pytest

from tests.laws.support import base, changed, judged, rules
from tests.trees.boundary_table import boundary_rows

ON_THE_WHEEL = {"answers.demounted": "no"}
TOP_UP = "top-up-on-vehicle"


def cautions(tire: str, changes: dict[str, object]) -> set[str]:
    """The cautions of a base case with changes."""
    return set(judged(changed(base(tire), changes)).cautions)


def test_a_tire_with_enough_air_still_on_the_wheel_may_be_topped_up() -> None:
    assert TOP_UP in cautions("medium-truck", ON_THE_WHEEL)


@pytest.mark.parametrize("tire", ["passenger", "light-truck", "medium-truck"])
def test_a_tire_that_was_driven_soft_is_not_said_to_take_a_top_up(tire: str) -> None:
    found = cautions(tire, {**ON_THE_WHEEL, "answers.run-low": "yes"})
    assert "run-low-no-refill" in found
    assert TOP_UP not in found


def test_a_tire_that_may_have_been_driven_soft_is_not_said_to_take_a_top_up() -> None:
    assert TOP_UP not in cautions("medium-truck", {**ON_THE_WHEEL, "answers.run-low": "cant-tell"})


@pytest.mark.parametrize("finding", ["cord-ripple", "run-flat-signs", "separation", "bulge", "exposed-cord"])
def test_a_tire_with_damage_is_not_said_to_take_a_top_up(finding: str) -> None:
    assert TOP_UP not in cautions("medium-truck", {**ON_THE_WHEEL, "answers.findings": [finding]})


def test_what_is_always_shown_stands_in_every_verdict() -> None:
    for row in boundary_rows()[::5]:
        assert set(rules().about.always) <= set(judged(row.data).cautions), row.case


def test_no_caution_stands_twice() -> None:
    for row in boundary_rows()[::5]:
        found = judged(row.data).cautions
        assert len(found) == len(set(found)), row.case
