"""Single faults put into a rule set by program: each ruling deleted, turned or made milder, each limit moved or turned.

Run as a program it tries every mutant and prints which of check and compare notice it:
    python tests/rules/mutants.py
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from advisor.checks import CHECKS
from advisor.checks.comparing import compare
from advisor.checks.space import every_condition
from advisor.loading.rule_set import find_rule_set, load_rule_set
from advisor.model.rules import Condition, Join, Leaf, Limit, RuleSet, Ruling, Verdict, leaves
from advisor.units import Measure

Mutant = tuple[str, RuleSet]


def mutants(rules: RuleSet) -> Iterator[Mutant]:
    """Every single fault of a rule set, by name."""
    for ruling in rules.rulings():
        yield f"delete {ruling.id}", _with_ruling(rules, ruling, None)
        turned = _turned(ruling.when)
        if turned != ruling.when:
            yield f"turn {ruling.id}", _with_ruling(rules, ruling, replace(ruling, when=turned))
        milder = _milder(ruling, rules)
        if milder:
            yield f"milder {ruling.id}", _with_ruling(rules, ruling, replace(ruling, ending=milder))
    for limit in rules.limits.values():
        if limit.worse:
            yield f"loosen {limit.id}", _with_limit(rules, _moved(limit))
            at_limit = replace(limit, at_limit_passes=not limit.at_limit_passes)
            yield f"figure of {limit.id}", _with_limit(rules, at_limit)
            side = "below" if limit.worse == "above" else "above"
            yield f"side of {limit.id}", _with_limit(rules, replace(limit, worse=side))


def _with_ruling(rules: RuleSet, old: Ruling, new: Ruling | None) -> RuleSet:
    node = rules.nodes[old.node]
    rulings = tuple(new if each is old else each for each in node.rulings if each is not old or new is not None)
    nodes = {**rules.nodes, node.id: replace(node, rulings=tuple(each for each in rulings if each is not None))}
    return replace(rules, nodes=nodes)


def _with_limit(rules: RuleSet, limit: Limit) -> RuleSet:
    return replace(rules, limits={**rules.limits, limit.id: limit})


def _turned(condition: Condition) -> Condition:
    """The condition with its comparisons swapped: beyond and within, has-any and has-none."""
    swap = {"beyond": "within", "within": "beyond", "has-any": "has-none", "has-none": "has-any"}
    if isinstance(condition, Leaf):
        return replace(condition, test=swap.get(condition.test, condition.test))
    return Join(condition.how, tuple(_turned(part) for part in condition.parts))


def _milder(ruling: Ruling, rules: RuleSet) -> str:
    own = rules.endings[ruling.ending].verdict if ruling.ending else Verdict.REPAIR
    wanted = Verdict(own - 1) if own > Verdict.REFER else None
    return next((ending.id for ending in rules.endings.values() if ending.verdict is wanted), "")


def _moved(limit: Limit) -> Limit:
    def moved(figure: Measure) -> Measure:
        low = figure.low + (abs(figure.low) / 10 or Fraction(1)) * (1 if limit.worse == "above" else -1)
        return Measure(low, low, figure.unit)

    return replace(limit, figures=tuple(moved(figure) for figure in limit.figures))


def decides_nothing(fault: str, rules: RuleSet) -> bool:
    """Whether a fault lies in a limit that only wording and steps name: no case can come out otherwise by it."""
    name = fault.rpartition(" ")[2]
    tested = {leaf.operand[:1] for condition in every_condition(rules) for leaf in leaves(condition)}
    figures = {limit for value in rules.values.values() for limit in value.figures.values()}
    return name in rules.limits and (name,) not in tested and name not in figures


def noticed(rules: RuleSet, mutant: RuleSet) -> tuple[bool, bool]:
    """Whether check and compare notice a mutant; the rule set itself has to pass every check."""
    comparison = compare(rules, mutant)
    by_compare = bool(comparison.changes or comparison.shown)
    return any(next(check(mutant), None) is not None for check in CHECKS.values()), by_compare


def main(name: str = "us-road") -> None:
    """Prints the table."""
    rules = load_rule_set(find_rule_set(name))
    counts = [0, 0, 0]
    missed, equal = [], []
    for fault, mutant in mutants(rules):
        if decides_nothing(fault, rules):
            equal.append(fault)
            continue
        by_check, by_compare = noticed(rules, mutant)
        counts[0] += 1
        counts[1] += by_check
        counts[2] += by_compare
        print(f"{fault:50} check {'yes' if by_check else 'no ':4} compare {'yes' if by_compare else 'no'}", flush=True)
        if not (by_check or by_compare):
            missed.append(fault)
    print(
        f"\n{counts[0]} mutants; check notices {counts[1]}, compare {counts[2]}; neither: {', '.join(missed) or 'none'}"
    )


if __name__ == "__main__":
    import sys

    main(*sys.argv[1:])
