"""The verdict table written a second time, as plain comparisons.

Its figures stand in tests/tables/published_figures.csv. It knows nothing of the program: whole cases with exact figures
go in, verdict, method and restriction come out.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

TABLE = Path(__file__).parents[1] / "tables" / "published_figures.csv"

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


with TABLE.open(encoding="utf-8", newline="") as _file:
    FIGURES = {row["figure"]: row for row in csv.DictReader(_file)}


def printed(name: str) -> list[str]:
    """A figure as it is printed, in each of its units."""
    return [text for column in ("inch", "metric", "other") if (text := FIGURES[name][column])]


def fails(name: str, reading: str) -> bool:
    """Whether a reading is on the wrong side of a printed figure: the one in its own unit, else inches."""
    row, (figure, unit) = FIGURES[name], _figure(reading)
    texts = printed(name)
    text = next((each for each in texts if each.endswith(f" {unit}")), texts[0])
    limit, printed_in = _figure(text)
    if (unit, printed_in) == ("mm", "in"):
        figure /= Fraction(254, 10)
    return (row["itself"] == "fails" and figure == limit) or (
        figure > limit if row["worse"] == "above" else figure < limit
    )


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
    barred = steer and heavy and fails("tread-steer", answers["tread-depth"])
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
        marked = answers["bulge-mark"] == "yes" and not fails("marked-bulge", answers["bulge-height"])
        verdicts += [SCRAP] if light else [] if marked else [HOLD]
    verdicts += [SCRAP if light else REFER] if fails("tread-floor", answers["tread-depth"]) else []
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
        hole = "hole-truck" if truck_limit else "hole-light"
        beyond = beyond or injury["injury-zone"] != "crown" or fails(hole, injury["injury-size"])
    if beyond:
        bared = injury["injury-depth"] != "rubber-only" and injury["injury-zone"] == "bead"
        verdicts.append(SCRAP if light or bared else REFER)
        section = not light
    if injury["injury-depth"] == "rubber-only" and injury["injury-zone"] in ("sidewall", "bead"):
        sidewall = injury["injury-zone"] == "sidewall"
        if fails("sidewall-cut" if sidewall else "bead-cut", injury["cut-depth"]):
            verdicts.append(REFER if sidewall and not light else SCRAP)
            section = section or (sidewall and not light)
    return max(verdicts), section


def method_of(case: dict[str, Any]) -> str:
    """The method of a case that is to be repaired: the most that any of its injuries needs."""
    through = [injury for injury in case["injuries"] if injury["injury-depth"] == "through"]
    if not through:
        return "spot-repair"
    slanting = any(fails("one-piece-angle", injury["injury-angle"]) for injury in through)
    return "two-piece" if slanting else "one-piece"
