"""A small rule set told to a solver (z3), with nothing of the checks' own: real measures, two copies for every step.

What is asked of it: may a ruling hold, is there a case without an ending, can a worse or a doubtful answer come out
better. The rule sets are those of `small_rules`.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import z3

from advisor.model.ruleset import Condition, Leaf, Limit, RuleSet, Ruling, Verdict
from tests.tools.small_rules import COLOURS

CANT_TELL = len(COLOURS)
MOST = 100


class Three(NamedTuple):
    """A condition: when it is yes, and when it is no; open otherwise."""

    yes: Any
    no: Any

    @property
    def open(self) -> Any:
        """When it is neither."""
        return z3.And(z3.Not(self.yes), z3.Not(self.no))


class Copy:
    """A case of a small rule set, as variables, and what the engine's rules make of it."""

    def __init__(self, rules: RuleSet, name: str) -> None:
        self.rules = rules
        self.shade, self.make = z3.Int(f"shade-{name}"), z3.Int(f"make-{name}")
        self.told, self.low, self.high = z3.Bool(f"told-{name}"), z3.Real(f"low-{name}"), z3.Real(f"high-{name}")
        self.answers = {"shade": self.shade, "make": self.make}
        ends = [self.low >= 0, self.low <= self.high, self.high <= MOST]
        self.possible = z3.And(*ends, *(z3.And(each >= 0, each <= CANT_TELL) for each in self.answers.values()))
        self.exact = z3.And(self.told, self.low == self.high)

    def is_known(self, name: str) -> Any:
        """That a question has an answer without doubt."""
        return self.exact if name == "size" else self.answers[name] != CANT_TELL

    def condition(self, condition: Condition | None) -> Three:
        """When a condition is yes, and when it is no."""
        if condition is None:
            return Three(z3.BoolVal(True), z3.BoolVal(False))
        if isinstance(condition, Leaf):
            return self._leaf(condition)
        parts = [self.condition(part) for part in condition.parts]
        if condition.how == "not":
            return Three(parts[0].no, parts[0].yes)
        if condition.how == "all":
            return Three(z3.And([part.yes for part in parts]), z3.Or([part.no for part in parts]))
        return Three(z3.Or([part.yes for part in parts]), z3.And([part.no for part in parts]))

    def _leaf(self, leaf: Leaf) -> Three:
        if leaf.test == "known":
            return Three(self.told, z3.Not(self.told))
        if leaf.subject == "size":
            past = self._beyond(self.rules.limits[leaf.operand[0]])
            return past if leaf.test == "beyond" else Three(past.no, past.yes)
        answer = self.answers[leaf.subject]
        inside = z3.Or([answer == COLOURS.index(name) for name in leaf.operand])
        return Three(inside, z3.And(answer != CANT_TELL, z3.Not(inside)))

    def _beyond(self, limit: Limit) -> Three:
        figure = z3.RealVal(str(limit.figures[0].low))
        if limit.at_limit_passes:
            return Three(z3.And(self.told, self.low > figure), z3.And(self.told, self.high <= figure))
        return Three(z3.And(self.told, self.low >= figure), z3.And(self.told, self.high < figure))

    def met(self, node: str) -> Any:
        """Whether a node is on the way."""
        ways = self.rules.nodes["size"].next
        return z3.Not(self.condition(ways[0].when).yes) if node == "between" and len(ways) > 1 else z3.BoolVal(True)

    def holds(self, ruling: Ruling) -> Any:
        """Whether a ruling counts for certain."""
        return z3.And(self.met(ruling.node), self.condition(ruling.when).yes)

    def _doubted(self, ruling: Ruling) -> Any:
        return z3.And(self.met(ruling.node), self.condition(ruling.when).open)

    def _in_doubt(self, ruling: Ruling) -> Verdict:
        name = ruling.ending if ruling.in_doubt == "same" else ruling.in_doubt or self.rules.about.when_in_doubt
        return self.rules.endings[name].verdict

    def reaches(self, least: Verdict) -> Any:
        """Whether something brings a verdict at least as grave."""
        found = [self.surely(least)]
        for ruling in self.rules.rulings():
            if ruling.ending and self._in_doubt(ruling) >= least:
                found.append(self._doubted(ruling))
        for node in self.rules.nodes.values():
            ending = node.cant_tell.ending
            if node.asks and ending and self.rules.endings[ending].verdict >= least:
                untold = z3.Not(self.told) if node.asks == "size" else self.answers[node.asks] == CANT_TELL
                found.append(untold)
        return z3.Or(found)

    def surely(self, least: Verdict) -> Any:
        """Whether something brings a verdict at least as grave for certain."""
        rulings = [r for r in self.rules.rulings() if r.ending and self.rules.endings[r.ending].verdict >= least]
        return z3.Or([self.holds(ruling) for ruling in rulings])

    def verdict_is_at_least(self, least: Verdict) -> Any:
        """The case's verdict: where nothing speaks against a repair and no method is allowed, it is hold."""
        without = z3.And(
            z3.Not(self.reaches(Verdict.REFER)), z3.Not(self.method("light")), z3.Not(self.method("heavy"))
        )
        return z3.Or(self.reaches(least), without) if least <= Verdict.HOLD else self.reaches(least)

    def method(self, name: str) -> Any:
        """Whether a method is allowed for certain."""
        when = self.rules.methods[name].when
        return z3.BoolVal(False) if when is None else self.condition(when).yes

    def restricted(self, surely: bool) -> Any:
        """Whether the one restriction counts."""
        rulings = [ruling for ruling in self.rules.rulings() if ruling.restrictions]
        found = [self.holds(ruling) for ruling in rulings]
        return z3.Or(found if surely else [*found, *(self._doubted(ruling) for ruling in rulings)])


