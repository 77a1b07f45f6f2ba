"""The plan of a rule set against its conditions one by one, and remembered values against those worked out anew."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from random import Random

import pytest

from advisor.engine.condition_plan import Plan
from advisor.engine.conditions import compiled
from advisor.engine.derived.registry import CALLS
from advisor.engine.facts import Facts, Memory, Tables
from advisor.loader.case_file import CaseText, read_case, split_cases
from advisor.loader.kept_cases import DAY, kept_texts
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set, trees_folder
from advisor.model.case import CANT_TELL, Answer, Case, Choice
from advisor.model.problems import Problems
from advisor.model.ruleset import RuleSet
from advisor.tools.verify.boundary_values import answers_for
from advisor.tools.verify.case_space import every_condition

SETS = ("us-road", "uk-road", "de-road", "demo-shop")
CASES = 20


@lru_cache
def rules_of(name: str) -> RuleSet:
    return load_rule_set(find_rule_set(name))


def cases(rules: RuleSet, count: int = CASES) -> Iterator[Case]:
    """Cases from all answers that stand for others: each given, left out or not told by chance."""
    random = Random(count)
    given = {question.id: [*answers_for(question, rules, ()), CANT_TELL] for question in rules.questions.values()}

    def part(over: str, last: bool = True) -> dict[str, Answer]:
        own = [question.id for question in rules.questions.values() if question.over == over]
        answers = {name: random.choice(given[name]) for name in own if random.random() < 0.85}
        more = rules.more_of(over)
        return {**answers, **({more: Choice("no" if last else "yes")} if more else {})}

    for _ in range(count):
        injuries = (part("injuries", False), part("injuries")) if random.random() < 0.5 else (part("injuries"),)
        repairs = (part("earlier-repairs"),) if random.random() < 0.4 else ()
        yield Case(part("tire"), repairs, injuries, DAY)


@pytest.mark.parametrize("name", SETS)
def test_every_condition_comes_out_as_its_own_tests_say(name: str) -> None:
    rules = rules_of(name)
    plan, conditions = Plan(rules), list(every_condition(rules))
    terms = [plan.terms(condition) for condition in conditions]
    outcomes = set()
    for case in cases(rules):
        tire = Facts(Tables(rules, CALLS), case)
        seen = plan.see(tire)
        for facts in (tire, *tire.each("injuries"), *tire.each("earlier-repairs")):
            here = seen if facts is tire else plan.see(facts, seen)
            for condition, bits in zip(conditions, terms, strict=True):
                state = compiled(condition, rules)(facts)
                assert here.state(bits) is (state if isinstance(state, bool) else None), condition
                outcomes.add(here.state(bits))
    assert outcomes == {True, False, None}


@pytest.mark.parametrize("name", SETS)
def test_a_value_remembered_is_the_value_worked_out(name: str) -> None:
    rules = rules_of(name)
    remembering = Tables(rules, CALLS)
    recalled = 0
    for case in [*cases(rules), *cases(rules, 8), *cases(rules)]:
        known, fresh = Facts(remembering, case), Facts(Tables(rules, CALLS), case)
        for value in rules.values.values():
            for here, anew in zip(
                [known] if value.over == "tire" else known.each(value.over),
                [fresh] if value.over == "tire" else fresh.each(value.over),
                strict=True,
            ):
                recalled += remembering.memory.recall(value.id, here) is not None
                assert here.look(value.id) == anew.look(value.id), value.id
        assert known.keys_read() == fresh.keys_read()
    assert recalled > 500


def test_what_is_kept_is_bounded(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Memory, "MOST", 30)
    rules = rules_of("us-road")
    tables = Tables(rules, CALLS)
    for case in cases(rules, 20):
        tire, fresh = Facts(tables, case), Facts(Tables(rules, CALLS), case)
        for value in rules.values.values():
            if value.over == "tire":
                assert tire.look(value.id) == fresh.look(value.id)
    assert tables.memory.kept <= 30


def test_kept_cases_are_judged_by_the_plan_as_their_conditions_say() -> None:
    rules, count = rules_of("us-road"), 0
    plan = Plan(rules)
    rulings = [(compiled(each.when, rules), plan.terms(each.when)) for each in rules.rulings()]
    for text in _texts():
        try:
            case = read_case(text, rules, DAY)
        except Problems:
            continue
        tire = Facts(Tables(rules, CALLS), case)
        seen = plan.see(tire)
        for injury in tire.each("injuries"):
            here = plan.see(injury, seen)
            for test, bits in rulings:
                state = test(injury)
                assert here.state(bits) is (state if isinstance(state, bool) else None)
                count += 1
    assert count > 10_000


def _texts() -> list[CaseText]:
    return [*kept_texts(trees_folder() / "us-road"), *split_cases("answers: {vehicle: truck}\n", "one.yaml")]
