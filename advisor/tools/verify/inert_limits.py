"""Limits that are tested somewhere and make a difference nowhere.

For each limit named in a condition there has to be a case that counts otherwise on its other side, all else being the
same. Limits named only in wording, steps and as figures of worked-out values are left to the check for unused names.

limit-decides-nothing (error): a limit on both sides of which every case counts the same.
Why it is bad: it misleads whoever looks its figure up, and the damage that it should stop passes.
PASS:
  limits.yaml:
    small-hole:
      {says: small, value: 3 mm, worse: above, at-limit: passes, standing: from memory, source: made-up, clause: none}
  paths.yaml:
    nodes/size/rulings/+: {id: hole, when: {size: {beyond: small-hole}}, restriction: not-steer, because: it is holed}
FAIL:
  limits.yaml:
    small-hole:
      {says: small, value: 3 mm, worse: above, at-limit: passes, standing: from memory, source: made-up, clause: none}
  paths.yaml:
    nodes/size/rulings/+:
      {id: hole, when: {any: [{size: {beyond: small-hole}}, {size: {within: small-hole}}]}, restriction: not-steer,
       because: it is holed}
"""

from __future__ import annotations

from collections.abc import Iterator

from advisor.model.problems import Problem
from advisor.model.ruleset import Condition, Leaf, RuleSet, leaves
from advisor.tools.verify.case_space import every_condition
from advisor.tools.verify.factors import Local, State3
from advisor.tools.verify.workbench import Bench, bench_of


def check(rules: RuleSet) -> Iterator[Problem]:
    """Limits tested somewhere that make a difference nowhere."""
    bench = bench_of(rules)
    tested: dict[str, dict[tuple[Leaf, Condition], None]] = {}
    for condition in every_condition(rules):
        for leaf in leaves(condition):
            if leaf.test in ("beyond", "within"):
                tested.setdefault(leaf.operand[0], {})[(leaf, condition)] = None
    for name, uses in tested.items():
        if not any(_decides(leaf, condition, bench) for leaf, condition in uses):
            yield Problem(
                "limit-decides-nothing",
                rules.place_of("limits.yaml", name),
                f'the limit "{name}": no case counts otherwise on its other side',
                "a case that it decides",
                "look at the conditions that name it, or take it out",
            )


def _decides(leaf: Leaf, condition: Condition, bench: Bench) -> bool:
    """Whether a condition turns with this test alone: all its other tests come out the same on both sides."""
    tests, group = bench.effects.tests, bench.space.group_of[leaf.subject]
    whole = tests.local(condition)
    side = bench.space.outcomes(leaf)
    beside = _beside(leaf, condition, bench)
    lots: dict[int, list[int]] = {}
    for place, kind in enumerate(beside):
        if isinstance(side[place], bool):
            lots.setdefault(kind, []).append(place)
    return any(_turns(whole, group, lot, side) for lot in lots.values())


def _beside(leaf: Leaf, condition: Condition, bench: Bench) -> list[int]:
    """The states of a test's group, told apart by the condition's other tests only."""
    group = bench.space.group_of[leaf.subject]
    others = [each for each in leaves(condition) if each.subject in bench.space.groups[group] and not _same(each, leaf)]
    kinds = bench.effects.tests.kinds(others)
    return kinds.get(group, [0] * len(bench.space.states(group)))


def _same(one: Leaf, other: Leaf) -> bool:
    """Whether two tests hold the same reading against the same limit: one turns whenever the other does."""
    return (
        one.subject == other.subject and one.operand == other.operand and {one.test, other.test} <= {"beyond", "within"}
    )


def _turns(whole: Local[State3], group: int, lot: list[int], side: list[object]) -> bool:
    inside = next((place for place in lot if side[place] is True), None)
    outside = next((place for place in lot if side[place] is False), None)
    if inside is None or outside is None:
        return False
    return any(
        {whole.at(cell), whole.at({**cell, group: outside})} == {True, False} for cell in whole.cells({group: inside})
    )
