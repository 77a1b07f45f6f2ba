"""Doubt that counts for a repair.

Where an answer can't be told, or a reading straddles a limit, the verdict is never better than the better of hold and
the one that the known answer gives, no restriction is lost and no lesser method chosen. Held against every ruling that
the answer can touch; a doubt that fails is shown as two cases, the known answer first.

doubt-looks-better (error): an answer that can't be told, with a better outcome than the known one and than hold.
Why it is bad: a tire goes back on the road because nobody looked.
PASS:
  paths.yaml: {nodes/washed/cant-tell: {counts-as: "no"}}
FAIL:
  paths.yaml: {nodes/washed/cant-tell: {counts-as: "yes"}}
"""

from __future__ import annotations

from collections.abc import Iterator

from advisor.model.problems import Problem
from advisor.model.ruleset import RuleSet
from advisor.tools.verify.dominance import assumed_pairs, pairs
from advisor.tools.verify.monotonicity import Slip, at_most_hold, behind, better_of, every_slip, outcome_in_words
from advisor.tools.verify.shrink import smallest
from advisor.tools.verify.workbench import Bench, Proof, bench_of


def check(rules: RuleSet) -> Iterator[Problem]:
    """Questions and values whose doubt can bring a better outcome than knowing, and better than hold."""
    bench = bench_of(rules)
    harmless: set[object] = set()
    lots = [pairs(question, bench.space, doubt=True) for question in rules.questions.values()]
    for lot in (*lots, assumed_pairs(bench.space, doubt=True)):
        slip = next((slip for pair in lot for slip in every_slip(pair, bench, at_most_hold, harmless)), None)
        if slip is not None:
            yield _problem(slip, bench)


def _problem(slip: Slip, bench: Bench) -> Proof:
    name, place = bench.named(slip.pair.about)
    cases = smallest(slip.cases, bench, better_of(slip.pair, bench, at_most_hold))
    judged = [bench.judged(case) for case in cases]
    said = [outcome_in_words(judgement) for judgement in judged]
    return Proof(
        "doubt-looks-better",
        place,
        f"doubt about {name} gives {said[1]}, the known answer {said[0]}" if cases else f"doubt about {name}",
        "never better than the better of hold and the known verdict, no lesser method, no restriction lost",
        'say "cant-tell" at its node, or "in-doubt" at the ruling',
        see=behind(judged[0], judged[1], bench.rules) if judged else (),
        case=bench.text(*cases),
    )
