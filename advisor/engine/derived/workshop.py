"""Values for the work on this very tire: drying, the liner's warmth, stored energy, edge speed, load, pressure."""

from __future__ import annotations

import math
from fractions import Fraction

from advisor.domain import cement, intervals
from advisor.domain import pressure as tire_pressure
from advisor.engine.derived.spacing import may_be_dual
from advisor.engine.derived.tire import load_dual, load_single, stored_energy
from advisor.engine.facts import Facts, LimitFigures, Value
from advisor.model import inputs
from advisor.model.case import Text
from advisor.model.problems import Misread
from advisor.model.quantity import Measure, in_words


def _drying(facts: Facts, figures: LimitFigures) -> cement.Drying:
    warm, damp = facts.measure(inputs.SHOP_TEMPERATURE), facts.measure(inputs.HUMIDITY)
    base, cold, wet = (figures[name].figures[0] for name in ("base", "cold-below", "damp-above"))
    return cement.drying(base, warm, damp, cold, wet)


def drying_time(facts: Facts, figures: LimitFigures) -> Value | None:
    """How long cement dries in this air, in words, by `cement.drying`.

    Reads
    -----
    shop-temperature, humidity

    Figures
    -------
    base : the drying time in good air
    cold-below, damp-above : from where on it takes longer

    Returns
    -------
    words, never None
    """
    known = facts.measure(inputs.SHOP_TEMPERATURE) is not None and facts.measure(inputs.HUMIDITY) is not None
    return Text(cement.drying_in_words(_drying(facts, figures), known))


def drying_least(facts: Facts, figures: LimitFigures) -> Value | None:
    """The time to wait before looking whether the cement is dry, on the long side.

    Reads
    -----
    shop-temperature, humidity

    Figures
    -------
    base, cold-below, damp-above : as for `drying_time`

    Returns
    -------
    duration in min, never None
    """
    found = _drying(facts, figures)
    return found.most or found.least


def settling_temperature(facts: Facts, figures: LimitFigures) -> Value | None:
    """The temperature at which dew, or below freezing frost, settles from the shop's air, by
    `compressed_air.settling_point`.

    Reads
    -----
    shop-temperature, humidity

    Returns
    -------
    temperature in °C; None also where the formula does not reach
    """
    from advisor.domain import compressed_air

    temperature, humidity = facts.measure(inputs.SHOP_TEMPERATURE), facts.measure(inputs.HUMIDITY)
    try:
        return compressed_air.settling_point(temperature, humidity) if temperature and humidity else None
    except Misread:
        return None


def liner_least_warm(facts: Facts, figures: LimitFigures) -> Value | None:
    """The temperature that the liner has at least: what settles, and a margin.

    Reads
    -----
    shop-temperature, humidity

    Figures
    -------
    margin : in °C

    Returns
    -------
    temperature in °C, up to the next tenth
    """
    dew = settling_temperature(facts, figures)
    if not isinstance(dew, Measure):
        return None
    margin = figures["margin"].figures[0].low
    low, high = (Fraction(math.ceil((end + margin) * 10), 10) for end in (dew.low, dew.high))
    return Measure(low, high, "C")


def liner_over_dew(facts: Facts, figures: LimitFigures) -> Value | None:
    """How far the liner is above where dew or frost settles, at least: its coldest reading less the highest.

    Reads
    -----
    liner-temperature, shop-temperature, humidity

    Returns
    -------
    difference in °C; 0 or below, the liner may be wet
    """
    liner, dew = facts.measure(inputs.LINER_TEMPERATURE), settling_temperature(facts, figures)
    if liner is None or not isinstance(dew, Measure):
        return None
    least = liner.to("C").low - dew.high
    return Measure(least, least, "C")


def coats_here(facts: Facts, figures: LimitFigures) -> Value | None:
    """Coats of cement in the channel, in words; a number only where a shop gives both thicknesses.

    Reads
    -----
    casing-thickness

    Figures
    -------
    coats : a range
    thin-to, thick-from : a shop's own; the fewest coats to the one, the most from the other, the middle rounded up
        between

    Returns
    -------
    words, never None
    """
    coats, thickness = figures["coats"].figures[0], facts.measure(inputs.CASING_THICKNESS)
    every = _times(coats.low, coats.high)
    if thickness is None:
        return Text(f"{every} by the thickness of the casing, which was not measured")
    here = f"this one is {in_words(Measure(thickness.low, thickness.high, thickness.unit))} thick"
    if not {"thin-to", "thick-from"} <= figures.keys():
        return Text(
            f"{every}, more in a thick casing ({here}; how many for that the repair material's instructions say)"
        )
    thin, thick = (figures[name].figures[0].to("mm").low for name in ("thin-to", "thick-from"))
    high = thickness.to("mm").high
    count = (
        coats.low
        if high <= thin
        else coats.high
        if high >= thick
        else Fraction(math.ceil((coats.low + coats.high) / 2))
    )
    return Text(f"{_times(count, count)} ({here})")


def _times(low: Fraction, high: Fraction) -> str:
    return f"{low} times" if low == high else f"{low} to {high} times"


