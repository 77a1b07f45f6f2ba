"""What conditions see of a few answers at a time: a state, the answers behind it, and states put together.

Example cases for values worked out of how injuries lie to each other: the gap between repair units.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from msgspec import Struct

from advisor.engine.conditions import Outcome
from advisor.engine.facts import Facts, Tables, Value, is_certain
from advisor.model import inputs
from advisor.model.case import CANT_TELL, Answer, Case, Choice, Key, Text
from advisor.model.quantity import Measure, between, exactly
from advisor.model.ruleset import Limit, RuleSet
from advisor.tools.verify.boundary_values import TODAY

if TYPE_CHECKING:
    pass


FactorLook = tuple[Value | None, frozenset[Key]]
#: Answers by part (tire, earlier-repairs, injuries), index and question.
AnswerState = Mapping[tuple[str, int, str], Answer]


class OpenAnswer(NamedTuple):
    """A test that stays open: the questions that leave it open, and those of them that nobody answered."""

    names: frozenset[str]
    silent: frozenset[str]

    def __or__(self, other: OpenAnswer) -> OpenAnswer:
        return OpenAnswer(self.names | other.names, self.silent | other.silent)


class State(Struct, frozen=True, eq=False, dict=True):
    """What the conditions see of a group, and answers that bring it about. `real` is False where none are known.

    `silent` holds the questions left unanswered in it.
    """

    looks: Mapping[str, FactorLook]
    answers: AnswerState
    context: AnswerState
    real: bool = True
    silent: frozenset[str] = frozenset()

    @cached_property
    def certain(self) -> bool:
        """Whether nothing in it is open."""
        return all(is_certain(value) for value, _ in self.looks.values())

    @cached_property
    def not_told(self) -> frozenset[str]:
        """What was answered with "can't tell"."""
        return frozenset(name for name, (value, _) in self.looks.items() if value is CANT_TELL)


class Looks:
    """Stands in for the engine's facts: a condition asks it by name."""

    __slots__ = ("memo",)
    trails = ()

    def __init__(self, table: Mapping[str, FactorLook]) -> None:
        self.memo = table

    def look(self, name: str) -> FactorLook:
        """A value and the answers that leave it open; open where nothing was laid down."""
        return self.memo.get(name) or (None, frozenset({(name, -1)}))


def outcome_of(state: Outcome, seen: State) -> bool | OpenAnswer:
    """A test's outcome in a state, with the questions that leave it open by name."""
    if isinstance(state, bool):
        return state
    names = frozenset(name for name, _ in state)
    return OpenAnswer(names, names & seen.silent)


def case_with(answers: AnswerState) -> Case:
    """A case with these answers."""
    items: dict[tuple[str, int], dict[str, Answer]] = {("tire", -1): {}}
    for (over, index, question), answer in answers.items():
        items.setdefault((over, index), {})[question] = answer
    counts = {
        over: 1 + max((n for each, n in items if each == over), default=-1)
        for over in (inputs.OVER_REPAIRS, "injuries")
    }
    repairs, injuries = (tuple(items.get((over, n), {}) for n in range(count)) for over, count in counts.items())
    return Case(items[("tire", -1)], repairs, injuries, TODAY)


_WIDTH = 60
PRINT_ADDRESS = ("tire", -1, inputs.SIDEWALL)
#: A print for each class, for cases that need a size only.
SIDEWALL_OF_CLASS: dict[str, Answer] = {
    "passenger": Text("205/55R16 91V"),
    "light-truck": Text("LT245/75R16 120/116S"),
    "medium-truck": Text("275/70R22.5 148/145M"),
}


def gap_states(rules: RuleSet, tables: Tables, names: Sequence[str], limits: Sequence[Limit]) -> Iterator[State]:
    """One injury alone, and two with a gap on either side of each limit, at it, and in doubt across it."""
    from advisor.tools.verify.boundary_values import TODAY

    gaps: list[Measure | None] = [None]
    for limit in limits:
        figure = limit.figures[-1].to("mm").low
        gaps += [exactly(figure + step, "mm") for step in (-5, 0, 5)] + [between(figure - 5, figure + 5, "mm")]
    for gap in gaps:
        answers = {} if gap is None else _two_injuries(gap)
        context: dict[tuple[str, int, str], Answer] = (
            {} if gap is None else {PRINT_ADDRESS: SIDEWALL_OF_CLASS["passenger"]}
        )
        case = Case(today=TODAY, injuries=({inputs.MORE_INJURIES: Choice("no")},))
        for (over, index, question), answer in {**context, **answers}.items():
            case = case.with_answer(over, (question, index), answer)
        facts = Facts(tables, case)
        yield State({name: facts.look(name) for name in names}, answers, context)


def _two_injuries(gap: Measure) -> dict[tuple[str, int, str], Answer]:
    """Two injuries at the same clock place, one each side of the centre line, their units `gap` apart across."""
    half = Fraction(_WIDTH, 2)
    low, high = gap.low + half, gap.high + half
    return {
        ("tire", -1, inputs.UNIT_LENGTH): exactly(70, "mm"),
        ("tire", -1, inputs.UNIT_WIDTH): exactly(_WIDTH, "mm"),
        ("injuries", 0, inputs.CLOCK): exactly(60, "deg"),
        ("injuries", 1, inputs.CLOCK): exactly(60, "deg"),
        ("injuries", 0, inputs.OFFSET): exactly(-half, "mm"),
        ("injuries", 1, inputs.OFFSET): Measure(low, high, "mm"),
        ("injuries", 0, inputs.MORE_INJURIES): Choice("yes"),
        ("injuries", 1, inputs.MORE_INJURIES): Choice("no"),
    }
