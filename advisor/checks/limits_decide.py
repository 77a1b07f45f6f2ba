"""Each limit decides something: for each one named in a condition there is a case that counts otherwise on its other
side, all else being the same. A limit that decides nothing misleads whoever looks its figure up. Limits named only in
wording, steps and as figures of worked-out values are left to the check for unused names."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.checks.proof import Bench, bench_of
from advisor.checks.space import Looks, looks_of
from advisor.engine.conditions import compiled
from advisor.errors import Problem
from advisor.model.rules import Condition, Leaf, RuleSet, leaves


def check(rules: RuleSet) -> Iterator[Problem]:
    """Limits tested somewhere that make a difference nowhere."""
    bench = bench_of(rules)
    tested: dict[str, list[tuple[Leaf, Condition]]] = {}
    for condition in _conditions(rules):
        for leaf in leaves(condition):
            if leaf.test in ("beyond", "within"):
                tested.setdefault(leaf.operand[0], []).append((leaf, condition))
    for name, uses in tested.items():
        if not any(_decides(leaf, condition, bench) for leaf, condition in uses):
            yield Problem(
                "limit-decides-nothing",
                rules.place_of("limits.yaml", name),
                f'the limit "{name}": no case counts otherwise on its other side',
                "a case that it decides",
                "look at the conditions that name it, or take it out",
            )


def _conditions(rules: RuleSet) -> Iterator[Condition]:
    from advisor.checks.space import every_condition

    return every_condition(rules)


def _decides(leaf: Leaf, condition: Condition, bench: Bench) -> bool:
    """Whether a condition turns, in some state of the other facts, when only this test's own fact changes."""
    space = bench.space
    own = space.numbers([leaf.subject])
    others = [number for number in space.numbers({each.subject for each in leaves(condition)}) if number not in own]
    test, side = compiled(condition, bench.rules), compiled(leaf, bench.rules)
    for fixed in space.choices(others):
        outcomes: dict[object, object] = {}
        table = dict(looks_of(fixed).table)
        for state in space.states(own[0]):
            looks = Looks({**table, **state.looks})
            outcome = test(looks)  # type: ignore[arg-type]
            if isinstance(outcome, bool):
                held = side(looks)  # type: ignore[arg-type]
                if isinstance(held, bool) and outcomes.setdefault(held, outcome) != outcome:
                    continue
        if len(outcomes) == 2 and len(set(outcomes.values())) == 2:
            return True
    return False
