"""Which rulings, ways on, limits and endings of a rule set some cases exercise, and what none of them does.

A ruling is exercised where it holds for certain (a caution also in doubt), a "can't tell" where it is given, a way on
where it is taken. A limit is exercised on a side where a reading on that side is held against it and decides the whole
condition, whatever else stands in it; at its figure where such a reading is just that. So one that a table chooses is
exercised only where its row holds. Ages and loads come from a print in steps of their own and need no case just there.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from msgspec import Struct

from advisor.engine.conditions import Test, compiled
from advisor.engine.evaluator import Judge
from advisor.engine.facts import Facts, Value
from advisor.engine.judgement_types import Judgement
from advisor.model.case import Case, Readings
from advisor.model.problems import Place
from advisor.model.quantity import Measure
from advisor.model.ruleset import Condition, Join, Leaf, RuleSet, leaves
from advisor.tools.verify.boundary_values import INPUTS

#: A test against a limit, and its condition with that test taken to hold, then not to hold.
DecidingTest = tuple[Leaf, Condition, Condition]
_Sides = list[tuple[Leaf, Test, Test]]
_KINDS = ("ruling", "can't tell", "way on", "limit within", "limit beyond", "limit at its figure", "method", "ending")


class CoverageItem(Struct, frozen=True):
    """One thing that a case can exercise: its kind, its name, where it stands; of a limit from a day on, that day."""

    kind: str
    name: str
    place: Place
    day: date | None = None

    @property
    def limit(self) -> str:
        """The id of a limit, without the day."""
        return self.name.partition(" ")[0]


class Coverage:
    """What of a rule set is exercised, growing case by case."""

    def __init__(self, rules: RuleSet) -> None:
        self.rules, self.judge = rules, Judge(rules)
        self.every = {(item.kind, item.name): item for item in _items(rules)}
        self.met: set[tuple[str, str]] = set()
        self._questioning = {ruling.id for ruling in rules.rulings() if ruling.doubts}
        self._ways: dict[date | None, dict[str, list[Test]]] = {}
        self._held: dict[date | None, dict[str, _Sides]] = {}

    def add(self, case: Case) -> Judgement:
        """Takes a case in; gives its judgement."""
        judgement = self.judge.judge(case)
        self.met |= {mark for mark in self._marks(judgement) if mark in self.every}
        return judgement

    def marks(self, case: Case) -> set[tuple[str, str]]:
        """What a case would exercise."""
        return {mark for mark in self._marks(self.judge.judge(case)) if mark in self.every}

    def bare(self) -> list[CoverageItem]:
        """What no case has exercised, in the order of the kinds."""
        return [item for mark, item in self.every.items() if mark not in self.met]

    def counts(self) -> dict[str, tuple[int, int]]:
        """How many of each kind are exercised, and how many there are."""
        return {kind: (sum(k == kind for k, _ in self.met), sum(k == kind for k, _ in self.every)) for kind in _KINDS}

    def _marks(self, judgement: Judgement) -> Iterator[tuple[str, str]]:
        yield from (("ruling", reason.ruling) for reason in judgement.caution_reasons if reason.only_warns)
        for reason in judgement.reasons:
            if reason.ruling.endswith("-cant-tell") and reason.doubt:
                yield "can't tell", reason.node
            elif not reason.doubt or reason.ruling in self._questioning:
                yield "ruling", reason.ruling
        rules = self.rules.on(judgement.walk.tire.today)
        if rules.day not in self._ways:
            self._ways[rules.day] = {
                node.id: [compiled(edge.when, rules) for edge in node.next] for node in rules.nodes.values()
            }
            self._held[rules.day] = _sides_of(rules)
        ways, held = self._ways[rules.day], self._held[rules.day]
        for visit in judgement.walk.visits:
            node = visit.stop.node
            for number, test in enumerate(ways[node.id], 1):
                if test(visit.facts) is True:
                    yield "way on", way_name(node.id, number)
                    break
            yield from self._sides(held.get(node.id, ()), visit.facts, rules)
        for facts in judgement.walk.tire.each("injuries"):
            yield from self._sides(held.get("", ()), facts, rules)
        yield "ending", judgement.ending
        for injury in judgement.injuries:
            yield "ending", injury.ending
            if injury.verdict.name == "REPAIR":
                yield "method", injury.method
        yield from (("ending", reason.ending) for reason in judgement.reasons)

    def _sides(self, held: _Sides | tuple[()], facts: Facts, rules: RuleSet) -> Iterator[tuple[str, str]]:
        for leaf, if_held, if_not in held:
            limit, value = rules.limits[leaf.operand[0]], facts.get(leaf.subject)
            if value is None or {if_held(facts), if_not(facts)} != {True, False}:
                continue
            begun = [each.day for each in self.rules.limits[limit.id].later if rules.day and each.day <= rules.day]
            name = limit_name(limit.id, begun[-1] if begun else None)
            for reading in _readings(value):
                beyond = limit.is_beyond(reading)
                if beyond is not None:
                    yield f"limit {'beyond' if beyond else 'within'}", name
                if reading.exact and reading.to(limit.figure_for(reading).unit).low == limit.figure_for(reading).low:
                    yield "limit at its figure", name


def limit_name(limit: str, day: date | None) -> str:
    """A limit by its id, and by the day from which on it has another figure."""
    return f"{limit} from {day}" if day else limit


def way_name(node: str, number: int) -> str:
    """A way on by its node and number, counted from 1."""
    return f"{node}/way-{number}"


def _readings(value: Value | None) -> tuple[Measure, ...]:
    if isinstance(value, Readings):
        return value.readings
    return (value,) if isinstance(value, Measure) else ()


def held_in(condition: Condition | None) -> list[DecidingTest]:
    """Each test of a condition against a limit."""
    found = dict.fromkeys(leaf for leaf in leaves(condition) if leaf.test in ("beyond", "within"))
    if condition is None:
        return []
    return [(leaf, _taken(condition, leaf, _HOLDS), _taken(condition, leaf, _FAILS)) for leaf in found]


_HOLDS, _FAILS = Join("all", ()), Join("any", ())


def _taken(condition: Condition, leaf: Leaf, to: Condition) -> Condition:
    """The condition with a test taken to hold, or not to hold."""
    if isinstance(condition, Leaf):
        return to if condition == leaf else condition
    return Join(condition.how, tuple(_taken(part, leaf, to) for part in condition.parts))


def conditions_by_node(rules: RuleSet) -> Iterator[tuple[str, Condition]]:
    """The conditions that are looked at where a node is met; those of the methods by an empty text."""
    for node in rules.nodes.values():
        conditions = [*(r.when for r in node.rulings), *(e.when for e in node.next), node.unless]
        yield from ((node.id, condition) for condition in conditions if condition is not None)
    yield from (("", method.when) for method in rules.methods.values() if method.when is not None)


def _sides_of(rules: RuleSet) -> dict[str, _Sides]:
    found: dict[str, _Sides] = {}
    for node, condition in conditions_by_node(rules):
        sides = ((leaf, compiled(one, rules), compiled(other, rules)) for leaf, one, other in held_in(condition))
        found.setdefault(node, []).extend(sides)
    return found


def held_limits(rules: RuleSet) -> dict[str, list[str]]:
    """The limits that some reading is held against, and the names of those readings."""
    names: dict[str, list[str]] = {}
    for _, condition in conditions_by_node(rules):
        for leaf, _, _ in held_in(condition):
            names.setdefault(leaf.operand[0], []).append(leaf.subject)
    return names


def _can_be_hit(subject: str, rules: RuleSet) -> bool:
    """Whether a reading is typed, or worked out of typed measures alone, and so can be just a figure."""
    if subject in rules.questions:
        return True
    value = rules.values[subject]
    read = [rules.questions.get(rules.read_by(value, name)) for name in INPUTS.get(value.function, ())]
    return bool(read) and all(question is not None and question.kind != "text" for question in read)


def _items(rules: RuleSet) -> Iterator[CoverageItem]:
    for ruling in rules.rulings():
        yield CoverageItem("ruling", ruling.id, rules.place_of_ruling(ruling))
    for node in rules.nodes.values():
        place = rules.place_of("paths.yaml", node.id)
        if node.asks and node.cant_tell.ending:
            yield CoverageItem("can't tell", node.id, place)
        for number in range(1, len(node.next) + 1):
            name = way_name(node.id, number)
            yield CoverageItem("way on", name, rules.place_of("paths.yaml", name))
    for name, subjects in held_limits(rules).items():
        place = rules.place_of("limits.yaml", name)
        kinds = ["limit within", "limit beyond"]
        kinds += ["limit at its figure"] if any(_can_be_hit(subject, rules) for subject in subjects) else []
        for day in (None, *(each.day for each in rules.limits[name].later)):
            yield from (CoverageItem(kind, limit_name(name, day), place, day) for kind in kinds)
    for method in rules.methods.values():
        if method.when is not None:
            yield CoverageItem("method", method.id, rules.place_of("methods.yaml", method.id))
    for ending in rules.endings.values():
        yield CoverageItem("ending", ending.id, rules.place_of("endings.yaml", ending.id))
