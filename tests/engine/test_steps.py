"""What several worked-out values go by is done once; each value comes out as if its function had done it itself."""

from __future__ import annotations

from random import Random

import pytest

from advisor.engine.derived.registry import CALLS
from advisor.engine.facts import Facts, Tables, Value
from advisor.loader.paths import find_rule_set
from advisor.loader.ruleset_loader import load_rule_set
from advisor.model.case import Answer, Case, Choice, Key
from advisor.model.inputs import MORE_INJURIES, OVER_INJURIES, OVER_REPAIRS, OVER_TIRE
from advisor.model.ruleset import RuleSet
from advisor.tools.verify.boundary_values import TODAY, answers_for

CASES = 120
GOES_BY_STEPS = ("nearest-repair", "joint-cover")


def _cases(rules: RuleSet) -> list[Case]:
    """Cases with two injuries and an earlier repair, some of whose answers come again and some are in doubt."""
    random = Random(3)
    given = {question.id: answers_for(question, rules, ()) for question in rules.questions.values()}

    def part(over: str) -> dict[str, Answer]:
        own = [question.id for question in rules.questions.values() if question.over == over]
        return {name: random.choice(given[name]) for name in own if random.random() < 0.95}

    parts = [part(OVER_INJURIES) for _ in range(CASES // 10)]
    return [
        Case(
            {**part(OVER_TIRE), "earlier-repairs": Choice(random.choice(("yes", "no")))},
            (part(OVER_REPAIRS),),
            ({**random.choice(parts), MORE_INJURIES: Choice("yes")}, random.choice(parts)),
            TODAY,
        )
        for _ in range(CASES)
    ]


def _looks(rules: RuleSet, cases: list[Case]) -> list[tuple[Value | None, frozenset[Key]]]:
    tables = Tables(rules, CALLS)
    return [Facts(tables, case).look(name) for case in cases for name in GOES_BY_STEPS]


@pytest.mark.parametrize("name", ["us-road", "uk-road", "de-road"])
def test_a_value_is_as_open_as_if_it_had_read_all_itself(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    rules = load_rule_set(find_rule_set(name))
    cases = _cases(rules)
    by_steps = _looks(rules, cases)
    done: list[str] = []

    def anew(facts: Facts, function: object) -> object:
        done.append(str(function))
        return function(facts)  # type: ignore[operator]

    monkeypatch.setattr(Facts, "step", anew)
    assert by_steps == _looks(rules, cases)
    assert len(done) > CASES and len({look for look in by_steps if look[1]}) > CASES // 10
