"""What each function of values.yaml says it reads, held against what it looks at over many cases."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from random import Random

import pytest

from advisor.engine.derived.registry import CALLS, FUNCTIONS, Function, Registered
from advisor.engine.facts import Facts, LimitFigures, Tables, Value
from advisor.loader.paths import find_rule_set
from advisor.loader.ruleset_loader import load_rule_set
from advisor.model.case import Answer, Case, Choice
from advisor.model.inputs import BY_QUESTION, MORE_INJURIES, OVER_INJURIES, OVER_REPAIRS, OVER_TIRE
from advisor.model.ruleset import RuleSet
from advisor.tools.verify.boundary_values import TODAY, answers_for
from tests.laws.support import read
from tests.trees.boundary_table import boundary_rows

DRAWN = 80


class Watch:
    """Notes the names that each function asks its facts for, by watching `look` and `said`."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, calls: Mapping[str, Function]) -> None:
        self.reads: dict[str, set[str]] = {name: set() for name in calls}
        self.at_work: list[str] = []
        self.calls = {name: self._watched(name, call) for name, call in calls.items()}
        for way in ("look", "said"):
            monkeypatch.setattr(Facts, way, self._noting(getattr(Facts, way)))
        # a step is done for each value that goes by it, so that each is seen to read what the step reads
        monkeypatch.setattr(Facts, "step", lambda facts, function: function(facts))

    def _watched(self, name: str, call: Function) -> Function:
        def watched(facts: Facts, figures: LimitFigures) -> Value | None:
            self.at_work.append(name)
            try:
                return call(facts, figures)
            finally:
                self.at_work.pop()

        return watched

    def _noting(self, way: Function) -> object:
        def noting(facts: Facts, name: str) -> object:
            for function in self.at_work[-1:]:
                self.reads[function].add(name)
            return way(facts, name)  # type: ignore[arg-type]

        return noting

    def work_out(self, rules: RuleSet, cases: Iterator[Case]) -> None:
        """Works out every value of the rules for every case."""
        tables = Tables(rules, self.calls)
        for case in cases:
            tire = Facts(tables, case)
            for name, value in rules.values.items():
                for part in [tire] if value.over == OVER_TIRE else tire.each(value.over):
                    part.look(name)


def _cases(rules: RuleSet) -> Iterator[Case]:
    """Those of the boundary table, then cases drawn from the answers that stand for all."""
    if "mean-speed" in rules.questions:
        yield from (read(row.data) for row in boundary_rows())
    random = Random(7)
    given = {question.id: answers_for(question, rules, ()) for question in rules.questions.values()}

    def part(over: str) -> dict[str, Answer]:
        own = [question.id for question in rules.questions.values() if question.over == over]
        return {name: random.choice(given[name]) for name in own if random.random() < 0.9}

    for _ in range(DRAWN):
        injuries = {**part(OVER_INJURIES), MORE_INJURIES: Choice("yes")}, part(OVER_INJURIES)
        yield Case(part(OVER_TIRE), (part(OVER_REPAIRS),), injuries, TODAY)


def _declared(function: Registered) -> set[str]:
    return {*function.reads, *function.may_read, *(name for _, names in function.read_with for name in names)}


def test_no_function_reads_what_it_does_not_say(monkeypatch: pytest.MonkeyPatch) -> None:
    watch = Watch(monkeypatch, CALLS)
    for name in ("us-road", "uk-road", "de-road", "demo-shop"):
        rules = load_rule_set(find_rule_set(name))
        watch.work_out(rules, _cases(rules))
    undeclared = {name: found for name, reads in watch.reads.items() if (found := reads - _declared(FUNCTIONS[name]))}
    never_read = {name: found for name, reads in watch.reads.items() if (found := _declared(FUNCTIONS[name]) - reads)}
    assert undeclared == {}
    assert never_read == {}


def test_a_read_that_was_not_said_is_noted(monkeypatch: pytest.MonkeyPatch) -> None:
    def sly(facts: Facts, figures: LimitFigures) -> Value | None:
        return facts.get("vehicle") if facts.said("retread") else None

    watch = Watch(monkeypatch, {**CALLS, "lowest-tread": sly})
    rules = load_rule_set(find_rule_set("us-road"))
    watch.work_out(rules, iter([Case({"vehicle": Choice("car"), "retread": Choice("no")}, today=TODAY)]))
    assert watch.reads["lowest-tread"] == {"vehicle", "retread"}


def test_what_is_read_is_an_input_or_a_worked_out_value() -> None:
    values = (
        load_rule_set(find_rule_set("us-road")).values.keys() | load_rule_set(find_rule_set("uk-road")).values.keys()
    )
    for name, function in FUNCTIONS.items():
        assert _declared(function) <= BY_QUESTION.keys() | values, name
        assert function.call is CALLS[name]
