"""The maintainer's checks beyond what loading itself refuses; one module, one check, which explains itself."""

from __future__ import annotations

import gc

from advisor.model.problems import Problem
from advisor.model.ruleset import RuleSet
from advisor.tools.check_docs import CheckDoc, docs_of
from advisor.tools.lint import (
    chart_gaps,
    connectivity,
    driver_words,
    literal_figures,
    orders,
    plausible_ranges,
    sides,
    stages,
    unused,
)
from advisor.tools.verify import (
    completeness,
    dead_rules,
    determinism,
    inert_limits,
    monotonicity,
    shadowed_rules,
    uncertainty,
)

#: In the order in which their problems are shown; each has a function `check` and the sections of `check_docs`.
CHECKS = (
    connectivity,
    unused,
    literal_figures,
    determinism,
    dead_rules,
    shadowed_rules,
    inert_limits,
    completeness,
    orders,
    plausible_ranges,
    monotonicity,
    uncertainty,
    chart_gaps,
    stages,
    sides,
    driver_words,
)


def problems_of(rules: RuleSet) -> list[Problem]:
    """Every problem that a check finds, in the order of the checks.

    The collector of reference cycles rests meanwhile: there are none to collect, and on a large rule set it costs more
    than all checks together.
    """
    collecting = gc.isenabled()
    gc.disable()
    try:
        return [problem for module in CHECKS for problem in module.check(rules)]
    finally:
        if collecting:
            gc.enable()


def check_docs() -> dict[str, CheckDoc]:
    """What every id that a check reports under means, by id."""
    return {doc.id: doc for module in CHECKS for doc in docs_of(module)}
