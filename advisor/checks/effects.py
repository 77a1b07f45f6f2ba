"""What each ruling and each "can't tell" brings about, held against what conditions see rather than against a case.

A ruling counts where its node is on the way and its condition holds; where the condition is open, doubt counts as
the rule set says, unless nobody was asked.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass
from functools import cached_property

from advisor.checks.space import Looks, Space, State
from advisor.engine.conditions import State as Outcome
from advisor.engine.conditions import Test, compiled
from advisor.model.case import CANT_TELL, Key
from advisor.model.rules import Condition, Leaf, Node, Part, RuleSet, Ruling, Verdict, leaves

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
    tests: tuple[tuple[str, Test], ...] = ()

    def seen(self, looks: Looks, names: Collection[str]) -> tuple[object, ...]:
        """How the tests of these names come out: states that give the same are one and the same to this effect."""
        return tuple(_outcome(test(looks)) for name, test in self.tests if name in names)  # type: ignore[arg-type]

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

    def conditions(self, node: str, seen: frozenset[str] = frozenset()) -> Iterator[Condition]:
        """Every condition that decides whether a node is on the way."""
        part = self.parts.get(self.rules.nodes[node].part)
        if part is not None and part.when is not None:
            yield part.when
        if node not in self.always and node not in seen:
            for name in self.before[node]:
                yield from (edge.when for edge in self.rules.nodes[name].next if edge.when is not None)
                yield from self.conditions(name, seen | {node})

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
        self._leaf_tests: dict[Leaf, Test] = {}
        self._alike: dict[tuple[int, int], list[list[State]]] = {}
        self._numbers: dict[int, list[int]] = {}

    def numbers(self, effect: Effect) -> list[int]:
        """The groups that an effect looks at."""
        found = self._numbers.get(id(effect))
        if found is None:
            found = self._numbers[id(effect)] = self.space.numbers(effect.names)
        return found

    def alike(self, effect: Effect, number: int) -> list[list[State]]:
        """The states of a group, in lots that are one and the same to an effect."""
        found = self._alike.get((id(effect), number))
        if found is None:
            lots: dict[tuple[object, ...], list[State]] = {}
            names = set(self.space.groups[number])
            for state in self.space.states(number):
                key = effect.seen(Looks(state.looks, state.silent), names), self.space.turned(number, state)
                lots.setdefault(key, []).append(state)
            found = self._alike[(id(effect), number)] = list(lots.values())
        return found

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
            if not ruling.ending or state is False or (state is not True and _silent(state, looks)):
                return None
            ending = ruling.ending if state is True else self.in_doubt(ruling, state)
            return self.rules.endings[ending].verdict if ending else None

        names = frozenset(_names(ruling.when)) | ways.names(node)
        return Effect(ruling.id, node, names, holds, ruling, verdict, self._tests(ruling.when, node))

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

        def cant_tell(looks: Looks) -> bool:
            return looks.look(node.asks)[0] is CANT_TELL

        tests = (*self._tests(node.unless, node.id), (node.asks, cant_tell))
        return Effect(f"{node.id}-cant-tell", node.id, names, holds, None, verdict, tests)  # type: ignore[arg-type]

    def _tests(self, condition: Condition | None, node: str) -> tuple[tuple[str, Test], ...]:
        """Each test that decides about an effect at a node, with the name that it looks at."""
        conditions = [*([condition] if condition is not None else []), *self.ways.conditions(node)]
        every = dict.fromkeys(leaf for each in conditions for leaf in leaves(each))
        return tuple((leaf.subject, self._compiled(leaf)) for leaf in every)

    def _compiled(self, leaf: Leaf) -> Test:
        test = self._leaf_tests.get(leaf)
        if test is None:
            test = self._leaf_tests[leaf] = compiled(leaf, self.rules)
        return test


def _silent(state: Outcome, looks: Looks) -> bool:
    """Whether a condition is open only because nobody answered."""
    return isinstance(state, frozenset) and all(name in looks.silent for name, _ in state)


def _outcome(state: Outcome) -> object:
    return state if isinstance(state, bool) else frozenset(name for name, _ in state)
