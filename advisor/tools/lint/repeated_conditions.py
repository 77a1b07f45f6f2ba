"""Conditions that are written out again and again, and that terms.yaml could name.

Only conditions of several tests count, a term as one of them; what is part of a larger one counts like any other.

condition-again (warning): one condition of several tests, written out in three places or more.
Why it is bad: whoever changes one of them leaves the others behind, and a reader has to hold them side by side.
PASS:
  terms.yaml: {wide-and-washed: {says: it was washed, when: {washed: {is: "yes"}, sealant: {is: "yes"}}}}
  paths.yaml:
    nodes/washed/rulings/+: {id: one, when: {wide-and-washed: holds}, caution: cage, because: it was washed}
    nodes/size/rulings/+: {id: two, when: {wide-and-washed: holds}, caution: cage, because: it was washed}
    nodes/size/next: [{when: {wide-and-washed: holds}, go: more-injuries}, {go: more-injuries}]
FAIL:
  paths.yaml:
    nodes/washed/rulings/+:
      {id: one, when: {washed: {is: "yes"}, sealant: {is: "yes"}}, caution: cage, because: it was washed}
    nodes/size/rulings/+:
      {id: two, when: {washed: {is: "yes"}, sealant: {is: "yes"}}, caution: cage, because: it was washed}
    nodes/size/next:
      [{when: {washed: {is: "yes"}, sealant: {is: "yes"}}, go: more-injuries}, {go: more-injuries}]
"""

from __future__ import annotations

from collections.abc import Iterator

from advisor.model.problems import Place, Problem
from advisor.model.ruleset import Condition, Join, RuleSet
from advisor.wording.condition_text import condition_words

#: In so many places a condition is better off with a name.
PLACES = 3


def check(rules: RuleSet) -> Iterator[Problem]:
    """Each condition that has no name and stands in many places, the widest of those that stand in the same ones."""
    found: dict[Condition, dict[Place, str]] = {}
    for place, what, condition in _written(rules):
        for each in _joined(condition):
            found.setdefault(each, {})[place] = what
    told: set[tuple[Place, ...]] = set()
    for condition, places in found.items():
        if len(places) >= PLACES and tuple(places) not in told:
            told.add(tuple(places))
            (first, _), *others = places.items()
            yield Problem(
                "condition-again",
                first,
                f'the condition "{condition_words(condition, rules)}", written out in {len(places)} places',
                "a name for it",
                "write it once in terms.yaml, and say {ITS-NAME: holds} instead",
                see=tuple(others),
            )


def _joined(condition: Condition) -> Iterator[Condition]:
    """The conditions of several tests in one, itself first; what a term or table stands for is not looked into."""
    if isinstance(condition, Join) and not (condition.term or condition.table):
        if sum(1 for _ in _tests(condition)) > 1:
            yield condition
        for part in condition.parts:
            yield from _joined(part)


def _tests(condition: Condition) -> Iterator[Condition]:
    if isinstance(condition, Join) and not (condition.term or condition.table):
        for part in condition.parts:
            yield from _tests(part)
    else:
        yield condition


def _written(rules: RuleSet) -> Iterator[tuple[Place, str, Condition]]:
    """Where conditions stand: the place, what stands there, and the condition."""
    for term in rules.terms.values():
        yield rules.place_of("terms.yaml", term.id), f"the term {term.id}", term.when
    for node in rules.nodes.values():
        yield from ((rules.place_of_ruling(r), f"the ruling {r.id}", r.when) for r in node.rulings)
        if node.unless is not None:
            yield rules.place_of("paths.yaml", node.id), f"{node.id}, when it is not asked", node.unless
        for number, edge in enumerate(node.next, 1):
            if edge.when is not None:
                place = rules.place_of("paths.yaml", f"{node.id}/way-{number}")
                yield place, f"way {number} on from {node.id}", edge.when
    for method in rules.methods.values():
        if method.when is not None:
            yield rules.place_of("methods.yaml", method.id), f"the method {method.id}", method.when
        for step in method.steps:
            place = rules.places.get(f"steps.yaml#{step.id}") or rules.place_of(
                "methods.yaml", f"{method.id}/{step.id}"
            )
            yield from [(place, f"the step {step.id}", step.when)] if step.when is not None else []
