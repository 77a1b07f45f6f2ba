"""Quantities: a number with the unit it was typed in, exact, and possibly in doubt.

Every figure is a `Fraction`, so a comparison at a limit is exact in the unit that was typed.
A measure is a closed range `low..high`; a plain figure has low == high.

Sources: 1 in = 25.4 mm, 1 lb = 0.45359237 kg, 1 bar = 100 kPa exactly (NIST SP 811, Appendix B);
1 psi = 1 lb x 9.80665 m/s2 / (1 in)2, worked out exactly.

Reads a measure as people type it: `3/8 in`, `10mm`, `8-10 mm`, `about 9 mm`, `1 1/2"`, `92 psi`, `-35 mm`.

`about` widens a figure by a tenth each way: a figure of this project's own, said on screen wherever it counts.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from fractions import Fraction
from functools import cache, lru_cache

from msgspec import Struct

from advisor.model.problems import Misread, shown

PSI_IN_KPA = Fraction(45359237, 10**8) * Fraction(980665, 10**5) / Fraction(254, 10**4) ** 2 / 1000


class Unit(Struct, frozen=True):
    """A unit: its quantity, its size in the quantity's base unit, and the unit its readings are compared in."""

    name: str
    quantity: str
    factor: Fraction
    compared_in: str
    offset: Fraction = Fraction(0)


def _unit(name: str, quantity: str, factor: Fraction | int, compared_in: str = "", offset: int = 0) -> Unit:
    return Unit(name, quantity, Fraction(factor), compared_in or name, Fraction(offset))


#: Base units: length mm, pressure kPa, angle deg, temperature C, share %, mass kg, speed km/h, time years, distance km.
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
        _unit("months", "time", Fraction(1, 12)),
        _unit("km", "distance", 1),
        _unit("mi", "distance", Fraction(1609344, 10**6)),
        _unit("min", "duration", 1),
        _unit("rpm", "turning", 1),
        _unit("kJ", "energy", 1),
        _unit("times", "count", 1),
    )
}


class Measure(Struct, frozen=True):
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
        # a Fraction's own takes longer than most uses of it
        return hash(self.typed or (self.low.as_integer_ratio(), self.unit))


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


def units_for(quantity: str) -> list[str]:
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


ABOUT_SHARE = Fraction(1, 10)
_LONGEST = 80

_UNIT_WORDS = {
    "mm": "mm millimetre millimetres millimeter millimeters mms",
    "cm": "cm centimetre centimetres centimeter centimeters",
    "m": "m metre metres meter meters",
    "in": 'in in. inch inches " ″ ”',
    "32nds": '32nds 32nd /32 /32nds /32nd thirty-seconds /32in /32"',
    "ft": "ft foot feet",
    "psi": "psi lb/in2 lbs/in2 psig",
    "kPa": "kpa",
    "bar": "bar bars",
    "kgf/cm2": "kgf/cm2 kgf/cm² kg/cm2 kg/cm²",
    "deg": "deg deg. degs degree degrees ° º",
    "C": "c °c degc celsius",
    "F": "f °f degf fahrenheit",
    "%": "% percent pct",
    "kg": "kg kgs",
    "lb": "lb lbs pound pounds",
    "km/h": "km/h kmh kph",
    "mph": "mph",
    "years": "year years yr yrs",
    "months": "months",
    "km": "km",
    "mi": "mi",
    "min": "min mins minute minutes",
    "rpm": "rpm",
    "kJ": "kj",
    "times": "times",
}
_UNIT_OF_WORD = {word: unit for unit, words in _UNIT_WORDS.items() for word in words.split()}

_DECIMAL = r"(?:\d{1,9}(?:[.,]\d{1,9})?|[.,]\d{1,9})"
_NUMBER = rf"(?:{_DECIMAL}(?=\s*/32nd)|\d{{1,9}}[ -]\d{{1,3}}/\d{{1,3}}|{_DECIMAL}/\d{{1,3}}|{_DECIMAL})"
_UNIT = "|".join(sorted(map(re.escape, _UNIT_OF_WORD), key=len, reverse=True))
_ABOUT = re.compile(r"(?:about|approx(?:imately)?\.?|around|roughly|some|circa|ca\.?|~|≈)\s*", re.IGNORECASE)
_ONE = re.compile(rf"(?P<sign>[-−+]?)\s*(?P<number>{_NUMBER})\s*(?P<unit>(?:{_UNIT})(?![a-z/]))?\s*", re.IGNORECASE)
_WORD = re.compile(r"[^\s\d]+")
#: A fraction that an inch ruler or a tread gauge shows; nobody writes millimeters so.
_RULER = re.compile(r"\d/(?:2|4|8|16|32|64)(?!\d)")
#: What is read in such fractions; with any other unit a stroke parts two figures: 6/14 mm, 104/110 psi.
_RULED = frozenset({"in", "32nds", "ft", "mi"})
_TO = re.compile(r"(?P<pm>±|\+/?-)\s*|(?:to|or|and|-|–|—|\.\.\.?|…)\s*", re.IGNORECASE)


#: A bare figure that counts as 32nds is taken as the fraction of an inch that it is said back as: `8-10` as
#: `8/32-10/32 in`. So the words of a measure, which get the unit behind them, always read as that measure.
_32NDS = "32nds"
_SHOWN_UNITS = {"deg": "°"}


