"""The checks of meaning are exact: on small random rule sets they find just what trying every case finds."""

from __future__ import annotations

from collections.abc import Callable
from random import Random

import pytest
from small_rules import COLOURS, every_case, small_rules

from advisor.checks import doubt, endings_reached, fires, monotone
from advisor.engine.judge import Judge
from advisor.engine.judgement import Judgement
from advisor.model.case import CANT_TELL, Answer, Case, Choice
from advisor.model.rules import RuleSet, Verdict
from advisor.units import Measure

SEEDS = range(40)
Judged = dict[tuple[Answer, Answer, Answer], Judgement]


def all_judged(rules: RuleSet) -> Judged:
    judge = Judge(rules)
    return {_key(case): judge.judge(case) for case in every_case()}


def _key(case: Case) -> tuple[Answer, Answer, Answer]:
    return case.answers["shade"], case.answers["make"], case.injuries[0]["size"]


def certain(judgement: Judgement) -> bool:
    """Whether something that holds for certain brings the verdict; what only doubt brings may give way."""
    own = [reason for reason in judgement.reasons if reason.verdict == judgement.verdict]
    return judgement.verdict is Verdict.REPAIR or any(not reason.doubt for reason in own)


def better(first: Judgement, second: Judgement, rules: RuleSet) -> bool:
    if first.verdict != second.verdict:
        return second.verdict < first.verdict and certain(first)
    held = {reason.restriction for reason in first.reasons if reason.restriction and not reason.doubt}
    if not held <= set(second.restrictions):
        return second.verdict is not Verdict.SCRAP
    ranks = [rules.methods[each.method].rank if each.method else -1 for each in (first, second)]
    return second.verdict is Verdict.REPAIR and ranks[1] < ranks[0]


def pairs_of(name: str, judged: Judged, next_to: Callable[[Answer, Answer], bool]) -> list[tuple[Judgement, Judgement]]:
    place = ("shade", "make", "size").index(name)
    found = []
    for key, first in judged.items():
        for other, second in judged.items():
            if all(key[n] == other[n] for n in range(3) if n != place) and next_to(key[place], other[place]):
                found.append((first, second))
    return found


def worse(first: Answer, second: Answer) -> bool:
    if isinstance(first, Choice) and isinstance(second, Choice):
        return COLOURS.index(second.id) > COLOURS.index(first.id)
    both = isinstance(first, Measure) and isinstance(second, Measure)
    return both and first.exact and second.exact and first.high < second.low


def in_doubt(known: Answer, doubtful: Answer) -> bool:
    if doubtful is CANT_TELL:
        return known is not CANT_TELL and (not isinstance(known, Measure) or known.exact)
    both = isinstance(known, Measure) and isinstance(doubtful, Measure)
    return both and known.exact and not doubtful.exact and doubtful.low <= known.low <= doubtful.high


@pytest.mark.parametrize("seed", SEEDS)
def test_worse_damage(seed: int) -> None:
    rules = small_rules(Random(seed))
    judged = all_judged(rules)
    expected = {
        name
        for name in ("shade", "size")
        if any(better(first, second, rules) for first, second in pairs_of(name, judged, worse))
    }
    assert {
        problem.place.file and problem.found.split(": ")[1].split(",")[0] for problem in monotone.check(rules)
    } == expected


@pytest.mark.parametrize("seed", SEEDS)
def test_doubt(seed: int) -> None:
    rules = small_rules(Random(seed))
    judged = all_judged(rules)
    expected = {
        name
        for name in ("shade", "make", "size")
        if any(
            second.verdict < min(Verdict.HOLD, first.verdict) and certain(first)
            for first, second in pairs_of(name, judged, in_doubt)
        )
    }
    assert {problem.found.split()[2] for problem in doubt.check(rules)} == expected


@pytest.mark.parametrize("seed", SEEDS)
def test_rulings_hold(seed: int) -> None:
    rules = small_rules(Random(seed))
    held = {r.ruling for judgement in all_judged(rules).values() for r in judgement.reasons if not r.doubt}
    expected = {ruling.id for ruling in rules.rulings()} - held
    assert {problem.found.split('"')[1] for problem in fires.check(rules)} == expected


@pytest.mark.parametrize("seed", SEEDS)
def test_no_case_without_an_ending(seed: int) -> None:
    rules = small_rules(Random(seed))
    gap = any(
        not any(reason.ending for reason in judgement.reasons) and not judgement.method
        for key, judgement in all_judged(rules).items()
        if all(answer is not CANT_TELL and not (isinstance(answer, Measure) and not answer.exact) for answer in key)
    )
    assert bool(list(endings_reached.check(rules))) == gap
