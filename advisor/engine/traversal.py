"""Walks the question graph with what has been answered: which nodes count, what is missing, what to ask next."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property
from typing import Protocol

from msgspec import Struct

from advisor.engine.condition_plan import NO_CONDITION, Plan, SeenHere
from advisor.engine.conditions import Open, Outcome, Test, compiled
from advisor.engine.derived.registry import CALLS
from advisor.engine.facts import CERTAIN, CaseBefore, Facts, Tables, is_certain, live_count
from advisor.model.case import CANT_TELL, TIRE, Case, Choices, Key
from advisor.model.decision_graph import END
from advisor.model.ruleset import Condition, Node, Part, RuleSet, Ruling, leaves


class States(Protocol):
    """Which conditions hold at one place, by their terms of the plan; None while one is open."""

    def state(self, terms: int, /) -> bool | None:
        """Whether a condition of these terms holds."""
        ...


class Stop(Struct, frozen=True):
    """A node with its conditions as terms of the plan, and as tests that say which answers leave them open."""

    node: Node
    unless: int
    next: tuple[tuple[int, Test, str], ...]
    rulings: tuple[tuple[Ruling, Test], ...]
    terms: tuple[int, ...]
    over: str
    unless_test: Test | None


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


_OF_TIRE = "tire", TIRE
#: A ruling with its terms, its test and its stop; none for what "can't tell" brings at the stop.
MayCount = tuple[int, Ruling | None, Test, Stop]


class WayThrough(Struct, frozen=True):
    """The way through a part that some outcomes of its conditions lead.

    `stops`: each with whether it is asked; `met`: their nodes. `rulings`: the rulings met, each with its terms and its
    stop; `entries`: the same, with a place of its own (no ruling) for each question asked where "can't tell" has an
    ending; `cant_tell`: these questions. `must`: what has to be answered; `put_off`: what is left for later. `aside`:
    the ways that open answers could still lead to.
    """

    stops: tuple[tuple[Stop, bool], ...]
    met: frozenset[str]
    rulings: tuple[MayCount, ...]
    entries: tuple[MayCount, ...]
    cant_tell: tuple[str, ...]
    must: tuple[Stop, ...]
    put_off: tuple[Stop, ...]
    aside: tuple[tuple[str, Test], ...]


class Passage(Struct, frozen=True):
    """A part walked through for the tire, one earlier repair or one injury."""

    facts: Facts
    seen: SeenHere
    way: WayThrough

    def entries(self, lacking: bool) -> tuple[MayCount, ...]:
        """What may count here: the rulings, and what "can't tell" brings where it was said or something is lacking."""
        answers = self.facts.answers
        if lacking or any(answers.get(name) is CANT_TELL for name in self.way.cant_tell):
            return self.way.entries
        return self.way.rulings


class Walk:
    """The way through the graph as far as the answers lead; each visit is made out when first asked for."""

    def __init__(self, graph: Graph, tire: Facts) -> None:
        self.graph, self.tire = graph, tire
        self.passages: list[Passage] = []
        self.perhaps: list[Visit] = []
        self.seen: dict[Key, SeenHere] = {}
        #: The addresses of the answers that have to be given and are not, in the order of asking; the same as a set.
        self.missing_keys: tuple[Key, ...] = ()
        self.lacking = self.answered = self.doubtful = frozenset[Key]()
        #: The addresses of all that is asked on this way.
        self.asked: set[Key] = set()

    def see(self, facts: Facts) -> SeenHere:
        """What counts of the plan at one place of the case."""
        place = facts.over, facts.index
        found = self.seen.get(place)
        if found is None:
            tire = None if facts.over == "tire" else self.seen.get(_OF_TIRE) or self.see(self.tire)
            plan = self.graph.plan
            found = self.seen[place] = plan.see_again(facts, tire) if facts.follows else plan.see(facts, tire)
        return found

    def take_stock(self) -> None:
        """Finds on its passages what is asked and what is missing; in the case what is answered, and what in doubt.

        What is still asked for is not among what is in doubt.
        """
        keys, missing, case = self.graph.keys, dict[Key, None](), self.tire.case
        for each in self.passages:
            answers, over, index = each.facts.answers, each.facts.over, each.facts.index
            for stop, asked in each.way.stops:
                if not asked:
                    continue
                asks = stop.node.asks
                self.asked.add(key := keys[asks, index])
                if not stop.node.optional:
                    answer = answers.get(asks) if stop.over == over else each.facts.said(asks)
                    if answer is None or (answer.__class__ is Choices and not answer.complete):
                        missing[key] = None
        self.missing_keys, self.lacking = tuple(missing), frozenset(missing)
        answered, doubtful = list[Key](), list[Key]()
        for index, given in ((TIRE, case.answers), *enumerate(case.repairs), *enumerate(case.injuries)):
            for name, answer in given.items():
                answered.append((name, index))
                if answer.__class__ not in CERTAIN and not is_certain(answer):
                    doubtful.append((name, index))
        self.answered, self.doubtful = frozenset(answered), frozenset(doubtful) - self.lacking

    @cached_property
    def visits(self) -> list[Visit]:
        """Every node met, in the order of asking."""
        keys = self.graph.keys
        return [
            Visit(stop, each.facts, keys[stop.node.asks, each.facts.index], asked)
            for each in self.passages
            for stop, asked in each.way.stops
        ]

    def in_order(self, wanted: set[Key]) -> tuple[Key, ...]:
        """These addresses in the order in which their questions are met."""
        keys, found = self.graph.keys, dict[Key, None]()
        for each in self.passages:
            index = each.facts.index
            for stop, _ in each.way.stops:
                if stop.node.asks and (key := keys[stop.node.asks, index]) in wanted:
                    found[key] = None
        return tuple(found)

    @cached_property
    def missing(self) -> dict[Key, Visit]:
        """The answers that have to be given and are not, with where they are asked for."""
        lacking, found = self.lacking, dict[Key, Visit]()
        for visit in self.visits:
            if visit.asked and visit.key in lacking and not visit.stop.node.optional:
                found.setdefault(visit.key, visit)
        return found

    @cached_property
    def to_ask(self) -> dict[Key, Visit]:
        """What can be asked for now: what is missing and, if it was not left out on purpose, what is optional."""
        skipped, found = self.tire.case.skipped, dict[Key, Visit]()
        for visit in self.visits:
            node, facts = visit.stop.node, visit.facts
            if (
                visit.asked
                and visit.key not in found
                and not (visit.key in skipped and (node.optional or node.instead))
            ):
                here = visit.stop.over == facts.over
                answer = facts.answers.get(node.asks) if here else facts.said(node.asks)
                if answer is None or (answer.__class__ is Choices and not answer.complete):
                    found[visit.key] = visit
        return found

    @property
    def reached(self) -> set[Key]:
        """The addresses of all answers that count: asked for on this way, or read to work something out."""
        return self.asked | self.graph.read_for(self)


class Addresses(dict[tuple[str, int], Key]):
    """The addresses of questions as seen from a place, by its index."""

    def __init__(self, tables: Tables) -> None:
        super().__init__()
        self._tables = tables

    def __missing__(self, place: tuple[str, int]) -> Key:
        name, index = place
        name = self._tables.names.get(name, name)
        found = self[place] = name, (index if self._tables.overs.get(name) != "tire" else TIRE)
        return found


class Graph:
    """The question graph of a rule set, compiled for walking."""

    def __init__(self, rules: RuleSet) -> None:
        self.rules = rules
        self.plan = Plan(rules)
        self.tables = Tables(rules, CALLS)
        self.stops = {node.id: self._stop(node) for node in rules.nodes.values()}
        self.needed = frozenset(node.asks for node in rules.nodes.values() if node.is_needed)
        self.put_off = frozenset(node.id for node in rules.nodes.values() if _may_be_put_off(node, rules))
        self.entries: list[tuple[Part, int, Test]] = [
            (part, self.plan.terms(part.when), compiled(part.when, rules)) for part in rules.parts
        ]
        routing = {part.id: 0 for part in rules.parts}
        for stop in self.stops.values():
            for terms in (stop.unless, *(terms for terms, _, _ in stop.next)):
                routing[stop.node.part] |= terms
        self.routing = routing
        #: The questions that only ask whether others are right: with what they are asked of, and those others.
        self.questioned = [
            (node.asks, rules.questions[node.asks].over, doubted)
            for node in rules.nodes.values()
            if node.asks
            and (doubted := [(rules.questions[name].over, name) for each in node.rulings for name in each.doubts])
        ]
        self.keys = Addresses(self.tables)
        self.subjects = self._subjects(rules)
        self._ways: dict[tuple[str, int, int], WayThrough] = {}

    def _subjects(self, rules: RuleSet) -> dict[Test, frozenset[str]]:
        """What each test of the graph looks at."""
        found: dict[Test, frozenset[str]] = {test: _names(part.when) for part, _, test in self.entries}
        for stop in self.stops.values():
            edges = zip(stop.node.next, stop.next, strict=True)
            found.update({test: _names(edge.when) for edge, (_, test, _) in edges})
            found.update({test: _names(ruling.when) for ruling, test in stop.rulings})
            if stop.unless_test is not None:
                found[stop.unless_test] = _names(stop.node.unless)
        return found

    def _stop(self, node: Node) -> Stop:
        plan, rules = self.plan, self.rules
        return Stop(
            node,
            plan.terms(node.unless) if node.unless else 0,
            tuple((plan.terms(edge.when), compiled(edge.when, rules), edge.to) for edge in node.next),
            tuple((ruling, compiled(ruling.when, rules)) for ruling in node.rulings),
            tuple(plan.terms(ruling.when) for ruling in node.rulings),
            rules.over_of(node.asks) if node.asks else "",
            compiled(node.unless, rules) if node.unless else None,
        )

    def walk(self, case: Case, before: Walk | None = None) -> Walk:
        """The way of a case through every part of the graph.

        `before`: that of a case by the same rules, of which all is taken over that is the same in this one.
        """
        known = CaseBefore(before.tire, case, self.subjects) if before is not None and before.graph is self else None
        walk = Walk(self, Facts(self.tables, case, before=known))
        tire = walk.see(walk.tire)
        for part, terms, when in self.entries:
            entered = bool(tire.sure & terms)
            if not entered and not tire.alive & terms:
                continue
            if entered and part.over == "tire":
                self._through(part, walk.tire, walk)
                continue
            indices = self._indices(part, case)
            if entered:
                for index in indices:
                    self._through(part, walk.tire.part(part.over, index), walk)
            opened = True if entered else when(walk.tire)
            for index in self._perhaps_indices(part, case, opened, indices):
                opened_by = frozenset({(part.more, index - 1)}) if isinstance(opened, bool) else opened
                facts = walk.tire.part(part.over, index)
                self._perhaps_from([(part.starts, opened_by)], facts, walk.see(facts), walk, set())
        walk.take_stock()
        return walk

    @staticmethod
    def _indices(part: Part, case: Case) -> range:
        """The instances that a part is walked for; one more where the last one said so."""
        if part.over == "tire":
            return range(TIRE, TIRE + 1)
        count = live_count(case.instances(part.over), part.more)
        return range(max(count, int(part.at_least_one)))

    @staticmethod
    def _perhaps_indices(part: Part, case: Case, entered: Outcome, walked: range) -> range:
        """Instances that only a still open answer would lead to: a further injury, or a whole part."""
        if entered is not True:
            return walked if part.over == "tire" else range(max(len(walked), 1))
        if not part.more:
            return range(0)
        last = case.get(part.over, (part.more, len(walked) - 1))
        return range(0) if last is not None and str(last) in ("yes", "no") else range(len(walked), len(walked) + 1)

    def _through(self, part: Part, facts: Facts, walk: Walk) -> None:
        seen = walk.see(facts)
        routing = self.routing[part.id]
        outcomes = part.id, seen.sure & routing, seen.alive & routing
        way = self._ways.get(outcomes)
        if way is None:
            if len(self._ways) >= _MOST_WAYS:
                self._ways.clear()
            way = self._ways[outcomes] = self.way(part, seen)
        walk.passages.append(Passage(facts, seen, way))
        if way.aside:
            starts = [(other, facts.opened[test]) for other, test in way.aside]
            self._perhaps_from(starts, facts, seen, walk, set(way.met))

    def way(self, part: Part, seen: States) -> WayThrough:
        """The way through a part that the states of its conditions lead."""
        name, stops = part.starts, dict[str, tuple[Stop, bool]]()
        aside: list[tuple[str, Test]] = []
        while name != END and name not in stops:
            stop = self.stops[name]
            stops[name] = stop, bool(stop.node.asks) and not (stop.unless and seen.state(stop.unless) is True)
            name = END
            for terms, test, target in stop.next:
                state = seen.state(terms)
                if state is True:
                    name = target
                    break
                if state is None:
                    aside.append((target, test))
        asked = [stop for stop, is_asked in stops.values() if is_asked]
        entries: list[MayCount] = []
        for stop, is_asked in stops.values():
            if is_asked and stop.node.cant_tell.ending:
                entries.append((NO_CONDITION, None, _always, stop))
            for terms, (ruling, test) in zip(stop.terms, stop.rulings, strict=True):
                entries.append((terms, ruling, test, stop))
        return WayThrough(
            tuple(stops.values()),
            frozenset(stops),
            tuple(each for each in entries if each[1]),
            tuple(entries),
            tuple(stop.node.asks for _, ruling, _, stop in entries if ruling is None),
            tuple(stop for stop in asked if not stop.node.optional),
            tuple(stop for stop, is_asked in stops.values() if stop.node.id in self.put_off and not is_asked),
            tuple(aside),
        )

    def read_for(self, walk: Walk) -> set[Key]:
        """The addresses of all answers that the tests of a way look at, those skipped that others make superfluous."""
        tire = Facts(self.tables, walk.tire.case)
        for _, _, when in self.entries:
            when(tire)
        for number, visit in enumerate((*walk.visits, *walk.perhaps)):
            facts, stop = tire.part(visit.facts.over, visit.facts.index), visit.stop
            met = number < len(walk.visits)
            if met and visit.asked:
                facts.get(stop.node.asks)
            if met and stop.unless_test is not None:
                stop.unless_test(facts)
            for _, test in stop.rulings:
                test(facts)
            next((True for _, test, _ in stop.next if test(facts) is True), None)
        return tire.keys_read() | walk.tire.keys_read()

    def _perhaps_from(
        self, starts: Iterable[tuple[str, Open]], facts: Facts, seen: SeenHere, walk: Walk, met: set[str]
    ) -> None:
        """Notes every node that can be reached from each start by ways not ruled out, without asking anything."""
        alive, sure, begin = seen.alive, seen.sure, iter(starts)
        ahead = list[tuple[str, Open]]()
        while (each := ahead.pop(0) if ahead else next(begin, None)) is not None:
            name, opened_by = each
            if name == END or name in met:
                continue
            met.add(name)
            stop = self.stops[name]
            asks = stop.node.asks
            walk.perhaps.append(Visit(stop, facts, self.keys[asks, facts.index], bool(asks), opened_by))
            first, others = END, list[tuple[str, Open]]()
            for terms, test, target in stop.next:
                if sure & terms:
                    first = target
                    break
                if alive & terms:
                    others.append((target, opened_by | facts.opened[test]))
            ahead.append((first, opened_by))
            ahead += others


def _names(condition: Condition | None) -> frozenset[str]:
    return frozenset(leaf.subject for leaf in leaves(condition))


def _may_be_put_off(node: Node, rules: RuleSet) -> bool:
    """Whether a needed question is left for later by other answers, not because its answer is known otherwise."""
    tests = leaves(node.unless)
    return node.is_needed and node.unless is not None and all(leaf.subject in rules.questions for leaf in tests)


def _always(facts: Facts) -> Outcome:
    return True


#: So many ways are kept before all are let go.
_MOST_WAYS = 5_000
