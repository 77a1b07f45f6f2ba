"""Worse damage never looks better: of two cases that differ in one answer, the one with the worse answer never has a
better verdict, a lesser method or fewer restrictions. Which answers are worse is said by the questions themselves
(`worse`, `worse-order`). An outcome that only doubt brings may give way to one that is certain. Every step from one
region to the next worse one is held against every ruling that it can touch; a step that fails is shown as two cases,
one after the other."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from advisor.checks.compared import Slip, certain, judged_both, slips
from advisor.checks.proof import Bench, Proof, bench_of
from advisor.checks.worse import Pair, pairs
from advisor.engine.conditions import compiled
from advisor.engine.judgement import Judgement
from advisor.errors import Problem
from advisor.model.rules import Question, RuleSet, Verdict, leaves


def check(rules: RuleSet) -> Iterator[Problem]:
    """Questions whose worse answer can bring a better outcome."""
    bench = bench_of(rules)
    for question in rules.questions.values():
        if question.worse or question.worse_order:
            slip = next(_slips(question, bench), None)
            if slip is not None:
                yield _problem(question, slip, bench)


def _slips(question: Question, bench: Bench) -> Iterator[Slip]:
    def better(before: Judgement, after: Judgement) -> bool:
        return _is_better(before, after, bench)

    for pair in pairs(question, bench, doubt=False):
        yield from slips(pair, bench, _as_it_was, better)
        yield from _lesser_method(pair, bench)


def _as_it_was(verdict: Verdict) -> Verdict:
    return verdict


def _is_better(before: Judgement, after: Judgement, bench: Bench) -> bool:
    if after.verdict != before.verdict:
        return after.verdict < before.verdict and certain(before)
    if not {reason.restriction for reason in before.reasons if not reason.doubt} - {"", *after.restrictions}:
        before = replace(before, restrictions=after.restrictions)
    if not set(before.restrictions) <= set(after.restrictions):
        return after.verdict is not Verdict.SCRAP
    return after.verdict is Verdict.REPAIR and _rank(after, bench) < _rank(before, bench)


def _rank(judgement: Judgement, bench: Bench) -> int:
    return bench.rules.methods[judgement.method].rank if judgement.method else -1


def _lesser_method(pair: Pair, bench: Bench) -> Iterator[Slip]:
    """Steps that lead to a less demanding method."""
    methods = sorted((m for m in bench.rules.methods.values() if m.when is not None), key=lambda method: method.rank)
    names = {leaf.subject for method in methods for leaf in leaves(method.when)}
    if not names & pair.first.looks.keys():
        return
    tests = [compiled(method.when, bench.rules) for method in methods]
    own = bench.space.numbers(pair.first.looks)
    from advisor.checks.space import looks_of

    for rest in bench.space.choices(number for number in bench.space.numbers(names) if number not in own):
        chosen = []
        for state in (pair.first, pair.second):
            looks = looks_of((*rest, state))
            chosen.append(next((n for n, test in enumerate(tests) if test(looks) is True), len(tests)))  # type: ignore[arg-type]
        if chosen[1] < chosen[0] < len(tests):
            slip = judged_both(pair, rest, bench, lambda before, after: _is_better(before, after, bench))
            if slip is not None:
                yield slip
                return


def _problem(question: Question, slip: Slip, bench: Bench) -> Proof:
    def said(judgement: Judgement) -> str:
        more = [judgement.method, *judgement.restrictions]
        return ", ".join([str(judgement.verdict), *(each for each in more if each)])

    return Proof(
        "worse-looks-better",
        bench.rules.place_of("questions.yaml", question.id),
        f"worse damage with a better outcome: {question.name}, from {said(slip.before)} to {said(slip.after)}",
        "the same or worse",
        "look at the rulings that hold in the first case and not in the second",
        case=bench.text(slip.first, slip.second),
    )
