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
    """How long cement dries in this air: the base range, or where cold or damp its upper end as the least.

    Parameters
    ----------
    base : duration, a range for good air
    air : temperature of the air, or None where it was not measured
    damp : relative humidity in %, or None where it was not measured
    cold_below : temperature; air below it is cold, air at it is not
    damp_above : relative humidity in %; air above it is damp, air at it is not

    Returns
    -------
    least and most in the base's unit; most is None, and reasons are given, where the air is cold or damp. A reading in
    doubt counts with its worse end: the coldest, the dampest. Air that was not measured brings no reason

    Notes
    -----
    No factor is published for how drying grows in cold or damp air, so none is used. All figures are arguments; those
    of `trees/us-road` are common practice (the base) and from memory (20 °C and 65 %, a standard air for testing).

    Examples
    --------
    >>> found = drying(between(3, 5, "min"), exactly(8, "C"), None, exactly(20, "C"), exactly(65, "%"))
    >>> str(found.least), found.most, found.because
    ('5 min', None, ('the air is cold (8 °C)',))
    >>> found = drying(between(3, 5, "min"), exactly(20, "C"), exactly(65, "%"), exactly(20, "C"), exactly(65, "%"))
    >>> str(found.least), str(found.most), found.because
    ('3 min', '5 min', ())
    """
    because = []
    if air is not None and air.to("C").low < cold_below.to("C").low:
        because.append(f"the air is cold ({in_words(air)})")
    if damp is not None and damp.to("%").high > damp_above.to("%").high:
        because.append(f"the air is damp ({in_words(damp)})")
    low, high = (Measure(end, end, base.unit) for end in (base.low, base.high))
    return Drying(high, None, tuple(because)) if because else Drying(low, high, ())


def drying_in_words(found: Drying, air_known: bool) -> str:
    """The drying time for people.

    Parameters
    ----------
    found : what `drying` gave
    air_known : whether temperature and humidity were both measured; if not, the words say what would make it longer

    Returns
    -------
    a text without a full stop

    Examples
    --------
    >>> cold = Drying(exactly(5, "min"), None, ("the air is cold (8 °C)",))
    >>> drying_in_words(cold, True)
    '5 min at the least, and longer, as the air is cold (8 °C)'
    >>> drying_in_words(Drying(exactly(3, "min"), exactly(5, "min"), ()), False)
    '3 to 5 min, longer when cold or damp'
    """
    if found.because:
        return f"{in_words(found.least)} at the least, and longer, as {' and '.join(found.because)}"
    most = found.most or found.least
    base = in_words(Measure(found.least.low, most.high, found.least.unit))
    return base if air_known else f"{base}, longer when cold or damp"
