"""At which place or size of a unit another verdict comes: measures that no limit is held against directly.

Clock positions, offsets, sizes of units and the like reach the verdict through distances and zones worked out of them.
Each is moved by itself in ever longer steps, both ways, and where the verdict turns the nearest place is closed in on.
What is said was judged at that very place; between steps a narrow stretch could be missed.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from advisor.engine.judge import Judge
from advisor.engine.judgement import Judgement
from advisor.model.case import Case, Key
from advisor.model.rules import Question
from advisor.quick import dataclass
from advisor.talk.limits_near import figures_against, with_figure
from advisor.talk.reasons_short import answered_keys
from advisor.tire.clock import FULL_TURN_DEG, clock_in_words
from advisor.units import Measure

#: The step by which a place is told apart, by the unit of the answer.
STEPS = {"mm": Fraction(1), "cm": Fraction(1, 10), "in": Fraction(1, 16), "deg": Fraction(1)}
#: Steps are doubled this often, as far as the question's plausible range goes.
DOUBLINGS = 9


@dataclass(frozen=True, slots=True)
class PlaceTurn:
    """A measured place, and the nearest other one, tried each way, at which the verdict or the method is another."""

    key: Key
    measured: str
    at: str
    figure: Measure
    there: Judgement


def place_turns(judge: Judge, case: Case, now: Judgement) -> list[PlaceTurn]:
    """For each place or unit size that counts the nearest turn each way, in the order of the questions."""
    return [turn for key in _keys(judge, case, now) for turn in _both_ways(key, judge, case, now)]


def _keys(judge: Judge, case: Case, now: Judgement) -> Iterator[Key]:
    rules = judge.rules
    for key in answered_keys(case, rules):
        question = rules.questions[key[0]]
        answer = case.get(question.over, key)
        placed = question.kind == "clock" or (question.kind == "measure" and question.quantity == "length")
        known = placed and isinstance(answer, Measure) and answer.exact and answer.unit in STEPS
        if not known or key not in now.walk.reached:
            continue
        if question.kind == "clock" or next(figures_against(key, case, judge), None) is None:
            yield key


def _both_ways(key: Key, judge: Judge, case: Case, now: Judgement) -> Iterator[PlaceTurn]:
    question = judge.rules.questions[key[0]]
    here = case.get(question.over, key)
    assert isinstance(here, Measure)
    clock = question.kind == "clock"
    for way in (-1, 1):
        found = _turn(key, here, way, question, judge, case, now)
        if found is not None:
            figure, there = found
            words = clock_in_words if clock else str
            yield PlaceTurn(key, words(here), words(figure), figure, there)


def _turn(
    key: Key, here: Measure, way: int, question: Question, judge: Judge, case: Case, now: Judgement
) -> tuple[Measure, Judgement] | None:
    """The nearest place found one way, with its judgement."""
    tried: dict[int, Judgement] = {}

    def place(steps: int) -> Fraction:
        moved = here.low + way * steps * STEPS[here.unit]
        return moved % FULL_TURN_DEG if question.kind == "clock" else moved

    def turned(steps: int) -> bool:
        there = tried[steps] = judge.judge(with_figure(case, key, place(steps), here.unit, judge))
        return (there.verdict, there.method) != (now.verdict, now.method)

    low, high = 0, 1
    for _ in range(DOUBLINGS):
        if not _possible(place(high), here.unit, question):
            return None
        if turned(high):
            break
        low, high = high, high * 2
    else:
        return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if turned(middle) else (middle, high)
    figure = place(high)
    return Measure(figure, figure, here.unit), tried[high]


def _possible(place: Fraction, unit: str, question: Question) -> bool:
    if question.kind == "clock" or question.plausible is None:
        return True
    known = question.plausible.to(unit)
    return known.low <= place <= known.high
