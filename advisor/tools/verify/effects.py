"""What each ruling and each "can't tell" brings about, by the states of the few groups that it looks at.

A ruling counts where its node is on the way and its condition holds; what an open one brings is for the engine to say
(`engine/doubt.py`). `tests/tools/test_effects.py` holds this to what the engine says of cases.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import chain
from typing import NamedTuple

from advisor.engine.doubt import Doubt
from advisor.model.ruleset import Condition, Leaf, Node, Ruling, Verdict, leaves
from advisor.tools.verify.case_space import Space
from advisor.tools.verify.factors import Chosen, Local, Need, Seen, State3, Tests, split
from advisor.tools.verify.partitions import OpenAnswer
from advisor.tools.verify.reachability import StateWays


class Brings(NamedTuple):
    """What something brings: a verdict by an ending, restrictions; for certain or only in doubt.

    `holds`: it holds for certain, or warns in doubt.
    """

    verdict: Verdict | None = None
    restrictions: tuple[str, ...] = ()
    certain: bool = False
    holds: bool = False
    ending: str = ""


NOTHING = Brings()


def holds_surely(brings: Brings) -> bool:
    """Whether something holds, and not in doubt."""
    return brings.certain and brings.holds


class Effect(Local[Brings]):
    """One thing that can count: a ruling, or "can't tell" at a node."""

    __slots__ = ("id", "node", "ruling")

    def __init__(self, name: str, node: str, ruling: Ruling | None, local: Local[Brings]) -> None:
        super().__init__(local.kinds, local.at, local.needs, local.otherwise)
        self.id, self.node, self.ruling = name, node, ruling

    @property
    def counts(self) -> bool:
        """Whether it can bring a verdict or a restriction."""
        return self.ruling is None or self.ruling.counts


class Unanswered(Local[bool]):
    """Whether a question that has to be answered is asked and was left out, and the group that it is in."""

    __slots__ = ("group",)

    def __init__(self, group: int, local: Local[bool]) -> None:
        super().__init__(local.kinds, local.at)
        self.group = group


class Effects:
    """Every effect of a rule set, and which of them look at a group."""

    def __init__(self, space: Space) -> None:
        self.space, self.rules, self.tests = space, space.rules, Tests(space)
        self.ways, self.doubt = StateWays(space.rules, self.tests), Doubt(space.rules)
        self.every = list(self._all())
        self._of = {id(effect.ruling): effect for effect in self.every if effect.ruling is not None}
        self.touching: dict[int, list[Effect]] = {}
        for effect in self.every:
            for number in effect.groups if effect.counts else ():
                self.touching.setdefault(number, []).append(effect)
        self.unanswered = _by_group(self._unanswered(node) for node in self.rules.nodes.values() if node.asks)

        ranked = sorted((m for m in self.rules.methods.values() if m.when is not None), key=lambda m: m.rank)
        #: The conditions of the methods, the least demanding first.
        self.methods = [method.when for method in ranked if method.when is not None]
        self.method_kinds = self.tests.kinds(self.methods)

    def of(self, ruling: Ruling) -> Effect:
        """The effect of a ruling of this rule set."""
        return self._of[id(ruling)]

    def _all(self) -> Iterator[Effect]:
        for node in self.rules.nodes.values():
            yield from (self._of_ruling(ruling) for ruling in node.rulings)
            if node.asks and node.cant_tell.ending:
                yield self._of_cant_tell(node)

    def _of_ruling(self, ruling: Ruling) -> Effect:
        met, seen = self.ways.met(ruling.node), self.tests.seen(ruling.when)
        left_out = self.may_be_left_out(ruling)
        tests = [(node.asks, self.asked(node)) for node in left_out]
        conditions = (ruling.when, *self.ways.conditions(ruling.node), *chain(*map(self.deciding, left_out)))
        same_for = frozenset(ruling.same_for)

        def marks(open: OpenAnswer) -> tuple[bool, ...]:
            silent = (name in open.silent for name, _ in tests)
            return open.names <= same_for, open.names <= open.silent, *silent

        def brings(chosen: Chosen) -> Brings:
            state = seen(chosen)
            if state is False or not met.at(chosen):
                return NOTHING
            silent = state.silent if isinstance(state, OpenAnswer) else ()
            return self._brought(ruling, state, any(name in silent and test(chosen) for name, test in tests))

        needs: list[Need | Local[bool]] = [met, self.tests.need(ruling.when)]
        return Effect(
            ruling.id, ruling.node, ruling, Local(self.tests.kinds(conditions, marks), brings, needs, NOTHING)
        )

    def may_be_left_out(self, ruling: Ruling) -> list[Node]:
        """Where a question is asked that a case may go on without, though that leaves the ruling's condition open."""
        if not ruling.ending or ruling.in_doubt == "same":
            return []
        optional = {node.asks for node in self.rules.nodes.values() if node.asks and node.optional}
        opened = (each for leaf in leaves(ruling.when) for each in self.space.outcomes(leaf))
        found = [each.names for each in opened if isinstance(each, OpenAnswer) and each.names <= each.silent & optional]
        names = frozenset[str]().union(*found)
        return [node for node in self.rules.nodes.values() if node.optional and node.asks in names]

    def _brought(self, ruling: Ruling, state: State3, asked: bool) -> Brings:
        if state is True or ruling.doubts:
            verdict = self.rules.endings[ruling.ending].verdict if ruling.ending else None
            return Brings(verdict, ruling.restrictions, not ruling.doubts, True, ruling.ending)
        assert isinstance(state, OpenAnswer)
        if not self.doubt.counts(ruling, self.doubt.is_quiet(ruling, state.names <= state.silent, asked)):
            return NOTHING
        warns = bool(ruling.cautions)
        if not ruling.counts:
            return Brings(holds=warns)
        ending, verdict = self.doubt.brings(ruling, state.names)
        return Brings(verdict, ruling.restrictions, holds=warns, ending=ending)

    def _of_cant_tell(self, node: Node) -> Effect:
        asked, ending = self.asked(node), node.cant_tell.ending
        brought = Brings(self.rules.endings[ending].verdict, ending=ending)
        number = self.space.group_of[node.asks]
        not_told = [node.asks in state.not_told for state in self.space.states(number)]

        def brings(chosen: Chosen) -> Brings:
            return brought if not_told[chosen[number]] and asked(chosen) else NOTHING

        kinds = self.tests.kinds(self.deciding(node), not_told=(node.asks,))
        return Effect(f"{node.id}-cant-tell", node.id, None, Local(kinds, brings))

    def deciding(self, node: Node) -> list[Condition]:
        """What decides whether a node's question applies."""
        return [*self.ways.conditions(node.id), *([node.unless] if node.unless is not None else [])]

    def asked(self, node: Node) -> Seen:
        """Whether a node's question applies, for a choice of states."""
        met, unless = self.ways.met(node.id), self.tests.seen(node.unless)
        if node.unless is None:
            return met.at
        return lambda chosen: met.at(chosen) and unless(chosen) is not True

    def _unanswered(self, node: Node) -> Unanswered:
        """Whether a question that has to be answered is asked and was left out."""
        number, asked = self.space.group_of[node.asks], self.asked(node)
        silent = [node.asks in state.silent for state in self.space.states(number)]
        if node.optional or not any(silent):
            return Unanswered(number, Local({}, lambda chosen: False))
        kinds = self.tests.kinds([*self.deciding(node), Leaf(node.asks, "known", ())])
        local = Local(split(kinds, number, silent), lambda chosen: silent[chosen[number]] and bool(asked(chosen)))
        return Unanswered(number, local)


def _by_group(every: Iterable[Unanswered]) -> dict[int, list[Unanswered]]:
    found: dict[int, list[Unanswered]] = {}
    for local in every:
        for number in local.groups:
            found.setdefault(number, []).append(local)
    return found
