"""One next step, and each one taken: in every case a node leads on to just one other, and each of its ways on is taken
in some case. A way behind others that take all of its cases is never gone; two ways with the very same condition
would be two next steps at once. A node that no answers lead to is never asked."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.checks.proof import Bench, bench_of
from advisor.checks.space import looks_of
from advisor.engine.conditions import compiled
from advisor.errors import Problem
from advisor.model.rules import Node, RuleSet, leaves


def check(rules: RuleSet) -> Iterator[Problem]:
    """Ways on that are never taken, doubled ways, nodes that no case comes to."""
    bench = bench_of(rules)
    for node in rules.nodes.values():
        if len(node.next) > 1:
            yield from _ways(node, bench)
    for name in rules.nodes:
        if not _met(name, bench):
            yield Problem(
                "never-met",
                bench.place(name),
                f'the node "{name}", which no answers lead to',
                "a way that some case takes",
                "look at the conditions of the ways that lead to it",
            )


def _ways(node: Node, bench: Bench) -> Iterator[Problem]:
    conditions = [edge.when for edge in node.next]
    for number, when in enumerate(conditions):
        if (
            when is not None
            and when in conditions[:number]
            and node.next[number].to != node.next[conditions.index(when)].to
        ):
            yield _problem("two-next-steps", node, number, "the same condition as an earlier one", bench)
            return
    tests = [compiled(when, bench.rules) for when in conditions]
    names = {leaf.subject for when in conditions for leaf in leaves(when)}
    taken: set[int] = set()
    for states in bench.space.choices(bench.space.numbers(names)):
        looks = looks_of(states)
        taken.add(next(number for number, test in enumerate(tests) if test(looks) is True))  # type: ignore[arg-type]
        if len(taken) == len(tests):
            return
    for number in range(len(tests)):
        if number not in taken:
            yield _problem("hidden-way", node, number, "but the ways before it take all of its cases", bench)


def _problem(problem_id: str, node: Node, number: int, why: str, bench: Bench) -> Problem:
    return Problem(
        problem_id,
        bench.place(node.id),
        f'way {number + 1} on from "{node.id}", to {node.next[number].to}: {why}',
        "one way for each case, and a case for each way",
        "narrow or reorder the conditions, or take the way out",
    )


def _met(name: str, bench: Bench) -> bool:
    ways = bench.effects.ways
    numbers = bench.space.numbers(ways.names(name))
    return any(ways.reaches(name, looks_of(states)) for states in bench.space.choices(numbers))
