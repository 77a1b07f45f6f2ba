"""The verdict table written a second time, as plain comparisons in millimeters, inches, psi and degrees.

It knows nothing of the program: whole cases with exact figures go in, verdict, method and restriction come out.
Figures: association puncture charts (1/4 in and 6 mm, 3/8 in and 10 mm, tread 2/32 in), 49 CFR 393.75 (4/32 in),
29 CFR 1910.177 (80 %), TM 9-2610-200-14 (cuts 2/32 in), RP 226 (3/8 in), shop columns (25 degrees, common practice).
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Any

REPAIR, REFER, HOLD, SCRAP = range(4)
NAMES = ("repair", "refer", "hold", "scrap")
ALWAYS_SCRAP = frozenset({
    "exposed-cord", "separation", "bead-damage", "run-flat-signs", "cord-ripple", "deep-cracking", "fluid-damage",
    "broken-belt", "puncture-plug-only",
})  # fmt: skip
UP_TO_E = frozenset("ABCDE") | {"SL", "XL"}


@dataclass(frozen=True)
class Outcome:
    """What must come out."""

    verdict: str
    not_steer: bool


def _figure(text: str) -> tuple[Fraction, str]:
    number, unit = text.rsplit(" ", 1)
    over, _, under = number.partition("/")
    return Fraction(over) / int(under or 1), unit


def _too_large(size: str, truck: bool) -> bool:
    figure, unit = _figure(size)
    return figure > ({"in": Fraction(3, 8), "mm": 10} if truck else {"in": Fraction(1, 4), "mm": 6})[unit]


def _tread_32nds(depth: str) -> Fraction:
    figure, unit = _figure(depth)
    return figure * 32 if unit == "in" else figure / Fraction(254, 320)


def _worn_out(depth: str) -> bool:
    figure, unit = _figure(depth)
    return figure <= (Fraction(2, 32) if unit == "in" else Fraction(16, 10))


def expected(case: dict[str, Any]) -> Outcome:
    """The verdict of a whole case, and whether the tire must stay off the steer axle."""
    answers = case["answers"]
    light_range = answers["load-range"] in UP_TO_E
    light = answers["tire-class"] == "passenger" or (answers["tire-class"] == "light-truck" and light_range)
    steer = answers["wheel-position"] in ("steer", "cant-tell")
    worst, section = _tire(answers, light), False
    for injury in case["injuries"]:
        verdict, needs_section = _injury(injury, light, truck_limit=not light and not light_range)
        worst, section = max(worst, verdict), section or needs_section
    heavy = answers["vehicle"] in ("truck", "bus")
    barred = steer and heavy and _tread_32nds(answers["tread-depth"]) < 4
    barred |= steer and answers["vehicle"] == "bus" and answers["retread"] != "no"
    barred |= steer and answers["vehicle"] == "truck" and answers["retread"] == "regrooved"
    return Outcome(NAMES[worst], barred or section)


def _tire(answers: dict[str, Any], light: bool) -> int:
    found = set(answers["findings"]) - {"none"}
    verdicts = [REPAIR]
    verdicts += [SCRAP] if found & ALWAYS_SCRAP else []
    verdicts += [HOLD] if "other-damage" in found or answers["sealant"] == "yes" else []
    verdicts += [SCRAP if light else REFER] if "liner-split" in found else []
    if "bulge" in found:
        marked = answers["bulge-mark"] == "yes" and _figure(answers["bulge-height"])[0] <= Fraction(3, 8)
        verdicts += [SCRAP] if light else [] if marked else [HOLD]
    verdicts += [SCRAP if light else REFER] if _worn_out(answers["tread-depth"]) else []
    verdicts += [REFER] if answers["self-supporting"] == "yes" or answers["construction"] == "bias" else []
    verdicts += [REFER] if answers["vehicle"] == "other" else []
    verdicts += [HOLD] if answers["demounted"] == "no" else []
    verdicts += [SCRAP] if any(repair["sound"] == "no" for repair in answers["earlier-repairs"]) else []
    return max(verdicts)


def _injury(injury: dict[str, Any], light: bool, truck_limit: bool) -> tuple[int, bool]:
    signs = set(injury["inside-signs"]) - {"none"}
    verdicts, section = [REPAIR], False
    if "separation" in signs:
        verdicts.append(SCRAP)
    if light and signs & {"loose-cord", "rust"}:
        verdicts.append(HOLD)
    beyond = signs & ({"liner-split"} if light else {"liner-split", "loose-cord", "rust"})
    beyond = beyond or injury["injury-depth"] == "reaches-cord"
    if injury["injury-depth"] == "through":
        beyond = beyond or injury["injury-zone"] != "crown" or _too_large(injury["injury-size"], truck_limit)
    if beyond:
        bared = injury["injury-depth"] != "rubber-only" and injury["injury-zone"] == "bead"
        verdicts.append(SCRAP if light or bared else REFER)
        section = not light
    if injury["injury-depth"] == "rubber-only" and injury["injury-zone"] in ("sidewall", "bead"):
        depth = _figure(injury["cut-depth"])[0] * 32
        sidewall = injury["injury-zone"] == "sidewall"
        if depth > 2 or (depth == 2 and sidewall):
            verdicts.append(REFER if sidewall and not light else SCRAP)
            section = section or (sidewall and not light)
    return max(verdicts), section


def method_of(case: dict[str, Any]) -> str:
    """The method of a case that is to be repaired: the most that any of its injuries needs."""
    through = [injury for injury in case["injuries"] if injury["injury-depth"] == "through"]
    if not through:
        return "spot-repair"
    slanting = any(_figure(injury["injury-angle"])[0] > 25 for injury in through)
    return "two-piece" if slanting else "one-piece"
