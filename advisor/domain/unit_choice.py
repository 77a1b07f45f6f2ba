"""Picks a repair unit from a chart, and says why the next smaller one does not do.

The chart's rows are arguments; none stands here.
"""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct

from advisor.model.quantity import Measure, in_words
from advisor.model.repair_units import UnitRow


class Pick(Struct, frozen=True):
    """The row that an injury gets, and the next smaller one with the reason why it does not do.

    `row` is None where the chart has none; `why_not` then says what the chart goes up to.
    """

    row: UnitRow | None
    smaller: UnitRow | None
    why_not: str


def takes(span: Measure, reading: Measure) -> bool:
    """Whether the worse end of a reading lies in a row's span.

    Parameters
    ----------
    span : from its low end, itself not included unless it is 0, to its high end, itself included
    reading : of the span's quantity; a range counts with its high end

    Returns
    -------
    True or False

    Raises
    ------
    ValueError : a reading of another quantity

    Notes
    -----
    Which end of a span counts is this project's reading of a chart: rows that meet leave no size open and none twice.

    Examples
    --------
    >>> [takes(between(3, 6, "mm"), exactly(size, "mm")) for size in (3, "3.1", 6, "6.1")]
    [False, True, True, False]
    >>> takes(between(0, 3, "mm"), exactly(0, "mm")), takes(between(0, 3, "mm"), between(2, 4, "mm"))
    (True, False)
    """
    worst = reading.to(span.unit).high
    return (span.low < worst or span.low == worst == 0) and worst <= span.high


def rows_for(chart: Iterable[UnitRow], group: str, zone: str) -> list[UnitRow]:
    """The rows of a chart for a tire group and a zone.

    Parameters
    ----------
    chart : rows in any order
    group : light, medium-truck …, as the rows name them
    zone : crown, shoulder …, as the rows name them

    Returns
    -------
    the rows, the smallest injury first, then the least angle, then the shortest unit
    """
    fitting = [row for row in chart if group in row.groups and zone in row.zones]
    return sorted(fitting, key=_size)


def pick(rows: list[UnitRow], size: Measure, angle: Measure) -> Pick:
    """The row for an injury of this size and angle, and why the next smaller one does not do.

    Parameters
    ----------
    rows : as from `rows_for`; the first that takes size and angle counts
    size : length, the injury's widest opening
    angle : angle from square to the tread surface
        Both count with their worse end where in doubt

    Returns
    -------
    the row, the next smaller one (None where there is none) and the reason; no row where the chart has none, and what
    it goes up to

    Raises
    ------
    ValueError : a reading of another quantity than the chart's

    References
    ----------
    All figures are the chart's, which is a shop's own; no chart is published here.
    """
    found = next((row for row in rows if takes(row.injury, size) and takes(row.angle, angle)), None)
    if found is None:
        return Pick(None, None, _beyond(rows, size, angle))
    smaller = next((row for row in reversed(rows) if _size(row) < _size(found)), None)
    return Pick(found, smaller, _why_not(smaller, size, angle) if smaller else "")


def _size(row: UnitRow) -> tuple[object, ...]:
    return row.injury.to("mm").high, row.angle.to("deg").high, row.length.to("mm").high


def _why_not(row: UnitRow, size: Measure, angle: Measure) -> str:
    if size.to(row.injury.unit).high > row.injury.high:
        return f"{row.name} closes at most {in_words(row.largest_injury)}, and the injury measures {in_words(size)}"
    if angle.to("deg").high > row.angle.to("deg").high:
        return f"{row.name} is for at most {in_words(row.largest_angle)}, and the injury leans {in_words(angle)}"
    return f"{row.name} is for a smaller or steeper injury by the chart"


def _beyond(rows: list[UnitRow], size: Measure, angle: Measure) -> str:
    if not rows:
        return "the chart has no unit for this kind of tire and zone"
    most = in_words(rows[-1].largest_injury)
    steepest = in_words(max((row.largest_angle for row in rows), key=lambda each: each.to("deg").high))
    wanted = f"{in_words(size)} at {in_words(angle)}"
    return f"the chart has no unit for {wanted}; for this tire and zone it ends at {most} and {steepest}"
