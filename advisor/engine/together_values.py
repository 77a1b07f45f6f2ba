"""Values worked out of all injuries and earlier repairs together: what has to be kept apart, and how far it is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.engine.facts import NOT_APPLICABLE, Facts, Figures, Value
from advisor.engine.injury_values import NO_SHIFT, place_of_inner_end
from advisor.engine.unit_values import unit_sizes
from advisor.errors import Misread
from advisor.later import later
from advisor.model.case import CANT_TELL, Choice
from advisor.quick import dataclass, kept
from advisor.units import Measure, exactly

if TYPE_CHECKING:
    from advisor.tire import layout as tire_layout
else:
    tire_layout = later("advisor.tire.layout")


@dataclass(frozen=True, slots=True)
class Unit:
    """A repair unit, new or old: the injury or earlier repair it belongs to, and its place where that is known."""

    facts: Facts
    patch: tire_layout.Patch | None

    @property
    def new(self) -> bool:
        """Whether it is one that is still to be put in."""
        return self.facts.over == "injuries"


def units_of(facts: Facts) -> tuple[Unit, ...]:
    """Every unit of the tire: the new ones, then the earlier repairs."""
    around = liner_round(facts)
    new = (Unit(injury, _new_patch(injury, around)) for injury in facts.each("injuries") if _needs_unit(injury))
    old = (Unit(repair, _old_patch(repair, around)) for repair in _repairs(facts))
    return (*new, *old)


def pairs_of(facts: Facts, units: tuple[Unit, ...]) -> list[tuple[Unit, Unit, Measure]]:
    """Each pair of placed units with a new one in it, and the distance edge to edge in mm, the nearest first."""
    around = liner_round(facts)
    placed = [unit for unit in units if unit.patch]
    if around is None:
        return []
    new = [unit.patch for unit in placed if unit.new and unit.patch]
    old = [unit.patch for unit in placed if not unit.new and unit.patch]
    return [(placed[i], placed[j], gap) for i, j, gap in _nearest(tuple(new), tuple(old), around)]


def to_keep_apart(facts: Facts, figures: Figures) -> Value | None:
    """Whether two or more units, new or old, have to be kept apart: yes or no."""
    new = sum(_needs_unit(injury) for injury in facts.each("injuries"))
    return Choice("yes" if new and new + len(_repairs(facts)) > 1 else "no")


def repairs_in_all(facts: Facts, figures: Figures) -> Value | None:
    """How many repairs the tire would have in all, earlier ones too; only where there would be more than one."""
    new = sum(_needs_unit(injury) for injury in facts.each("injuries"))
    count = new + len(_repairs(facts))
    return exactly(count, "times") if count > 1 else NOT_APPLICABLE


def nearest_repair(facts: Facts, figures: Figures) -> Value | None:
    """The smallest distance in mm, edge to edge, between a new unit and any other; 0 or less where they touch.

    Where a place is not known, those that are known count only when they touch or overlap for certain.
    """
    if to_keep_apart(facts, figures) == Choice("no"):
        return NOT_APPLICABLE
    units = units_of(facts)
    gaps = [gap for _, _, gap in pairs_of(facts, units)]
    if not gaps:
        return None
    least = Measure(min(gap.low for gap in gaps), min(gap.high for gap in gaps), "mm")
    all_placed = all(unit.patch for unit in units)
    return least if all_placed or least.high <= 0 else None


def liner_round(facts: Facts) -> Measure | None:
    """The liner's length once round, in mm; the thickest casing measured counts, as it brings units closest."""
    diameter = facts.measure("overall-diameter")
    if diameter is None:
        return None
    thick = [found for injury in facts.each("injuries") if (found := injury.measure("casing-thickness"))]
    thickest = max(thick, key=lambda measure: measure.to("mm").high) if thick else None
    try:
        return tire_layout.circumference(diameter, thickest)
    except Misread:
        return None


def _needs_unit(injury: Facts) -> bool:
    """Whether an injury gets a unit on the liner: all but those known to be in the rubber only."""
    return injury.get("injury-depth") != Choice("rubber-only")


def _repairs(facts: Facts) -> list[Facts]:
    """The earlier repairs that may stay: none where it was said so, and not those that are known to be unsound."""
    if facts.get("earlier-repairs") == Choice("no"):
        return []
    return [repair for repair in facts.each("earlier-repairs") if repair.get("repair-sound") != Choice("no")]


def _new_patch(injury: Facts, around: Measure | None) -> tire_layout.Patch | None:
    clock, place = injury.measure("clock"), place_of_inner_end(injury)
    sizes = unit_sizes(injury)
    if around is None or clock is None or not isinstance(place, tuple) or sizes is None:
        return None
    across, shift = place
    return _patch(clock, across.to("mm"), *sizes, around, _turn_of(injury, "unit-turn"), shift.to("mm"))


def _old_patch(repair: Facts, around: Measure | None) -> tire_layout.Patch | None:
    clock, offset = repair.measure("repair-clock"), repair.measure("repair-offset")
    length, width = repair.measure("repair-unit-length"), repair.measure("repair-unit-width")
    if around is None or clock is None or offset is None or length is None or width is None:
        return None
    return _patch(clock, offset, length, width, around, _turn_of(repair, "repair-unit-turn"), NO_SHIFT)


def _turn_of(facts: Facts, question: str) -> Measure:
    """How a unit is turned: square to the tread where nothing was said, any way where it can't be told.

    Only what was said is looked at: left out, it is no doubt, and must not stand for the doubt of what was measured.
    """
    if question not in facts.rules.questions or facts.said(question) is None:
        return tire_layout.NO_TURN
    turn = facts.get(question)
    return turn if isinstance(turn, Measure) else tire_layout.ANY_TURN if turn is CANT_TELL else tire_layout.NO_TURN


@kept
def _nearest(
    new: tuple[tire_layout.Patch, ...], old: tuple[tire_layout.Patch, ...], around: Measure
) -> list[tuple[int, int, Measure]]:
    return tire_layout.nearest(new, old, around)


def _patch(
    clock: Measure, across: Measure, length: Measure, width: Measure, around: Measure, turn: Measure, shift: Measure
) -> tire_layout.Patch | None:
    """A unit on the liner; None where its sizes are impossible."""
    try:
        return tire_layout.place_on_liner(clock, across, length, width, around, turn, shift)
    except Misread:
        return None
