"""States that are remembered are those that are made, and another rule set's are never taken for them."""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec.structs import replace

from advisor.loader.check_memory import CheckMemory
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.quantity import Measure
from advisor.model.ruleset import Limit, RuleSet
from advisor.tools.as_proved import as_proved
from advisor.tools.verify.case_space import Space
from advisor.tools.verify.dominance import assumed_pairs, pairs
from advisor.tools.verify.workbench import Bench, make_bench
from tests.longer import first

SETS = ("us-road", "de-road", "uk-road", "demo-shop")


def seen(bench: Bench) -> list[object]:
    """All that is told of a rule set's states: what they are, how tests come out, which are pairs, what is quiet."""
    space, found = bench.space, list[object]()
    for number, names in enumerate(space.groups):
        states = space.states(number) if names else []
        found += [(each.looks, each.answers, each.context, each.real, each.silent) for each in states]
        found += [(leaf, space.outcomes(leaf)) for name in names for leaf in space.tested.get(name, ())]
    for doubt in (False, True):
        lots = (*(pairs(each, space, doubt) for each in bench.rules.questions.values()), assumed_pairs(space, doubt))
        found += [(each.about, each.rows, each.places, each.beside) for lot in lots for each in lot]
    return [*found, bench.quiet, bench.at_rest, bench.answers]


def moved(rules: RuleSet, name: str) -> RuleSet:
    """A rule set in which a limit is half as much again."""
    limit: Limit = rules.limits[name]
    figures = tuple(Measure(each.low * 3 / 2, each.high * 3 / 2, each.unit) for each in limit.figures)
    return replace(rules, limits={**rules.limits, name: replace(limit, figures=figures)})


@pytest.mark.parametrize("name", first(2, SETS))
def test_what_is_remembered_is_what_is_made(name: str, tmp_path: Path) -> None:
    folder = find_rule_set(name)
    rules = as_proved(load_rule_set(folder))
    made = seen(Bench(rules, Space(rules)))
    for _ in range(2):
        memory = CheckMemory(folder, tmp_path)
        bench = make_bench(rules, memory)
        assert seen(bench) == made
        assert [row for number, names in enumerate(bench.space.groups) if names for row in bench.space.rows(number)]
        memory.write()
    held = [leaf.operand[0] for lot in bench.space.tested.values() for leaf in lot if leaf.test == "beyond"]
    for others in (moved(rules, held[0]), moved(rules, held[-1])):
        assert seen(make_bench(others, CheckMemory(folder, tmp_path))) == seen(Bench(others, Space(others)))
