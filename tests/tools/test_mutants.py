"""A sample of single faults: whatever decides a case is noticed by check or by compare, all but the equal ones."""

from __future__ import annotations

from functools import lru_cache

import pytest

from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from tests.longer import first
from tests.tools.mutants import Mutant, Noticing, mutants, of_a_ruling_or_limit

#: So many of all mutants are tried with --long, spread over all; a sixth of them without. `mutants.py` tries every one.
SAMPLE = 48
SPREAD = sorted(range(SAMPLE), key=lambda number: (number % 6, number))


@lru_cache(maxsize=1)
def noticing() -> Noticing:
    return Noticing(load_rule_set(find_rule_set("us-road")))


@lru_cache(maxsize=1)
def every() -> tuple[Mutant, ...]:
    rules = noticing().rules
    return tuple(mutant for mutant in mutants(rules) if of_a_ruling_or_limit(mutant[0], rules))


@pytest.mark.parametrize("number", first(8, SPREAD))
def test_a_fault_is_noticed(number: int) -> None:
    """The cheapest is asked first: which of the three notices it is for the table."""
    name, mutant = every()[number * len(every()) // SAMPLE]
    now = noticing()
    assert now.by_cases(mutant) or now.by_check(mutant) or now.by_compare(mutant), name


def test_the_rule_set_itself_is_not_noticed() -> None:
    now = noticing()
    assert not (now.by_cases(now.rules) or now.by_check(now.rules) or now.by_compare(now.rules))
