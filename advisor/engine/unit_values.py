"""Values from the repair-unit chart: the unit for an injury, its sizes, and why the next smaller one does not do."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.engine.facts import NOT_APPLICABLE, Facts, Figures, Value
from advisor.engine.injury_values import has_inner_end
from advisor.later import later
from advisor.model.case import Choice, Readings, Text
from advisor.units import Measure, in_words

if TYPE_CHECKING:
    from advisor.tire import unit_chart
else:
    unit_chart = later("advisor.tire.unit_chart")

#: Worked-out values that a rule set must have before its chart can be read.
_NEEDS = frozenset({"tire-group", "zone", "widest-opening"})


def _pick(facts: Facts) -> unit_chart.Pick | None:
    """What the chart gives for an injury; None where there is no chart, or size, angle, group or zone are not known."""
    chart = facts.rules.units.values()
    if not chart or not facts.rules.values.keys() >= _NEEDS:
        return None
    group, zone = facts.get("tire-group"), facts.get("zone")
    size, angle = _largest(facts.get("widest-opening")), facts.measure("injury-angle")
    if size is None or angle is None:
        return None
    if not isinstance(group, Choice) or not isinstance(zone, Choice):
        return None
    return unit_chart.pick(unit_chart.rows_for(chart, group.id, zone.id), size, angle)


def _largest(value: Value | None) -> Measure | None:
    if isinstance(value, Readings):
        return max(value.readings, key=lambda reading: reading.to("mm").high)
    return value if isinstance(value, Measure) else None


def chart_unit(facts: Facts, figures: Figures) -> Value | None:
    """The unit that the chart gives, by name with its sizes; the row that chose it, and why the next smaller fails."""
    if not facts.rules.units or not has_inner_end(facts):
        return NOT_APPLICABLE
    found = _pick(facts)
    if found is None:
        return None
    if found.row is None:
        return Text(f"none, as {found.why_not}; ask whoever makes the repair material")
    row = found.row
    sizes = f"{in_words(row.length)} along by {in_words(row.width)} across, stem {in_words(row.stem)}"
    closes = f"closes at most {in_words(row.largest_injury)} at no more than {in_words(row.largest_angle)}"
    why = found.why_not or "the chart has no smaller one for this tire"
    return Text(f"{row.name}, {sizes}; row {row.id} {closes} ({row.basis.standing}); {why}")


def unit_length_here(facts: Facts, figures: Figures) -> Value | None:
    """The unit's length along the tire: as answered, else from the chart."""
    return _size(facts, "unit-length")


def unit_width_here(facts: Facts, figures: Figures) -> Value | None:
    """The unit's width across the tire: as answered, else from the chart."""
    return _size(facts, "unit-width")


def _size(facts: Facts, question: str) -> Value | None:
    answered = facts.get(question)
    if isinstance(answered, Measure):
        return answered.to("mm")
    if not has_inner_end(facts):
        return NOT_APPLICABLE
    found = _pick(facts)
    if found is None or found.row is None:
        return answered
    return (found.row.length if question == "unit-length" else found.row.width).to("mm")


def unit_sizes(facts: Facts) -> tuple[Measure, Measure] | None:
    """Length and width of the unit for an injury, where both are known."""
    length, width = _size(facts, "unit-length"), _size(facts, "unit-width")
    return (length, width) if isinstance(length, Measure) and isinstance(width, Measure) else None


def outline(facts: Facts, figures: Figures) -> Value | None:
    """The outline to draw on the liner, in words: at least the unit's own size."""
    sizes = unit_sizes(facts)
    return Text(f"the unit measures {in_words(sizes[0])} along by {in_words(sizes[1])} across") if sizes else None


def stem_across(facts: Facts, figures: Figures) -> Value | None:
    """The stem's diameter by the chart."""
    if not has_inner_end(facts):
        return NOT_APPLICABLE
    found = _pick(facts)
    return found.row.stem.to("mm") if found is not None and found.row is not None else None


def sized_by_chart(facts: Facts, figures: Figures) -> Value | None:
    """Whether the chart gives the size of every unit that goes in, so that nobody has to be asked: yes or no."""
    if not facts.rules.units:
        return Choice("no")
    new = [injury for injury in facts.each("injuries") if injury.get("injury-depth") != Choice("rubber-only")]
    picks = [_pick(injury) for injury in new]
    return Choice("yes" if picks and all(each is not None and each.row is not None for each in picks) else "no")
