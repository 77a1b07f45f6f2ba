"""Conditions in few words, for the edge of a graph."""

from __future__ import annotations

from advisor.model.ruleset import Condition, Join, RuleSet, leaves
from advisor.wording.condition_text import condition_words

#: Letters that an edge has room for; a longer condition is told by what it looks at.
MOST = 90
OTHERWISE = "otherwise"


def short_condition(condition: Condition, rules: RuleSet) -> str:
    """A condition in words, or what it looks at where it is long: `one of 5 conditions on set-pressure, tire-group`."""
    whole = condition_words(condition, rules)
    if len(whole) <= MOST:
        return whole
    subjects = ", ".join(dict.fromkeys(leaf.subject for leaf in leaves(condition)))
    if isinstance(condition, Join) and condition.how == "any":
        return f"one of {len(condition.parts)} conditions on {subjects}"
    return f"by {subjects}"
