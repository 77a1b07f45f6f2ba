"""Which nodes are always on the way, and what decides about the others."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from advisor.model.ruleset import Condition, Node, Part, RuleSet
from advisor.tools.verify.factors import Chosen, Local, Seen, Tests

WAY_ENDS = "end"


class Ways:
    """The ways through a rule set's graph, by the conditions that open them."""

    def __init__(self, rules: RuleSet) -> None:
        self.rules = rules
        self.parts = {part.id: part for part in rules.parts}
        self.before: dict[str, list[str]] = {name: [] for name in rules.nodes}
        for node in rules.nodes.values():
            for target in dict.fromkeys(edge.to for edge in node.next):
                if target in self.before:
                    self.before[target].append(node.id)
        self.always = {name for part in rules.parts for name in _always(part, rules)}

    def conditions(self, node: str) -> list[Condition]:
        """Every condition that decides whether a node is on the way, each once."""
        part = self.parts.get(self.rules.nodes[node].part)
        opens = part.when if part is not None else None
        ways = (edge.when for name in self.leading(node) for edge in self.rules.nodes[name].next)
        return list(dict.fromkeys(when for when in (opens, *ways) if when is not None))

    def leading(self, node: str) -> list[str]:
        """The nodes whose ways on decide whether a node is met: those before it, back to what is always met."""
        found: dict[str, None] = {}
        ahead = [node]
        while ahead:
            name = ahead.pop()
            if name not in self.always:
                new = [each for each in self.before[name] if each not in found]
                found |= dict.fromkeys(new)
                ahead += new
        return list(found)

    def entered(self, node: str) -> list[Condition]:
        """What has to hold wherever a node is met: what opens its part, and the only way to it, where it has one."""
        part = self.parts.get(self.rules.nodes[node].part)
        found = [part.when] if part is not None and part.when is not None else []
        ways = [edge.when for name in self.before[node] for edge in self.rules.nodes[name].next if edge.to == node]
        return [*found, *(when for when in ways[:1] if when is not None and len(ways) == 1)]


class StateWays(Ways):
    """The ways through a graph by the states that open them."""

    def __init__(self, rules: RuleSet, tests: Tests) -> None:
        super().__init__(rules)
        self.tests = tests
        self._met: dict[str, Local[bool]] = {}
        self._taken: dict[str, Local[int]] = {}

    def met(self, node: str) -> Local[bool]:
        """Whether a node is on the way."""
        found = self._met.get(node)
        if found is None:
            part = self.parts.get(self.rules.nodes[node].part)
            kinds = self.tests.kinds(self.conditions(node))
            entered = self.tests.seen(part.when) if part is not None else _never
            needs = [self.tests.need(when) for when in dict.fromkeys(self._needed(node))]
            found = Local(kinds, lambda chosen: self._is_met(node, entered, chosen, frozenset()), needs, False)
            self._met[node] = found
        return found

    def _needed(self, node: str) -> Iterator[Condition]:
        """Conditions that hold wherever a node is met, back along the only way to it."""
        seen = set[str]()
        while node not in self.always and node not in seen:
            seen.add(node)
            yield from self.entered(node)
            if len(self.before[node]) != 1:
                return
            (node,) = self.before[node]
        part = self.parts.get(self.rules.nodes[node].part)
        yield from [part.when] if part is not None and part.when is not None else []

    def _is_met(self, node: str, entered: Seen, chosen: Chosen, seen: frozenset[str]) -> bool:
        if entered(chosen) is not True:
            return False
        if node in self.always or node == self.parts[self.rules.nodes[node].part].starts:
            return True
        before = (name for name in self.before[node] if name not in seen)
        return any(
            self._leads(name, chosen) == node and self._is_met(name, entered, chosen, seen | {node}) for name in before
        )

    def taken(self, node: str) -> Local[int]:
        """Which of a node's ways on is taken, by its number; their count where none is."""
        found = self._taken.get(node)
        if found is None:
            ways = self.rules.nodes[node].next
            kinds = self.tests.kinds(edge.when for edge in ways if edge.when is not None)
            seen = [self.tests.seen(edge.when) for edge in ways]
            found = self._taken[node] = Local(kinds, lambda chosen: _first(seen, chosen))
        return found

    def _leads(self, node: str, chosen: Chosen) -> str:
        ways, number = self.rules.nodes[node].next, self.taken(node).at(chosen)
        return ways[number].to if number < len(ways) else WAY_ENDS


def _never(chosen: Chosen) -> bool:
    return False


def _first(ways: list[Seen], chosen: Chosen) -> int:
    return next((number for number, seen in enumerate(ways) if seen(chosen) is True), len(ways))


def _always(part: Part, rules: RuleSet) -> Iterator[str]:
    """The nodes that every way through a part passes: no edge leads past them, once they stand in order of the ways."""
    order = path_order(part.starts, rules.nodes)
    places = {name: place for place, name in enumerate(order)}
    farthest = 0
    for place, name in enumerate(order):
        if place >= farthest:
            yield name
        targets = [places.get(edge.to, len(order)) for edge in rules.nodes[name].next]
        if not targets or min(targets) <= place:
            return  # a loop or a dead end: from here on nothing is certain to be passed
        farthest = max(farthest, *targets)


def path_order(start: str, nodes: Mapping[str, Node]) -> list[str]:
    """The nodes that can be come to from one, each before those it leads to where no way leads back."""
    found: list[str] = []
    entered: set[str] = set()
    ahead: list[tuple[str, bool]] = [(start, False)]
    while ahead:
        name, left = ahead.pop()
        if left:
            found.append(name)
        elif name not in entered and name in nodes:
            entered.add(name)
            ahead.append((name, True))
            ahead += [(edge.to, False) for edge in nodes[name].next]
    return found[::-1]
