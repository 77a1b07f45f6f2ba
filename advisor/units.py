"""Quantities: a number with the unit it was typed in, exact, and possibly in doubt.

Every figure is a `Fraction`, so a comparison at a limit is exact in the unit that was typed.
A measure is a closed range `low..high`; a plain figure has low == high.

Sources: 1 in = 25.4 mm, 1 lb = 0.45359237 kg, 1 bar = 100 kPa exactly (NIST SP 811, Appendix B);
1 psi = 1 lb x 9.80665 m/s2 / (1 in)2, worked out exactly.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from functools import cache

from advisor.quick import dataclass

PSI_IN_KPA = Fraction(45359237, 10**8) * Fraction(980665, 10**5) / Fraction(254, 10**4) ** 2 / 1000


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: its quantity, its size in the quantity's base unit, and the unit its readings are compared in."""

    name: str
    quantity: str
    factor: Fraction
    compared_in: str
    offset: Fraction = Fraction(0)


def _unit(name: str, quantity: str, factor: Fraction | int, compared_in: str = "", offset: int = 0) -> Unit:
    return Unit(name, quantity, Fraction(factor), compared_in or name, Fraction(offset))


#: Base units: length mm, pressure kPa, angle deg, temperature C, share %, mass kg, speed km/h, time years.
UNITS: dict[str, Unit] = {
    unit.name: unit
    for unit in (
        _unit("mm", "length", 1),
        _unit("cm", "length", 10, "mm"),
        _unit("m", "length", 1000, "mm"),
        _unit("in", "length", Fraction(254, 10)),
        _unit("32nds", "length", Fraction(254, 320), "in"),
        _unit("ft", "length", Fraction(3048, 10), "in"),
        _unit("kPa", "pressure", 1),
        _unit("bar", "pressure", 100, "kPa"),
        _unit("psi", "pressure", PSI_IN_KPA),
        _unit("kgf/cm2", "pressure", Fraction(980665, 10**4), "kPa"),
        _unit("deg", "angle", 1),
        _unit("C", "temperature", 1),
        _unit("F", "temperature", Fraction(5, 9), offset=32),
        _unit("%", "share", 1),
        _unit("kg", "mass", 1),
        _unit("lb", "mass", Fraction(45359237, 10**8)),
        _unit("km/h", "speed", 1),
        _unit("mph", "speed", Fraction(1609344, 10**6)),
        _unit("years", "time", 1),
        _unit("min", "duration", 1),
        _unit("rpm", "turning", 1),
        _unit("kJ", "energy", 1),
        _unit("times", "count", 1),
    )
}


@dataclass(frozen=True, slots=True)
class Measure:
    """A figure in a unit; `low` and `high` differ when it is in doubt. `typed` is what was written."""

    low: Fraction
    high: Fraction
    unit: str
    typed: str = ""

    @property
    def exact(self) -> bool:
        """Whether the figure is in no doubt."""
        return self.low is self.high or self.low == self.high

    @property
    def quantity(self) -> str:
        """What is measured: length, pressure, angle …"""
        return UNITS[self.unit].quantity

    @property
    def compared_in(self) -> str:
        """The unit in which a reading typed in this unit is held against a limit (32nds count as inches)."""
        return UNITS[self.unit].compared_in

    def to(self, unit: str) -> Measure:
        """The same measure in another unit of the same quantity, exact. Raises ValueError across quantities."""
        if unit == self.unit:
            return self
        here, there = UNITS[self.unit], UNITS[unit]
        if here.quantity != there.quantity:
            raise ValueError(f"{self.unit} cannot be given in {unit}")
        low = _convert(self.low, here, there)
        return Measure(low, low if self.low is self.high else _convert(self.high, here, there), unit, self.typed)

    def __str__(self) -> str:
        return self.typed or in_words(self)

    def __hash__(self) -> int:
        return hash((self.low.as_integer_ratio(), self.unit))  # a Fraction's own takes longer than most uses of it


def exactly(value: Fraction | int | str, unit: str) -> Measure:
    """A measure in no doubt: `exactly("1/4", "in")`, `exactly(6, "mm")`."""
    figure = Fraction(value)
    return Measure(figure, figure, unit)


def between(low: Fraction | int | str, high: Fraction | int | str, unit: str) -> Measure:
    """A measure somewhere from `low` to `high`, ends included."""
    return Measure(Fraction(low), Fraction(high), unit)


def _convert(figure: Fraction, here: Unit, there: Unit) -> Fraction:
    if not here.offset and not there.offset:
        return figure * _factor(here.name, there.name)
    return (figure - here.offset) * here.factor / there.factor + there.offset


@cache
def _factor(here: str, there: str) -> Fraction:
    return UNITS[here].factor / UNITS[there].factor


def units_of(quantity: str) -> list[str]:
    """The unit names of a quantity, in the order of the table."""
    return [unit.name for unit in UNITS.values() if unit.quantity == quantity]


def number_in_words(figure: Fraction, unit: str = "") -> str:
    """A figure as a technician writes it: `9`, `10.2`, and for inches a fraction where it is one (`3/8`)."""
    if unit == "in" and figure.denominator in (2, 4, 8, 16, 32, 64):
        whole, rest = divmod(abs(figure), 1)
        sign = "-" if figure < 0 else ""
        return f"{sign}{whole} {rest}" if whole else f"{sign}{rest}"
    if figure.denominator == 1:
        return str(figure.numerator)
    text = f"{float(figure):.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def in_words(measure: Measure) -> str:
    """A measure for people: `10.2 mm`, `3/8 in`, `9/32 in`, `8 to 10 mm`, `80 %`."""
    if measure.unit == "32nds":
        low, high = (f"{number_in_words(end)}/32" for end in (measure.low, measure.high))
        unit = "in"
    else:
        low, high = (number_in_words(end, measure.unit) for end in (measure.low, measure.high))
        unit = {"deg": "°", "C": "°C", "F": "°F", "times": ""}.get(measure.unit, measure.unit)
    figure = low if measure.exact else f"{low} to {high}"
    return f"{figure}{unit}" if unit in ("°", "") else f"{figure} {unit}"


def lowest(measures: Iterable[Measure]) -> Measure:
    """The lowest of several readings as one measure: min of the lows to min of the highs, in the lowest one's unit.

    Raises ValueError when there is none.
    """
    readings = list(measures)
    first = min(readings, key=lambda reading: (reading.to(readings[0].unit).high, reading.to(readings[0].unit).low))
    low = min(reading.to(first.unit).low for reading in readings)
    return Measure(low, first.high, first.unit, first.typed if low == first.low else "")
