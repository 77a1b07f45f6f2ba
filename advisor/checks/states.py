"""What conditions see of a few answers at a time: a state, the answers behind it, and states put together."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from advisor.checks.samples import TODAY
from advisor.engine.conditions import State as Outcome
from advisor.engine.facts import Value, is_certain
from advisor.model.case import CANT_TELL, Answer, Case, Key

Look = tuple[Value | None, frozenset[Key]]
#: Answers by part (tire, earlier-repairs, injuries), index and question.
Answered = Mapping[tuple[str, int, str], Answer]


class Open(NamedTuple):
    """A test that stays open: the questions that leave it open, and those of them that nobody answered."""

    names: frozenset[str]
    silent: frozenset[str]

    def __or__(self, other: Open) -> Open:
        return Open(self.names | other.names, self.silent | other.silent)


@dataclass(frozen=True, eq=False)
class State:
    """What the conditions see of a group, and answers that bring it about. `real` is False where none are known.

    `silent` holds the questions left unanswered in it.
    """

    looks: Mapping[str, Look]
    answers: Answered
    context: Answered
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

    __slots__ = ("table",)

    def __init__(self, table: Mapping[str, Look]) -> None:
        self.table = table

    def look(self, name: str) -> Look:
        """A value and the answers that leave it open; open where nothing was laid down."""
        return self.table.get(name) or (None, frozenset({(name, -1)}))


def outcome_of(state: Outcome, seen: State) -> bool | Open:
    """A test's outcome in a state, with the questions that leave it open by name."""
    if isinstance(state, bool):
        return state
    names = frozenset(name for name, _ in state)
    return Open(names, names & seen.silent)


def case_of(answers: Answered) -> Case:
    """A case with these answers."""
    items: dict[tuple[str, int], dict[str, Answer]] = {("tire", -1): {}}
    for (over, index, question), answer in answers.items():
        items.setdefault((over, index), {})[question] = answer
    counts = {
        over: 1 + max((n for each, n in items if each == over), default=-1) for over in ("earlier-repairs", "injuries")
    }
    repairs, injuries = (tuple(items.get((over, n), {}) for n in range(count)) for over, count in counts.items())
    return Case(items[("tire", -1)], repairs, injuries, TODAY)
