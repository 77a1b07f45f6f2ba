"""Questions with choices that neither put them in order of damage nor say why not.

All choices stand in one order (`worse-order`), or each finding is worse than none (`worse: found`). Where answers are
not better or worse, or the order leaves some out, `no-order` says why.

no-order (error): choices without an order of damage and without a reason.
Why it is bad: the check of worse damage (`worse-looks-better`) passes over the question without a word.
PASS:
  questions.yaml: {sealant/worse-order: ~, sealant/no-order: sealant is no damage}
FAIL:
  questions.yaml: {sealant/worse-order: ~}

worse-without-ruling (error): a choice in a set's own order of damage that no condition tells from the best one.
Why it is bad: damage that counts as worse than none passes without a word.
PASS:
  questions.yaml: {sealant/choices/gel: {says: Old gel}, sealant/worse-order: ["no", gel, "yes"]}
  paths.yaml: {nodes/sealant/rulings/sealant-used/when: {sealant: {one-of: [gel, "yes"]}}}
FAIL:
  questions.yaml: {sealant/choices/gel: {says: Old gel}, sealant/worse-order: ["no", gel, "yes"]}
"""

from __future__ import annotations

from collections.abc import Iterator

from advisor.engine.derived.registry import FUNCTIONS
from advisor.model.problems import Problem
from advisor.model.ruleset import Question, RuleSet, leaves
from advisor.tools.verify.case_space import every_condition


def check(rules: RuleSet) -> Iterator[Problem]:
    """Questions with choices that neither put them in order nor say why not."""
    for question in rules.questions.values():
        left_out = _left_out(question)
        if left_out and not question.no_order:
            yield Problem(
                "no-order",
                rules.place_of("questions.yaml", question.id),
                f'no order of damage at "{question.id}" for {", ".join(left_out)}',
                "every choice in an order, or the reason why there is none",
                "add worse-order: (for findings worse: found), or no-order: with the reason",
            )
    yield from _without_ruling(rules)


def _without_ruling(rules: RuleSet) -> Iterator[Problem]:
    """Worse choices that no condition tells from the best one, though conditions speak of others of that question."""
    named: dict[str, set[str]] = {}
    steps = (step.when for method in rules.methods.values() for step in method.steps)
    for condition in (*every_condition(rules), *steps):
        for leaf in leaves(condition):
            named.setdefault(leaf.subject, set()).update(leaf.operand)
    read = {rules.read_by(value, each) for value in rules.values.values() for each in FUNCTIONS[value.function].known}
    for question in rules.questions.values():
        place = rules.place_of("questions.yaml", f"{question.id}/worse-order")
        told = {choice.id for choice in question.choices} & named.get(question.id, set())
        if told and question.id not in read and not place.file.startswith(f"{rules.about.shares}/"):
            best, *worse = question.worse_order or ("",)
            for choice in worse if best not in told else ():
                if choice not in told:
                    yield Problem(
                        "worse-without-ruling",
                        place,
                        f'"{choice}" of {question.id}, worse than "{best}", and nothing tells the two apart',
                        "a ruling, or a way on, that says what it means",
                        "add one to paths.yaml, or take it out of worse-order and say why in no-order",
                    )


def _left_out(question: Question) -> list[str]:
    if question.kind == "choices":
        return [] if question.worse else [choice.id for choice in question.choices]
    return [choice.id for choice in question.choices if choice.id not in question.worse_order]
