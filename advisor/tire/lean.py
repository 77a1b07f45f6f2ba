"""Which way the inner end lies from the outer: towards shoulder or centre, along the tread, or a clock direction.

A clock direction stands as degrees: 12:00 is towards the serial side, 3:00 on round the tire as the clock runs,
6:00 away from the serial side, 9:00 back. That is how the unrolled tread is drawn.
"""

from __future__ import annotations

import math
from typing import Literal

from advisor.tire.spans import outward
from advisor.units import Measure

Lean = Literal["toward-shoulder", "toward-centre", "along-tread"]
#: None: not known.
Direction = Lean | Measure | None

Span = tuple[float, float]


def share_across(direction: Measure) -> Span:
    """The least and the greatest share of a run that goes across, + towards the serial side: the cosine."""
    return _cosine(float(direction.to("deg").low), float(direction.to("deg").high))


def share_along(direction: Measure) -> Span:
    """The least and the greatest share of a run that goes along, + clockwise: the sine."""
    turned = direction.to("deg")
    return _cosine(float(turned.low) - 90, float(turned.high) - 90)


def part_of(run: Measure, share: Span, exact: bool) -> Measure:
    """The part of a run, 0 or more, that goes one way; `exact` where the direction is in no doubt."""
    ends = [float(end) * part for end in (run.low, run.high) for part in share]
    return outward(min(ends), max(ends), run.unit, exact and run.exact)


def square(share: Span) -> Span:
    """The least and the greatest square of a share."""
    low, high = sorted((share[0] ** 2, share[1] ** 2))
    return (0.0 if share[0] < 0 < share[1] else low), high


def _cosine(low: float, high: float) -> Span:
    """The range of the cosine over a range of degrees."""
    ends = _cos(low), _cos(high)
    least = -1.0 if math.floor((high - 180) / 360) * 360 + 180 >= low else min(ends)
    most = 1.0 if math.floor(high / 360) * 360 >= low else max(ends)
    return least, most


def _cos(degrees: float) -> float:
    """The cosine; quarter turns come out exact."""
    quarter = degrees / 90
    return (1.0, 0.0, -1.0, 0.0)[int(quarter) % 4] if quarter.is_integer() else math.cos(math.radians(degrees))
