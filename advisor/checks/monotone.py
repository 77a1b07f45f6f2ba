"""Worse damage never looks better: of two cases that differ in one answer, the one with the worse answer never has a
better verdict, a lesser method or fewer restrictions. Which answers are worse is said by the questions themselves
(`worse`, `worse-order`). An outcome that only doubt brings may give way to one that is certain. Every step from one
region to the next worse one is held against every ruling that it can touch; a step that fails is shown as two cases,
one after the other."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.checks.compared import Slip, as_it_was, behind, better_of, every_slip, outcome_in_words
from advisor.checks.proof import Bench, Proof, bench_of
from advisor.checks.smallest import smallest
from advisor.checks.worse import assumed_pairs, pairs
from advisor.errors import Problem
from advisor.model.rules import RuleSet


def check(rules: RuleSet) -> Iterator[Problem]:
    """Questions and values of which a worse answer can bring a better outcome."""
    bench = bench_of(rules)
    harmless: set[object] = set()
    ordered = [question for question in rules.questions.values() if question.worse or question.worse_order]
    lots = [pairs(question, bench.space, doubt=False) for question in ordered]
    for lot in (*lots, assumed_pairs(bench.space, doubt=False)):
        slip = next((slip for pair in lot for slip in every_slip(pair, bench, as_it_was, harmless)), None)
        if slip is not None:
            yield _problem(slip, bench)


def _problem(slip: Slip, bench: Bench) -> Proof:
    name, place = bench.named(slip.pair.about)
    cases = smallest(slip.cases, bench, better_of(slip.pair, bench, as_it_was))
    judged = [bench.judged(case) for case in cases]
    said = [outcome_in_words(judgement) for judgement in judged]
    return Proof(
        "worse-looks-better",
        place,
        f"worse damage with a better outcome: {name}" + (f", from {said[0]} to {said[1]}" if cases else ""),
        "the same or worse",
        "look at the rulings that hold in the first case and not in the second",
        see=behind(judged[0], judged[1], bench.rules) if judged else (),
        case=bench.text(*cases),
    )
