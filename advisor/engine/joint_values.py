"""Whether one unit could close two neighbouring injuries; said only where a rule set has a ruling about it."""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

from advisor.engine.facts import NOT_APPLICABLE, Facts, Figures, Value
from advisor.engine.injury_values import lean_of
from advisor.engine.together_values import Unit, liner_round, units_of
from advisor.engine.unit_values import unit_sizes
from advisor.errors import Misread
from advisor.later import later
from advisor.units import Measure

if TYPE_CHECKING:
    from advisor.tire import fit as tire_fit
    from advisor.tire import path as tire_path
    from advisor.tire import spans as tire_spans
else:
    tire_fit, tire_path, tire_spans = map(later, ("advisor.tire.fit", "advisor.tire.path", "advisor.tire.spans"))


def joint_cover(facts: Facts, figures: Figures) -> Value | None:
    """What one new unit has left over beyond two injuries' openings and the margin, in mm; of all pairs the most.

    The tighter of the two directions counts; below 0 no unit covers two. Figure: `margin`, on each side. Only where
    at least two injuries have their place, size, angle and unit.
    """
    around = liner_round(facts)
    placed = [unit for unit in units_of(facts) if unit.new and unit.patch]
    if around is None or len(placed) < 2:
        return NOT_APPLICABLE
    found = [
        left
        for first, second in combinations(placed, 2)
        if (left := _left(first, second, around, figures["margin"].figures[0]))
    ]
    return Measure(max(each.low for each in found), max(each.high for each in found), "mm") if found else NOT_APPLICABLE


def _left(first: Unit, second: Unit, around: Measure, margin: Measure) -> Measure | None:
    sizes, openings = unit_sizes(first.facts), (_opening(first.facts), _opening(second.facts))
    if sizes is None or openings[0] is None or openings[1] is None or first.patch is None or second.patch is None:
        return None
    apart = (
        _shorter_way(tire_spans.minus(first.patch.along_mm, second.patch.along_mm), around),
        tire_spans.size_of(tire_spans.minus(first.patch.across, second.patch.across)),
    )
    along, across = tire_fit.joint_cover_left(sizes, apart, (openings[0], openings[1]), margin)
    along, across = along.to("mm"), across.to("mm")
    return Measure(min(along.low, across.low), min(along.high, across.high), "mm")


def _shorter_way(apart: Measure, around: Measure) -> Measure:
    """How far two places on the strip lie apart along it, the shorter way round."""
    turns = [tire_spans.size_of(tire_spans.plus(apart, tire_spans.times(around, turn))) for turn in (-1, 0, 1)]
    return Measure(min(each.low for each in turns), min(each.high for each in turns), apart.unit)


def _opening(facts: Facts) -> tuple[Measure, Measure] | None:
    size, angle = facts.measure("injury-size"), facts.measure("injury-angle")
    if size is None or angle is None:
        return None
    try:
        return tire_fit.opening_reach(tire_path.liner_ellipse(size, angle), lean_of(facts))
    except Misread:
        return None
