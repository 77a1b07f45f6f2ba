"""Two tires side by side: how far they differ, what a table allows, and which one goes outside.

The table's rows are arguments; none stands here.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec import Struct

from advisor.domain.intervals import Figures, hull, in_family, minus, not_below_zero, outward, size_of
from advisor.model.problems import Misread
from advisor.model.quantity import Measure


class DualRow(Struct, frozen=True):
    """A row of a dual table: for diameters up to `to` (None: without end), `to` itself only where `itself`.

    A difference may be given in one unit or in several; the one in the reading's own unit counts.
    """

    to: Measure | None
    itself: bool
    diameter_difference: Figures
    circumference_difference: Figures | None = None


def dual_rows(diameter: Measure, rows: Sequence[DualRow]) -> list[DualRow]:
    """The rows that a diameter may fall in; rows in rising order.

    Raises Misread for a diameter of 0 or less, or one past the last row.
    """
    not_below_zero("overall diameter", diameter, zero_too=False)
    held = []
    for row in rows:
        end = None if row.to is None else row.to.to(diameter.unit).low
        if end is None or diameter.low < end or (row.itself and diameter.low == end):
            held.append(row)
            if end is None or diameter.high < end or (row.itself and diameter.high == end):
                return held
    raise Misread(f"overall diameter {diameter}", "a diameter that the dual table covers", "measure it again")


def allowed_difference(diameter: Measure, rows: Sequence[DualRow]) -> Measure:
    """The difference in diameter that the table allows; a range where several rows may count."""
    return hull(*(in_family(row.diameter_difference, diameter) for row in dual_rows(diameter, rows)))


def allowed_round(diameter: Measure, rows: Sequence[DualRow]) -> Measure | None:
    """The difference in circumference that the table allows, or None where a row gives none."""
    figures = [row.circumference_difference for row in dual_rows(diameter, rows)]
    given = [in_family(figure, diameter) for figure in figures if figure is not None]
    return hull(*given) if len(given) == len(figures) else None


def diameter_difference(first: Measure, second: Measure) -> Measure:
    """How far two readings differ, without a sign, exact, in the first one's unit."""
    return size_of(minus(first, second))


def diameter_of_round(girth: Measure) -> Measure:
    """The diameter of a tire that measures so much round the tread, by pi; in doubt by the grid's step at most."""
    return outward(float(girth.low) / math.pi, float(girth.high) / math.pi, girth.unit, girth.exact)


def larger_diameter(first: Measure, second: Measure) -> Measure:
    """The diameter that decides the row: the larger of the two, in the first one's unit."""
    other = second.to(first.compared_in)
    here = first.to(first.compared_in)
    return Measure(max(here.low, other.low), max(here.high, other.high), here.unit)
