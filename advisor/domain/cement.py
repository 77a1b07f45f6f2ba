"""How long cement dries: the base range, and in cold or damp air its upper end as the least. Nothing is made up.

No factor is published for how drying grows; what is known is only that it takes longer, so the range opens upwards.
"""

from __future__ import annotations

from msgspec import Struct

from advisor.model.quantity import Measure, in_words


class Drying(Struct, frozen=True):
    """The least time in minutes; `most` is None where only "longer" is known. `because` names what makes it longer."""

    least: Measure
    most: Measure | None
    because: tuple[str, ...]


def drying(
    base: Measure, air: Measure | None, damp: Measure | None, cold_below: Measure, damp_above: Measure
) -> Drying:
    """The drying range in this air; `air` and `damp` (temperature, relative humidity) may be unknown.

    `base` is a range in minutes for good air. A reading in doubt counts with its worse end.
    """
    because = []
    if air is not None and air.to("C").low < cold_below.to("C").low:
        because.append(f"the air is cold ({in_words(air)})")
    if damp is not None and damp.to("%").high > damp_above.to("%").high:
        because.append(f"the air is damp ({in_words(damp)})")
    low, high = (Measure(end, end, base.unit) for end in (base.low, base.high))
    return Drying(high, None, tuple(because)) if because else Drying(low, high, ())


def drying_in_words(found: Drying, air_known: bool) -> str:
    """The drying time for people: `3 to 5 min`, or `5 min at the least, and longer, as the air is cold (8 °C)`."""
    if found.because:
        return f"{in_words(found.least)} at the least, and longer, as {' and '.join(found.because)}"
    most = found.most or found.least
    base = in_words(Measure(found.least.low, most.high, found.least.unit))
    return base if air_known else f"{base}, longer when cold or damp"
