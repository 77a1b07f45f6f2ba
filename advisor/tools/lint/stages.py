"""Methods that lack a stage of the work, or have two in an order in which one spoils the other.

Every method goes through all stages, from the inspection to the record, or says in `without` which it does not have
and why. Impossible is cement before the buffing that takes it off, a patch placed before the cement is dry, the stem
trimmed before the liner is sealed.

lacks-stage (error): a method without a stage, or with one for some tires only.
Why it is bad: whoever works by the plan leaves that work out.
PASS:
  methods.yaml: {plug/steps/buff: ~, plug/without/+: {stages: [buff], because: the liner is smooth}}
FAIL:
  methods.yaml: {plug/steps/buff: ~}

no-stage (warning): a step that does not say which stage of the work it is.
Why it is bad: no check can tell whether it comes too early or too late.
PASS:
  methods.yaml:
    plug/steps/+: {id: tidy, stage: hand-on, says: Tidy up., standing: from memory, source: made-up, clause: none}
FAIL:
  methods.yaml:
    plug/steps/+: {id: tidy, says: Tidy up., standing: from memory, source: made-up, clause: none}

stage-left-out-twice (warning): a stage that a method has and says that it does not have.
Why it is bad: one of the two is wrong, and nobody can tell which.
PASS:
  methods.yaml: {plug/steps/buff: ~, plug/without/+: {stages: [buff], because: the liner is smooth}}
FAIL:
  methods.yaml: {plug/without/+: {stages: [buff], because: the liner is smooth}}

impossible-order (error): a step that undoes the work before it, or comes before what it needs.
Why it is bad: the repair does not hold.
PASS:
  methods.yaml: {plug/steps/look/stage: [inspect, mark, remove], plug/steps/buff/stage: [clean, buff]}
FAIL:
  methods.yaml: {plug/steps/buff/stage: [cement, cement-thin, dry], plug/steps/cement/stage: buff}
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, islice, product

from advisor.model.case import Case
from advisor.model.problems import Problem
from advisor.model.ruleset import REPAIR_STAGES, Method, RuleSet, Step, Verdict, leaves
from advisor.tools.verify.backtracking import Nearest, Wish
from advisor.tools.verify.monotonicity import no_verdict
from advisor.tools.verify.workbench import Bench, Proof, bench_of

#: In each row a stage is over before one further on begins; what a method does not have is passed over.
_ORDER = (
    ("make-safe", "deflate", "demount", "inspect", "mark", "remove", "probe", "prepare", "re-measure", "fill", "check"),
    ("re-measure", "cement", "fill", "place"),
    ("clean", "buff", "clean-dry", "cement-thin", "dry", "place", "stitch", "seal", "trim-outside", "check", "mount"),
    ("fill", "cement-thin"),
    ("outline", "cement-thin"),
    ("relax-beads", "place"),
    ("mount", "inflate", "leak-test", "fit-wheel"),
    ("mount", "match-pair"),
    ("re-measure", "record"),
    ("leak-test", "record", "hand-on"),
)
#: So many tires are tried for a stage that only some of them have.
_MOST_TRIED = 400
CEMENT = frozenset({"cement", "cement-thin"})


def check(rules: RuleSet) -> Iterator[Problem]:
    """Methods that lack a stage, or have two in an impossible order."""
    for method in rules.methods.values():
        yield from _lacking(method, rules)
        yield from _order(method, rules)
    if any(method.when is not None for method in rules.methods.values()):
        yield from _only_for_some(bench_of(rules))


def _lacking(method: Method, rules: RuleSet) -> Iterator[Problem]:
    place = rules.place_of("methods.yaml", method.id)
    had = {stage for step in method.steps for stage in step.stages}
    for stage in REPAIR_STAGES:
        if stage not in had and stage not in method.without:
            found = f'the method "{method.id}" without the stage "{stage}"'
            yield Problem(
                "lacks-stage", place, found, "a step of each stage", 'add the step, or say in "without" why not'
            )
    for step in method.steps:
        if not step.stages:
            found = f'the step "{step.id}" of the method "{method.id}" without a stage'
            at = rules.place_of("methods.yaml", f"{method.id}/{step.id}")
            yield Problem("no-stage", at, found, "the stage of the work that it is", 'add "stage"')
    for stage in method.without:
        if stage in had:
            found = f'the stage "{stage}" of the method "{method.id}", which it has and says it does not'
            yield Problem("stage-left-out-twice", place, found, "one of the two", 'take it out of "without"')


def _order(method: Method, rules: RuleSet) -> Iterator[Problem]:
    done = [(stage, step) for step in method.steps for stage in step.stages]
    last = {stage: number for number, (stage, _) in enumerate(done)}
    first = {stage: number for number, (stage, _) in reversed(list(enumerate(done)))}
    for stage, later in dict.fromkeys(pair for row in _ORDER for pair in combinations(row, 2)):
        if stage in last and later in first and last[stage] > first[later]:
            yield _problem(method, done[first[later]][1], f'"{later}" before "{stage}"', rules)
    if "place" not in last and "fill" in first and last.get("dry", -1) > first["fill"]:
        yield _problem(method, done[first["fill"]][1], '"fill" before "dry"', rules)
    steps = [step.id for step in method.steps]
    for number, step in enumerate(method.steps):
        if step.waits_from in steps[number:]:
            yield _problem(method, step, f'a wait from "{step.waits_from}", which comes after it', rules)
    wet = False
    for stage, step in done:
        wet = stage in CEMENT or (wet and stage != "fill")
        if wet and stage == "buff":
            yield _problem(method, step, '"buff", which takes the cement off that is already on', rules)


def _problem(method: Method, step: Step, what: str, rules: RuleSet) -> Problem:
    return Problem(
        "impossible-order",
        rules.place_of("methods.yaml", f"{method.id}/{step.id}"),
        f'in the method "{method.id}" at the step "{step.id}" {what}',
        "an order in which no work spoils the work before it",
        "move the step",
    )


def _only_for_some(bench: Bench) -> Iterator[Problem]:
    """A stage whose steps are all for some tires only, where another tire is repaired without it."""
    for method in bench.rules.methods.values():
        for stage in REPAIR_STAGES if method.when is not None else ():
            steps = [step for step in method.steps if stage in step.stages]
            if steps and all(step.when is not None for step in steps):
                yield from _gap(method, stage, steps, bench)


def _gap(method: Method, stage: str, steps: list[Step], bench: Bench) -> Iterator[Problem]:
    assert method.when is not None
    wish = Wish(bench.effects.tests.local(method.when), lambda state: state is True)
    near = next(bench.found([wish], {}, no_verdict, bench.certain_order), None)
    if near is None:
        return
    for case in _cases(near, steps, bench):
        judgement = bench.judged(case)
        if judgement.verdict is not Verdict.REPAIR or judgement.method != method.id or judgement.missing:
            continue
        if not any(stage in planned.step.stages for planned in bench.judge.methods.plan(judgement)):
            yield Proof(
                "lacks-stage",
                bench.rules.place_of("methods.yaml", f"{method.id}/{steps[0].id}"),
                f'the method "{method.id}" without the stage "{stage}" for some tires',
                "a step of each stage, whatever the tire",
                "widen the condition of a step, or add a step for the others",
                case=bench.text(case),
            )
            return


def _cases(near: Nearest, steps: list[Step], bench: Bench) -> Iterator[Case]:
    """Cases by the method with every state of what its steps' conditions look at, the plainest first."""
    subjects = (leaf.subject for step in steps for leaf in leaves(step.when))
    numbers = list(dict.fromkeys(bench.space.group_of[name] for name in subjects if name in bench.space.group_of))
    lots = [[bench.space.states(n)[place] for place in bench.certain_order(n)] for n in numbers]
    for states in islice(product(*lots), _MOST_TRIED):
        put_in = bench.states_of(near, *states)
        if put_in is not None:
            yield bench.case(put_in)
