"""Doubt that counts for a repair.

Where an answer can't be told, or a reading straddles a limit, the verdict is never better than the better of hold and
the one that the known answer gives, no restriction is lost and no lesser method chosen. Held against every ruling that
the answer can touch; a doubt that fails is shown as two cases, the known answer first.

doubt-looks-better (error): an answer that can't be told, with a better verdict than the known one and than hold.
Why it is bad: a tire goes back on the road because nobody looked.
PASS:
  paths.yaml: {nodes/washed/cant-tell: {counts-as: "no"}}
FAIL:
  paths.yaml: {nodes/washed/cant-tell: {counts-as: "yes"}}

doubt-loses-restriction (error): an answer that can't be told, with a restriction less than the known answer brings.
Why it is bad: the tire runs where it may not, because nobody looked.
PASS:
  restrictions.yaml: {slow: {says: At walking pace., tell-driver: At walking pace., speaks: {road: neither}}}
  questions.yaml:
    grade:
      name: grade
      asks: How thick is it?
      kind: choice
      choices: {thin: {says: Thin}, thick: {says: Thick}}
      worse-order: [thin, thick]
      why: It is asked for the demo.
  paths.yaml:
    parts/tire/nodes/grade:
      ask: grade
      cant-tell: goes-on
      rulings:
        - id: slowly
          when: {grade: {is: thick}}
          restriction: slow
          because: it is thick
          standing: derived
          source: made-up
          clause: none
FAIL:
  restrictions.yaml: {slow: {says: At walking pace., tell-driver: At walking pace., speaks: {road: neither}}}
  questions.yaml:
    grade:
      name: grade
      asks: How thick is it?
      kind: choice
      choices: {thin: {says: Thin}, thick: {says: Thick}}
      worse-order: [thin, thick]
      why: It is asked for the demo.
  paths.yaml:
    parts/tire/nodes/grade:
      ask: grade
      cant-tell: {counts-as: thin}
      rulings:
        - id: slowly
          when: {grade: {is: thick}}
          restriction: slow
          because: it is thick
          standing: derived
          source: made-up
          clause: none

doubt-lesser-method (error): an answer that can't be told, with a less demanding method than the known answer needs.
Why it is bad: the tire is mended by less than it needs, because nobody looked.
PASS:
  questions.yaml:
    grade:
      name: grade
      asks: How thick is it?
      kind: choice
      choices: {thin: {says: Thin}, thick: {says: Thick}}
      worse-order: [thin, thick]
      why: It is asked for the demo.
  methods.yaml:
    plug/when: {size: {within: largest-hole}, grade: {is: thin}}
    plate:
      title: Plate
      rank: 2
      when: {size: {within: largest-hole}, grade: {is: thick}}
      ending: repair
      says: For a thick one.
      standing: invented for the demo
      source: made-up
      clause: none
      without:
        - stages: [mark, remove, probe, clean, prepare, re-measure, cement, fill, buff, clean-dry, cement-thin, dry]
          because: it is a plate
        - stages: [place, stitch, seal, trim-outside, check, leak-test, record]
          because: it is a plate
      steps: [{id: see, stage: [inspect, inflate], says: Look., standing: derived, source: made-up, clause: none}]
  paths.yaml:
    parts/tire/nodes/grade: {ask: grade, cant-tell: {counts-as: thick}}
FAIL:
  questions.yaml:
    grade:
      name: grade
      asks: How thick is it?
      kind: choice
      choices: {thin: {says: Thin}, thick: {says: Thick}}
      worse-order: [thin, thick]
      why: It is asked for the demo.
  methods.yaml:
    plug/when: {size: {within: largest-hole}, grade: {is: thin}}
    plate:
      title: Plate
      rank: 2
      when: {size: {within: largest-hole}, grade: {is: thick}}
      ending: repair
      says: For a thick one.
      standing: invented for the demo
      source: made-up
      clause: none
      without:
        - stages: [mark, remove, probe, clean, prepare, re-measure, cement, fill, buff, clean-dry, cement-thin, dry]
          because: it is a plate
        - stages: [place, stitch, seal, trim-outside, check, leak-test, record]
          because: it is a plate
      steps: [{id: see, stage: [inspect, inflate], says: Look., standing: derived, source: made-up, clause: none}]
  paths.yaml:
    parts/tire/nodes/grade: {ask: grade, cant-tell: {counts-as: thin}}
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice

from advisor.engine.judgement_types import Judgement
from advisor.model.problems import Problem
from advisor.model.ruleset import RuleSet
from advisor.tools.verify.dominance import assumed_pairs, pairs
from advisor.tools.verify.monotonicity import (
    BETTER,
    METHOD,
    RESTRICTIONS,
    Slip,
    at_most_hold,
    behind,
    better_of,
    every_slip,
    outcome_in_words,
    what_is_better,
)
from advisor.tools.verify.shrink import smallest
from advisor.tools.verify.workbench import Bench, Proof, bench_of

#: So many slips of a question are looked at for one of each kind.
MOST_SLIPS = 40


def check(rules: RuleSet) -> Iterator[Problem]:
    """Questions and values whose doubt can bring a better outcome than knowing, and better than hold."""
    bench = bench_of(rules)
    harmless: set[object] = set()
    lots = [pairs(question, bench.space, doubt=True) for question in rules.questions.values()]
    for lot in (*lots, assumed_pairs(bench.space, doubt=True)):
        slips = (slip for pair in lot for slip in every_slip(pair, bench, at_most_hold, harmless))
        told: set[str] = set()
        for slip in islice(slips, MOST_SLIPS):
            kind = _kind(slip.judged, rules)
            if kind not in told:
                told.add(kind)
                yield _found(kind, slip, bench)
            if told >= set(BETTER):
                break


def _kind(judged: tuple[Judgement, ...], rules: RuleSet) -> str:
    """What of the second judgement is better than it may be; an empty text where no cases are known."""
    return what_is_better(judged[0], judged[1], rules, at_most_hold) if judged else ""


def _found(kind: str, slip: Slip, bench: Bench) -> Proof:
    if kind == RESTRICTIONS:
        return _problem("doubt-loses-restriction", "no restriction lost", kind, slip, bench)
    if kind == METHOD:
        return _problem("doubt-lesser-method", "no lesser method", kind, slip, bench)
    return _problem("doubt-looks-better", "never better than the better of hold and the known one", kind, slip, bench)


def _problem(name_of_problem: str, expected: str, kind: str, slip: Slip, bench: Bench) -> Proof:
    name, place = bench.named(slip.pair.about)
    better = better_of(slip.pair, bench, at_most_hold)
    cases = smallest(slip.cases, bench, lambda *both: better(*both) and _kind(both, bench.rules) == kind)
    judged = [bench.judged(case) for case in cases]
    said = [outcome_in_words(judgement) for judgement in judged]
    return Proof(
        name_of_problem,
        place,
        f"doubt about {name} gives {said[1]}, the known answer {said[0]}" if cases else f"doubt about {name}",
        expected,
        'say "cant-tell" at its node, or "in-doubt" at the ruling',
        see=behind(judged[0], judged[1], bench.rules) if judged else (),
        case=bench.text(*cases),
    )
