"""Values for the work on this very tire: drying, the liner's warmth, stored energy, edge speed, load, duals."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import TYPE_CHECKING

from advisor.engine.facts import NOT_APPLICABLE, Facts, Figures, Value
from advisor.engine.print_values import load_dual, load_single
from advisor.engine.tire_values import shop_dew_point, stored_energy
from advisor.errors import Misread
from advisor.later import later
from advisor.model.case import Choice, Text
from advisor.units import Measure, in_words

if TYPE_CHECKING:
    from advisor.tire import air, drying, duals, fall, layout
else:
    air, drying, duals, fall, layout = map(
        later,
        ("advisor.tire.air", "advisor.tire.drying", "advisor.tire.duals", "advisor.tire.fall", "advisor.tire.layout"),
    )


def _drying(facts: Facts, figures: Figures) -> drying.Drying:
    warm, damp = facts.measure("shop-temperature"), facts.measure("humidity")
    base, cold, wet = (figures[name].figures[0] for name in ("base", "cold-below", "damp-above"))
    return drying.drying(base, warm, damp, cold, wet)


def drying_time(facts: Facts, figures: Figures) -> Value | None:
    """How long cement dries in this air, in words. Figures: `base`, `cold-below`, `damp-above`."""
    known = facts.measure("shop-temperature") is not None and facts.measure("humidity") is not None
    return Text(drying.drying_in_words(_drying(facts, figures), known))


def drying_least(facts: Facts, figures: Figures) -> Value | None:
    """The minutes to wait before looking whether the cement is dry, on the long side. Figures as `drying-time`."""
    found = _drying(facts, figures)
    return found.most or found.least


def liner_least_warm(facts: Facts, figures: Figures) -> Value | None:
    """The least temperature of the liner in °C: dew point and margin, up to the next tenth. Figure: `margin`."""
    dew = shop_dew_point(facts, figures)
    if not isinstance(dew, Measure):
        return None
    margin = figures["margin"].figures[0].low
    low, high = (Fraction(math.ceil((end + margin) * 10), 10) for end in (dew.low, dew.high))
    return Measure(low, high, "C")


def energy_as_fall(facts: Facts, figures: Figures) -> Value | None:
    """The height in m from which a mass falls with the energy of the inflated tire. Figure: `mass`."""
    energy = stored_energy(facts, figures)
    try:
        return fall.fall_height(energy, figures["mass"].figures[0]) if isinstance(energy, Measure) else None
    except Misread:
        return None


def energy_in_words(facts: Facts, figures: Figures) -> Value | None:
    """Stored energy and the fall that brings as much, rounded to what an estimate bears. Figure: `mass`."""
    energy, height = stored_energy(facts, figures), energy_as_fall(facts, figures)
    if not isinstance(energy, Measure) or not isinstance(height, Measure):
        return None
    mass = in_words(figures["mass"].figures[0])
    far = in_words(_rounded(height, 0 if height.high >= 10 else 1))
    return Text(f"about {in_words(_rounded(energy, 0))}, as much as {mass} falling {far}")


def _rounded(measure: Measure, digits: int) -> Measure:
    return Measure(Fraction(round(measure.low, digits)), Fraction(round(measure.high, digits)), measure.unit)


def edge_speed_at(facts: Facts, figures: Figures) -> Value | None:
    """How fast a tool's edge runs in km/h, to a tenth. Figures: `turning` in rpm, `across` the tool's diameter."""
    return _rounded(air.edge_speed(figures["turning"].figures[0], figures["across"].figures[0]), 1)


def load_by_position(facts: Facts, figures: Figures) -> Value | None:
    """What the print lets this tire carry at its wheel position, in words; both where it may be one of a pair."""
    single, dual = load_single(facts, figures), load_dual(facts, figures)
    if not isinstance(single, Measure):
        return None
    alone = f"{_load(single)} as a single tire"
    if not isinstance(dual, Measure) or not may_be_dual(facts):
        return Text(alone)
    return Text(f"{_load(dual)} in a dual pair, {alone}")


def _load(load: Measure) -> str:
    return f"{in_words(load)} ({round(load.to('lb').low)} lb)"


def may_be_dual(facts: Facts) -> bool:
    """Whether the tire may be one of a pair: on a truck, bus or trailer, and not on a steer axle."""
    vehicle, place = facts.get("vehicle"), facts.get("wheel-position")
    heavy = vehicle in (Choice("truck"), Choice("bus"), Choice("trailer"))
    return heavy and not (vehicle != Choice("trailer") and place in (Choice("steer"), Choice("other")))


_ROWS = ("small", "medium", "large", "largest")


def _dual_rows(figures: Figures) -> list[duals.DualRow]:
    ends = [figures[name].figures[0] if name in figures else None for name in ("to-small", "to-medium", "to-large")]
    return [
        duals.DualRow(end, row != "small", figures[f"diameter-{row}"].figures, figures[f"girth-{row}"].figures)
        for row, end in zip(_ROWS, [*ends, None], strict=True)
    ]


def dual_diameter(facts: Facts, figures: Figures) -> Value | None:
    """How far the tires of a pair may differ in diameter, by the row of this tire's own diameter.

    Figures: `to-small` (itself in the next row), `to-medium`, `to-large`, `diameter-*` and `girth-*` for the rows
    small, medium, large, largest.
    """
    return _dual(facts, figures, round_too=False)


def dual_girth(facts: Facts, figures: Figures) -> Value | None:
    """How far the tires of a pair may differ round the tread. Figures as `dual-diameter`."""
    return _dual(facts, figures, round_too=True)


def _dual(facts: Facts, figures: Figures, round_too: bool) -> Value | None:
    if not may_be_dual(facts):
        return NOT_APPLICABLE
    diameter = facts.measure("overall-diameter")
    if diameter is None:
        return None
    inches = diameter.to("in")
    rows = _dual_rows(figures)
    return (duals.allowed_round if round_too else duals.allowed_difference)(inches, rows)


def tread_round(facts: Facts, figures: Figures) -> Value | None:
    """Once round the tread in mm: pi times the overall diameter of the size, unloaded, to the whole mm."""
    diameter = facts.measure("overall-diameter")
    if diameter is None:
        return None
    return _rounded(layout.circumference(diameter), 0)
