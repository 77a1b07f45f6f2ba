"""Doubt never counts for repair: where an answer can't be told, or a reading straddles a limit, the verdict is never
better than the better of hold and the one that the known answer gives. Held against every ruling that the answer can
touch; a doubt that fails is shown as two cases, the known answer first."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.checks.compared import Slip, behind, certain_verdict, slips
from advisor.checks.proof import Bench, Proof, bench_of
from advisor.checks.smallest import smallest
from advisor.checks.worse import assumed_pairs, pairs
from advisor.engine.judgement import Judgement
from advisor.errors import Problem
from advisor.model.rules import RuleSet, Verdict


def check(rules: RuleSet) -> Iterator[Problem]:
    """Questions and values whose doubt can bring a better verdict than knowing, and better than hold."""
    bench = bench_of(rules)
    harmless: set[object] = set()
    lots = [pairs(question, bench.space, doubt=True) for question in rules.questions.values()]
    for lot in (*lots, assumed_pairs(bench.space, doubt=True)):
        found = (slip for pair in lot for slip in slips(pair, bench, _least, _better, harmless))
        slip = next(found, None)
        if slip is not None:
            yield _problem(slip, bench)


def _least(verdict: Verdict) -> Verdict:
    return min(Verdict.HOLD, verdict)


def _better(before: Judgement, after: Judgement) -> bool:
    return after.verdict < _least(certain_verdict(before))


def _problem(slip: Slip, bench: Bench) -> Proof:
    name, place = bench.named(slip.pair.about)
    cases = smallest(slip.cases, bench, _better)
    judged = [bench.judged(case) for case in cases]
    said = [judgement.verdict for judgement in judged]
    return Proof(
        "doubt-looks-better",
        place,
        f"doubt about {name} gives {said[1]}, the known answer {said[0]}" if cases else f"doubt about {name}",
        "never better than the better of hold and the known verdict",
        'say "cant-tell" at its node, or "in-doubt" at the ruling',
        see=behind(judged[0], judged[1], bench.rules) if judged else (),
        case=bench.text(*cases),
    )
