"""Driver's texts that say more, or less, than what they rest on.

A text that speaks of what is published, of law or of a chart stands only where a reason that decides rests on such a
text; where that is known by report only, it says so; and one that calls something common practice does not stand above
a published rule. An ending whose reasons differ in standing words its text for each in `tell-driver-by`. For a refusal
its firmest reason counts, for a repair what speaks for it.

driver-text (error): a driver's text that does not agree with the standing of what decides.
Why it is bad: the driver is told that the law bars a tire, and no law does.
PASS:
  endings.yaml: {scrap-hole/tell-driver: The made-up rules of this shop take it off the road.}
FAIL:
  endings.yaml: {scrap-hole/tell-driver: The law takes it off the road.}
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from advisor.model.limits import UNSOURCED, firmness
from advisor.model.problems import Problem
from advisor.model.ruleset import Ending, Method, RuleSet, Ruling, Verdict
from advisor.tools.verify.backtracking import Wish
from advisor.tools.verify.monotonicity import no_verdict
from advisor.tools.verify.workbench import Bench, bench_of

#: What only a published text lets anybody say; "no published figure" says the contrary.
_RULE = re.compile(r"(?<!\bno )\b(?:published|laws?|legal(?:ly)?|unlawful|federal|state rules?|regulations?)\b", re.I)
#: What names a text, however it is known.
_TEXT = re.compile(r"\b(?:charts?|manual|bulletin|standard)\b", re.I)
_BY_REPORT = re.compile(r"\b(?:by|as) report(?:s|ed)\b|\bsummary\b", re.I)
_PRACTICE = re.compile(r"\b(?:common|good) practice\b", re.I)


def check(rules: RuleSet) -> Iterator[Problem]:
    """Driver's texts that say more, or less, than what they rest on."""
    about = rules.about
    for ending in rules.endings.values():
        place = rules.place_of("endings.yaml", ending.id)
        if about.builds_on and not place.file.startswith(f"{about.id}/"):
            continue  # the base's own text, over a figure that a shop made stricter
        standings = _of_repair(ending, rules) if ending.verdict is Verdict.REPAIR else _of_refusal(ending, rules)
        for standing in dict.fromkeys(standings):
            wrong = disagrees(ending.driver_by.get(standing, ending.tell_driver), standing)
            if wrong:
                yield Problem(
                    "driver-text",
                    place,
                    f'the driver\'s text of "{ending.id}", which {wrong}, where what decides is {standing}',
                    "a text that says what it rests on, no more and no less",
                    f'word it otherwise, or give it a text for "{standing}" in tell-driver-by',
                )


def disagrees(text: str, standing: str) -> str:
    """How a driver's text says more or less than its standing, in words; an empty text where it does not."""
    rule, names = _RULE.search(text), _TEXT.search(text)
    if rule and standing == "second-hand" and not _BY_REPORT.search(text):
        return f'says "{rule[0]}" as if it had been read'
    if rule and standing not in ("published", "second-hand"):
        return f'says "{rule[0]}"'
    if names and standing in UNSOURCED:
        return f'says "{names[0]}"'
    practice = _PRACTICE.search(text)
    if practice and not rule and not names and standing in ("published", "second-hand"):
        return f'says "{practice[0]}" and names no text'
    return ""


def _of_refusal(ending: Ending, rules: RuleSet) -> Iterator[str]:
    """The standings of all rulings that bring an ending, for certain or in doubt."""
    for ruling in rules.rulings():
        in_doubt = ruling.in_doubt or rules.about.when_in_doubt
        if ruling.ending and ending.id in (ruling.ending, ruling.doubt_ending, in_doubt):
            yield from rules.standings_of(ruling)


def _of_repair(ending: Ending, rules: RuleSet) -> Iterator[str]:
    """The standings that what speaks for a repair by the methods of this ending can have."""
    allowing = [ruling for ruling in rules.rulings() if ruling.allows]
    for method in rules.methods.values():
        if method.ending == ending.id and method.when is not None:
            bench = bench_of(rules)
            each = ((ruling, standing) for ruling in allowing for standing in rules.standings_of(ruling))
            yield from (standing for ruling, standing in each if _firmest(ruling, standing, method, allowing, bench))


def _firmest(ruling: Ruling, standing: str, method: Method, allowing: list[Ruling], bench: Bench) -> bool:
    """Whether, in some repair by a method, nothing firmer than this ruling with this standing speaks for it."""
    assert method.when is not None
    wishes = [Wish(bench.effects.tests.local(method.when), lambda state: state is True)]
    wishes.append(Wish(bench.effects.of(ruling), lambda brings: brings.holds))
    rank = firmness(standing)
    firmer = (each for each in allowing if max(map(firmness, bench.rules.standings_of(each))) < rank)
    wishes += [Wish(bench.effects.of(other), lambda brings: not brings.holds) for other in firmer]
    return next(bench.found(wishes, {}, no_verdict, bench.certain_order), None) is not None
