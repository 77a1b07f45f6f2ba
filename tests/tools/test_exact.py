"""The checks of meaning are exact: on small random rule sets they find just what trying every case finds."""

from __future__ import annotations

from collections.abc import Callable
from random import Random

import pytest

from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.model.case import CANT_TELL, Answer, Case, Choice
from advisor.model.quantity import Measure
from advisor.model.ruleset import RuleSet, Verdict
from advisor.tools.verify import completeness, dead_rules, monotonicity, uncertainty
from tests.tools.small_rules import COLOURS, every_case, small_rules

SEEDS = range(40)
Judged = dict[tuple[Answer, Answer, Answer], Judgement]


def all_judged(rules: RuleSet) -> Judged:
    judge = Judge(rules)
    return {_key(case): judge.judge(case) for case in every_case()}


def _key(case: Case) -> tuple[Answer, Answer, Answer]:
    return case.answers["shade"], case.answers["make"], case.injuries[0]["size"]


def certain(judgement: Judgement) -> Verdict:
    """The worst verdict that something brings for certain; what only doubt brings may give way."""
    return max((r.verdict for r in judgement.reasons if r.verdict and not r.doubt), default=Verdict.REPAIR)


def better(first: Judgement, second: Judgement, rules: RuleSet, most: Verdict = Verdict.SCRAP) -> bool:
    if second.verdict < min(most, certain(first)):
        return True
    held = {name for reason in first.reasons if not reason.doubt for name in reason.restrictions}
    if second.verdict in (Verdict.REPAIR, Verdict.REFER) and held - set(second.restrictions):
        return True
    ranks = [rules.methods[each.method].rank if each.method else -1 for each in (first, second)]
    return first.verdict == second.verdict == Verdict.REPAIR and ranks[1] < ranks[0]


def gap(rules: RuleSet, judged: Judged) -> bool:
    """Whether some case with certain answers is decided by no ruling and fits no method."""
    return any(
        not any(reason.ending for reason in judgement.reasons) and not judgement.method
        for key, judgement in judged.items()
        if all(answer is not CANT_TELL and not (isinstance(answer, Measure) and not answer.exact) for answer in key)
    )


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
    found = {problem.found.split(": ")[1].split(",")[0] for problem in monotonicity.check(rules)}
    assert found <= expected
    if not gap(rules, judged):  # where no ruling and no method speaks for a case, hold stands between the two
        assert found == expected


@pytest.mark.parametrize("seed", SEEDS)
def test_doubt(seed: int) -> None:
    rules = small_rules(Random(seed))
    judged = all_judged(rules)
    expected = {
        name
        for name in ("shade", "make", "size")
        if any(better(first, second, rules, Verdict.HOLD) for first, second in pairs_of(name, judged, in_doubt))
    }
    found = {problem.found.split()[2] for problem in uncertainty.check(rules)}
    assert found <= expected
    if not gap(rules, judged):  # where no ruling and no method speaks for a case, hold stands between the two
        assert found == expected


@pytest.mark.parametrize("seed", SEEDS)
def test_rulings_hold(seed: int) -> None:
    rules = small_rules(Random(seed))
    held = {r.ruling for judgement in all_judged(rules).values() for r in judgement.reasons if not r.doubt}
    expected = {ruling.id for ruling in rules.rulings()} - held
    assert {problem.found.split('"')[1] for problem in dead_rules.check(rules)} == expected


@pytest.mark.parametrize("seed", SEEDS)
def test_no_case_without_an_ending(seed: int) -> None:
    rules = small_rules(Random(seed))
    assert bool(list(completeness.check(rules))) == gap(rules, all_judged(rules))
