"""The maintainer's checks beyond what loading itself refuses; one module, one check, one test."""

from __future__ import annotations

import gc
from collections.abc import Callable, Iterator

from advisor.model.problems import Problem
from advisor.model.ruleset import RuleSet
from advisor.tools.lint import chart_gaps, connectivity, driver_words, literal_figures, orders, sides, stages, unused
from advisor.tools.verify import (
    completeness,
    dead_rules,
    determinism,
    inert_limits,
    monotonicity,
    shadowed_rules,
    uncertainty,
)

CHECKS: dict[str, Callable[[RuleSet], Iterator[Problem]]] = {
    "graph-shape": connectivity.check,
    "unused": unused.check,
    "figures-in-wording": literal_figures.check,
    "next-steps": determinism.check,
    "rulings-hold": dead_rules.check,
    "hidden-rulings": shadowed_rules.check,
    "limits-decide": inert_limits.check,
    "endings": completeness.check,
    "orders": orders.check,
    "worse-damage": monotonicity.check,
    "doubt": uncertainty.check,
    "unit-chart": chart_gaps.check,
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
