"""Values worked out of all injuries and earlier repairs together: what has to be kept apart, and how far it is."""

from __future__ import annotations

from advisor.engine.facts import NOT_APPLICABLE, Facts, Figures, Value
from advisor.engine.injury_values import offset_of_inner_end
from advisor.errors import Misread
from advisor.model.case import Choice
from advisor.tire.layout import Patch, circumference, nearest, place_on_liner
from advisor.tire.path import inner_shift_along
from advisor.units import Measure, exactly

NO_SHIFT = exactly(0, "mm")


def _needs_unit(injury: Facts) -> bool:
    """Whether an injury gets a unit on the liner: all but those known to be in the rubber only."""
    return injury.get("injury-depth") != Choice("rubber-only")


def _repairs(facts: Facts) -> list[Facts]:
    """The earlier repairs, unless it was said that there are none."""
    return [] if facts.get("earlier-repairs") == Choice("no") else facts.each("earlier-repairs")


def to_keep_apart(facts: Facts, figures: Figures) -> Value | None:
    """Whether two or more units, new or old, have to be kept apart: yes or no."""
    injuries = sum(_needs_unit(injury) for injury in facts.each("injuries"))
    return Choice("yes" if injuries and injuries + len(_repairs(facts)) > 1 else "no")


def nearest_repair(facts: Facts, figures: Figures) -> Value | None:
    """The smallest distance in mm, edge to edge, between a new unit and any other; 0 or less where they touch."""
    if to_keep_apart(facts, figures) == Choice("no"):
        return NOT_APPLICABLE
    new = [_new_patch(injury, facts) for injury in facts.each("injuries") if _needs_unit(injury)]
    old = [_old_patch(repair, facts) for repair in _repairs(facts)]
    around = _liner_round(facts)
    if around is None or None in new or None in old:
        return None
    pairs = nearest([patch for patch in new if patch], [patch for patch in old if patch], around)
    low = min(gap.low for _, _, gap in pairs)
    high = min(gap.high for _, _, gap in pairs)
    return Measure(low, high, "mm")


def _liner_round(facts: Facts) -> Measure | None:
    """The liner's length once round, in mm; the thickest casing measured counts, as it brings units closest."""
    diameter = facts.measure("overall-diameter")
    if diameter is None:
        return None
    thick = [found for injury in facts.each("injuries") if (found := injury.measure("casing-thickness"))]
    thickest = max(thick, key=lambda measure: measure.to("mm").high) if thick else None
    try:
        return circumference(diameter, thickest)
    except Misread:
        return None


def _new_patch(injury: Facts, tire: Facts) -> Patch | None:
    around = _liner_round(tire)
    clock, offset = injury.measure("clock"), injury.measure("offset")
    length, width = tire.measure("unit-length"), tire.measure("unit-width")
    if around is None or clock is None or offset is None or length is None or width is None:
        return None
    inner = offset_of_inner_end(injury, {})
    across = inner if isinstance(inner, Measure) else offset
    try:
        return place_on_liner(clock, across, length, width, around, shift=_shift(injury))
    except Misread:
        return None


def _shift(injury: Facts) -> Measure:
    """How far round the inner end may lie from the outer: open both ways where the injury leans along the tread."""
    angle, thickness = injury.measure("injury-angle"), injury.measure("casing-thickness")
    if angle is None or thickness is None or injury.get("lean") != Choice("along-tread"):
        return NO_SHIFT
    try:
        return inner_shift_along(angle, thickness, "along-tread").to("mm")
    except Misread:
        return NO_SHIFT


def _old_patch(repair: Facts, tire: Facts) -> Patch | None:
    around = _liner_round(tire)
    clock, offset = repair.measure("repair-clock"), repair.measure("repair-offset")
    length, width = repair.measure("repair-unit-length"), repair.measure("repair-unit-width")
    if around is None or clock is None or offset is None or length is None or width is None:
        return None
    try:
        return place_on_liner(clock, offset, length, width, around)
    except Misread:
        return None
