"""What can count in a case, held side by side under two rule sets: rulings, "can't tell", methods, and what is asked.

Each is something local to a few groups, so that the two rule sets can be held together region by region. What means
the same on both sides is passed over: the same conditions, whose tests come out alike in every state, on the same way.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import partial
from typing import Any, NamedTuple

from msgspec import Struct

from advisor.engine.derived.registry import FUNCTIONS
from advisor.model.ruleset import Condition, Leaf, Method, Node, RuleSet, Ruling, Verdict, leaves, written_out
from advisor.tools.diff.limit_use import changed_limits, limits_in
from advisor.tools.diff.regions import Search, together
from advisor.tools.verify.backtracking import Wish
from advisor.tools.verify.effects import NOTHING, Brings, Effect
from advisor.tools.verify.factors import Chosen, Local, split
from advisor.tools.verify.workbench import Bench

Manner = tuple[Any, Any]


class Counts(NamedTuple):
    """What an effect brings in a region, with the method of its ending and the cautions that it shows."""

    brings: Brings = NOTHING
    method: str = ""
    cautions: tuple[str, ...] = ()


class Subject(Struct, frozen=True, eq=False):
    """Something that counts otherwise: what it is called, the ids that name it, and both sides of it by region.

    `searches` says, for two sides that differ, where a case could show it that nothing outweighs. With `asked` it is
    the question whose answer is left out.
    """

    about: str
    names: tuple[str, ...]
    of: Local[Manner]
    searches: Callable[[Manner], list[Search]]
    asked: str = ""


class Sides:
    """Two rule sets on benches that share their states."""

    def __init__(self, before: Bench, after: Bench, renamed: Mapping[str, str]) -> None:
        """`renamed` gives the old name of what has a new one."""
        self._renamed = renamed
        self.before, self.after = before, after
        self.benches = before, after
        self.limits = frozenset(changed_limits(before.rules, after.rules))
        self._alike: dict[Condition, bool] = {}

    def subjects(self) -> Iterator[Subject]:
        """Everything that does not mean the same on both sides."""
        yield from self._effects()
        yield from self._questions()
        yield from self._methods()

    def _effects(self) -> Iterator[Subject]:
        found = [{effect.id: effect for effect in bench.effects.every} for bench in self.benches]
        for name in dict.fromkeys((*found[0], *found[1])):
            one, two = found[0].get(name), found[1].get(name)
            if not (self._same_effect(one, two) if one and two else self._told_alike(one, two)):
                sides = [self._counting(each, bench) for each, bench in zip((one, two), self.benches, strict=True)]
                effect = one or two
                assert effect is not None
                about, names = self._called(name, effect, one, two)
                searches = partial(self._outweighed, self._outranked((one, two)))
                yield Subject(about, names, together(sides, Counts()), searches)

    def _told_alike(self, one: Effect | None, two: Effect | None) -> bool:
        """Whether all that a ruling brings is brought on the other side too, by whichever ruling of that node."""
        for effect, bench, other in ((one, self.before, self.after), (two, self.after, self.before)):
            if effect is None:
                continue
            nodes = bench.rules.nodes[effect.node], other.rules.nodes.get(effect.node)
            if effect.ruling is None or nodes[1] is None or not self._same(effect.ruling.when):
                return False
            there = [one for ruling in nodes[1].rulings for one in _each(ruling, other.rules)]
            ways = nodes if bench is self.before else nodes[::-1]
            if not (
                self._same_way(*ways)
                and self._left_out_alike(effect.ruling)
                and all(one in there for one in _each(effect.ruling, bench.rules))
            ):
                return False
        return True

    def _left_out_alike(self, ruling: Ruling) -> bool:
        """Whether the same questions that leave a ruling open may be left out on both sides, on the same way."""
        left_out = [bench.effects.may_be_left_out(ruling) for bench in self.benches]
        return [(n.id, n.optional) for n in left_out[0]] == [(n.id, n.optional) for n in left_out[1]] and all(
            self._same_way(one, two) and self._same_unless(one, two) for one, two in zip(*left_out, strict=True)
        )

    def _counting(self, effect: Effect | None, bench: Bench) -> Local[Counts] | None:
        if effect is None:
            return None
        endings = bench.rules.endings
        cautions = effect.ruling.cautions if effect.ruling is not None else ()

        def counts(brings: Brings) -> Counts:
            method = endings[brings.ending].method if brings.ending else ""
            ending, restrictions = self._named(brings.ending), tuple(map(self._named, brings.restrictions))
            shown = tuple(map(self._named, cautions)) if brings.holds else ()
            return Counts(brings._replace(ending=ending, restrictions=restrictions), self._named(method), shown)

        return Local(effect.kinds, lambda chosen: counts(effect.at(chosen)))

    def _named(self, name: str) -> str:
        return self._renamed.get(name, name)

    def _called(self, name: str, effect: Effect, one: Effect | None, two: Effect | None) -> tuple[str, tuple[str, ...]]:
        """How an effect is called: by a changed limit where it goes by one and is else the same."""
        conditions = [
            condition
            for each, bench in zip((one, two), self.benches, strict=True)
            if each is not None
            for condition in (each.ruling.when if each.ruling else None, *bench.effects.ways.conditions(each.node))
        ]
        used = sorted({n for bench in self.benches for n in limits_in(conditions, bench.rules)} & self.limits)
        question = next((b.rules.nodes[effect.node].asks for b in self.benches if effect.node in b.rules.nodes), "")
        names = (name, *used) if effect.ruling is not None else (name, question, *used)
        if used and one is not None and two is not None and _words_apart(one.ruling) == _words_apart(two.ruling):
            return f"limit {used[0]}", names
        return (f"ruling {name}" if effect.ruling is not None else f"question {question}"), names

    def _same_effect(self, one: Effect, two: Effect) -> bool:
        before, after = (bench.rules for bench in self.benches)
        nodes = before.nodes[one.node], after.nodes[two.node]
        if not self._same_way(*nodes):
            return False
        if one.ruling is None or two.ruling is None:
            ends = [_ends(rules, node.cant_tell.ending) for rules, node in zip((before, after), nodes, strict=True)]
            same_question = nodes[0].asks == nodes[1].asks and self._not_told_alike(nodes[0].asks)
            return same_question and ends[0] == ends[1] and self._same_unless(*nodes)
        return self._told_alike(one, two)

    def _not_told_alike(self, question: str) -> bool:
        number = self.before.space.group_of[question]
        states = [bench.space.states(number) for bench in self.benches]
        return all((question in a.not_told) == (question in b.not_told) for a, b in zip(*states, strict=True))

    def _same_unless(self, one: Node, two: Node) -> bool:
        return self._same_condition(one.unless, two.unless)

    def _same_condition(self, one: Condition | None, two: Condition | None) -> bool:
        return written_out(one) == written_out(two) and self._same(one)

    def _same_way(self, one: Node, two: Node) -> bool:
        """Whether the way to a node is the same: its part, and every way on of the nodes that lead to it."""
        parts = [next(p for p in bench.rules.parts if p.id == n.part) for n, bench in self._pairs(one, two)]
        if parts[0].over != parts[1].over or not self._same_condition(parts[0].when, parts[1].when):
            return False
        ways = [self._ways_to(node.id, bench) for node, bench in self._pairs(one, two)]
        return ways[0] == ways[1] and all(self._same(when) for _, edges in ways[0].values() for when, _ in edges)

    @staticmethod
    def _ways_to(node: str, bench: Bench) -> dict[str, tuple[bool, list[tuple[Condition | None, str]]]]:
        """By node, for those that lead to one and itself: whether it is always met; the ways on of those that lead."""
        ways, rules = bench.effects.ways, bench.rules
        leading = {
            name: (name in ways.always, [(written_out(edge.when), edge.to) for edge in rules.nodes[name].next])
            for name in ways.leading(node)
        }
        return {node: (node in ways.always, []), **leading}

    def _pairs(self, one: Node, two: Node) -> Iterable[tuple[Node, Bench]]:
        return zip((one, two), self.benches, strict=True)

    def _same(self, condition: Condition | None) -> bool:
        """Whether every test of a condition comes out alike on both sides in every state."""
        if condition is None:
            return True
        if condition not in self._alike:
            one, two = (bench.space for bench in self.benches)
            self._alike[condition] = all(
                all(leaf in each.tested.get(leaf.subject, ()) for each in (one, two))
                and one.outcomes(leaf) == two.outcomes(leaf)
                for leaf in leaves(condition)
            )
        return self._alike[condition]

    def _outranked(self, sides: tuple[Effect | None, Effect | None]) -> Callable[[Counts, Effect, Brings], bool]:
        """Whether something as grave as what an effect brings is said in its place: it comes first, by no other method.

        So the engine has it: a certain reason before a doubtful one, then by the order of the graph.
        """
        places: dict[str, int] = {}
        ranks = {name: each.rank for bench in self.benches for name, each in bench.rules.methods.items()}
        methods = {name: each.method for bench in self.benches for name, each in bench.rules.endings.items()}
        for bench in self.benches:
            for effect in bench.effects.every:
                places.setdefault(effect.id, bench.judge.place(bench.rules.nodes[effect.node], effect.ruling))
        own = places[next(each.id for each in sides if each is not None)]

        def outranked(counts: Counts, other: Effect, brings: Brings) -> bool:
            if self._named(brings.ending) == counts.brings.ending:
                return True
            first = (not brings.certain, places[other.id]) <= (not counts.brings.certain, own)
            by_method = ranks.get(counts.method, -1) > ranks.get(methods.get(brings.ending, ""), -1)
            return first and not by_method

        return outranked

    def _outweighed(
        self, outranked: Callable[[Counts, Effect, Brings], bool], manner: tuple[Counts, Counts]
    ) -> list[Search]:
        """A graver verdict shows where nothing else is as grave, or is told before it; a restriction, a caution where
        nothing else has it."""
        one, two = manner
        found: list[Search] = []
        first, second = (-1 if each.brings.verdict is None else int(each.brings.verdict) for each in manner)
        lesser = self.before if first < second else self.after
        most = max(first, second)
        if first != second:
            found.append(Search(lesser, lambda effect, brings: brings.verdict is not None and brings.verdict >= most))
            graver = max(manner, key=lambda counts: -1 if counts.brings.verdict is None else int(counts.brings.verdict))

            def outweighs(effect: Effect, brings: Brings) -> bool:
                verdict = -1 if brings.verdict is None else int(brings.verdict)
                return verdict > most or (verdict == most and outranked(graver, effect, brings))

            found.append(Search(lesser, outweighs))
        elif (one.brings.ending, one.method) != (two.brings.ending, two.method):
            found.append(Search(lesser, lambda effect, brings: brings.verdict is not None and brings.verdict > most))
        for bench, lacking, having in ((self.before, one, two), (self.after, two, one)):
            for name in _more(having.brings.restrictions, lacking.brings.restrictions):
                found.append(Search(bench, lambda e, brings, name=name: name in map(self._named, brings.restrictions)))  # type: ignore[misc]
            for shown in _more(having.cautions, lacking.cautions):  # many fit only a repair: such cases come first
                found += self._unshown(bench, shown)
        return found

    def _unshown(self, bench: Bench, caution: str) -> list[Search]:
        """Where nothing else shows a caution: first where nothing speaks against a repair."""
        shown = [e for e in bench.effects.every if e.ruling and caution in map(self._named, e.ruling.cautions)]
        beside = tuple(Wish(effect, lambda brings: not brings.holds) for effect in shown)
        return [
            Search(bench, lambda effect, brings: _speaks(brings), beside),
            Search(bench, lambda effect, brings: self._too_grave(brings, caution), beside),
        ]

    def _too_grave(self, brings: Brings, caution: str) -> bool:
        """Whether a verdict is graver than any beside which a caution stands, so that it is not shown."""
        rules = next(bench.rules for bench in self.benches if caution in bench.rules.cautions)
        beside = [
            rules.endings[n].verdict if n in rules.endings else Verdict[n.upper()] for n in rules.cautions[caution].fits
        ]
        return brings.verdict is not None and brings.verdict > max(beside, default=Verdict.SCRAP)

    def _questions(self) -> Iterator[Subject]:
        """Every question that is asked in other cases, or has to be answered in others."""
        for question in dict.fromkeys(node.asks for bench in self.benches for node in bench.rules.nodes.values()):
            nodes = [[n for n in bench.rules.nodes.values() if n.asks == question] for bench in self.benches]
            if question and not self._same_asking(*nodes):
                sides = [self._asking(question, each, bench) for each, bench in zip(nodes, self.benches, strict=True)]
                yield Subject(f"question {question}", (question,), together(sides, ()), self._unasked, question)

    def _same_asking(self, old: list[Node], new: list[Node]) -> bool:
        return [_asks(n) for n in old] == [_asks(n) for n in new] and all(
            self._same_unless(a, b) and self._same_way(a, b) for a, b in zip(old, new, strict=True)
        )

    @staticmethod
    def _asking(question: str, nodes: list[Node], bench: Bench) -> Local[tuple[object, ...]] | None:
        """How a question is asked, by the states in which it is left out, where there are any and they tell all."""
        if not nodes:
            return None
        conditions = [each for node in nodes for each in bench.effects.deciding(node)]
        asked = [(node, bench.effects.asked(node)) for node in nodes]
        number = bench.space.group_of[question]
        silent = [question in state.silent for state in bench.space.states(number)]
        beside = any(_read_beyond(leaf, number, bench) for when in conditions for leaf in leaves(when))
        left_out = silent if any(silent) and not beside else [True] * len(silent)
        kinds = bench.effects.tests.kinds([*conditions, Leaf(question, "known", ())])

        def how(chosen: Chosen) -> tuple[object, ...]:
            return tuple(_asks(node) for node, test in asked if left_out[chosen[number]] and test(chosen))

        return Local(split(kinds, number, left_out), how)

    def _unasked(self, manner: Manner) -> list[Search]:
        lesser = self.before if len(manner[0]) < len(manner[1]) else self.after
        return [Search(lesser, lambda effect, brings: brings.verdict is not None and brings.verdict >= Verdict.HOLD)]

    def _methods(self) -> Iterator[Subject]:
        before, after = (bench.rules.methods for bench in self.benches)
        for name in dict.fromkeys((*before, *after)):
            one, two = before.get(name), after.get(name)
            if one is None or two is None or not self._same_method(one, two):
                sides = [self._allowing(each, bench) for each, bench in zip((one, two), self.benches, strict=True)]
                whens = [each.when for each in (one, two) if each is not None]
                used = sorted({n for bench in self.benches for n in limits_in(whens, bench.rules)} & self.limits)
                alone = one is not None and two is not None and one.when == two.when and one.rank == two.rank
                about = f"limit {used[0]}" if used and alone else f"method {name}"
                yield Subject(about, (name, *used), together(sides, None), self._not_repaired)

    def _same_method(self, one: Method, two: Method) -> bool:
        same = (one.rank, one.ending, written_out(one.when)) == (two.rank, two.ending, written_out(two.when))
        return same and self._same(one.when)

    @staticmethod
    def _allowing(method: Method | None, bench: Bench) -> Local[tuple[int, str] | None] | None:
        if method is None or method.when is None:
            return None
        seen, brought = bench.effects.tests.seen(method.when), (method.rank, method.ending)
        return Local(
            bench.effects.tests.kinds((method.when,)), lambda chosen: brought if seen(chosen) is True else None
        )

    def _not_repaired(self, manner: Manner) -> list[Search]:
        return [
            Search(self.before, lambda effect, brings: brings.verdict is not None and brings.verdict > Verdict.REPAIR)
        ]


def _read_beyond(leaf: Leaf, number: int, bench: Bench) -> bool:
    """Whether a value of a group can also come from answers outside it, so that it may be known where none is here."""
    value = bench.rules.values.get(leaf.subject)
    if value is None or bench.space.group_of.get(leaf.subject) != number:
        return False
    read = (bench.rules.read_by(value, each) for each in FUNCTIONS[value.function].known)
    return any(name in bench.rules.questions and bench.space.home.get(name) != number for name in read)


def _more(having: tuple[str, ...], lacking: tuple[str, ...]) -> Iterator[str]:
    """What one side brings and the other does not."""
    return (name for name in having if name not in lacking)


def _speaks(brings: Brings) -> bool:
    return brings.verdict is not None


def _asks(node: Node) -> tuple[object, ...]:
    return node.optional, node.told, bool(node.instead)


def _ends(rules: RuleSet, *names: str) -> list[tuple[object, ...]]:
    """The endings by these names as far as they decide; `same` and none stand for themselves."""
    found = [rules.endings.get(name) for name in names]
    return [(name, each and (each.verdict, each.method)) for name, each in zip(names, found, strict=True)]


def _each(ruling: Ruling, rules: RuleSet) -> Iterator[tuple[object, ...]]:
    """Each thing that a ruling brings, with all by which it counts: several in one are as one in each of several."""
    when, warns = written_out(ruling.when), ruling.in_doubt if ruling.in_doubt in ("same", "never") else ""
    if ruling.ending:
        ends = _ends(rules, ruling.ending, ruling.in_doubt, ruling.doubt_ending, rules.about.when_in_doubt)
        yield when, ends, frozenset(ruling.same_for), ruling.doubts
    if ruling.allows:
        yield when, "allows", ruling.doubts
    for name in (*ruling.restrictions, *ruling.cautions):
        yield when, name, name in ruling.cautions, warns, ruling.doubts


def _words_apart(ruling: Ruling | None) -> Mapping[str, object] | None:
    """What of a ruling counts: all but its wording and where it comes from."""
    if ruling is None:
        return None
    names = ("ending", "restrictions", "cautions", "allows", "in_doubt", "doubt_ending", "doubts")
    same_for = frozenset(ruling.same_for)
    return {"when": written_out(ruling.when), "same_for": same_for, **{name: getattr(ruling, name) for name in names}}
