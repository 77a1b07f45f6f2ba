"""Rulings that hold in no case.

Looked for in every region of the facts that the ruling and the way to it look at.

never-holds (error): a ruling whose condition no case meets on the way that leads to it.
Why it is bad: it looks like a rule and stops nothing; its condition is a slip, or no way leads where it stands.
PASS:
  paths.yaml: {nodes/washed/rulings/not-washed/when: {washed: {is: "no"}, sealant: {is: "yes"}}}
FAIL:
  paths.yaml: {nodes/washed/rulings/not-washed/when: {washed: {is: "no"}, sealant: {is: "no"}}}
"""

from __future__ import annotations

from collections.abc import Iterator

from advisor.model.problems import Problem
from advisor.model.ruleset import RuleSet
from advisor.tools.verify.backtracking import Wish
from advisor.tools.verify.workbench import bench_of, nothing


def check(rules: RuleSet) -> Iterator[Problem]:
    """Rulings that hold in no case."""
    bench = bench_of(rules)
    for ruling in rules.rulings():
        wish = Wish(bench.effects.of(ruling), lambda brings: brings.holds)
        if next(bench.found([wish], {}, nothing), None) is None:
            yield Problem(
                "never-holds",
                rules.place_of_ruling(ruling),
                f'the ruling "{ruling.id}" at {ruling.node}, which holds in no case at all',
                "a condition that some case meets",
                "look for two tests that exclude each other, or a way that leads past it",
            )
