"""A question's id stands in code once, in the registry of inputs: renaming it is a YAML edit and that line."""

from __future__ import annotations

from functools import lru_cache

import pytest

from advisor.loader.paths import find_rule_set
from advisor.loader.ruleset_loader import load_rule_set
from advisor.model.inputs import BY_QUESTION
from advisor.model.ruleset import RuleSet

from . import guards, guards_ids

SHIPPED = ("us-road", "uk-road", "de-road", "demo-shop")


@lru_cache(maxsize=3)
def rules(name: str) -> RuleSet:
    return load_rule_set(find_rule_set(name))


def _ids() -> set[str]:
    return {question for name in SHIPPED for question in rules(name).questions}


def test_no_question_id_is_written_out_in_code() -> None:
    assert guards_ids.id_faults(guards.sources(), _ids()) == []
    assert guards_ids.friends_gone(guards.sources()) == []


@pytest.mark.parametrize(
    "text",
    [
        'def f(facts):\n    """clock"""\n    return facts.get("clock")',
        'NEEDS = {"tread-depth": 1}',
        'why = f"injury-size|{1}: across?"',
        'label = "answers.dot-code"',
        'def f(index):\n    return f"earlier-repairs[{index}]"',
    ],
)
def test_an_id_that_is_written_out_is_found(text: str) -> None:
    assert len(guards_ids.id_faults({"advisor.work.planted": text}, _ids())) == 1


@pytest.mark.parametrize("text", ['"""clock"""', 'def f():\n    """clock"""', 'x = "o\'clock"', 'y = "clockwise"'])
def test_words_that_are_no_ids_are_left_alone(text: str) -> None:
    assert not guards_ids.id_faults({"advisor.work.planted": text}, _ids())


def test_a_false_friend_counts_in_its_own_module_only() -> None:
    assert not guards_ids.id_faults({"advisor.commands": 'COMMANDS = ("sidewall",)'}, _ids())
    assert guards_ids.id_faults({"advisor.commands.ask": 'COMMANDS = ("sidewall",)'}, _ids())


def test_the_registry_says_of_each_input_what_the_rules_say_of_the_question() -> None:
    for name in SHIPPED:
        for question in rules(name).questions.values():
            known = BY_QUESTION.get(question.id)
            if known is not None:
                assert (known.kind, known.over, known.quantity) == (question.kind, question.over, question.quantity)
    assert BY_QUESTION.keys() <= _ids()
    assert all(each.what_for for each in BY_QUESTION.values())
