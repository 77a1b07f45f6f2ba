"""Derived facts of a repair unit: which one the chart gives, and how it covers the injury.

The chart is a shop's own (units.yaml). What was answered of a unit goes before what the chart gives. An injury whose
depth is not known, or can't be told, counts as going through.
"""

from __future__ import annotations

from advisor.domain import unit_choice
from advisor.domain.geometry import unit_cover as tire_fit
from advisor.engine.derived.injury import has_inner_end, lean_of, offset_of_inner_end
from advisor.engine.facts import NOT_APPLICABLE, Facts, LimitFigures, Value
from advisor.model import inputs
from advisor.model.case import Choice, Readings, Text
from advisor.model.problems import Misread
from advisor.model.quantity import Measure, exactly, in_words

#: Worked-out values that a rule set must have before its chart can be read.
_NEEDS = frozenset({"tire-group", "zone", "widest-opening"})


def _pick(facts: Facts) -> unit_choice.Pick | None:
    """What the chart gives for an injury; None where there is no chart, or size, angle, group or zone are not known."""
    chart = facts.rules.units.values()
    if not chart or not facts.rules.values.keys() >= _NEEDS:
        return None
    group, zone = facts.get("tire-group"), facts.get("zone")
    size, angle = _largest(facts.get("widest-opening")), facts.measure(inputs.INJURY_ANGLE)
    if size is None or angle is None:
        return None
    if not isinstance(group, Choice) or not isinstance(zone, Choice):
        return None
    return unit_choice.pick(unit_choice.rows_for(chart, group.id, zone.id), size, angle)


def _largest(value: Value | None) -> Measure | None:
    if isinstance(value, Readings):
        return max(value.readings, key=lambda reading: reading.to("mm").high)
    return value if isinstance(value, Measure) else None


def chart_unit(facts: Facts, figures: LimitFigures) -> Value | None:
    """The unit that the chart gives, in words: name and sizes, the row that chose it, why the next smaller fails.

    Reads
    -----
    injury-depth, tire-group, zone, widest-opening, injury-angle

    Returns
    -------
    words, also where the chart has none; NOT_APPLICABLE without a chart or for an injury that does not go through
    """
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


def unit_length_here(facts: Facts, figures: LimitFigures) -> Value | None:
    """The unit's length along the tire: as answered, else from the chart.

    Reads
    -----
    unit-length, injury-depth, tire-group, zone, widest-opening, injury-angle

    Returns
    -------
    length in mm; NOT_APPLICABLE for an injury that does not go through
    """
    return _size(facts, inputs.UNIT_LENGTH)


def unit_width_here(facts: Facts, figures: LimitFigures) -> Value | None:
    """The unit's width across the tire: as answered, else from the chart.

    Reads
    -----
    unit-width, injury-depth, tire-group, zone, widest-opening, injury-angle

    Returns
    -------
    length in mm; NOT_APPLICABLE as `unit_length_here`
    """
    return _size(facts, inputs.UNIT_WIDTH)


def _size(facts: Facts, question: str) -> Value | None:
    answered = facts.get(question)
    if isinstance(answered, Measure):
        return answered.to("mm")
    if not has_inner_end(facts):
        return NOT_APPLICABLE
    found = _pick(facts)
    if found is None or found.row is None:
        return answered
    return (found.row.length if question == inputs.UNIT_LENGTH else found.row.width).to("mm")


def unit_sizes(facts: Facts) -> tuple[Measure, Measure] | None:
    """Length and width of the unit for an injury, where both are known."""
    length, width = _size(facts, inputs.UNIT_LENGTH), _size(facts, inputs.UNIT_WIDTH)
    return (length, width) if isinstance(length, Measure) and isinstance(width, Measure) else None


def outline(facts: Facts, figures: LimitFigures) -> Value | None:
    """The outline to draw on the liner, in words: at least the unit's own size.

    Reads
    -----
    unit-length, unit-width, injury-depth, tire-group, zone, widest-opening, injury-angle

    Returns
    -------
    words; None unless both sizes are known
    """
    sizes = unit_sizes(facts)
    return Text(f"the unit measures {in_words(sizes[0])} along by {in_words(sizes[1])} across") if sizes else None


