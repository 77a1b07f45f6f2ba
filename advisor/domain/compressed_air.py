"""Air: when a casing sweats, what compressed air can release, and how fast a tool's edge runs.

Energy in words that mean something: how far a mass would have to fall to bring as much.
"""

from __future__ import annotations

import math
from fractions import Fraction
from functools import lru_cache

from msgspec import Struct

from advisor.domain.intervals import not_below_zero, outward
from advisor.model.problems import Misread
from advisor.model.quantity import Measure, exactly, in_words

#: Magnus formula over water, WMO-No. 8 form (constants from memory; checked against ASHRAE's equations).
_MAGNUS_B, _MAGNUS_C = 17.62, 243.12
#: The same over ice, for what settles as frost.
_ICE_B, _ICE_C = 22.46, 272.62
#: Where the formula holds to a few hundredths of a degree.
_AIR_C, _HUMIDITY = (-20, 50), (1, 100)
#: Ratio of specific heats of air, for ideal diatomic gas.
_GAMMA = 1.4
#: Standard atmosphere (ISO 2533).
STANDARD_ATMOSPHERE = exactly("101.325", "kPa")


@lru_cache(maxsize=256)
def dew_point(air_temperature: Measure, humidity: Measure) -> Measure:
    """The temperature at which this air begins to wet what it touches; over water, also below 0 °C.

    Parameters
    ----------
    air_temperature : temperature, -20 to 50 °C
    humidity : relative humidity over water, 1 to 100 %

    Returns
    -------
    temperature in °C to a billionth; a range where one went in

    Raises
    ------
    Misread : air or humidity outside these ranges, with any part of a range

    Notes
    -----
    Magnus formula: g = ln(RH / 100) + 17.62 T / (243.12 + T); dew point = 243.12 g / (17.62 - g). A few hundredths of a
    degree from ASHRAE's equations above 0 °C (held by a table and an independent library); for what settles below ask
    `settling_point`.

    References
    ----------
    Magnus formula over water, form and constants of WMO-No. 8 (from memory).

    Examples
    --------
    >>> str(dew_point(exactly(20, "C"), exactly(65, "%"))), str(dew_point(exactly(20, "C"), exactly(100, "%")))
    ('13.22 °C', '20 °C')
    >>> str(dew_point(between(18, 22, "C"), exactly(65, "%")))
    '11.32 to 15.12 °C'
    """
    air, damp = air_temperature.to("C"), humidity.to("%")
    _within("air temperature", air, _AIR_C)
    _within("humidity", damp, _HUMIDITY)
    low, high = _magnus(float(air.low), float(damp.low)), _magnus(float(air.high), float(damp.high))
    return outward(low, high, "C", air.exact and damp.exact)


def settling_point(air_temperature: Measure, humidity: Measure) -> Measure:
    """The temperature at which water or frost settles from this air: the dew point, and below 0 °C the frost point.

    Parameters
    ----------
    air_temperature, humidity : as for `dew_point`; humidity is held against water, as instruments give it

    Returns
    -------
    temperature in °C, at or above the dew point: below 0 °C frost settles a little before dew would

    Raises
    ------
    Misread : as `dew_point`

    Notes
    -----
    With g as for the dew point, frost point = 272.62 g / (22.46 - g).

    References
    ----------
    Magnus formula over ice, form and constants of WMO-No. 8 (from memory).

    Examples
    --------
    >>> str(dew_point(exactly(-5, "C"), exactly(50, "%"))), str(settling_point(exactly(-5, "C"), exactly(50, "%")))
    ('-13.83 °C', '-12.32 °C')
    >>> settling_point(exactly(20, "C"), exactly(65, "%")) == dew_point(exactly(20, "C"), exactly(65, "%"))
    True
    """
    dew = dew_point(air_temperature, humidity)
    air, damp = air_temperature.to("C"), humidity.to("%")
    low, high = _settles(float(air.low), float(damp.low)), _settles(float(air.high), float(damp.high))
    return dew if dew.low >= 0 else outward(low, high, "C", dew.exact)


class Volume(Struct, frozen=True):
    """A volume in litres, from low to high."""

    low_litres: float
    high_litres: float


@lru_cache(maxsize=256)
def inner_volume_litres(section_width: Measure, overall_diameter: Measure, rim_diameter: Measure) -> Volume:
    """An estimate of the air in the tire, on the high side: a ring whose section is an ellipse of the outer size.

    Parameters
    ----------
    section_width, overall_diameter, rim_diameter : lengths > 0, the rim smaller than the tire

    Returns
    -------
    litres from low to high, rounded to the machine's precision

    Raises
    ------
    Misread : a size of 0 or less, or a rim that is not smaller than the tire at every end of the ranges

    Notes
    -----
    Section area pi/4 x width x height with height = (D - rim) / 2, once round at the middle, pi x (D + rim) / 2. The
    casing's own thickness is not taken off, so the air is less.

    References
    ----------
    Second centroid theorem; that the section is an ellipse is this project's own estimate.

    Examples
    --------
    >>> round(inner_volume_litres(exactly(275, "mm"), exactly(958, "mm"), exactly(572, "mm")).high_litres, 1)
    100.2
    """
    width, outer, rim = (
        not_below_zero(what, size, zero_too=False).to("mm")
        for what, size in (
            ("section width", section_width),
            ("overall diameter", overall_diameter),
            ("rim diameter", rim_diameter),
        )
    )
    if rim.high >= outer.low:
        expected = f"less than the overall diameter, {in_words(outer)}"
        raise Misread(f"rim diameter {in_words(rim)}", expected, "check the size on the sidewall")
    low = _ring(width.low, outer.low, rim.high)
    return Volume(low, _ring(width.high, outer.high, rim.low))


