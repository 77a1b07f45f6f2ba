"""No case without an ending: wherever no ruling speaks against a repair, some method applies and has an ending of its
own. Where neither is so the engine holds the tire with no reason to show, which is a gap in the rules. Looked for in
every region of the facts that the methods look at, with all rulings that could fill the gap."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.checks.effects import Effect
from advisor.checks.proof import Bench, Proof, bench_of
from advisor.checks.space import Looks, State, looks_of
from advisor.engine.conditions import compiled
from advisor.errors import Problem
from advisor.model.rules import RuleSet, leaves


def check(rules: RuleSet) -> Iterator[Problem]:
    """Methods without an ending, and cases that no ruling and no method speaks for."""
    methods = [method for method in rules.methods.values() if method.when is not None]
    for method in methods:
        if not method.ending:
            yield Problem(
                "no-ending",
                rules.place_of("methods.yaml", method.id),
                f'the method "{method.id}", which can be chosen and has no ending',
                "the ending of a repair by it",
                'add "ending"',
            )
    if methods and any(part.over == "injuries" for part in rules.parts):
        yield from _gaps(bench_of(rules))


def _gaps(bench: Bench) -> Iterator[Problem]:
    rules, space = bench.rules, bench.space
    tests = [compiled(method.when, rules) for method in rules.methods.values() if method.when is not None]
    names = {leaf.subject for method in rules.methods.values() for leaf in leaves(method.when)}
    numbers = space.numbers(names)
    for states in space.choices(numbers):
        looks = looks_of(states)
        if any(test(looks) is True for test in tests) or not all(state.certain for state in states):  # type: ignore[arg-type]
            continue
        found = _uncovered(bench, states, set(numbers))
        if found is not None:
            case = bench.case(found)
            judgement = bench.judged(case)
            if not judgement.missing and not any(reason.ending for reason in judgement.reasons):
                yield Proof(
                    "no-ending",
                    bench.place(next(iter(rules.nodes))),
                    "a case that no ruling decides and no method fits",
                    "a ruling or a method for every case",
                    "add a ruling with an ending for it, or widen a method",
                    case=bench.text(case),
                )
                return


def _uncovered(bench: Bench, states: tuple[State, ...], numbers: set[int]) -> tuple[State, ...] | None:
    """States of the other facts in which no ruling that looks at the methods' facts speaks up; None where all do."""
    space = bench.space
    looks = looks_of(states)
    speaking = [each for each in bench.effects.every if _may(each, looks, numbers, bench)]
    others = [
        number for number in space.numbers({name for each in speaking for name in each.names}) if number not in numbers
    ]
    for rest in space.choices(others):
        if not all(state.certain for state in rest):
            continue
        together = looks_of((*states, *rest))
        if not any(each.verdict(together) for each in speaking):
            return (*states, *rest)
    return None


def _may(effect: Effect, looks: Looks, numbers: set[int], bench: Bench) -> bool:
    """Whether a ruling with an ending looks at the methods' facts, and they don't rule it out."""
    if not effect.ruling or not effect.ruling.ending or not numbers & set(bench.space.numbers(effect.names)):
        return False
    return compiled(effect.ruling.when, bench.rules)(looks) is not False  # type: ignore[arg-type]
