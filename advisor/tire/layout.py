"""The liner unrolled: repair units laid on a strip that closes on itself, and how far apart they are.

The strip is a cylinder of the overall diameter less twice the casing thickness. Along it counts clockwise
from the valve, across it counts from the tread's center line, + towards the serial side. All lengths come
out in mm. The distance is signed: 0 where two touch, below 0 where they overlap, by the shortest move that
parts them.
Source: geometry of the cylinder; interval arithmetic as in `spans`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from advisor.errors import Misread
from advisor.quick import dataclass, kept
from advisor.tire.clock import FULL_TURN_DEG
from advisor.tire.flat import Flat, apart
from advisor.tire.spans import GRID, minus, not_below_zero, outward, plus, times
from advisor.units import Measure, between, exactly, in_words

NO_TURN = exactly(0, "deg")
#: A rectangle turned by half a turn more lies as before.
ANY_TURN = between(0, FULL_TURN_DEG // 2, "deg")
NO_SHIFT = exactly(0, "mm")


@dataclass(frozen=True, slots=True)
class Patch:
    """A unit on the liner, by its centre.

    `along_mm` clockwise from the valve, `across` from the center line, `length` along and `width` across
    before it was turned by `turn_deg` (from clockwise towards the serial side). Where `clock` is known too,
    distances are worked out from it and `shift`, so that doubt about the circumference counts only once.
    """

    along_mm: Measure
    across: Measure
    length: Measure
    width: Measure
    turn_deg: Measure = NO_TURN
    clock: Measure | None = None
    shift: Measure = NO_SHIFT


@kept
def circumference(overall_diameter: Measure, casing_thickness: Measure | None = None) -> Measure:
    """The liner's length once round, in mm: pi x (D - 2t), or pi x D where the thickness t is not known.

    Raises Misread for a diameter of 0 or less, a negative thickness, or a casing as thick as the tire.
    """
    inner = not_below_zero("overall diameter", overall_diameter, zero_too=False).to("mm")
    if casing_thickness is not None:
        inner = minus(inner, times(not_below_zero("casing thickness", casing_thickness).to("mm"), 2))
    if inner.low <= 0:
        expected = f"less than half the overall diameter, {in_words(overall_diameter)}"
        raise Misread(f"casing thickness {casing_thickness}", expected, "measure the casing again")
    return outward(float(inner.low) * math.pi, float(inner.high) * math.pi, "mm", inner.exact)


@kept
def place_on_liner(
    clock: Measure,
    across: Measure,
    length: Measure,
    width: Measure,
    circumference: Measure,
    turn: Measure = NO_TURN,
    shift: Measure = NO_SHIFT,
) -> Patch:
    """A unit at a clock position, `shift` further clockwise along the liner.

    Raises Misread for a negative size, and for a unit longer than the liner is round.
    """
    room = circumference.to("mm")
    long, wide = not_below_zero("unit length", length).to("mm"), not_below_zero("unit width", width).to("mm")
    if long.low > room.high:
        expected = f"at most once round the liner, {in_words(room)}"
        raise Misread(f"unit length {in_words(length)}", expected, "measure the unit again, along the tread")
    turned = clock.to("deg")
    start, end = turned.low * room.low / FULL_TURN_DEG, turned.high * room.high / FULL_TURN_DEG
    along = plus(Measure(start, end, "mm"), shift)
    return Patch(along, across.to("mm"), long, wide, turn.to("deg"), turned, shift.to("mm"))


def gap(first: Patch, second: Patch, circumference: Measure) -> Measure:
    """Edge to edge along the liner in mm, the shorter way round; 0 or less where they touch or overlap."""
    here, there, round_mm = _flat(first), _flat(second), _ends(circumference)
    low, high = apart(here, there, round_mm)
    return outward(low, high, "mm", here.exact and there.exact and round_mm[0] == round_mm[1])


def nearest(new: Sequence[Patch], old: Sequence[Patch], circumference: Measure) -> list[tuple[int, int, Measure]]:
    """Every pair with a new unit in it as (i, j, gap), the nearest first.

    i and j count through the new units and on through the old ones; i < j, and i is always a new one.
    """
    flats = [_flat(patch) for patch in (*new, *old)]
    round_mm = _ends(circumference)
    plain = round_mm[0] == round_mm[1]
    rows = []
    for i, first in enumerate(flats[: len(new)]):
        for j in range(i + 1, len(flats)):
            low, high = apart(first, flats[j], round_mm)
            rows.append((round(low * GRID), round(high * GRID), i, j, low, high))
    rows.sort()
    return [
        (i, j, outward(low, high, "mm", plain and flats[i].exact and flats[j].exact)) for _, _, i, j, low, high in rows
    ]


def _ends(measure: Measure) -> tuple[float, float]:
    in_mm = measure.to("mm")
    if in_mm.low <= 0:
        raise Misread(f"once round {in_words(measure)}", "more than 0", "measure the tire's size again")
    return float(in_mm.low), float(in_mm.high)


def _flat(patch: Patch) -> Flat:
    parts = [patch.across.to("mm"), patch.length.to("mm"), patch.width.to("mm"), patch.turn_deg.to("deg")]
    clock, moved = patch.clock, patch.shift
    if clock is None:
        moved = patch.along_mm
    parts.append(moved.to("mm"))
    exact = all(part.exact for part in parts) and (clock is None or clock.exact)
    across, length, width, turn, shift = ((float(part.low), float(part.high)) for part in parts)
    degrees = None if clock is None else (float(clock.low), float(clock.high))
    along = (float(patch.along_mm.to("mm").low), float(patch.along_mm.to("mm").high))
    return Flat(degrees, shift, along, across, length, width, turn, exact)