@lru_cache(maxsize=256)
def stored_energy_kj(pressure: Measure, volume: Volume, ambient: Measure = STANDARD_ATMOSPHERE) -> Measure:
    """What the compressed air can release at most, expanding to the air around it without loss of heat.

    Parameters
    ----------
    pressure : gauge pressure, >= 0
    volume : litres, as from `inner_volume_litres`
    ambient : absolute pressure of the air around, > 0; a standard atmosphere if not given

    Returns
    -------
    energy in kJ, an upper bound

    Raises
    ------
    Misread : a negative pressure, or an ambient pressure of 0 or less

    Notes
    -----
    W = p V / (gamma - 1) x (1 - (p0 / p)^((gamma - 1) / gamma)), p absolute, gamma = 1.4.

    References
    ----------
    Isentropic expansion of an ideal diatomic gas (physics, no clause); standard atmosphere 101.325 kPa, ISO 2533.

    Examples
    --------
    100 litres at 800 kPa: 901.325 x 0.1 / 0.4 x (1 - (101.325 / 901.325)^(2 / 7)).

    >>> str(stored_energy_kj(exactly(800, "kPa"), Volume(100, 100)))
    '104.65 kJ'
    """
    gauge = not_below_zero("pressure", pressure).to("kPa")
    around = not_below_zero("air pressure", ambient, zero_too=False).to("kPa")
    low = _expansion(float(gauge.low), float(around.low), volume.low_litres)
    high = _expansion(float(gauge.high), float(around.high), volume.high_litres)
    same = volume.low_litres == volume.high_litres
    return outward(low, high, "kJ", gauge.exact and around.exact and same)


@lru_cache(maxsize=256)
def edge_speed(turning: Measure, diameter: Measure) -> Measure:
    """How fast a turning tool's edge runs.

    Parameters
    ----------
    turning : turns in a minute (rpm), >= 0
    diameter : length across the tool, >= 0

    Returns
    -------
    speed in km/h: pi x diameter x turns

    Raises
    ------
    Misread : a negative figure

    References
    ----------
    The circumference of a circle (derived).

    Examples
    --------
    >>> [str(edge_speed(exactly(5000, "rpm"), tool)) for tool in (exactly(1, "in"), exactly(50, "mm"))]
    ['23.94 km/h', '47.12 km/h']
    """
    rpm = not_below_zero("turning speed", turning).to("rpm")
    across = not_below_zero("diameter", diameter).to("mm")
    low, high = rpm.low * across.low * 60 / 10**6, rpm.high * across.high * 60 / 10**6
    return outward(float(low) * math.pi, float(high) * math.pi, "km/h", rpm.exact and across.exact)


def _magnus(air_c: float, humidity_percent: float) -> float:
    g = math.log(humidity_percent / 100) + _MAGNUS_B * air_c / (_MAGNUS_C + air_c)
    return _MAGNUS_C * g / (_MAGNUS_B - g)


def _settles(air_c: float, humidity_percent: float) -> float:
    dew = _magnus(air_c, humidity_percent)
    g = math.log(humidity_percent / 100) + _MAGNUS_B * air_c / (_MAGNUS_C + air_c)
    return dew if dew >= 0 else _ICE_C * g / (_ICE_B - g)


def _ring(width_mm: Fraction, outer_mm: Fraction, rim_mm: Fraction) -> float:
    section = float(width_mm * (outer_mm - rim_mm)) * math.pi / 8
    return section * float(outer_mm + rim_mm) * math.pi / 2 / 10**6


def _expansion(gauge_kpa: float, ambient_kpa: float, litres: float) -> float:
    absolute = gauge_kpa + ambient_kpa
    share = 1 - math.pow(ambient_kpa / absolute, (_GAMMA - 1) / _GAMMA)
    return absolute * litres / 1000 / (_GAMMA - 1) * share


def _within(what: str, measure: Measure, span: tuple[int, int]) -> None:
    low, high = span
    if measure.low < low or measure.high > high:
        expected = f"from {low} to {in_words(exactly(high, measure.unit))}"
        raise Misread(f"{what} {in_words(measure)}", expected, "read the instrument again")


#: Standard acceleration of free fall in m/s2 (3rd General Conference on Weights and Measures, 1901).
STANDARD_GRAVITY = 9.80665


@lru_cache(maxsize=256)
def fall_height(energy: Measure, mass: Measure) -> Measure:
    """The height from which a mass falls with this energy.

    Parameters
    ----------
    energy : energy, >= 0
    mass : mass, > 0

    Returns
    -------
    length in m: h = E / (m g), no air resistance

    Raises
    ------
    Misread : a mass of 0 or less

    References
    ----------
    Standard acceleration of free fall, 9.80665 m/s2 (3rd General Conference on Weights and Measures, 1901).

    Examples
    --------
    >>> str(fall_height(exactly("98.0665", "kJ"), exactly(100, "kg")))
    '100 m'
    """
    weight = mass.to("kg")
    if weight.low <= 0:
        raise Misread(f"a mass of {in_words(weight)}", "more than 0", "correct it")
    force = [float(end) * STANDARD_GRAVITY for end in (weight.high, weight.low)]
    joule = [float(end) * 1000 for end in (energy.to("kJ").low, energy.to("kJ").high)]
    return outward(joule[0] / force[0], joule[1] / force[1], "m", energy.exact and mass.exact)
