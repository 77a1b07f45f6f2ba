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
    """How far in from the tread's edge: half the tread width less the offset's size.

    0 or less at or beyond the edge; in the unit in which the offset is compared.
    Raises Misread for a tread width of 0 or less.
    """
    here = bare(offset)
    half = times(not_below_zero("tread width", tread_width, zero_too=False), Fraction(1, 2))
    return minus(half.to(here.unit), size_of(here))


def zones_at(offset: Measure, tread_width: Measure, crown_margin: Figures) -> Zones:
    """Every zone that an end at `offset` may lie in.

    In from the edge by the margin or more: crown. Less than the margin, more than 0: shoulder. At or beyond
    the edge: sidewall. Where the margin is published in several units, the one in the offset's own counts.
    Raises Misread for a tread width of 0 or less.
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

    One zone is taken from each set in every possible way, and the worst of them counts.
    Raises ValueError for no set, an empty set or a zone not in `ORDER`.
    """
    if not sets or not all(sets):
        raise ValueError("every end needs at least one possible zone")
    unknown = frozenset().union(*sets) - _RANK.keys()
    if unknown:
        raise ValueError(f"no such zone: {', '.join(sorted(unknown))}")
    floor = max(min(_RANK[zone] for zone in zones) for zones in sets)
    return frozenset(zone for zones in sets for zone in zones if _RANK[zone] >= floor)
