"""The maintainer's checks beyond what loading itself refuses; one module, one check, one test."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from advisor.checks import graph_shape, unused
from advisor.errors import Problem
from advisor.model.rules import RuleSet

CHECKS: dict[str, Callable[[RuleSet], Iterator[Problem]]] = {
    "graph-shape": graph_shape.check,
    "unused": unused.check,
}


def explanation(name: str) -> str:
    """What a check looks for: the text that stands at the head of its module."""
    return " ".join((CHECKS[name].__globals__["__doc__"] or "").split())
