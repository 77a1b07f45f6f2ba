"""A sample of single faults: whatever decides a case is noticed by check or by compare, all but the equal ones."""

from __future__ import annotations

from functools import lru_cache

import pytest
from mutants import Mutant, decides_nothing, mutants, noticed

from advisor.loading.rule_set import find_rule_set, load_rule_set
from advisor.model.rules import RuleSet

#: So many of all mutants are tried here; `mutants.py` tries every one.
SAMPLE = 12

#: Faults that change no outcome: heavy tyres are referred already, so a worn one is one more reason and no more.
EQUAL = frozenset(
    f"{fault} {name}"
    for fault in ("delete", "turn", "loosen", "figure of", "side of")
    for name in ("tread-worn-heavy", "tread-worn-heavy-trailer", "tread-heavy")
)


@lru_cache(maxsize=1)
def rules() -> RuleSet:
    return load_rule_set(find_rule_set("uk-road"))


@lru_cache(maxsize=1)
def every() -> tuple[Mutant, ...]:
    return tuple(mutant for mutant in mutants(rules()) if not decides_nothing(mutant[0], rules()))


@pytest.mark.parametrize("number", range(SAMPLE))
def test_a_fault_is_noticed(number: int) -> None:
    name, mutant = every()[number * len(every()) // SAMPLE]
    assert any(noticed(rules(), mutant)) or name in EQUAL, name
