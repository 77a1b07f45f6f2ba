"""What a few groups of facts alone decide: worked out once for each choice of what it can tell apart in them.

This is what keeps the checks quick. Whatever counts towards a verdict looks at a handful of groups, and sees only a
few kinds of state in each; the product of those kinds is small, however large the product of all answers is.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import product
from typing import Generic, NamedTuple, Protocol, TypeVar

from advisor.engine.conditions import joined_tests
from advisor.model.ruleset import Condition, Join, Leaf, leaves
from advisor.tools.verify.case_space import Space
from advisor.tools.verify.partitions import OpenAnswer


class Chosen(Protocol):
    """A state by its number for each group that matters."""

    def __getitem__(self, group: int, /) -> int: ...


State3 = bool | OpenAnswer
Seen = Callable[[Chosen], State3]
T = TypeVar("T")


class Marks(Protocol):
    """Tells which terms of the plan each state of a group rules out, and which it rules out or leaves open."""

    def __call__(self, group: int, /) -> tuple[list[int], list[int]]: ...


class Need(NamedTuple):
    """A condition by its terms in the plan: it cannot hold once no term is left that is not ruled out.

    Where groups are laid down, `terms` are those left by them, and `sure` those that may still hold for certain.
    """

    terms: int
    sure: int
    groups: tuple[int, ...]
    marks: Marks

    def laid_down(self, group: int, place: int) -> Need:
        """The same with one group's state laid down."""
        if group not in self.groups:
            return self
        out, doubtful = self.marks(group)
        others = tuple(each for each in self.groups if each != group)
        return Need(self.terms & ~out[place], self.sure & ~doubtful[place], others, self.marks)


class Local(Generic[T]):
    """Something that a few groups decide. `kinds` gives, for each of them, which kind every state is.

    `needs`: what may not be False, or else `otherwise` comes out.
    """

    __slots__ = ("_items", "_known", "_laid_down", "_work_out", "groups", "kinds", "needs", "otherwise")

    def __init__(
        self,
        kinds: Mapping[int, list[int]],
        work_out: Callable[[Chosen], T],
        needs: Sequence[Need | Local[bool]] = (),
        otherwise: object = None,
    ) -> None:
        self.kinds, self._work_out = kinds, work_out
        self.needs, self.otherwise = needs, otherwise
        self.groups = tuple(kinds)
        self._items = tuple(kinds.items())
        self._known: dict[tuple[int, ...], T] = {}
        self._laid_down: dict[tuple[int, int], Local[T]] = {}

    def at(self, chosen: Chosen) -> T:
        """What comes out for a choice of states, one for each of its groups at least."""
        key = tuple([kinds[chosen[group]] for group, kinds in self._items])
        try:
            return self._known[key]
        except KeyError:
            found = self._known[key] = self._work_out(chosen)
            return found

    def laid_down(self, group: int, place: int) -> Local[T]:
        """The same thing with one group's state laid down."""
        if group not in self.kinds:
            return self
        kind = self.kinds[group][place]
        found = self._laid_down.get((group, kind))
        if found is None:
            others = {number: kinds for number, kinds in self.kinds.items() if number != group}

            def work_out(chosen: Chosen) -> T:
                return self.at({**{number: chosen[number] for number in others}, group: place})

            needs = [each.laid_down(group, place) for each in self.needs]
            found = self._laid_down[group, kind] = Local(others, work_out, needs, self.otherwise)
        return found

    def cells(self, fixed: Mapping[int, int]) -> Iterator[dict[int, int]]:
        """Every choice of one state of each kind, those of the fixed groups left as they are."""
        lots = [[fixed[group]] if group in fixed else first_of_each(self.kinds[group]) for group in self.groups]
        for choice in product(*lots):
            yield dict(zip(self.groups, choice, strict=True))


