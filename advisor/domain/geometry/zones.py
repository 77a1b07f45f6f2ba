"""Which zone an end of the injury lies in: crown, shoulder, sidewall (and bead, where it was stated).

A set of zones holds every zone still possible; more than one means that the measuring doubt crosses a
boundary. How far in from the tread's edge the crown begins is a figure of the rule set, so it comes as an
argument.
"""

from __future__ import annotations

from fractions import Fraction

from advisor.domain.intervals import Figures, bare, in_family, minus, not_below_zero, size_of, times
from advisor.model.quantity import Measure

#: From the best to the worst place for an injury.
ORDER = ("crown", "shoulder", "sidewall", "bead")
_RANK = {zone: rank for rank, zone in enumerate(ORDER)}

Zones = frozenset[str]


def distance_in(offset: Measure, tread_width: Measure) -> Measure:
    """How far in from the tread's edge a place lies: half the tread width less the offset's size.

    Parameters
    ----------
    offset : length, signed, from the tread's center line (+ towards the serial side)
    tread_width : length > 0, edge to edge

    Returns
    -------
    length in the unit in which the offset is compared; 0 at the edge, below 0 beyond it

    Raises
    ------
    Misread : a tread width of 0 or less

    Examples
    --------
    >>> [str(distance_in(exactly(offset, "mm"), exactly(220, "mm"))) for offset in (-60, 115)]
    ['50 mm', '-5 mm']
    """
    here = bare(offset)
    half = times(not_below_zero("tread width", tread_width, zero_too=False), Fraction(1, 2))
    return minus(half.to(here.unit), size_of(here))


def zones_at(offset: Measure, tread_width: Measure, crown_margin: Figures) -> Zones:
    """Every zone that an end of the injury may lie in: crown, shoulder, sidewall.

    Parameters
    ----------
    offset, tread_width : as for `distance_in`
    crown_margin : how far in from the edge the crown begins, one figure or the same in several units; the one in the
        offset's own unit counts

    Returns
    -------
    one zone, or all that the measuring doubt allows: in by the margin or more is crown, less than the margin and more
    than 0 shoulder, at the edge or beyond it sidewall

    Raises
    ------
    Misread : a tread width of 0 or less

    References
    ----------
    The margin is a figure of the rule set; that of `trees/us-road` (1 1/2 in, 38 mm) is common practice, two fleet
    columns.

    Examples
    --------
    >>> margin = (exactly("3/2", "in"), exactly(38, "mm"))
    >>> [sorted(zones_at(exactly(offset, "mm"), exactly(220, "mm"), margin)) for offset in (72, -73, 110)]
    [['crown'], ['shoulder'], ['sidewall']]
    >>> sorted(zones_at(between(70, 74, "mm"), exactly(220, "mm"), margin))
    ['crown', 'shoulder']
    """
    inside = distance_in(offset, tread_width)
    margin = in_family(crown_margin, offset).to(inside.unit)
    zones = set()
    if inside.high > 0 and inside.high >= margin.low:
        zones.add("crown")
    if inside.high > 0 and margin.high > 0 and inside.low < margin.high:
        zones.add("shoulder")
    if inside.low <= 0:
        zones.add("sidewall")
    return frozenset(zones)


def worst_zones(*sets: Zones) -> Zones:
    """The zones that the injury may count as, when the worse of its ends decides.

    Parameters
    ----------
    *sets : for each end, every zone that it may lie in

    Returns
    -------
    every zone that may be the worst of one taken from each set; crown is the best, bead the worst

    Raises
    ------
    ValueError : no set, an empty set or a zone not in `ORDER`

    Examples
    --------
    >>> sorted(worst_zones(frozenset({"crown"}), frozenset({"crown", "shoulder"})))
    ['crown', 'shoulder']
    >>> sorted(worst_zones(frozenset({"shoulder"}), frozenset({"crown", "sidewall"})))
    ['shoulder', 'sidewall']
    """
    if not sets or not all(sets):
        raise ValueError("every end needs at least one possible zone")
    unknown = frozenset().union(*sets) - _RANK.keys()
    if unknown:
        raise ValueError(f"no such zone: {', '.join(sorted(unknown))}")
    floor = max(min(_RANK[zone] for zone in zones) for zones in sets)
    return frozenset(zone for zones in sets for zone in zones if _RANK[zone] >= floor)
