"""A rule set as frozen data: what the YAML says, checked, and nothing that a file could not say."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from enum import IntEnum
from fractions import Fraction
from typing import Any

from advisor.errors import Place
from advisor.units import Measure


class Verdict(IntEnum):
    """The four verdicts, best first; the worst ruling decides."""

    REPAIR = 0
    REFER = 1
    HOLD = 2
    SCRAP = 3

    def __str__(self) -> str:
        return self.name.lower()


STANDINGS = (
    "published",
    "second-hand",
    "common practice",
    "derived",
    "from memory",
    "invented for the demo",
)
#: Standings that rest on no text that can be looked up; the screen says so.
UNSOURCED = frozenset({"common practice", "from memory", "invented for the demo"})


@dataclass(frozen=True, slots=True)
class Source:
    """A text that limits rest on."""

    id: str
    title: str
    publisher: str
    edition: str
    kind: str
    read: str


@dataclass(frozen=True, slots=True)
class Basis:
    """What a limit or ruling rests on: standing, sources by id, clause."""

    standing: str
    sources: tuple[str, ...]
    clause: str


@dataclass(frozen=True, slots=True)
class Limit:
    """A named figure, given once or in two unit families as printed.

    `worse` is `above`, `below` or empty for a figure that only wording and steps use.
    """

    id: str
    says: str
    figures: tuple[Measure, ...]
    worse: str
    at_limit_passes: bool
    basis: Basis
    note: str = ""

    def figure_for(self, measure: Measure) -> Measure:
        """The figure to hold a measure against: the one printed in its unit family, else the first one."""
        for figure in self.figures:
            if figure.compared_in == measure.compared_in:
                return figure
        return self.figures[0]

    def is_beyond(self, measure: Measure) -> bool | None:
        """Whether a measure lies on the worse side; None when its range straddles the limit."""
        figure = self.figure_for(measure)
        limit, reading = figure.low, measure.to(figure.unit)
        mild, bad = (reading.low, reading.high) if self.worse == "above" else (reading.high, reading.low)
        if self._past(mild, limit):
            return True
        return None if self._past(bad, limit) else False

    def _past(self, reading: Fraction, limit: Fraction) -> bool:
        if reading == limit:
            return not self.at_limit_passes
        return reading > limit if self.worse == "above" else reading < limit


@dataclass(frozen=True, slots=True)
class ChoiceText:
    """A choice of a question: id, wording, and other words for it."""

    id: str
    says: str
    also: tuple[str, ...] = ()
    help: str = ""


@dataclass(frozen=True, slots=True)
class Question:
    """Something asked. `over` is tire, earlier-repairs or injuries; `key` is its name in a case file."""

    id: str
    over: str
    key: str
    name: str
    asks: str
    kind: str
    quantity: str = ""
    unit: str = ""
    choices: tuple[ChoiceText, ...] = ()
    plausible: Measure | None = None
    how: str = ""
    why: str = ""
    shown_as: str = ""

    def choice(self, choice_id: str) -> ChoiceText | None:
        """The choice with this id."""
        return next((choice for choice in self.choices if choice.id == choice_id), None)


@dataclass(frozen=True, slots=True)
class WorkedOut:
    """A value worked out of answers by a named function, with figures of the rule set by argument name."""

    id: str
    over: str
    function: str
    name: str
    figures: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Leaf:
    """One test of one answer or worked-out value."""

    subject: str
    test: str
    operand: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Join:
    """`all`, `any` or `not` of conditions."""

    how: str
    parts: tuple[Condition, ...]


Condition = Leaf | Join


def leaves(condition: Condition | None) -> Iterator[Leaf]:
    """Every test in a condition, in order."""
    if isinstance(condition, Leaf):
        yield condition
    elif condition is not None:
        for part in condition.parts:
            yield from leaves(part)


@dataclass(frozen=True, slots=True)
class Ruling:
    """A condition that counts towards the verdict, a restriction or a caution, with its reason.

    One that `allows` speaks for repair: it is a reason, and never makes a verdict better.
    `in_doubt` is the ending that counts when the condition stays open, or `same`;
    `same_for` narrows `same` to doubt about those questions only.
    """

    id: str
    node: str
    when: Condition
    because: str
    basis: Basis
    ending: str = ""
    restriction: str = ""
    caution: str = ""
    allows: bool = False
    in_doubt: str = ""
    same_for: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class CantTellRule:
    """What "can't tell" means at a node: an ending, a choice it counts as, or that the rulings alone decide."""

    ending: str = ""
    counts_as: str = ""
    because: str = ""


@dataclass(frozen=True, slots=True)
class Edge:
    """A way on: taken when its condition is yes; the last one has none."""

    when: Condition | None
    to: str


@dataclass(frozen=True, slots=True)
class Node:
    """A place in the question graph: its question, its rulings, the ways on.

    An `optional` question may stay unanswered; `instead` says how a needed one can be settled by others.
    """

    id: str
    part: str
    asks: str
    optional: bool
    instead: str
    unless: Condition | None
    cant_tell: CantTellRule
    rulings: tuple[Ruling, ...]
    next: tuple[Edge, ...]


@dataclass(frozen=True, slots=True)
class Part:
    """A stretch of the graph, walked once, or once for each injury or earlier repair."""

    id: str
    over: str
    starts: str
    when: Condition | None = None
    more: str = ""
    at_least_one: bool = False


@dataclass(frozen=True, slots=True)
class Ending:
    """A named way for a case to end."""

    id: str
    verdict: Verdict
    headline: str
    do_now: tuple[str, ...]
    tell_driver: str
    method: str = ""
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Restriction:
    """A condition on the return to service."""

    id: str
    says: str


@dataclass(frozen=True, slots=True)
class Caution:
    """A warning about work that can hurt someone."""

    id: str
    hazard: str
    says: str
    basis: Basis


@dataclass(frozen=True, slots=True)
class Step:
    """A step of a method, with the figures that it names."""

    id: str
    says: str
    figures: tuple[str, ...]
    cautions: tuple[str, ...]
    when: Condition | None
    basis: Basis


@dataclass(frozen=True, slots=True)
class Method:
    """A way to repair; `rank` orders methods from the least to the most."""

    id: str
    title: str
    rank: int
    when: Condition | None
    ending: str
    says: str
    basis: Basis
    cautions: tuple[str, ...]
    steps: tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class Word:
    """A term of the trade for a newcomer."""

    id: str
    title: str
    also: tuple[str, ...]
    says: str


@dataclass(frozen=True, slots=True)
class About:
    """What a rule set is, for what, and whom it defers to."""

    id: str
    title: str
    edition: str
    scope: str
    not_for: tuple[str, ...]
    defers_to: tuple[str, ...]
    when_unanswered: str
    when_in_doubt: str
    always: tuple[str, ...]
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class RuleSet:
    """A whole rule set; every reference in it is known to lead somewhere."""

    about: About
    sources: Mapping[str, Source]
    limits: Mapping[str, Limit]
    questions: Mapping[str, Question]
    values: Mapping[str, WorkedOut]
    parts: tuple[Part, ...]
    nodes: Mapping[str, Node]
    endings: Mapping[str, Ending]
    restrictions: Mapping[str, Restriction]
    methods: Mapping[str, Method]
    cautions: Mapping[str, Caution]
    words: Mapping[str, Word]
    content: Mapping[str, Any]
    digest: str
    places: Mapping[str, Place] = field(default_factory=dict)

    def place_of(self, file: str, name: str = "") -> Place:
        """Where a file of the rule set defines a name; the head of the file when it doesn't."""
        return self.places.get(f"{file}#{name}") or Place(f"{self.about.id}/{file}")

    def over_of(self, name: str) -> str:
        """Whether a question or worked-out value belongs to the tire, an earlier repair or an injury."""
        return self.questions[name].over if name in self.questions else self.values[name].over

    def rulings(self) -> Iterator[Ruling]:
        """Every ruling, in the order of the graph's file."""
        for node in self.nodes.values():
            yield from node.rulings
