"""Methods without an ending, and cases that no ruling and no method speaks for.

Wherever no ruling speaks against a repair, some method applies and has an ending of its own. Looked for in every region
of the facts that the methods look at, with all rulings that could fill the gap.

no-ending (error): a method that can be chosen and has no ending, or a case that nothing decides.
Why it is bad: the tire is held with no reason to show, though the rules meant to allow or refuse it.
PASS:
  methods.yaml: {plug/when: {size: {within: largest-hole}, sealant: {one-of: ["yes", "no"]}}}
FAIL:
  methods.yaml: {plug/when: {size: {within: largest-hole}, sealant: {is: "no"}}}
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice

from advisor.model.problems import Problem
from advisor.model.ruleset import RuleSet
from advisor.tools.verify.backtracking import Wish
from advisor.tools.verify.monotonicity import no_verdict
from advisor.tools.verify.workbench import MOST_CASES, Bench, Proof, bench_of


def check(rules: RuleSet) -> Iterator[Problem]:
    """Methods without an ending, and cases that no ruling and no method speaks for."""
    methods = [method for method in rules.methods.values() if method.when is not None]
    for method in methods:
        if not method.ending:
            yield Problem(
                "no-ending",
                rules.place_of("methods.yaml", method.id),
                f'the method "{method.id}", which can be chosen and has no ending',
                "the ending of a repair by it",
                'add "ending"',
            )
    if methods and any(part.over == "injuries" for part in rules.parts):
        yield from _gap(bench_of(rules))


def _gap(bench: Bench) -> Iterator[Problem]:
    wishes = [Wish(bench.effects.tests.local(when), lambda state: state is not True) for when in bench.effects.methods]
    for near in islice(bench.found(wishes, {}, no_verdict, bench.certain_order), MOST_CASES):
        states = bench.states_of(near)
        if states is None:
            continue
        case = bench.case(states)
        judgement = bench.judged(case)
        if not judgement.missing and not any(reason.ending for reason in judgement.reasons) and not judgement.method:
            yield Proof(
                "no-ending",
                bench.place(next(iter(bench.rules.nodes))),
                "a case that no ruling decides and no method fits",
                "a ruling or a method for every case",
                "add a ruling with an ending for it, or widen a method",
                case=bench.text(case),
            )
            return
