"""Values of a case as plain data, and back: what is kept of them is read in no other way."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from advisor.engine.facts import NOT_APPLICABLE, OneOf, Value
from advisor.model.case import CANT_TELL, Choice, Choices, Readings, Text
from advisor.model.quantity import Measure

_ALONE: dict[str, Value | None] = {"none": None, "cant-tell": CANT_TELL, "not-applicable": NOT_APPLICABLE}


def value_to_data(value: Value | None) -> list[Any]:
    """A value as plain data."""
    if isinstance(value, Choice):
        return ["choice", value.id]
    if isinstance(value, Measure):
        return ["measure", *_measure(value)]
    if isinstance(value, OneOf):
        return ["one-of", *value.possible]
    if isinstance(value, Choices):
        return ["choices", sorted(value.present), None if value.absent is None else sorted(value.absent)]
    if isinstance(value, Readings):
        return ["readings", *map(_measure, value.readings)]
    if isinstance(value, Text):
        return ["text", value.text]
    return [next(name for name, each in _ALONE.items() if each is value)]


def value_from_data(data: list[Any]) -> Value | None:
    """The value that plain data stands for."""
    kind, *parts = data
    if kind == "choice":
        return Choice(parts[0])
    if kind == "measure":
        return _measured(parts)
    if kind == "one-of":
        return OneOf(tuple(parts))
    if kind == "choices":
        return Choices(frozenset(parts[0]), None if parts[1] is None else frozenset(parts[1]))
    if kind == "readings":
        return Readings(tuple(map(_measured, parts)))
    return Text(parts[0]) if kind == "text" else _ALONE[kind]


def _measure(measure: Measure) -> list[str]:
    low = str(measure.low)
    return [low, low if measure.exact else str(measure.high), measure.unit, measure.typed]


def _measured(parts: list[str]) -> Measure:
    low, high, unit, typed = parts
    figure = Fraction(low)
    return Measure(figure, figure if high == low else Fraction(high), unit, typed)
