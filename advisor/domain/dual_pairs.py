"""Two tires side by side: how far they differ, and what a table allows.

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
    """The rows of a dual table that a diameter may fall in.

    Parameters
    ----------
    diameter : overall diameter, > 0
    rows : in rising order

    Returns
    -------
    one row, or several where the diameter is in doubt across an end

    Raises
    ------
    Misread : a diameter of 0 or less, or one past the last row

    References
    ----------
    All figures are arguments. The table of `trees/us-road` is TM 9-2610-200-14, table 2-1, page 2-8, with the row at an
    end that stands in two set to the stricter one.

    Examples
    --------
    >>> rows = (DualRow(exactly(30, "in"), False, exactly("1/4", "in")), DualRow(None, False, exactly("3/8", "in")))
    >>> [len(dual_rows(diameter, rows)) for diameter in (exactly(30, "in"), between(29, 31, "in"))]
    [1, 2]
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
    """The difference in diameter that the table allows within a pair.

    Parameters
    ----------
    diameter, rows : as for `dual_rows`

    Returns
    -------
    length, in the reading's own unit where the row has it; a range where several rows may count

    Raises
    ------
    Misread : as `dual_rows`

    Examples
    --------
    >>> rows = (DualRow(exactly(30, "in"), False, exactly("1/4", "in")), DualRow(None, False, exactly("3/8", "in")))
    >>> [str(allowed_difference(exactly(across, "in"), rows)) for across in ("29.9", 30)]
    ['1/4 in', '3/8 in']
    """
    return hull(*(in_family(row.diameter_difference, diameter) for row in dual_rows(diameter, rows)))


def allowed_round(diameter: Measure, rows: Sequence[DualRow]) -> Measure | None:
    """The difference in circumference that the table allows within a pair.

    Parameters
    ----------
    diameter, rows : as for `dual_rows`; the diameter, not the circumference, decides the row

    Returns
    -------
    length as for `allowed_difference`, or None where a row that may count gives none

    Raises
    ------
    Misread : as `dual_rows`

    Examples
    --------
    >>> row = DualRow(None, False, exactly("3/8", "in"), exactly("9/8", "in"))
    >>> str(allowed_round(exactly(40, "in"), [row])), allowed_round(exactly(40, "in"), [DualRow(None, False, ())])
    ('1 1/8 in', None)
    """
    figures = [row.circumference_difference for row in dual_rows(diameter, rows)]
    given = [in_family(figure, diameter) for figure in figures if figure is not None]
    return hull(*given) if len(given) == len(figures) else None


def diameter_difference(first: Measure, second: Measure) -> Measure:
    """How far two readings differ.

    Parameters
    ----------
    first, second : lengths, both diameters or both circumferences

    Returns
    -------
    length >= 0, exact, in the unit in which the first is compared; a range holds every difference that the doubt allows

    Examples
    --------
    >>> str(diameter_difference(exactly(40, "in"), exactly("40.375", "in")))
    '3/8 in'
    >>> str(diameter_difference(between(1000, 1004, "mm"), exactly(1002, "mm")))
    '0 to 2 mm'
    """
    return size_of(minus(first, second))


def diameter_of_round(girth: Measure) -> Measure:
    """The diameter of a tire that measures so much round the tread.

    Parameters
    ----------
    girth : length round the tread

    Returns
    -------
    length in the girth's unit: girth / pi, to a billionth

    References
    ----------
    The circumference of a circle (derived).

    Examples
    --------
    >>> str(diameter_of_round(exactly(3010, "mm")))
    '958.11 mm'
    """
    return outward(float(girth.low) / math.pi, float(girth.high) / math.pi, girth.unit, girth.exact)


def larger_diameter(first: Measure, second: Measure) -> Measure:
    """The diameter that decides the row for a pair: the larger of the two.

    Parameters
    ----------
    first, second : overall diameters

    Returns
    -------
    length in the unit in which the first is compared; a range holds what the larger one may be

    Examples
    --------
    >>> str(larger_diameter(between(39, 41, "in"), exactly(40, "in")))
    '40 to 41 in'
    """
    other = second.to(first.compared_in)
    here = first.to(first.compared_in)
    return Measure(max(here.low, other.low), max(here.high, other.high), here.unit)
