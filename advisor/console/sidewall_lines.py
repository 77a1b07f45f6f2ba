"""What a sidewall's print and the date in a tire's number tell, as plain lines and as data."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from advisor.domain.dot_code import DateCode
from advisor.domain.sidewall.parser import Sidewall
from advisor.domain.sidewall.size import revolutions_per_km
from advisor.model.problems import shown
from advisor.model.quantity import Measure, exactly, in_words

_Rows = list[tuple[str, str]]

BASIS = (
    "By the code tables of UN R30, UN R54 and ISO 4000-1 (second-hand, in part from memory); sizes without an aspect "
    "ratio by a table from memory. What stands on the tire and what its maker says counts."
)
_WIDE = len("overall diameter  ")


def sidewall_rows(found: Sidewall) -> _Rows:
    """Everything that the print tells, each with its name; what it does not tell is left out."""
    rows: list[tuple[str, str | None]] = [
        ("size", found.size),
        ("class", found.tire_class and found.tire_class.replace("-", " ")),
        ("construction", found.construction),
        ("load range", found.load_range),
        ("load, single", _load(found.load_single_kg, found.load_index_single)),
        ("load, dual", _load(found.load_dual_kg, found.load_index_dual)),
        ("top speed", _speed(found.top_speed_kmh, found.speed_symbol)),
        ("section width", _length(found.nominal_width_mm)),
        ("section height", _length(found.section_height_mm)),
        ("overall diameter", _length(found.overall_diameter_mm)),
        ("turns per km", _turns(found.overall_diameter_mm)),
        ("tube", found.tube),
        ("regroovable", "yes, by its mark" if found.regroovable else None),
    ]
    return [(name, told) for name, told in rows if told]


def sidewall_lines(found: Sidewall) -> list[str]:
    """The same as lines, then what was not read and what is still to be read off the tire."""
    lines = [f"{name.ljust(_WIDE)}{told}" for name, told in sidewall_rows(found)]
    if found.not_read:
        lines.append(f"{'not read'.ljust(_WIDE)}{shown(' '.join(found.not_read), 200)}")
    if missing := missing_in(found):
        lines.append(f"{'not told'.ljust(_WIDE)}{', '.join(missing)}: look for it on the sidewall")
    return lines


def missing_in(found: Sidewall) -> tuple[str, ...]:
    """What the print, as typed, does not tell."""
    without = () if found.construction else ("construction",)
    return (*found.missing, *without)


def date_lines(found: DateCode) -> list[str]:
    """What the date in a tire's number tells, as lines."""
    low, high = (Fraction(round(age, 1)) for age in found.age_years)
    rows = [
        ("number", {"new": "a new tire's", "retread": "a retread's"}.get(found.kind, "new or retread: not told")),
        ("week", f"week {found.week} of {' or '.join(map(str, found.years))}"),
        ("made", f"{found.first_day.isoformat()} to {found.last_day.isoformat()}"),
        ("age", in_words(Measure(low, high, "years"))),
    ]
    lines = [f"{name.ljust(_WIDE)}{told}" for name, told in rows]
    return [*lines, f"{'look again'.ljust(_WIDE)}{found.warning}"] if found.warning else lines


def sidewall_data(found: Sidewall) -> dict[str, Any]:
    """The print as plain data: lengths in mm, loads in kg, speed in km/h; null where it tells nothing."""
    return {
        "size": found.size, "tire-class": found.tire_class, "construction": found.construction,
        "load-range": found.load_range, "load-index-single": found.load_index_single,
        "load-index-dual": found.load_index_dual, "load-single": _number(found.load_single_kg),
        "load-dual": _number(found.load_dual_kg), "speed-symbol": found.speed_symbol, "top-speed": found.top_speed_kmh,
        "section-width": found.nominal_width_mm, "section-height": found.section_height_mm,
        "overall-diameter": found.overall_diameter_mm, "tube": found.tube, "regroovable": found.regroovable,
        "not-read": list(found.not_read), "not-told": list(missing_in(found)),
    }  # fmt: skip


def date_data(found: DateCode) -> dict[str, Any]:
    """The date as plain data: the years that it may mean, the days, the age in years."""
    return {
        "kind": found.kind, "code": found.code, "week": found.week, "years": list(found.years),
        "first-day": found.first_day.isoformat(), "last-day": found.last_day.isoformat(),
        "age": [round(float(age), 2) for age in found.age_years], "warning": found.warning,
    }  # fmt: skip


def _load(kg: Fraction | None, index: int | None) -> str | None:
    if kg is None:
        return None
    return f"{_number(kg):g} kg ({round(exactly(kg, 'kg').to('lb').low)} lb), load index {index}"


def _speed(kmh: int | None, symbol: str | None) -> str | None:
    if kmh is None:
        return None
    beyond = "above " if symbol in ("ZR", "(Y)") else ""
    return f"{beyond}{kmh} km/h ({round(exactly(kmh, 'km/h').to('mph').low)} mph), speed symbol {symbol}"


def _length(mm: int | None) -> str | None:
    if mm is None:
        return None
    inches = exactly(mm, "mm").to("in").low
    return f"{mm} mm ({float(inches):.2f} in)"


def _turns(mm: int | None) -> str | None:
    return None if mm is None else f"{revolutions_per_km(mm):.1f}, unloaded"


def _number(kg: Fraction | None) -> float | None:
    return None if kg is None else float(kg)
