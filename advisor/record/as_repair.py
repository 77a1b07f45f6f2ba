"""What an injury that was repaired is to a later consultation: an earlier repair, where its unit came to sit."""

from __future__ import annotations

from fractions import Fraction

from advisor.engine.facts import Facts
from advisor.engine.judge import Judge
from advisor.engine.together_values import liner_round, units_of
from advisor.model.case import Answer, Answers, Case, Choice
from advisor.tire.layout import Patch
from advisor.units import Measure

FULL_TURN_DEG = 360


def as_repairs(case: Case, judge: Judge) -> list[Answers]:
    """The injuries of a case as answers over earlier repairs: kind, place by the inner end, and the unit's size.

    Whether a repair is sound is never among them: that is only found by looking.
    """
    judgement = judge.judge(case)
    tire = judgement.walk.tire
    around = liner_round(tire)
    return [
        _as_repair(unit.facts, unit.patch, around, judgement.injuries[unit.facts.index].method)
        for unit in units_of(tire)
        if unit.new
    ]


def _as_repair(injury: Facts, patch: Patch | None, around: Measure | None, method: str) -> Answers:
    answers: dict[str, Answer | None] = {"repair-clock": injury.measure("clock")}
    answers["repair-offset"] = injury.measure("inner-offset") or injury.measure("offset")
    answers["repair-unit-length"] = injury.measure("unit-length")
    answers["repair-unit-width"] = injury.measure("unit-width")
    if patch is not None and around is not None and patch.clock is not None:
        answers["repair-clock"] = _turned(patch.clock, patch.shift, around)
        answers |= {"repair-offset": patch.across, "repair-unit-length": patch.length, "repair-unit-width": patch.width}
    answers["repair-unit-turn"] = injury.measure("unit-turn") if "unit-turn" in injury.rules.questions else None
    answers["repair-kind"] = Choice("section" if method == "section-repair" else "nail-hole")
    return {name: answer for name, answer in answers.items() if answer is not None}


def _turned(clock: Measure, shift: Measure, around: Measure) -> Measure:
    """The clock position of a unit's centre, where the channel leans along the tread."""
    if shift.exact and shift.low == 0:
        return clock
    ends = [shift.low / size * FULL_TURN_DEG for size in (around.low, around.high)]
    ends += [shift.high / size * FULL_TURN_DEG for size in (around.low, around.high)]
    low, high = clock.low + min(ends), clock.high + max(ends)
    turns = Fraction(low // FULL_TURN_DEG) * FULL_TURN_DEG
    return Measure(low - turns, high - turns, "deg")
