"""Values worked out of an injury and the repair unit meant for it: the opening in the liner, cover and room left."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.engine.facts import NOT_APPLICABLE, Facts, Figures, Value
from advisor.engine.injury_values import has_inner_end, lean_of, offset_of_inner_end
from advisor.engine.unit_values import unit_sizes
from advisor.errors import Misread
from advisor.later import later
from advisor.units import Measure, exactly

if TYPE_CHECKING:
    from advisor.tire import fit as tire_fit
    from advisor.tire import path as tire_path
else:
    tire_fit = later("advisor.tire.fit")
    tire_path = later("advisor.tire.path")

_NO_MARGIN = exactly(0, "mm")


def liner_opening(facts: Facts, figures: Figures) -> Value | None:
    """The longer way of the ellipse that the channel leaves on the liner, in mm; not for an injury that ends before."""
    if not has_inner_end(facts):
        return NOT_APPLICABLE
    ellipse = _ellipse(facts)
    return ellipse[1].to("mm") if ellipse else None


def unit_cover(facts: Facts, figures: Figures) -> Value | None:
    """What the unit has left over beyond the opening and its chart's margin, both sides together, in mm.

    The tighter of the two directions counts; below 0 it does not cover. Figure: `margin`, the margin on each
    side that the unit's chart asks for; without one the opening alone is held against the unit.
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


def edge_left(facts: Facts, figures: Figures) -> Value | None:
    """How far the unit's edge stays inside the crown, in mm; below 0 it reaches into the shoulder by that much.

    Figure: `crown-edge`.
    """
    sizes, tread_width = _unit(facts), facts.measure("tread-width")
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
    size, angle = facts.measure("injury-size"), facts.measure("injury-angle")
    if size is None or angle is None:
        return None
    try:
        return tire_path.liner_ellipse(size, angle)
    except Misread:
        return None
