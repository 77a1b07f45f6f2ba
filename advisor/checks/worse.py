"""Pairs of states of a group that differ in one question's answer: a worse one against a better, doubt against known.

Which side of a measure is worse damage, and which choice, is data of the question (`worse`, `worse-order`).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from advisor.checks.proof import Bench
from advisor.checks.space import State
from advisor.model.case import CANT_TELL, Answer, Choice, Choices, Readings
from advisor.model.rules import Question
from advisor.units import Measure


@dataclass(frozen=True, eq=False)
class Pair:
    """Two states that differ in one answer only."""

    question: Question
    first: State
    second: State


def pairs(question: Question, bench: Bench, doubt: bool) -> Iterator[Pair]:
    """The pairs of a question: better and next worse answer, or known answer and doubt that holds it."""
    space = bench.space
    number = next((space.group_of[name] for name in space.tested if question.id in space.inputs(name)), None)
    if number is None:
        return
    rows: dict[object, list[tuple[Answer, State]]] = {}
    for state in space.rows(number):
        mine = next((answer for where, answer in state.answers.items() if where[2] == question.id), None)
        if mine is not None:
            rest = frozenset((where, answer) for where, answer in state.answers.items() if where[2] != question.id)
            rows.setdefault((rest, frozenset(state.context.items())), []).append((mine, state))
    seen: set[object] = set()
    for row in rows.values():
        for first, second in _doubts(row) if doubt else _steps(question, row):
            key = (space.seen(number, first), space.seen(number, second))
            if key[0] != key[1] and key not in seen:
                seen.add(key)
                yield Pair(question, first, second)


def _steps(question: Question, row: list[tuple[Answer, State]]) -> Iterator[tuple[State, State]]:
    """Each known answer with every worse one, or with the next worse of a measure in the same unit."""
    if question.worse_order:
        by_choice = {answer.id: state for answer, state in row if isinstance(answer, Choice)}
        ordered = [by_choice[name] for name in question.worse_order if name in by_choice]
        yield from ((a, b) for place, a in enumerate(ordered) for b in ordered[place + 1 :])
    elif question.worse == "found":
        none = next((state for answer, state in row if answer == Choices(frozenset())), None)
        if none is not None:
            yield from ((none, state) for answer, state in row if isinstance(answer, Choices) and answer.present)
    elif question.worse:
        families: dict[str, list[tuple[Measure, State]]] = {}
        for answer, state in row:
            measure = _exact(answer)
            if measure is not None:
                families.setdefault(measure.unit, []).append((measure, state))
        for ranked in families.values():
            ranked.sort(key=lambda item: item[0].low, reverse=question.worse == "below")
            yield from ((a, b) for (_, a), (_, b) in pairwise(ranked))


def _exact(answer: Answer) -> Measure | None:
    if isinstance(answer, Readings):
        answer = answer.readings[0]
    return answer if isinstance(answer, Measure) and answer.exact else None


def _doubts(row: list[tuple[Answer, State]]) -> Iterator[tuple[State, State]]:
    """Each known answer with "can't tell", and with every doubtful reading that holds it."""
    for doubtful, second in row:
        for known, first in row:
            if known is not doubtful and _holds(doubtful, known):
                yield first, second


def _holds(doubtful: Answer, known: Answer) -> bool:
    if doubtful is CANT_TELL:
        return known is not CANT_TELL and not (isinstance(known, Measure) and not known.exact)
    if isinstance(doubtful, Choices) and not doubtful.complete and isinstance(known, Choices):
        return known.complete
    wide, point = _measure(doubtful), _exact(known)
    return (
        wide is not None
        and point is not None
        and not wide.exact
        and wide.unit == point.unit
        and (wide.low <= point.low <= wide.high)
    )


def _measure(answer: Answer) -> Measure | None:
    if isinstance(answer, Readings):
        answer = answer.readings[0]
    return answer if isinstance(answer, Measure) else None
