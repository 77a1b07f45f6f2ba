"""The driver's text and its source line agree, ending by ending and standing by standing."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.tools.lint.driver_words import check, disagrees


@pytest.mark.parametrize(
    ("text", "standing", "wrong"),
    [
        ("The published rules allow it.", "common practice", True),
        ("The published rules allow it.", "second-hand", True),
        ("The published rules allow it.", "published", False),
        ("By reports on the law it may not run.", "second-hand", False),
        ("The law bars it.", "derived", True),
        ("No published figure covers it.", "derived", False),
        ("The repair chart allows it.", "common practice", True),
        ("By common practice of the trade it is out.", "published", True),
        ("By common practice of the trade it is out.", "common practice", False),
        ("The chart bars it; how is common practice.", "published", False),
    ],
)
def test_what_a_text_may_say(text: str, standing: str, wrong: bool) -> None:
    assert bool(disagrees(text, standing)) is wrong


@pytest.mark.parametrize("name", ["us-road", "uk-road", "de-road", "demo-shop"])
def test_every_text_that_is_shipped_agrees(name: str) -> None:
    assert list(check(load_rule_set(find_rule_set(name)))) == []


@pytest.mark.parametrize("ending", ["repair-spot", "hold-run-low-light"])
def test_one_text_for_all_standings_is_named(ending: str) -> None:
    rules = load_rule_set(find_rule_set("us-road"))
    old = rules.endings[ending]
    told = "The published rules say so. " if ending == "repair-spot" else old.tell_driver
    endings = {**rules.endings, ending: replace(old, tell_driver=told, driver_by={})}
    assert [problem.found for problem in check(replace(rules, endings=endings)) if f'"{ending}"' in problem.found]
