"""Walks the question graph with what has been answered: which nodes count, what is missing, what to ask next."""

from __future__ import annotations

from msgspec import Struct, field

from advisor.engine.conditions import Open, Outcome, Test, compiled
from advisor.engine.derived.registry import CALLS
from advisor.engine.facts import Facts, Tables, live_count
from advisor.model.case import TIRE, Case, Choices, Key
from advisor.model.decision_graph import END
from advisor.model.ruleset import Node, Part, RuleSet, Ruling, leaves


class Stop(Struct, frozen=True):
    """A node with its conditions compiled."""

    node: Node
    unless: Test | None
    next: tuple[tuple[Test | None, str], ...]
    rulings: tuple[tuple[Ruling, Test], ...]


class Visit(Struct, frozen=True):
    """A node met on the way, for the tire, an earlier repair or an injury.

    `key` is the address of the question's answer. `asked` is whether its question applies here. `opened_by` holds the
    open answers that could lead here; it is empty on the way that the answers lead.
    """

    stop: Stop
    facts: Facts
    key: Key
    asked: bool
    opened_by: Open = frozenset()


class Walk(Struct):
    """The way through the graph as far as the answers lead."""

    tire: Facts
    visits: list[Visit] = field(default_factory=list)
    perhaps: list[Visit] = field(default_factory=list)
    missing: dict[Key, Visit] = field(default_factory=dict)
    to_ask: dict[Key, Visit] = field(default_factory=dict)
    asked: set[Key] = field(default_factory=set)

    @property
    def reached(self) -> set[Key]:
        """The addresses of all answers that count: asked for on this way, or read to work something out."""
        return {visit.key for visit in self.visits if visit.asked} | self.tire.keys_read()


class Graph:
    """The question graph of a rule set, compiled for walking."""

    def __init__(self, rules: RuleSet) -> None:
        self.rules = rules
        self.tables = Tables(rules, CALLS)
        self.stops = {node.id: self._stop(node) for node in rules.nodes.values()}
        self.needed = frozenset(node.asks for node in rules.nodes.values() if node.is_needed)
        self.put_off = frozenset(node.id for node in rules.nodes.values() if _may_be_put_off(node, rules))
        self.entries: list[tuple[Part, Test]] = [(part, compiled(part.when, rules)) for part in rules.parts]

    def _stop(self, node: Node) -> Stop:
        return Stop(
            node,
            compiled(node.unless, self.rules) if node.unless else None,
            tuple((compiled(edge.when, self.rules) if edge.when else None, edge.to) for edge in node.next),
            tuple((ruling, compiled(ruling.when, self.rules)) for ruling in node.rulings),
        )

    def walk(self, case: Case) -> Walk:
        """The way of a case through every part of the graph."""
        walk = Walk(Facts(self.tables, case))
        for part, when in self.entries:
            entered = when(walk.tire)
            if entered is False:
                continue
            if entered is True:
                for index in self._indices(part, case):
                    self._through(part, walk.tire.part(part.over, index), walk)
            for index in self._perhaps_indices(part, case, entered):
                opened_by = frozenset({(part.more, index - 1)}) if isinstance(entered, bool) else entered
                self._perhaps_from(part.starts, walk.tire.part(part.over, index), walk, set(), opened_by)
        return walk

    @staticmethod
    def _indices(part: Part, case: Case) -> range:
        """The instances that a part is walked for; one more where the last one said so."""
        if part.over == "tire":
            return range(TIRE, TIRE + 1)
        count = live_count(case.instances(part.over), part.more)
        return range(max(count, 1 if part.at_least_one else 0))

    def _perhaps_indices(self, part: Part, case: Case, entered: Outcome) -> range:
        """Instances that only a still open answer would lead to: a further injury, or a whole part."""
        walked = self._indices(part, case)
        if entered is not True:
            return walked if part.over == "tire" else range(max(len(walked), 1))
        if not part.more:
            return range(0)
        last = case.get(part.over, (part.more, len(walked) - 1))
        return range(0) if last is not None and str(last) in ("yes", "no") else range(len(walked), len(walked) + 1)

    def _through(self, part: Part, facts: Facts, walk: Walk) -> None:
        name, seen = part.starts, set[str]()
        aside: list[tuple[str, Open]] = []
        while name != END and name not in seen:
            seen.add(name)
            stop = self.stops[name]
            self._visit(stop, facts, walk)
            name, others = _ways_on(stop, facts)
            aside.extend(others)
        for other, opened_by in aside:
            self._perhaps_from(other, facts, walk, seen, opened_by)

    def _visit(self, stop: Stop, facts: Facts, walk: Walk) -> None:
        node = stop.node
        asked = bool(node.asks) and (stop.unless is None or stop.unless(facts) is not True)
        key = facts.key(node.asks)
        visit = Visit(stop, facts, key, asked)
        walk.visits.append(visit)
        if not asked:
            return
        walk.asked.add(key)
        if not _is_whole(facts, node.asks):
            if not node.optional:
                walk.missing.setdefault(key, visit)
            if key not in facts.case.skipped or not (node.optional or node.instead):
                walk.to_ask.setdefault(key, visit)

    def _perhaps_from(self, name: str, facts: Facts, walk: Walk, seen: set[str], opened_by: Open) -> None:
        """Notes every node that can be reached from here by ways not ruled out, without asking anything."""
        ahead = [(name, opened_by)]
        while ahead:
            name, opened_by = ahead.pop(0)
            if name == END or name in seen:
                continue
            seen.add(name)
            stop = self.stops[name]
            asks = stop.node.asks
            walk.perhaps.append(Visit(stop, facts, facts.key(asks), bool(asks), opened_by))
            first, others = _ways_on(stop, facts)
            ahead.append((first, opened_by))
            ahead.extend((other, opened_by | more) for other, more in others)


def _may_be_put_off(node: Node, rules: RuleSet) -> bool:
    """Whether a needed question is left for later by other answers, not because its answer is known otherwise."""
    tests = leaves(node.unless)
    return node.is_needed and node.unless is not None and all(leaf.subject in rules.questions for leaf in tests)


def _is_whole(facts: Facts, question: str) -> bool:
    """Whether a question has an answer with nothing left to look for."""
    answer = facts.said(question)
    return answer is not None and not (isinstance(answer, Choices) and not answer.complete)


def _ways_on(stop: Stop, facts: Facts) -> tuple[str, list[tuple[str, Open]]]:
    """The way on that counts, and the ways that open answers could still lead to, with those answers."""
    maybe: list[tuple[str, Open]] = []
    for test, target in stop.next:
        state = True if test is None else test(facts)
        if state is True:
            return target, maybe
        if state is not False:
            maybe.append((target, state))
    return END, maybe
