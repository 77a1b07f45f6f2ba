"""The question graph as data: conditions, rulings, nodes, the ways between them, and the parts they make up."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from advisor.model.limits import Basis


class Leaf(Struct, frozen=True, tag=True):
    """One test of one answer or worked-out value."""

    subject: str
    test: str
    operand: tuple[str, ...]


class Join(Struct, frozen=True, tag=True):
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


class Ruling(Struct, frozen=True):
    """A condition that counts towards the verdict, a restriction or a caution, with its reason.

    One that `allows` speaks for repair: it is a reason, and never makes a verdict better.
    `in_doubt` is the ending that counts when the condition stays open, or `same`;
    `same_for` narrows `same` to doubt about those questions only, with a wording of its own in `doubt_ending`.
    `doubts` names answers that can hardly be right: it says nothing of the tire, and counts as doubt about them.
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
    doubt_ending: str = ""
    doubts: tuple[str, ...] = ()


class CantTellRule(Struct, frozen=True):
    """What "can't tell" means at a node: an ending, a choice it counts as, or that the rulings alone decide."""

    ending: str = ""
    counts_as: str = ""
    because: str = ""


class Edge(Struct, frozen=True):
    """A way on: taken when its condition is yes; the last one has none."""

    when: Condition | None
    to: str


class Node(Struct, frozen=True):
    """A place in the question graph: its question, its rulings, the ways on.

    An `optional` question may stay unanswered; `instead` says how a needed one can be settled by others.
    With `told` a case file may leave it out, and who is asked has to answer.
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
    told: bool = False

    @property
    def is_needed(self) -> bool:
        """Whether it asks something that only its own answer can settle."""
        return bool(self.asks) and not (self.optional or self.instead)


class Part(Struct, frozen=True):
    """A stretch of the graph, walked once, or once for each injury or earlier repair."""

    id: str
    over: str
    starts: str
    when: Condition | None = None
    more: str = ""
    at_least_one: bool = False
