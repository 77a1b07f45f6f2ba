"""Pairs of states of a group that differ in one question's answer: a worse one against a better, doubt against known.

Which side of a measure is worse damage, and which choice, is data of the question (`worse`, `worse-order`). For
values worked out of many answers the pairs are those that `contracts` takes for granted.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from msgspec import Struct

from advisor.model.case import CANT_TELL, Answer, Choice, Choices, Readings
from advisor.model.quantity import Measure
from advisor.model.ruleset import Condition, Question
from advisor.tools.verify.case_space import Space
from advisor.tools.verify.kept_states import KeptPair
from advisor.tools.verify.partitions import State

#: A row of a group: what it sees, the number of its state, and its own.
OrderRow = tuple[State, int, int]
_Found = tuple[OrderRow, OrderRow]


class Pair(Struct, frozen=True, eq=False):
    """Two states of a group that differ in one answer, or in one worked-out value, only.

    `rows`: their numbers among the group's. `beside`: the conditions under which the second is not worse than the first
    after all.
    """

    about: str
    group: int
    rows: tuple[int, int]
    places: tuple[int, int]
    beside: tuple[Condition, ...] = ()


def pairs(question: Question, space: Space, doubt: bool) -> Iterator[Pair]:
    """The pairs of a question: better and next worse answer, or known answer and doubt that holds it."""
    number = space.home.get(question.id, -1)
    if number < 0:
        return
    lifted = bool(question.not_ordered) and not doubt

    def every() -> Iterator[KeptPair]:
        for (first, one, m), (second, two, n) in _each_once(_pairs(question, space, number, doubt)):
            yield (m, n), (one, two), [str(_answer(each, question.id)) for each in (first, second)] if lifted else []

    for rows, places, choices in space.pairs(number, f"{question.id} {doubt}", every):
        yield Pair(question.id, number, rows, places, tuple(_beside(question, choices)) if lifted else ())


def _pairs(question: Question, space: Space, number: int, doubt: bool) -> Iterator[_Found]:
    lines: dict[object, list[tuple[Answer, OrderRow]]] = {}
    for n, (state, place) in enumerate(space.rows(number)):
        mine = _answer(state, question.id)
        if mine is not None:
            rest = frozenset((where, answer) for where, answer in state.answers.items() if where[2] != question.id)
            line = lines.setdefault((rest, frozenset(state.context.items())), [])
            line.append((mine, (state, place, n)))
    for line in lines.values():
        yield from _doubts(line) if doubt else _steps(question, line)


def _beside(question: Question, choices: list[str]) -> Iterator[Condition]:
    """The conditions under which the order of a pair's two choices does not count."""
    found = (each for each in question.not_ordered if [each.less, each.more] == choices)
    return (each.when for each in found if each.when is not None)


def _answer(state: State, question: str) -> Answer | None:
    return next((answer for where, answer in state.answers.items() if where[2] == question), None)


def assumed_pairs(space: Space, doubt: bool) -> Iterator[Pair]:
    """The pairs of worked-out values that are taken for granted."""
    for number, names in enumerate(space.groups):

        def every(number: int = number) -> Iterator[KeptPair]:
            assumed = space.assumed(number)
            own = {id(state): (state, place, n) for n, (state, place) in enumerate(space.rows(number))}
            given = assumed.doubts if doubt else assumed.steps
            for name in dict.fromkeys(name for name, _, _ in given):
                found = ((own[id(first)], own[id(second)]) for each, first, second in given if each == name)
                yield from (((m, n), (one, two), [name]) for (_, one, m), (_, two, n) in _each_once(found))

        for rows, places, (name,) in space.pairs(number, f"assumed {doubt}", every) if names else ():
            yield Pair(name, number, rows, places)


def _each_once(found: Iterator[_Found]) -> Iterator[_Found]:
    seen: set[tuple[int, int]] = set()
    for first, second in found:
        if first[1] != second[1] and (first[1], second[1]) not in seen:
            seen.add((first[1], second[1]))
            yield first, second


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
