"""Graph shape: every question and ending can be reached from the first question, and no chain of questions
leads back to itself."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.engine.graph import loops, unreached
from advisor.errors import Problem
from advisor.model.rules import RuleSet


def check(rules: RuleSet) -> Iterator[Problem]:
    """Loops, and nodes or endings that nothing leads to."""
    for chain in loops(rules):
        found = f"questions that lead back to themselves: {' -> '.join([*chain, chain[0]])}"
        place = rules.place_of("paths.yaml", chain[0])
        yield Problem("question-loop", place, found, "a way that ends", "send one of them to another node, or to end")
    for name in unreached(rules):
        kind, _, ending = name.rpartition(":")
        place = rules.place_of("endings.yaml" if kind else "paths.yaml", ending)
        what = f'the ending "{ending}"' if kind else f'the node "{name}"'
        yield Problem(
            "unreached",
            place,
            f"{what}, which nothing leads to",
            "a way to it",
            "lead a node or ruling to it, or take it out",
        )
