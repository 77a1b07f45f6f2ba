"""The least change: which single measured fact, being different, would give another verdict. Said as a fact.

At which place or size of a unit another verdict comes: measures that no limit is held against directly.

Clock positions, offsets, sizes of units and the like reach the verdict through distances and zones worked out of them.
Each is moved by itself in ever longer steps, both ways, and where the verdict turns the nearest place is closed in on.
What is said was judged at that very place; between steps a narrow stretch could be missed.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from msgspec import Struct

from advisor.domain.clock import FULL_TURN_DEG, clock_in_words
from advisor.engine.evaluator import Judge, label_of
from advisor.engine.judgement_types import Judgement
from advisor.engine.spelling_variant import spelled
from advisor.explain.sensitivity import JUST, figures_against, measured_keys, with_figure
from advisor.explain.sufficient_reason import answered_keys
from advisor.explain.why_not import reading_of
from advisor.model import inputs
from advisor.model.case import Case, Key
from advisor.model.quantity import Measure
from advisor.model.ruleset import Question
from advisor.wording.messages import Message, headline
from advisor.wording.verdict_card import question_in_words

#: The step by which a place is told apart, by the unit of the answer.
STEPS = {"mm": Fraction(1), "cm": Fraction(1, 10), "in": Fraction(1, 16), "deg": Fraction(1)}
#: Steps are doubled this often, as far as the question's plausible range goes.
DOUBLINGS = 9


class PlaceTurn(Struct, frozen=True):
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
        placed = question.kind == inputs.CLOCK_KIND or (question.kind == "measure" and question.quantity == "length")
        known = placed and isinstance(answer, Measure) and answer.exact and answer.unit in STEPS
        if not known or key not in now.walk.reached:
            continue
        if question.kind == inputs.CLOCK_KIND or next(figures_against(key, case, judge), None) is None:
            yield key


def _both_ways(key: Key, judge: Judge, case: Case, now: Judgement) -> Iterator[PlaceTurn]:
    question = judge.rules.questions[key[0]]
    here = case.get(question.over, key)
    assert isinstance(here, Measure)
    clock = question.kind == inputs.CLOCK_KIND
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
        return moved % FULL_TURN_DEG if question.kind == inputs.CLOCK_KIND else moved

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
    if question.kind == inputs.CLOCK_KIND or question.plausible is None:
        return True
    known = question.plausible.to(unit)
    return known.low <= place <= known.high


CAUTION = (
    "This is said of the tire. It is no reason to answer otherwise, and none to measure again until it fits: "
    "measure again only where a reading is in doubt, and then take the worse one."
)


class TurningPoint(Struct, frozen=True):
    """A measured answer, the figure at which the verdict turns, in words, and what it would be there."""

    key: Key
    measured: Measure
    at: str
    figure: Measure
    share: Fraction
    there: Judgement


def turns(judge: Judge, case: Case, now: Judgement) -> list[TurningPoint]:
    """For each measured answer the nearest figure on either side that brings another verdict or method."""
    found = []
    for key in measured_keys(case, now, judge):
        own = sorted(_turns_of(key, judge, case, now), key=lambda turn: turn.share)
        outcomes: set[object] = set()
        for turn in own:
            outcome = (turn.there.verdict, turn.there.method, turn.at.startswith("over") or turn.at.endswith("more"))
            if outcome not in outcomes:
                outcomes.add(outcome)
                found.append(turn)
    return sorted(found, key=lambda turn: turn.share)


def _turns_of(key: Key, judge: Judge, case: Case, now: Judgement) -> Iterator[TurningPoint]:
    measured = reading_of(case.get(judge.rules.questions[key[0]].over, key))
    if measured is None or not measured.exact:
        return
    for figure, _ in figures_against(key, case, judge):
        here = measured.to(figure.unit)
        limit = figure.low
        down = here.low > limit or (here.low == limit and _differs(judge, case, key, limit - JUST, figure.unit, now))
        sides = (
            [(limit, "at {} or less"), (limit - JUST, "under {}")]
            if down
            else [(limit, "at {} or more"), (limit + JUST, "over {}")]
        )
        for place, words in sides:
            if here.low <= place <= here.high or place < 0:
                continue
            there = judge.judge(with_figure(case, key, place, figure.unit, judge))
            if (there.verdict, there.method) != (now.verdict, now.method):
                gap = min(abs(here.low - limit), abs(here.high - limit))
                share = gap / abs(here.high) if here.high else Fraction(1)
                yield TurningPoint(key, measured, words.format(figure), figure, share, there)
                break


def _differs(judge: Judge, case: Case, key: Key, figure: Fraction, unit: str, now: Judgement) -> bool:
    if figure < 0:
        return False
    there = judge.judge(with_figure(case, key, figure, unit, judge))
    return (there.verdict, there.method) != (now.verdict, now.method)


def least_change(judge: Judge, case: Case, now: Judgement) -> Message:
    """What would be different, the nearest first, with the caution that goes with it."""
    found, places = turns(judge, case, now), place_turns(judge, case, now)
    lines = [f"As it is: {headline(now, judge)}"]
    if not found and not places:
        lines.append("No single measure would by itself give another verdict, as far as it was tried.")
    for turn in found:
        lines.append(
            f"{question_in_words(turn.key, judge.rules)}: {turn.at} it would be {headline(turn.there, judge)} "
            f"Measured: {turn.measured}."
        )
    lines += [
        f"{question_in_words(turn.key, judge.rules)}: at {turn.at} it would be {headline(turn.there, judge)} "
        f"Measured: {turn.measured}."
        for turn in places
    ]
    lines.append(spelled(CAUTION, judge.rules))
    parts = tuple(
        {
            "question": label_of(turn.key, judge.rules),
            "answer": str(turn.measured),
            "says": f"{turn.at}: {turn.there.verdict}",
            "verdict": str(turn.there.verdict),
            "ending": turn.there.ending,
            "method": turn.there.method or None,
        }
        for turn in found
    ) + tuple(
        {
            "question": label_of(turn.key, judge.rules),
            "answer": turn.measured,
            "says": f"at {turn.at}: {turn.there.verdict}",
            "verdict": str(turn.there.verdict),
            "ending": turn.there.ending,
            "method": turn.there.method or None,
        }
        for turn in places
    )
    return Message("what-if", tuple(lines), parts=parts)