def can_be(*wanted: Any) -> bool:
    """Whether all of this can be at once."""
    solver = z3.Solver()
    solver.add(*wanted)
    return bool(solver.check() == z3.sat)


def rulings_that_never_hold(rules: RuleSet) -> set[str]:
    """The rulings that hold in no case."""
    case = Copy(rules, "a")
    return {ruling.id for ruling in rules.rulings() if not can_be(case.possible, case.holds(ruling))}


def has_gap(rules: RuleSet) -> bool:
    """Whether a case without doubt is decided by no ruling and fits no method."""
    case = Copy(rules, "a")
    known = [case.is_known(name) for name in ("shade", "make", "size")]
    no_method = [z3.Not(case.method("light")), z3.Not(case.method("heavy"))]
    return can_be(case.possible, *known, *no_method, z3.Not(case.reaches(Verdict.REFER)))


def worse_looks_better(rules: RuleSet, name: str) -> bool:
    """Whether a worse answer to a question can come out better."""
    first, second = Copy(rules, "a"), Copy(rules, "b")
    step = [first.is_known(name), second.is_known(name), *_same_but(first, second, name)]
    step.append(first.low < second.low if name == "size" else first.answers[name] < second.answers[name])
    return can_be(*step, z3.Or(_drops(first, second, None), _loses(first, second), _lesser(first, second)))


def doubt_looks_better(rules: RuleSet, name: str) -> bool:
    """Whether doubt about a question can come out better than hold and than the known answer."""
    first, second = Copy(rules, "a"), Copy(rules, "b")
    step = [first.is_known(name), *_same_but(first, second, name)]
    if name == "size":
        holds = z3.And(second.told, second.low < second.high, second.low <= first.low, first.low <= second.high)
        step.append(z3.Or(z3.Not(second.told), holds))
    else:
        step.append(second.answers[name] == CANT_TELL)
    let_off = (_drops(first, second, Verdict.HOLD), _loses(first, second), _lesser(first, second))
    return can_be(*step, z3.Or(let_off))


def _same_but(first: Copy, second: Copy, name: str) -> Sequence[Any]:
    same = [first.possible, second.possible]
    if name != "size":
        same += [first.told == second.told, first.low == second.low, first.high == second.high]
    return same + [first.answers[each] == second.answers[each] for each in first.answers if each != name]


def _drops(first: Copy, second: Copy, most: Verdict | None) -> Any:
    levels = [level for level in Verdict if level > Verdict.REPAIR and (most is None or level <= most)]
    return z3.Or([z3.And(first.surely(level), z3.Not(second.verdict_is_at_least(level))) for level in levels])


def _loses(first: Copy, second: Copy) -> Any:
    goes_on = z3.Not(second.verdict_is_at_least(Verdict.HOLD))
    return z3.And(first.restricted(True), z3.Not(second.restricted(False)), goes_on)


def _lesser(first: Copy, second: Copy) -> Any:
    heavy = z3.And(first.method("heavy"), z3.Not(first.method("light")))
    both = [z3.Not(each.verdict_is_at_least(Verdict.REFER)) for each in (first, second)]
    return z3.And(heavy, second.method("light"), *both)
