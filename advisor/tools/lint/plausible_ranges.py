"""What may be typed for a measure, held together with the limits that it is held against.

implausible-limit (error): a question's plausible range ends before a limit that its answers are held against.
Why it is bad: the answer that the limit is there for is refused as it is typed, so the ruling never counts.
PASS:
  questions.yaml: {size/plausible: 0-50 mm}
FAIL:
  questions.yaml: {size/plausible: 0-5 mm}
"""

from __future__ import annotations

from collections.abc import Iterator

from advisor.model.problems import Problem
from advisor.model.ruleset import RuleSet, leaves


def check(rules: RuleSet) -> Iterator[Problem]:
    """Every limit that lies outside the plausible range of a question whose answers a ruling holds against it."""
    seen: set[tuple[str, str]] = set()
    for leaf in (leaf for ruling in rules.rulings() for leaf in leaves(ruling.when)):
        question = rules.questions.get(leaf.subject)
        if question is None or question.plausible is None or leaf.test not in ("beyond", "within"):
            continue
        pair = question.id, leaf.operand[0]
        figures = rules.limits[pair[1]].figures
        alike = [figure for figure in figures if figure.quantity == question.plausible.quantity]
        plausible = [question.plausible.to(figure.unit) for figure in alike]
        outside = any(not range_.low <= f.low < range_.high for f, range_ in zip(alike, plausible, strict=True))
        if outside and pair not in seen:
            seen.add(pair)
            yield Problem(
                "implausible-limit",
                rules.place_of("questions.yaml", question.id),
                f'a plausible range of {question.plausible}, and "{pair[1]}" at {figures[0]}',
                "a range that goes past every limit that answers are held against",
                "widen it, or mend the limit",
            )
