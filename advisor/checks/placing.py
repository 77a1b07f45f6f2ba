"""Example cases for values worked out of how injuries lie to each other: the gap between repair units."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING

from advisor.engine.facts import Facts, Tables
from advisor.model.case import Answer, Case, Choice, Text
from advisor.model.rules import Limit, RuleSet
from advisor.units import Measure, between, exactly

if TYPE_CHECKING:
    from advisor.checks.states import State

_WIDTH = 60
SIDEWALL = ("tire", -1, "sidewall")
#: A print for each class, for cases that need a size only.
SIDEWALL_OF_CLASS: dict[str, Answer] = {
    "passenger": Text("205/55R16 91V"),
    "light-truck": Text("LT245/75R16 120/116S"),
    "medium-truck": Text("275/70R22.5 148/145M"),
}


def gap_states(rules: RuleSet, tables: Tables, names: Sequence[str], limits: Sequence[Limit]) -> Iterator[State]:
    """One injury alone, and two with a gap on either side of each limit, at it, and in doubt across it."""
    from advisor.checks.samples import TODAY
    from advisor.checks.states import State

    gaps: list[Measure | None] = [None]
    for limit in limits:
        figure = limit.figures[-1].to("mm").low
        gaps += [exactly(figure + step, "mm") for step in (-5, 0, 5)] + [between(figure - 5, figure + 5, "mm")]
    for gap in gaps:
        answers = {} if gap is None else _two_injuries(gap)
        context: dict[tuple[str, int, str], Answer] = {} if gap is None else {SIDEWALL: SIDEWALL_OF_CLASS["passenger"]}
        case = Case(today=TODAY, injuries=({"more-injuries": Choice("no")},))
        for (over, index, question), answer in {**context, **answers}.items():
            case = case.with_answer(over, (question, index), answer)
        facts = Facts(tables, case)
        yield State({name: facts.look(name) for name in names}, answers, context)


def _two_injuries(gap: Measure) -> dict[tuple[str, int, str], Answer]:
    """Two injuries at the same clock place, one each side of the centre line, their units `gap` apart across."""
    half = Fraction(_WIDTH, 2)
    low, high = gap.low + half, gap.high + half
    return {
        ("tire", -1, "unit-length"): exactly(70, "mm"),
        ("tire", -1, "unit-width"): exactly(_WIDTH, "mm"),
        ("injuries", 0, "clock"): exactly(60, "deg"),
        ("injuries", 1, "clock"): exactly(60, "deg"),
        ("injuries", 0, "offset"): exactly(-half, "mm"),
        ("injuries", 1, "offset"): Measure(low, high, "mm"),
        ("injuries", 0, "more-injuries"): Choice("yes"),
        ("injuries", 1, "more-injuries"): Choice("no"),
    }
