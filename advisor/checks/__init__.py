"""The maintainer's checks beyond what loading itself refuses; one module, one check, one test."""

from __future__ import annotations

import gc
from collections.abc import Callable, Iterator

from advisor.checks import (
    doubt,
    driver_words,
    endings_reached,
    figures_in_wording,
    fires,
    graph_shape,
    hidden,
    limits_decide,
    monotone,
    next_steps,
    orders,
    sides,
    stages,
    unit_chart,
    unused,
)
from advisor.errors import Problem
from advisor.model.rules import RuleSet

CHECKS: dict[str, Callable[[RuleSet], Iterator[Problem]]] = {
    "graph-shape": graph_shape.check,
    "unused": unused.check,
    "figures-in-wording": figures_in_wording.check,
    "next-steps": next_steps.check,
    "rulings-hold": fires.check,
    "hidden-rulings": hidden.check,
    "limits-decide": limits_decide.check,
    "endings": endings_reached.check,
    "orders": orders.check,
    "worse-damage": monotone.check,
    "doubt": doubt.check,
    "unit-chart": unit_chart.check,
    "stages": stages.check,
    "sides": sides.check,
    "driver-words": driver_words.check,
}


def problems_of(rules: RuleSet) -> list[Problem]:
    """Every problem that a check finds, in the order of the checks.

    The collector of reference cycles rests meanwhile: there are none to collect, and on a large rule set it costs more
    than all checks together.
    """
    collecting = gc.isenabled()
    gc.disable()
    try:
        return [problem for check in CHECKS.values() for problem in check(rules)]
    finally:
        if collecting:
            gc.enable()


def explanation(name: str) -> str:
    """What a check looks for: the text that stands at the head of its module."""
    return " ".join((CHECKS[name].__globals__["__doc__"] or "").split())