def energy_as_fall(facts: Facts, figures: LimitFigures) -> Value | None:
    """The height from which a mass falls with the energy of the inflated tire, by `compressed_air.fall_height`.

    Reads
    -----
    set-pressure, sidewall

    Figures
    -------
    mass : the mass

    Returns
    -------
    length in m
    """
    from advisor.domain import compressed_air

    energy = stored_energy(facts, figures)
    try:
        return compressed_air.fall_height(energy, figures["mass"].figures[0]) if isinstance(energy, Measure) else None
    except Misread:
        return None


def energy_in_words(facts: Facts, figures: LimitFigures) -> Value | None:
    """Stored energy and the fall that brings as much, in words, rounded to what an estimate bears.

    Reads
    -----
    set-pressure, sidewall

    Figures
    -------
    mass : as for `energy_as_fall`

    Returns
    -------
    words
    """
    energy, height = stored_energy(facts, figures), energy_as_fall(facts, figures)
    if not isinstance(energy, Measure) or not isinstance(height, Measure):
        return None
    mass = in_words(figures["mass"].figures[0])
    far = in_words(_rounded(height, 0 if height.high >= 10 else 1))
    return Text(f"about {in_words(_rounded(energy, 0))}, as much as a small car ({mass}) falling {far}")


def _rounded(measure: Measure, digits: int) -> Measure:
    return Measure(Fraction(round(measure.low, digits)), Fraction(round(measure.high, digits)), measure.unit)


def tool_across(facts: Facts, figures: LimitFigures) -> Value | None:
    """The buffing tool's diameter as answered, else an example.

    Reads
    -----
    tool-diameter

    Figures
    -------
    across : the example

    Returns
    -------
    length as answered or as the limit gives it, shown in mm; never None
    """
    return facts.measure(inputs.TOOL_DIAMETER) or figures["across"].figures[0]


def edge_speed_at(facts: Facts, figures: LimitFigures) -> Value | None:
    """How fast a tool's edge runs, by `compressed_air.edge_speed`.

    Reads
    -----
    tool-diameter

    Figures
    -------
    turning : in rpm
    across : as for `tool_across`

    Returns
    -------
    speed in km/h, to a tenth, never None
    """
    from advisor.domain import compressed_air

    tool = facts.measure(inputs.TOOL_DIAMETER) or figures["across"].figures[0]
    return _rounded(compressed_air.edge_speed(figures["turning"].figures[0], tool), 1)


def load_by_position(facts: Facts, figures: LimitFigures) -> Value | None:
    """What the print lets this tire carry at its wheel position, in words; both where it may be one of a pair.

    Reads
    -----
    sidewall, vehicle, wheel-position

    Returns
    -------
    words
    """
    single, dual = load_single(facts, figures), load_dual(facts, figures)
    if not isinstance(single, Measure):
        return None
    alone = f"{_load(single)} as a single tire"
    if not isinstance(dual, Measure) or not may_be_dual(facts):
        return Text(alone)
    return Text(f"{_load(dual)} in a dual pair, {alone}")


def _load(load: Measure) -> str:
    return f"{in_words(load)} ({round(load.to('lb').low)} lb)"


def pressure_printed(facts: Facts, figures: LimitFigures) -> Value | None:
    """The pressure that the print gives with its largest load, at this wheel position; the lower where two count.

    Reads
    -----
    sidewall, set-pressure, vehicle, wheel-position

    Returns
    -------
    gauge pressure, in the set pressure's unit (psi while that is not known) where it is printed in it, else as printed
    """
    text, asked = facts.get(inputs.SIDEWALL), facts.measure(inputs.SET_PRESSURE)
    if not isinstance(text, Text):
        return None
    from advisor.domain.sidewall import parser

    return parser.printed_pressures(text.text).least(may_be_dual(facts), asked.unit if asked else "psi")


def set_over_print(facts: Facts, figures: LimitFigures) -> Value | None:
    """How far the set pressure lies above the printed one; below 0 where it lies under it.

    Reads
    -----
    sidewall, set-pressure, vehicle, wheel-position

    Returns
    -------
    pressure in psi
    """
    asked, printed = facts.measure(inputs.SET_PRESSURE), pressure_printed(facts, figures)
    if asked is None or not isinstance(printed, Measure):
        return None
    over = intervals.minus(asked.to("psi"), printed.to("psi"))
    return Measure(over.low, over.high, "psi")


def share_of_print(facts: Facts, figures: LimitFigures) -> Value | None:
    """The pressure found as a share of the printed one.

    Reads
    -----
    found-pressure, sidewall, set-pressure, vehicle, wheel-position

    Returns
    -------
    share in %; None while one of the two is not known, or makes no sense
    """
    found, printed = facts.measure(inputs.FOUND_PRESSURE), pressure_printed(facts, figures)
    if found is None or not isinstance(printed, Measure):
        return None
    try:
        return tire_pressure.pressure_share(found, printed)
    except Misread:
        return None


def tread_round(facts: Facts, figures: LimitFigures) -> Value | None:
    """Once round the tread: pi times the overall diameter of the size, unloaded.

    Reads
    -----
    overall-diameter

    Returns
    -------
    length in mm, to the whole one
    """
    from advisor.domain.geometry import liner_layout

    diameter = facts.measure("overall-diameter")
    if diameter is None:
        return None
    return _rounded(liner_layout.circumference(diameter), 0)
