"""Each ruling can hold: there is a case in which its condition is met on the way that leads to it. A ruling that can
never hold is a slip in its condition, or stands where no way leads. Looked for in every region of the facts that the
ruling and the way to it look at."""

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