def stem_across(facts: Facts, figures: LimitFigures) -> Value | None:
    """The stem's diameter by the chart.

    Reads
    -----
    injury-depth, tire-group, zone, widest-opening, injury-angle

    Returns
    -------
    length in mm; NOT_APPLICABLE for an injury that does not go through
    """
    if not has_inner_end(facts):
        return NOT_APPLICABLE
    found = _pick(facts)
    return found.row.stem.to("mm") if found is not None and found.row is not None else None


def sized_by_chart(facts: Facts, figures: LimitFigures) -> Value | None:
    """Whether the chart gives the size of every unit that goes in, so that nobody has to be asked.

    Reads
    -----
    injury-depth, tire-group, zone, widest-opening, injury-angle, of every injury

    Returns
    -------
    yes or no, never None
    """
    if not facts.rules.units:
        return Choice("no")
    new = [injury for injury in facts.each("injuries") if injury.get(inputs.INJURY_DEPTH) != Choice("rubber-only")]
    picks = [_pick(injury) for injury in new]
    return Choice("yes" if picks and all(each is not None and each.row is not None for each in picks) else "no")


_NO_MARGIN = exactly(0, "mm")


def liner_opening(facts: Facts, figures: LimitFigures) -> Value | None:
    """The longer way of the ellipse that the channel leaves on the liner, by `injury_channel.liner_ellipse`.

    Reads
    -----
    injury-depth, injury-size, injury-angle

    Returns
    -------
    length in mm; NOT_APPLICABLE for an injury that does not go through
    """
    if not has_inner_end(facts):
        return NOT_APPLICABLE
    ellipse = _ellipse(facts)
    return ellipse[1].to("mm") if ellipse else None


def unit_cover(facts: Facts, figures: LimitFigures) -> Value | None:
    """What the unit has left over beyond the opening and its chart's margin, by `unit_cover.cover_left`.

    Reads
    -----
    injury-depth, injury-size, injury-angle, lean, unit-length, unit-width, tire-group, zone, widest-opening

    Figures
    -------
    margin : on each side, as the unit's chart asks for; without it the opening alone is held against the unit

    Returns
    -------
    length in mm, both sides together, in the tighter of the two directions; below 0 it does not cover. NOT_APPLICABLE
    without a unit, or for an injury that does not go through
    """
    sizes = _unit(facts)
    if sizes is None or not has_inner_end(facts):
        return NOT_APPLICABLE
    ellipse = _ellipse(facts)
    if ellipse is None:
        return None
    margin = figures["margin"].figures[0] if "margin" in figures else _NO_MARGIN
    along, across = (left.to("mm") for left in tire_fit.cover_left(*sizes, ellipse, lean_of(facts), margin))
    return Measure(min(along.low, across.low), min(along.high, across.high), "mm")


def edge_left(facts: Facts, figures: LimitFigures) -> Value | None:
    """How far the unit's edge stays inside the crown, by `unit_cover.edge_room`.

    Reads
    -----
    injury-depth, offset, tread-width, injury-angle, casing-thickness, lean, unit-length, unit-width, tire-group, zone,
    widest-opening

    Figures
    -------
    crown-edge : how far in from the tread's edge the crown begins

    Returns
    -------
    length in mm; below 0 it reaches into the shoulder by that much. NOT_APPLICABLE where unit, tread width or inner end
    is not known
    """
    sizes, tread_width = _unit(facts), facts.measure(inputs.TREAD_WIDTH)
    if sizes is None or tread_width is None or not has_inner_end(facts):
        return NOT_APPLICABLE
    inner = offset_of_inner_end(facts, figures)
    if not isinstance(inner, Measure):
        return NOT_APPLICABLE
    try:
        return tire_fit.edge_room(inner, sizes[1], tread_width, figures["crown-edge"].figures).to("mm")
    except Misread:
        return None


def _unit(facts: Facts) -> tuple[Measure, Measure] | None:
    """The new unit's length and width, where both were given or stand in the chart."""
    return unit_sizes(facts)


def _ellipse(facts: Facts) -> tuple[Measure, Measure] | None:
    from advisor.domain.geometry import injury_channel

    size, angle = facts.measure(inputs.INJURY_SIZE), facts.measure(inputs.INJURY_ANGLE)
    if size is None or angle is None:
        return None
    try:
        return injury_channel.liner_ellipse(size, angle)
    except Misread:
        return None
