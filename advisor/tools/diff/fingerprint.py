"""What each part of a rule set means, apart from its wording: two parts with the same fingerprint decide alike."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from advisor.model.ruleset import Condition, Limit, Method, Node, RuleSet, Ruling, leaves
from advisor.tools.verify.reachability import Ways

Print = tuple[object, ...]


class Meaning:
    """The fingerprints of a rule set."""

    def __init__(self, rules: RuleSet, but: frozenset[str] = frozenset()) -> None:
        """`but` names limits that count as the same whatever they say."""
        self.rules, self.ways, self.but = rules, Ways(rules), but

    def limit(self, name: str) -> Print:
        """Figures, worse side, and whether the figure itself passes."""
        return (name,) if name in self.but else limit_print(self.rules.limits[name])

    def condition(self, condition: Condition | None) -> Print:
        """The tests, with the limits and worked-out values that they name."""
        every = list(leaves(condition))
        limits = {leaf.operand[0] for leaf in every if leaf.test in ("beyond", "within")}
        subjects = {leaf.subject for leaf in every}
        return condition, tuple(self.limit(name) for name in sorted(limits)), self._subjects(subjects)

    def _subjects(self, names: Iterable[str]) -> Print:
        return tuple(self._subject(name) for name in sorted(names))

    def _subject(self, name: str) -> Print:
        value = self.rules.values.get(name)
        if value is not None:
            figures = sorted(value.figures.items())
            return name, value.function, tuple((argument, self.limit(limit)) for argument, limit in figures)
        question = self.rules.questions[name]
        counts = {node.cant_tell.counts_as for node in self.rules.nodes.values() if node.asks == name}
        return name, question.kind, tuple(choice.id for choice in question.choices), tuple(sorted(counts))

    def _verdict(self, ending: str) -> Print:
        if ending in ("", "same"):
            return (ending,)
        found = self.rules.endings[ending]
        return found.verdict, found.method

    def ruling(self, ruling: Ruling) -> Print:
        """What a ruling brings, and when: its condition, the way to its node, and what doubt means."""
        doubt = ruling.in_doubt or self.rules.about.when_in_doubt
        way = tuple(self.condition(each) for each in self.ways.conditions(ruling.node))
        return (
            self.condition(ruling.when),
            way,
            self._verdict(ruling.ending),
            ruling.restriction,
            ruling.allows,
            self._verdict(doubt) if ruling.ending else (),
            ruling.same_for,
            self._verdict(ruling.doubt_ending),
            self._asked(ruling),
        )

    def _asked(self, ruling: Ruling) -> Print:
        """Which of the questions behind a ruling have to be answered: the others leave it silent."""
        names = {leaf.subject for leaf in leaves(ruling.when)}
        must = {node.asks for node in self.rules.nodes.values() if node.asks and not node.optional}
        return tuple(sorted(name for name in names if name in must))

    def node(self, node: Node) -> Print:
        """What a node asks, whether it must be answered, and what "can't tell" means there."""
        return (
            node.asks,
            node.optional,
            bool(node.instead),
            self.condition(node.unless),
            self._verdict(node.cant_tell.ending),
            node.cant_tell.counts_as,
            tuple(self.condition(each) for each in self.ways.conditions(node.id)),
        )

    def method(self, method: Method) -> Print:
        """When a method applies, its rank, and how it ends."""
        return self.condition(method.when), method.rank, self._verdict(method.ending)


def limit_print(limit: Limit) -> Print:
    """Figures, worse side, and whether the figure itself passes."""
    return tuple((f.low, f.high, f.unit) for f in limit.figures), limit.worse, limit.at_limit_passes


def changed_limits(old: RuleSet, new: RuleSet) -> Iterator[str]:
    """The limits of both that mean something else."""
    for name in old.limits.keys() & new.limits.keys():
        if limit_print(old.limits[name]) != limit_print(new.limits[name]):
            yield name
