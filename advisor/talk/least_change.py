"""The least change: which single measured fact, being different, would give another verdict. Said as a fact."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from advisor.engine.judge import Judge, label_of
from advisor.engine.judgement import Judgement
from advisor.model.case import Case, Key
from advisor.quick import dataclass
from advisor.talk.card import question_in_words
from advisor.talk.least_change_places import place_turns
from advisor.talk.limits_near import JUST, figures_against, measured_keys, with_figure
from advisor.talk.own_spelling import spelled
from advisor.talk.told import Told, headline
from advisor.talk.why_not import reading_of
from advisor.units import Measure

CAUTION = (
    "This is said of the tire. It is no reason to answer otherwise, and none to measure again until it fits: "
    "measure again only where a reading is in doubt, and then take the worse one."
)


@dataclass(frozen=True, slots=True)
class Turn:
    """A measured answer, the figure at which the verdict turns, in words, and what it would be there."""

    key: Key
    measured: Measure
    at: str
    figure: Measure
    share: Fraction
    there: Judgement


def turns(judge: Judge, case: Case, now: Judgement) -> list[Turn]:
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


def _turns_of(key: Key, judge: Judge, case: Case, now: Judgement) -> Iterator[Turn]:
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
                yield Turn(key, measured, words.format(figure), figure, share, there)
                break


def _differs(judge: Judge, case: Case, key: Key, figure: Fraction, unit: str, now: Judgement) -> bool:
    if figure < 0:
        return False
    there = judge.judge(with_figure(case, key, figure, unit, judge))
    return (there.verdict, there.method) != (now.verdict, now.method)


def least_change(judge: Judge, case: Case, now: Judgement) -> Told:
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
    return Told("what-if", tuple(lines), parts)
