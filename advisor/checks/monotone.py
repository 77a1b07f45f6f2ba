"""Worse damage never looks better: of two cases that differ in one answer, the one with the worse answer never has a
better verdict, a lesser method or fewer restrictions. Which answers are worse is said by the questions themselves
(`worse`, `worse-order`). An outcome that only doubt brings may give way to one that is certain. Every step from one
region to the next worse one is held against every ruling that it can touch; a step that fails is shown as two cases,
one after the other."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.checks.compared import Slip, behind, certain_verdict, first_slip, no_verdict, shifted, slips
from advisor.checks.proof import Bench, Proof, bench_of
from advisor.checks.search import Wish
from advisor.checks.smallest import smallest
from advisor.checks.worse import Pair, assumed_pairs, pairs
from advisor.engine.judgement import Judgement
from advisor.errors import Problem
from advisor.model.rules import RuleSet, Verdict


def check(rules: RuleSet) -> Iterator[Problem]:
    """Questions and values of which a worse answer can bring a better outcome."""
    bench = bench_of(rules)
    harmless: set[object] = set()
    ordered = [question for question in rules.questions.values() if question.worse or question.worse_order]
    lots = [pairs(question, bench.space, doubt=False) for question in ordered]
    for lot in (*lots, assumed_pairs(bench.space, doubt=False)):
        slip = next((slip for pair in lot for slip in _slips(pair, bench, harmless)), None)
        if slip is not None:
            yield _problem(slip, bench)


def _slips(pair: Pair, bench: Bench, harmless: set[object]) -> Iterator[Slip]:
    def better(before: Judgement, after: Judgement) -> bool:
        return is_better(before, after, bench.rules)

    yield from slips(pair, bench, _as_it_was, better, harmless)
    yield from _lesser_method(pair, bench)


def _as_it_was(verdict: Verdict) -> Verdict:
    return verdict


def is_better(before: Judgement, after: Judgement, rules: RuleSet) -> bool:
    """Whether the second judgement is better than the first where it may not be.

    A restriction that holds for certain may be lost only where the tire does not go back to service as it is.
    """
    if after.verdict < certain_verdict(before):
        return True
    held = {reason.restriction for reason in before.reasons if reason.restriction and not reason.doubt}
    if after.verdict <= Verdict.REFER and not held <= set(after.restrictions):
        return True
    both_repair = before.verdict is Verdict.REPAIR and after.verdict is Verdict.REPAIR
    return both_repair and _rank(after, rules) < _rank(before, rules)


def _rank(judgement: Judgement, rules: RuleSet) -> int:
    return rules.methods[judgement.method].rank if judgement.method else -1


def _lesser_method(pair: Pair, bench: Bench) -> Iterator[Slip]:
    """Steps that lead to a less demanding method."""
    kinds = bench.effects.tests.kinds(bench.effects.methods).get(pair.group)
    if kinds is None or kinds[pair.places[0]] == kinds[pair.places[1]]:
        return
    for number in range(1, len(bench.effects.methods)):
        for lesser in range(number):
            wishes = list(_changes(pair, bench, number, lesser))
            slip = first_slip(wishes, pair, bench, no_verdict, lambda one, two: is_better(one, two, bench.rules))
            if slip is not None:
                yield slip
                return


def _changes(pair: Pair, bench: Bench, number: int, lesser: int) -> Iterator[Wish]:
    """That one method is chosen before, and a lesser one may be after."""
    tests, methods = bench.effects.tests, bench.effects.methods
    first, second = pair.places
    yield from (Wish(shifted(part, pair.group, first), _is_true) for part in tests.all_of(methods[number]))
    yield from (Wish(shifted(part, pair.group, second), _is_true) for part in tests.all_of(methods[lesser]))
    for when in methods[:number]:
        yield Wish(shifted(tests.local(when), pair.group, first), lambda state: state is not True)


def _is_true(state: object) -> bool:
    return state is True


def _problem(slip: Slip, bench: Bench) -> Proof:
    name, place = bench.named(slip.pair.about)
    cases = smallest(slip.cases, bench, lambda one, two: is_better(one, two, bench.rules))
    judged = [bench.judged(case) for case in cases]
    said = [_said(judgement) for judgement in judged]
    return Proof(
        "worse-looks-better",
        place,
        f"worse damage with a better outcome: {name}" + (f", from {said[0]} to {said[1]}" if cases else ""),
        "the same or worse",
        "look at the rulings that hold in the first case and not in the second",
        see=behind(judged[0], judged[1], bench.rules) if judged else (),
        case=bench.text(*cases),
    )


def _said(judgement: Judgement) -> str:
    return ", ".join([str(judgement.verdict), *(each for each in (judgement.method, *judgement.restrictions) if each)])
