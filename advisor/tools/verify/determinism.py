"""Nodes that no case comes to, and ways on that are never taken or doubled.

In every case a node leads on to just one other, and each of its ways on is taken in some case.

never-met (error): a node that no answers lead to.
Why it is bad: its question is never asked, though the graph shows a way to it.
PASS:
  paths.yaml: {nodes/washed/asked: {when: {not: {sealant: {is: "no"}}}}}
FAIL:
  paths.yaml: {nodes/washed/asked: {when: {sealant: {is: "yes"}, not: {sealant: {is: "yes"}}}}}

two-next-steps (error): two ways on with the very same condition.
Why it is bad: two questions would come next at once; which one does is an accident of the file's order.
PASS:
  paths.yaml:
    nodes/washed/asked: ~
    nodes/sealant/next: [{when: {sealant: {is: "no"}}, go: end}, {go: washed}]
FAIL:
  paths.yaml:
    nodes/washed/asked: ~
    nodes/sealant/next:
      [{when: {sealant: {is: "no"}}, go: end}, {when: {sealant: {is: "no"}}, go: washed}, {go: washed}]

hidden-way (error): a way on behind others that take all of its cases.
Why it is bad: it is never gone, so what it leads to is not asked where it was meant to be.
PASS:
  paths.yaml:
    nodes/washed/asked: ~
    nodes/sealant/next:
      [{when: {sealant: {is: "no"}}, go: end}, {when: {sealant: {one-of: ["yes", "no"]}}, go: washed}, {go: end}]
FAIL:
  paths.yaml:
    nodes/washed/asked: ~
    nodes/sealant/next:
      [{when: {sealant: {one-of: ["yes", "no"]}}, go: washed}, {when: {sealant: {is: "no"}}, go: end}, {go: end}]
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from advisor.model.problems import Problem
from advisor.model.ruleset import Condition, Node, RuleSet
from advisor.tools.verify.backtracking import Wish
from advisor.tools.verify.workbench import Bench, bench_of, nothing


def check(rules: RuleSet) -> Iterator[Problem]:
    """Ways on that are never taken, doubled ways, nodes that no case comes to."""
    bench = bench_of(rules)
    for node in rules.nodes.values():
        met = Wish(bench.effects.ways.met(node.id), bool)
        if next(bench.found([met], {}, nothing), None) is None:
            yield Problem(
                "never-met",
                bench.place(node.id),
                f'the node "{node.id}", which no answers lead to',
                "a way that some case takes",
                "look at the conditions of the ways that lead to it",
            )
        elif len(node.next) > 1:
            yield from _ways(node, met, bench)


def _ways(node: Node, met: Wish, bench: Bench) -> Iterator[Problem]:
    conditions = [edge.when for edge in node.next]
    for number, when in enumerate(conditions):
        first = conditions.index(when)
        if when is not None and first < number and node.next[number].to != node.next[first].to:
            yield _problem("two-next-steps", node, number, "the same condition as an earlier one", bench)
            continue
        taken = [*_held([when], bench, True), *_held(conditions[:number], bench, False)]
        if None in conditions[:number] or next(bench.found([*taken, met], {}, nothing), None) is None:
            yield _problem("hidden-way", node, number, "but the ways before it take all of its cases", bench)


def _held(conditions: Iterable[Condition | None], bench: Bench, wanted: bool) -> Iterator[Wish]:
    """That conditions hold for certain, or that they do not."""
    for when in conditions:
        if when is not None:
            yield Wish(bench.effects.tests.local(when), lambda state: (state is True) is wanted, wanted)


def _problem(problem_id: str, node: Node, number: int, why: str, bench: Bench) -> Problem:
    return Problem(
        problem_id,
        bench.rules.place_of("paths.yaml", f"{node.id}/way-{number + 1}"),
        f'way {number + 1} on from "{node.id}", to {node.next[number].to}: {why}',
        "one way for each case, and a case for each way",
        "narrow or reorder the conditions, or take the way out",
    )
