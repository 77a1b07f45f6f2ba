"""A sample of single faults: whatever decides a case is noticed by check or by compare, all but the equal ones."""

from __future__ import annotations

from functools import lru_cache

import pytest
from mutants import Mutant, decides_nothing, mutants, noticed

from advisor.loading.rule_set import find_rule_set, load_rule_set
from advisor.model.rules import RuleSet

#: So many of all mutants are tried here; `mutants.py` tries every one.
SAMPLE = 12


@lru_cache(maxsize=1)
def rules() -> RuleSet:
    return load_rule_set(find_rule_set("uk-road"))


@lru_cache(maxsize=1)
def every() -> tuple[Mutant, ...]:
    return tuple(mutant for mutant in mutants(rules()) if not decides_nothing(mutant[0], rules()))


@pytest.mark.parametrize("number", range(SAMPLE))
def test_a_fault_is_noticed(number: int) -> None:
    name, mutant = every()[number * len(every()) // SAMPLE]
    assert any(noticed(rules(), mutant)), name
