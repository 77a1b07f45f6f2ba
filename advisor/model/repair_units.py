"""The repair-unit chart of a shop's own material: which unit closes which injury."""

from __future__ import annotations

from msgspec import Struct

from advisor.model.limits import Basis
from advisor.model.quantity import Measure


class UnitRow(Struct, frozen=True):
    """A row of the chart: a unit by name, its sizes, and what it is for.

    `injury` and `angle` run from the low end, itself not included unless it is 0, to the high end, itself included.
    `groups` are tire groups, `zones` injury zones; `method` is the method that uses it.
    """

    id: str
    name: str
    method: str
    groups: tuple[str, ...]
    zones: tuple[str, ...]
    injury: Measure
    angle: Measure
    length: Measure
    width: Measure
    stem: Measure
    basis: Basis

    @property
    def largest_injury(self) -> Measure:
        """The largest injury that it closes."""
        return Measure(self.injury.high, self.injury.high, self.injury.unit)

    @property
    def largest_angle(self) -> Measure:
        """The steepest injury that it is for, from square to the tread."""
        return Measure(self.angle.high, self.angle.high, self.angle.unit)