@lru_cache(maxsize=2048)
def read_measure(text: str, quantity: str, unit: str = "") -> Measure:
    """The measure that a text gives.

    Parameters: `quantity` (length, pressure, angle …); `unit`, the one meant when none is typed;
    empty when a unit has to be typed, save for zero. A bare fraction of an inch counts as inches either way.
    Raises Misread, naming what was found and the units expected.
    """
    words = " ".join(text.split())
    if not words or len(words) > _LONGEST:
        raise _misread(text, quantity)
    about = _ABOUT.match(words)
    rest = words[about.end() :] if about else words
    first, second, spread = _ends(rest, text, quantity)
    chosen = _unit_for(first, second, quantity, unit, text)
    if any("/" in end[3] and not (chosen in _RULED and _RULER.search(end[3])) for end in filter(None, (first, second))):
        raise Misread(f'"{shown(text, 60)}"', "one figure, or a fraction of an inch such as 3/8 in", "type it again")
    low, high = first[0], second[0] if second else first[0]
    if spread:
        low, high = first[0] - high, first[0] + high
    if about:
        low, high = low - abs(low) * ABOUT_SHARE, high + abs(high) * ABOUT_SHARE
    if low > high:
        low, high = high, low
    if chosen == _32NDS and not _unit_typed(first, second):
        low, high, chosen = low / 32, high / 32, "in"
        before = len(words) - len(rest)
        for end in filter(None, (second, first)):
            stop = before + end[2]
            words = f"{words[:stop]}/32{words[stop:]}"
    typed = words if _unit_typed(first, second) else f"{words}{_SHOWN_UNITS.get(chosen, f' {chosen}')}"
    if len(typed) > _LONGEST:
        raise _misread(text, quantity)
    return Measure(low, high, chosen, typed)


def quantity_named(text: str) -> str:
    """The quantity of the unit that a text ends with after a space; empty where it ends otherwise."""
    unit = _UNIT_OF_WORD.get(text.rpartition(" ")[2].lower())
    return UNITS[unit].quantity if unit else ""


#: A figure, its unit (empty where none was typed), where its number stops, and its number as typed.
_End = tuple[Fraction, str, int, str]


def _ends(rest: str, text: str, quantity: str) -> tuple[_End, _End | None, bool]:
    first = _ONE.match(rest)
    if not first:
        raise _misread(text, quantity)
    one = _end(first, text, quantity, 0)
    after = rest[first.end() :]
    if not after:
        return one, None, False
    joint = _TO.match(after)
    word = _WORD.match(after)
    if word and not joint:
        raise _misread(text, quantity, word[0])
    second = _ONE.fullmatch(after[joint.end() :]) if joint else None
    if not joint or not second:
        raise _misread(text, quantity)
    return one, _end(second, text, quantity, first.end() + joint.end()), bool(joint["pm"])


def _end(match: re.Match[str], text: str, quantity: str, start: int) -> _End:
    sign = -1 if match["sign"] in ("-", "−") else 1
    try:
        figure = number_of(match["number"])
    except ZeroDivisionError:
        raise _misread(text, quantity) from None
    word = (match["unit"] or "").lower()
    unit = _UNIT_OF_WORD.get(word, "")
    if word and unit not in units_for(quantity):
        raise _misread(text, quantity, word)
    return sign * figure, unit, start + match.end("number"), match["number"]


def number_of(text: str) -> Fraction:
    """The number that a text writes: `6`, `6,5`, `3/8`, `1 1/8` or `1-1/8`.

    Raises ValueError where it is none, ZeroDivisionError for a fraction over zero.
    """
    if text.isdigit():
        return Fraction(int(text))
    text = text.replace(",", ".")
    if "/" not in text:
        return Fraction(text)
    whole, _, part = text.replace("-", " ").rpartition(" ")
    over, _, under = part.partition("/")
    return Fraction(over) / int(under) + (int(whole) if whole else 0)


def _unit_for(first: _End, second: _End | None, quantity: str, unit: str, text: str) -> str:
    typed = (second[1] if second else "") or first[1]
    if second and first[1] and first[1] != typed:
        raise Misread(shown(f'"{text}"', 60), "the same unit at both ends of a range", "type both ends in one unit")
    if typed:
        return typed
    if quantity == "length" and ((unit and "/" in text) or _RULER.search(text)):
        return "in"
    if unit:
        return unit
    if first[0] == 0 and not second:
        return units_for(quantity)[0]
    raise Misread(
        f"{shown(repr(text), 60)} without a unit", f"a figure with its unit: {_units(quantity)}", "add the unit"
    )


def _unit_typed(first: _End, second: _End | None) -> bool:
    return bool(first[1] or (second and second[1]))


def _units(quantity: str) -> str:
    return ", ".join(units_for(quantity))


def _misread(text: str, quantity: str, word: str = "") -> Misread:
    found = f'"{shown(word)}" in "{shown(text, 60)}"' if word else f'"{shown(text, 60)}"'
    return Misread(found, f"a figure in {_units(quantity)}, such as {_EXAMPLES.get(quantity, '10')}", "type it again")


_EXAMPLES = {
    "length": "8 mm, 1/4 in, 8-10 mm or about 9 mm",
    "pressure": "92 psi, 640 kPa or 6.4 bar",
    "angle": "30 deg",
    "temperature": "12 C",
    "share": "65 %",
}
