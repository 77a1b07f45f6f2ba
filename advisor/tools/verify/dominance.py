"""Pairs of states of a group that differ in one question's answer: a worse one against a better, doubt against known.

Which side of a measure is worse damage, and which choice, is data of the question (`worse`, `worse-order`). For
values worked out of many answers the pairs are those that `contracts` takes for granted.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from msgspec import Struct
from msgspec.structs import replace

from advisor.model.case import CANT_TELL, Answer, Choice, Choices, Readings
from advisor.model.quantity import Measure
from advisor.model.ruleset import Condition, Question
from advisor.tools.verify.case_space import Space
from advisor.tools.verify.partitions import State

#: A row of a group: what it sees, and the number of its state.
OrderRow = tuple[State, int]


class Pair(Struct, frozen=True, eq=False):
    """Two states of a group that differ in one answer, or in one worked-out value, only.

    `beside`: the conditions under which the second is not worse than the first after all.
    """

    about: str
    group: int
    first: State
    second: State
    places: tuple[int, int]
    beside: tuple[Condition, ...] = ()


def pairs(question: Question, space: Space, doubt: bool) -> Iterator[Pair]:
    """The pairs of a question: better and next worse answer, or known answer and doubt that holds it."""
    number = space.home.get(question.id, -1)
    if number < 0:
        return
    lines: dict[object, list[tuple[Answer, OrderRow]]] = {}
    for row in space.rows(number):
        state = row[0]
        mine = _answer(state, question.id)
        if mine is not None:
            rest = frozenset((where, answer) for where, answer in state.answers.items() if where[2] != question.id)
            lines.setdefault((rest, frozenset(state.context.items())), []).append((mine, row))
    found = (each for line in lines.values() for each in (_doubts(line) if doubt else _steps(question, line)))
    for pair in _each_once(question.id, number, found):
        yield pair if doubt or not question.not_ordered else replace(pair, beside=_beside(question, pair))


def _beside(question: Question, pair: Pair) -> tuple[Condition, ...]:
    """The conditions under which the order of a pair's two choices does not count."""
    less, more = (str(_answer(state, question.id)) for state in (pair.first, pair.second))
    found = (each for each in question.not_ordered if (each.less, each.more) == (less, more))
    return tuple(each.when for each in found if each.when is not None)


def _answer(state: State, question: str) -> Answer | None:
    return next((answer for where, answer in state.answers.items() if where[2] == question), None)


def assumed_pairs(space: Space, doubt: bool) -> Iterator[Pair]:
    """The pairs of worked-out values that are taken for granted."""
    for number, names in enumerate(space.groups):
        assumed = space.assumed(number) if names else None
        if assumed is None or not assumed.rows:
            continue
        rows = {id(state): (state, place) for state, place in space.rows(number)}
        given = assumed.doubts if doubt else assumed.steps
        for name in dict.fromkeys(name for name, _, _ in given):
            found = ((rows[id(first)], rows[id(second)]) for each, first, second in given if each == name)
            yield from _each_once(name, number, found)


def _each_once(about: str, number: int, found: Iterator[tuple[OrderRow, OrderRow]]) -> Iterator[Pair]:
    seen: set[tuple[int, int]] = set()
    for (first, one), (second, two) in found:
        if one != two and (one, two) not in seen:
            seen.add((one, two))
            yield Pair(about, number, first, second, (one, two))


def _steps(question: Question, line: list[tuple[Answer, OrderRow]]) -> Iterator[tuple[OrderRow, OrderRow]]:
    """Each known answer with every worse one, or with the next worse of a measure in the same unit."""
    if question.worse_order:
        by_choice = {answer.id: row for answer, row in line if isinstance(answer, Choice)}
        ordered = [by_choice[name] for name in question.worse_order if name in by_choice]
        yield from ((a, b) for place, a in enumerate(ordered) for b in ordered[place + 1 :])
    elif question.worse == "found":
        none = next((row for answer, row in line if answer == Choices(frozenset())), None)
        if none is not None:
            yield from ((none, row) for answer, row in line if isinstance(answer, Choices) and answer.present)
    elif question.worse:
        families: dict[str, list[tuple[Measure, OrderRow]]] = {}
        for answer, row in line:
            measure = _exact(answer)
            if measure is not None:
                families.setdefault(measure.unit, []).append((measure, row))
        for ranked in families.values():
            ranked.sort(key=lambda item: item[0].low, reverse=question.worse == "below")
            yield from ((a, b) for (_, a), (_, b) in pairwise(ranked))


def _exact(answer: Answer) -> Measure | None:
    if isinstance(answer, Readings):
        answer = answer.readings[0]
    return answer if isinstance(answer, Measure) and answer.exact else None


def _doubts(line: list[tuple[Answer, OrderRow]]) -> Iterator[tuple[OrderRow, OrderRow]]:
    """Each known answer with "can't tell", and with every doubtful reading that holds it."""
    known = [(answer, row, _exact(answer)) for answer, row in line]
    for doubtful, second in line:
        wide = _measure(doubtful)
        if doubtful is CANT_TELL:
            yield from ((first, second) for answer, first, _ in known if _is_told(answer))
        elif isinstance(doubtful, Choices) and not doubtful.complete:
            yield from ((first, second) for each, first, _ in known if isinstance(each, Choices) and each.complete)
        elif wide is not None and not wide.exact:
            yield from ((first, second) for _, first, point in known if point is not None and _lies_in(point, wide))


def _is_told(answer: Answer) -> bool:
    """Whether an answer is known, and no measure in doubt."""
    return answer is not CANT_TELL and not (isinstance(answer, Measure) and not answer.exact)


def _lies_in(point: Measure, wide: Measure) -> bool:
    return wide.unit == point.unit and wide.low <= point.low <= wide.high


def _measure(answer: Answer) -> Measure | None:
    if isinstance(answer, Readings):
        answer = answer.readings[0]
    return answer if isinstance(answer, Measure) else None