def first_of_each(kinds: Iterable[int]) -> list[int]:
    """The first state of each kind."""
    return list({kind: place for place, kind in reversed(list(enumerate(kinds)))}.values())[::-1]


FactorMark = Callable[[OpenAnswer], object]


def just_open(state: OpenAnswer) -> object:
    """Nothing is told apart in a test that stays open."""
    return None


class Tests:
    """The tests of a rule set, by the states of its space."""

    def __init__(self, space: Space) -> None:
        self.space = space
        self.plan = space.plan
        self._locals: dict[int, tuple[Condition, Local[State3]]] = {}
        self._marks: dict[int, tuple[list[int], list[int]]] = {}
        self._marked = 0

    def seen(self, condition: Condition | None) -> Seen:
        """A function that tells how a condition comes out for a choice of states."""
        if condition is None:
            return lambda chosen: True
        if isinstance(condition, Leaf):
            number, outcomes = self.space.group_of[condition.subject], self.space.outcomes(condition)
            return lambda chosen: outcomes[chosen[number]]  # type: ignore[return-value]
        return joined_tests(condition.how, [self.seen(part) for part in condition.parts])

    def kinds(
        self, conditions: Iterable[Condition], mark: FactorMark = just_open, not_told: Iterable[str] = ()
    ) -> dict[int, list[int]]:
        """Which states are one and the same to these conditions, and to whether these names can't be told.

        `mark` says what of a test that stays open can be told apart.
        """
        every = dict.fromkeys(leaf for condition in conditions for leaf in leaves(condition))
        marks: dict[int, list[list[object]]] = {}
        for leaf in every:
            outcomes = [mark(each) if isinstance(each, OpenAnswer) else each for each in self.space.outcomes(leaf)]
            marks.setdefault(self.space.group_of[leaf.subject], []).append(outcomes)
        for name in not_told:
            number = self.space.group_of[name]
            told: list[object] = [name in state.not_told for state in self.space.states(number)]
            marks.setdefault(number, []).append(told)
        return {number: numbered(zip(*marks[number], strict=True)) for number in sorted(marks)}

    def local(self, condition: Condition) -> Local[State3]:
        """A condition as something that a few groups decide."""
        found = self._locals.get(id(condition))
        if found is None:
            local = Local(self.kinds((condition,)), self.seen(condition), [self.need(condition)], False)
            found = self._locals[id(condition)] = condition, local
        return found[1]

    def need(self, condition: Condition) -> Need:
        """A condition as terms of the plan."""
        terms = self.plan.terms(condition)
        if self.plan.every != self._marked:
            self._marks, self._marked = {}, self.plan.every
        return Need(terms, terms, self.space.numbers(leaf.subject for leaf in leaves(condition)), self.marks)

    def marks(self, group: int) -> tuple[list[int], list[int]]:
        """Which terms of the plan each state of a group rules out, and which it rules out or leaves open."""
        found = self._marks.get(group)
        if found is None:
            marks = [self.plan.marks_of(state.looks) for state in self.space.states(group)]
            found = self._marks[group] = [out for out, _ in marks], [out | left_open for out, left_open in marks]
        return found

    def all_of(self, condition: Condition) -> list[Local[State3]]:
        """The conditions that all have to hold where this one does, each as something local."""
        if isinstance(condition, Join) and condition.how == "all":
            return [local for part in condition.parts for local in self.all_of(part)]
        return [self.local(condition)]


def numbered(marks: Iterable[tuple[object, ...]]) -> list[int]:
    """A number for each mark, the same for the same mark."""
    known: dict[tuple[object, ...], int] = {}
    return [known.setdefault(mark, len(known)) for mark in marks]


def split(kinds: Mapping[int, list[int]], number: int, by: list[bool]) -> dict[int, list[int]]:
    """Kinds of states with those of one group told apart by a further mark."""
    return {**kinds, number: [2 * kind + mark for kind, mark in zip(kinds[number], by, strict=True)]}
