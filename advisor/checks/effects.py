"""What each ruling and each "can't tell" brings about, held against what conditions see rather than against a case.

A ruling counts where its node is on the way and its condition holds; where the condition is open, doubt counts as
the rule set says, unless nobody was asked.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property

from advisor.checks.space import Looks, Space
from advisor.engine.conditions import State as Outcome
from advisor.engine.conditions import Test, compiled
from advisor.model.case import CANT_TELL, Key
from advisor.model.rules import Condition, Node, Part, RuleSet, Ruling, Verdict, leaves

END = "end"


@dataclass(frozen=True)
class Effect:
    """One thing that can count: its id, the names it looks at, and the verdict or restriction it brings."""

    id: str
    node: str
    names: frozenset[str]
    holds: Callable[[Looks], Outcome]
    ruling: Ruling | None
    verdict: Callable[[Looks], Verdict | None]

    def restricts(self, looks: Looks) -> str:
        """The restriction that it brings, doubt included; an empty text for none."""
        if self.ruling is None or not self.ruling.restriction:
            return ""
        return self.ruling.restriction if self.holds(looks) is not False else ""


class Ways:
    """Which nodes are always on the way, and what decides about the others."""

    def __init__(self, rules: RuleSet) -> None:
        self.rules = rules
        self.parts = {part.id: part for part in rules.parts}
        self.takes = {node.id: _taker(node, rules) for node in rules.nodes.values()}
        self.entered: dict[str, Test] = {part.id: compiled(part.when, rules) for part in rules.parts}
        self.before: dict[str, list[str]] = {name: [] for name in rules.nodes}
        for node in rules.nodes.values():
            for target in dict.fromkeys(edge.to for edge in node.next):
                if target in self.before:
                    self.before[target].append(node.id)
        self.always = {name for part in rules.parts for name in _always(part, rules)}
        self._names: dict[str, frozenset[str]] = {}

    def names(self, node: str) -> frozenset[str]:
        """What decides whether a node is on the way."""
        found = self._names.get(node)
        if found is None:
            self._names[node] = frozenset()
            part = self.parts.get(self.rules.nodes[node].part)
            names = set(_names(part.when)) if part else set()
            if node not in self.always:
                for name in self.before[node]:
                    names |= {each for edge in self.rules.nodes[name].next for each in _names(edge.when)}
                    names |= self.names(name)
            found = self._names[node] = frozenset(names)
        return found

    def reaches(self, node: str, looks: Looks, seen: frozenset[str] = frozenset()) -> bool:
        """Whether a node is on the way."""
        part = self.parts.get(self.rules.nodes[node].part)
        if part is None or self.entered[part.id](looks) is not True:  # type: ignore[arg-type]
            return False
        if node in self.always or node == part.starts:
            return True
        return node not in seen and any(
            self.takes[name](looks) == node and self.reaches(name, looks, seen | {node}) for name in self.before[node]
        )


def _names(condition: Condition | None) -> Iterator[str]:
    return (leaf.subject for leaf in leaves(condition))


def _taker(node: Node, rules: RuleSet) -> Callable[[Looks], str]:
    """A function that gives the way on from a node."""
    ways: list[tuple[Test | None, str]] = [(compiled(e.when, rules) if e.when else None, e.to) for e in node.next]

    def takes(looks: Looks) -> str:
        for test, target in ways:
            if test is None or test(looks) is True:  # type: ignore[arg-type]
                return target
        return END

    return takes


def _always(part: Part, rules: RuleSet) -> Iterator[str]:
    """The nodes that every way through a part passes."""
    for name, node in rules.nodes.items():
        if node.part == part.id and not _can_miss(part.starts, name, rules):
            yield name


def _can_miss(start: str, avoided: str, rules: RuleSet) -> bool:
    ahead, seen = [start], {avoided}
    while ahead:
        name = ahead.pop()
        if name == END:
            return True
        if name not in seen and name in rules.nodes:
            seen.add(name)
            ahead += [edge.to for edge in rules.nodes[name].next]
    return False


class Effects:
    """Every effect of a rule set."""

    def __init__(self, space: Space) -> None:
        self.space, self.rules, self.ways = space, space.rules, Ways(space.rules)

    @cached_property
    def every(self) -> list[Effect]:
        """The effects of rulings, and of "can't tell" where it has an ending, in the order of the graph."""
        found = []
        for node in self.rules.nodes.values():
            found += [self._of_ruling(ruling) for ruling in node.rulings]
            if node.asks and node.cant_tell.ending:
                found.append(self._of_cant_tell(node))
        return found

    def _of_ruling(self, ruling: Ruling) -> Effect:
        test, ways, node = compiled(ruling.when, self.rules), self.ways, ruling.node

        def holds(looks: Looks) -> Outcome:
            state = test(looks)  # type: ignore[arg-type]
            return state if state is False or ways.reaches(node, looks) else False

        def verdict(looks: Looks) -> Verdict | None:
            state = holds(looks)
            if not ruling.ending or state is False:
                return None
            ending = ruling.ending if state is True else self.in_doubt(ruling, state)
            return self.rules.endings[ending].verdict if ending else None

        names = frozenset(_names(ruling.when)) | ways.names(node)
        return Effect(ruling.id, node, names, holds, ruling, verdict)

    def in_doubt(self, ruling: Ruling, keys: frozenset[Key] | bool) -> str:
        """The ending that doubt about these answers brings, as the judge takes it."""
        names = {name for name, _ in keys} if isinstance(keys, frozenset) else set()
        if ruling.in_doubt == "same":
            return ruling.ending
        if ruling.same_for and names <= ruling.same_for:
            return ruling.doubt_ending or ruling.ending
        return ruling.in_doubt or self.rules.about.when_in_doubt

    def _of_cant_tell(self, node: Node) -> Effect:
        ways, unless = self.ways, compiled(node.unless, self.rules) if node.unless else None
        ending = self.rules.endings[node.cant_tell.ending].verdict

        def holds(looks: Looks) -> Outcome:
            if looks.look(node.asks)[0] is not CANT_TELL or not ways.reaches(node.id, looks):
                return False
            return unless is None or unless(looks) is not True  # type: ignore[arg-type]

        def verdict(looks: Looks) -> Verdict | None:
            return ending if holds(looks) else None

        names = frozenset({node.asks, *_names(node.unless)}) | ways.names(node.id)
        return Effect(f"{node.id}-cant-tell", node.id, names, holds, None, verdict)
