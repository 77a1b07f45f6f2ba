"""Questions with choices that neither put them in order of damage nor say why not.

All choices stand in one order (`worse-order`), or each finding is worse than none (`worse: found`). Where answers are
not better or worse, or the order leaves some out, `no-order` says why.

no-order (error): choices without an order of damage and without a reason.
Why it is bad: the check of worse damage (`worse-looks-better`) passes over the question without a word.
PASS:
  questions.yaml: {sealant/worse-order: ~, sealant/no-order: sealant is no damage}
FAIL:
  questions.yaml: {sealant/worse-order: ~}
"""

from __future__ import annotations

from collections.abc import Iterator

from advisor.model.problems import Problem
from advisor.model.ruleset import Question, RuleSet


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


def _left_out(question: Question) -> list[str]:
    if question.kind == "choices":
        return [] if question.worse else [choice.id for choice in question.choices]
    return [choice.id for choice in question.choices if choice.id not in question.worse_order]
