"""Energy in words that mean something: how far a mass would have to fall to bring as much."""

from __future__ import annotations

from advisor.errors import Misread
from advisor.quick import kept
from advisor.tire.spans import outward
from advisor.units import Measure, in_words

#: Standard acceleration of free fall in m/s2 (3rd General Conference on Weights and Measures, 1901).
STANDARD_GRAVITY = 9.80665


@kept
def fall_height(energy: Measure, mass: Measure) -> Measure:
    """The height in m from which a mass falls with this energy: h = E / (m g), no air resistance.

    Raises Misread for a mass of 0 or less.
    """
    weight = mass.to("kg")
    if weight.low <= 0:
        raise Misread(f"a mass of {in_words(weight)}", "more than 0", "correct it")
    force = [float(end) * STANDARD_GRAVITY for end in (weight.high, weight.low)]
    joule = [float(end) * 1000 for end in (energy.to("kJ").low, energy.to("kJ").high)]
    return outward(joule[0] / force[0], joule[1] / force[1], "m", energy.exact and mass.exact)
