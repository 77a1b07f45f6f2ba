"""The question graph as data: conditions, rulings, nodes, the ways between them, and the parts they make up."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from advisor.model.limits import Basis

#: Where a way on leads that ends its part.
END = "end"


class Leaf(Struct, frozen=True, tag=True):
    """One test of one answer or worked-out value."""

    subject: str
    test: str
    operand: tuple[str, ...]


#: Tests that take nothing more.
LONE_TESTS = ("known", "answered", "unanswered")


class Join(Struct, frozen=True, tag=True):
    """`all`, `any` or `not` of conditions; `term` is the name under which terms.yaml has it, if it has one.

    `table` where it stands for a test against a limit chosen by a table.
    """

    how: str
    parts: tuple[Condition, ...]
    term: str = ""
    table: str = ""


Condition = Leaf | Join


class LimitRow(Struct, frozen=True):
    """A row of a table: the limit that counts where the condition holds."""

    when: Condition
    limit: str


class LimitTable(Struct, frozen=True):
    """A limit chosen by the first row that holds; all rows are of one quantity and have one worse side."""

    id: str
    says: str
    rows: tuple[LimitRow, ...]
    note: str = ""

    def held_against(self, subject: str, test: str) -> Join:
        """The test of a subject against it: a join for each row, whose last part is the test against its limit."""
        rows = []
        for number, row in enumerate(self.rows):
            above = (each.when for each in self.rows[:number] if not _apart(each.when, row.when))
            unless = tuple(Join("not", (when,)) for when in above)
            rows.append(Join("all", (*unless, row.when, Leaf(subject, test, (row.limit,)))))
        return Join("any", tuple(rows), table=self.id)


def _apart(one: Condition, other: Condition) -> bool:
    """Whether two conditions ask for different choices of one subject, so that they can't both hold."""
    return any(
        mine.subject == theirs.subject and not set(mine.operand) & set(theirs.operand)
        for mine in _chosen(one)
        for theirs in _chosen(other)
    )


def _chosen(condition: Condition) -> Iterator[Leaf]:
    parts = condition.parts if isinstance(condition, Join) and condition.how == "all" else (condition,)
    return (part for part in parts if isinstance(part, Leaf) and part.test in ("is", "one-of"))


def leaves(condition: Condition | None) -> Iterator[Leaf]:
    """Every test in a condition, in order."""
    if isinstance(condition, Leaf):
        yield condition
    elif condition is not None:
        for part in condition.parts:
            yield from leaves(part)


def tables_in(condition: Condition | None) -> Iterator[str]:
    """Every table of limits that a condition goes by."""
    if isinstance(condition, Join):
        yield from (condition.table,) if condition.table else (t for part in condition.parts for t in tables_in(part))


def terms_in(condition: Condition | None) -> Iterator[str]:
    """Every term in a condition, those that terms are made of too."""
    if isinstance(condition, Join):
        yield from [condition.term] if condition.term else []
        for part in condition.parts:
            yield from terms_in(part)


def written_out(condition: Condition | None) -> Condition | None:
    """A condition with its terms written out, so that it is the same however it was written."""
    if not isinstance(condition, Join):
        return condition
    parts: list[Condition] = []
    for part in map(written_out, condition.parts):
        assert part is not None
        same = isinstance(part, Join) and part.how == condition.how and condition.how != "not"
        parts += part.parts if same and isinstance(part, Join) else (part,)
    return parts[0] if len(parts) == 1 and condition.how != "not" else Join(condition.how, tuple(parts))


def limit_tested(condition: Condition | None, in_term: bool = False) -> Leaf | Join | None:
    """The first test against a limit or a table of limits in a condition.

    In a term only one that has to hold, by which it always goes.
    """
    if isinstance(condition, Leaf):
        return condition if condition.test in ("beyond", "within") else None
    if condition is None or condition.table:
        return condition
    if (in_term := in_term or bool(condition.term)) and condition.how != "all":
        return None
    return next((found for part in condition.parts if (found := limit_tested(part, in_term))), None)


class Term(Struct, frozen=True):
    """A condition with a name; `says` stands for it wherever conditions are put in words."""

    id: str
    says: str
    when: Condition


class Ruling(Struct, frozen=True):
    """A condition with what it brings: an ending, restrictions and cautions, one of them or several; and its reason.

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
    restrictions: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    allows: bool = False
    in_doubt: str = ""
    same_for: tuple[str, ...] = ()
    doubt_ending: str = ""
    doubts: tuple[str, ...] = ()
    #: Whether its basis is just that of the limit that it holds a reading against.
    by_limit: bool = False

    @property
    def counts(self) -> bool:
        """Whether it can bring a verdict or a restriction."""
        return bool(self.ending or self.restrictions)

    @property
    def only_warns(self) -> bool:
        """Whether it brings nothing but cautions."""
        return not (self.ending or self.restrictions or self.allows)

    @property
    def brings(self) -> tuple[str, ...]:
        """The ids of all that it brings, the gravest first."""
        return (*([self.ending] if self.ending else []), *self.restrictions, *self.cautions)


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
