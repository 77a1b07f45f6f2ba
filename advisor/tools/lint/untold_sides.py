"""Texts that do not say which side they take.

Cautions, endings and restrictions say in `speaks` which side they take on a topic (air, repair, road); every ending
takes one on all of them, a caution on those that its words touch. `sides.py` holds them together by that.

no-side (error): a text that speaks of air, of repairing or of road use and does not say for which side.
Why it is bad: nothing can tell whether it contradicts what stands beside it.
PASS:
  endings.yaml: {scrap-hole/speaks: {air: against, repair: against, road: neither}}
FAIL:
  endings.yaml: {scrap-hole/speaks: {air: against, repair: against}}
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from advisor.model.problems import Problem
from advisor.model.ruleset import Caution, Ending, RuleSet

#: Words by which a text touches a topic, and so has to say its side.
TOUCHES = {
    "air": re.compile(
        r"\binflat\w+|\brefill|\btop(?:ped)? (?:it )?up\b"
        r"|\b(?:tak|giv|put)\w* (?:it |the tire |the tyre )?(?:no |some |more |only )*air\b",
        re.I,
    ),
    "repair": re.compile(r"\b(?:be|is|not) repair(?:ed)?\b|\bretreaded\b", re.I),
}
#: The topics that every ending takes a side on.
OF_ENDINGS = ("air", "repair", "road")


def check(rules: RuleSet) -> Iterator[Problem]:
    """Cautions and endings without a side."""
    for caution in rules.cautions.values():
        wanted = {topic for topic, words in TOUCHES.items() if words.search(caution.says)}
        wanted |= {"road"} if caution.hazard == "road use" else set()
        yield from _without(wanted, caution, "caution", rules)
    for ending in rules.endings.values():
        yield from _without(set(OF_ENDINGS), ending, "ending", rules)


def _without(wanted: set[str], entry: Caution | Ending, kind: str, rules: RuleSet) -> Iterator[Problem]:
    for topic in sorted(wanted - entry.speaks.keys()):
        yield Problem(
            "no-side",
            rules.place_of(f"{kind}s.yaml", entry.id),
            f'the {kind} "{entry.id}", which does not say its side on "{topic}"',
            "for, against or neither",
            f"say it: speaks: {{{topic}: …}}",
        )
