"""Doubt never counts for repair: where an answer can't be told, or a reading straddles a limit, the verdict is never
better than the better of hold and the one that the known answer gives. Held against every ruling that the answer can
touch; a doubt that fails is shown as two cases, the known answer first."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.checks.compared import certain, slips
from advisor.checks.proof import Proof, bench_of
from advisor.checks.worse import pairs
from advisor.engine.judgement import Judgement
from advisor.errors import Problem
from advisor.model.rules import RuleSet, Verdict


def check(rules: RuleSet) -> Iterator[Problem]:
    """Questions whose doubt can bring a better verdict than knowing, and better than hold."""
    bench = bench_of(rules)
    for question in rules.questions.values():
        found = (slip for pair in pairs(question, bench, doubt=True) for slip in slips(pair, bench, _least, _better))
        slip = next(found, None)
        if slip is not None:
            yield Proof(
                "doubt-looks-better",
                bench.rules.place_of("questions.yaml", question.id),
                f"doubt about {question.name} gives {slip.after.verdict}, the known answer {slip.before.verdict}",
                "never better than the better of hold and the known verdict",
                'say "cant-tell" at its node, or "in-doubt" at the ruling',
                case=bench.text(slip.first, slip.second),
            )


def _least(verdict: Verdict) -> Verdict:
    return min(Verdict.HOLD, verdict)


def _better(before: Judgement, after: Judgement) -> bool:
    return after.verdict < _least(before.verdict) and certain(before)
