"""The pressures in a sidewall's print: the one that goes with the largest load, for a single tire and in a pair.

Source: 49 CFR 571.119 S6.5(d), which has the load marked with its pressure, "single" and "dual" apart (from memory).
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache

from advisor.quick import dataclass
from advisor.tire.sidewall_text import even
from advisor.units import Measure

_UNITS = {"PSI": "psi", "KPA": "kPa", "BAR": "bar"}
_FIGURE = re.compile(r"(?P<figure>(?<![0-9.])[0-9]{1,4}(?:\.[0-9])?) ?(?P<unit>PSI|KPA|BAR)(?![A-Z])", re.ASCII)
_PLACE = re.compile(r"(?<![A-Z])(?:SINGLE|DUAL)(?![A-Z])")


@dataclass(frozen=True, slots=True)
class PrintedPressures:
    """The pressures printed for a single tire, in a dual pair, and without saying which; each in every unit given."""

    single: tuple[Measure, ...] = ()
    dual: tuple[Measure, ...] = ()
    either: tuple[Measure, ...] = ()

    def least(self, paired: bool, unit: str) -> Measure | None:
        """The lowest figure that may count, in this unit where it is printed in it; None where nothing is printed.

        `paired`: the tire may be one of a pair, so that either figure may count.
        """
        found = (*self.single, *self.either, *(self.dual if paired else ()))
        if not found:
            return None
        own = [figure for figure in found if figure.unit == unit]
        return min(own or found, key=lambda figure: figure.to("kPa").low)


@lru_cache(maxsize=256)
def printed_pressures(text: str) -> PrintedPressures:
    """Every pressure in a print, by the word before it. Raises nothing on any text.

    >>> printed_pressures("MAX LOAD SINGLE 3150 KG AT 900 KPA (130 PSI) COLD").least(False, "psi")
    Measure(low=Fraction(130, 1), high=Fraction(130, 1), unit='psi', typed='')
    """
    plain = even(text)
    places = [(match.end(), match[0].lower()) for match in _PLACE.finditer(plain)]
    found: dict[str, list[Measure]] = {"single": [], "dual": [], "either": []}
    for match in _FIGURE.finditer(plain):
        before = [place for end, place in places if end <= match.start()]
        figure = Fraction(match["figure"])
        if figure > 0:
            found[before[-1] if before else "either"].append(Measure(figure, figure, _UNITS[match["unit"]]))
    return PrintedPressures(*(tuple(figures) for figures in found.values()))
