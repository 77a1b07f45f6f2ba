"""A second opinion: what the checks find in small random rule sets is what a solver finds, no more and no less."""

from __future__ import annotations

from random import Random

import pytest

from advisor.tools.verify import completeness, dead_rules, monotonicity, uncertainty
from tests.longer import first
from tests.tools import solver
from tests.tools.small_rules import small_rules

SEEDS = range(500, 540)


@pytest.mark.parametrize("seed", first(14, SEEDS))
def test_a_solver_finds_the_same(seed: int) -> None:
    rules = small_rules(Random(seed))
    gap = solver.has_gap(rules)
    assert bool(list(completeness.check(rules))) == gap
    assert {problem.found.split('"')[1] for problem in dead_rules.check(rules)} == solver.rulings_that_never_hold(rules)
    unsure = {name for name in ("shade", "make", "size") if solver.doubt_looks_better(rules, name)}
    assert {problem.found.split()[2] for problem in uncertainty.check(rules)} == unsure
    worse = {name for name in ("shade", "size") if solver.worse_looks_better(rules, name)}
    found = {problem.found.split(": ")[1].split(",")[0] for problem in monotonicity.check(rules)}
    assert found == worse if not gap else found <= worse  # without a gap no hold stands between two steps


def test_the_solver_can_disagree() -> None:
    """It finds slips in some of these rule sets and none in others, so that agreeing with it says something."""
    found = [solver.worse_looks_better(small_rules(Random(seed)), "size") for seed in SEEDS]
    assert 0 < sum(found) < len(found)
