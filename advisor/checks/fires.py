"""Each ruling can hold: there is a case in which its condition is met on the way that leads to it. A ruling that can
never hold is a slip in its condition, or stands where no way leads. The case is looked for in every region of the
facts that the ruling and the way to it look at, and the engine itself has to confirm it."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.checks.firing import firing
from advisor.checks.proof import bench_of
from advisor.errors import Problem
from advisor.model.rules import RuleSet


def check(rules: RuleSet) -> Iterator[Problem]:
    """Rulings that hold in no case."""
    bench = bench_of(rules)
    for ruling in rules.rulings():
        found = firing(ruling, bench)
        counts = ruling.ending or ruling.restriction
        if not found.holds_somewhere or (counts and found.real and found.tried == 0):
            yield Problem(
                "never-holds",
                bench.place(ruling.node),
                f'the ruling "{ruling.id}" at {ruling.node}, which holds in no case at all',
                "a condition that some case meets",
                "look for two tests that exclude each other, or a way that leads past it",
            )
