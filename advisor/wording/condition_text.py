"""Conditions of the rules in words, with the figure of each limit: for people who know the files' own names."""

from __future__ import annotations

from advisor.engine.templates import limit_in_words
from advisor.model.ruleset import LONE_TESTS, Condition, Join, Leaf, Limit, RuleSet, leaves

ALWAYS = "always"


def condition_words(condition: Condition | None, rules: RuleSet) -> str:
    """A condition in words, terms by what they say: `injury-depth is through and opening is over 1/4 in (6 mm)`."""
    return ALWAYS if condition is None else _words(condition, rules, inside=False)


def _words(condition: Condition, rules: RuleSet, inside: bool) -> str:
    if isinstance(condition, Leaf):
        return f"{condition.subject} {_test(condition, rules)}"
    if condition.term:
        return rules.terms[condition.term].says
    if condition.how == "not":
        (part,) = condition.parts
        if isinstance(part, Leaf) and part.test in LONE_TESTS:
            return f"{part.subject} is not {part.test}"
        return f"not ({_words(part, rules, inside=False)})"
    if condition.table:
        return _by_table(condition, rules)
    parts = [_words(part, rules, inside=True) for part in condition.parts]
    text = (" and " if condition.how == "all" else " or ").join(parts)
    return f"({text})" if inside and _mixed(condition) else text


def _by_table(condition: Join, rules: RuleSet) -> str:
    """A test against a table: `size is over 6 mm where group is light, over 10 mm where group is truck`."""
    (leaf, *_) = [each for each in leaves(condition) if each.test in ("beyond", "within")]
    rows = rules.tables[condition.table].rows
    sides = [side_words(rules.limits[row.limit], leaf.test == "beyond") for row in rows]
    whens = [_words(row.when, rules, inside=False) for row in rows]
    return f"{leaf.subject} is {', '.join(f'{side} where {when}' for side, when in zip(sides, whens, strict=True))}"


def _mixed(condition: Join) -> bool:
    return len(condition.parts) > 1


def _test(leaf: Leaf, rules: RuleSet) -> str:
    if leaf.test in LONE_TESTS:
        return f"is {leaf.test}"
    if leaf.test in ("beyond", "within"):
        return f"is {side_words(rules.limits[leaf.operand[0]], leaf.test == 'beyond')}"
    verb = {"has-any": "has", "has-none": "has none of"}.get(leaf.test, "is")
    *first, last = leaf.operand
    return f"{verb} {', '.join(first)} or {last}" if first else f"{verb} {last}"


def side_words(limit: Limit, beyond: bool) -> str:
    """One side of a limit with its figure, and whether the figure itself belongs to it: `over 6 mm`, `6 mm or less`."""
    over = (limit.worse == "above") is beyond
    itself = limit.at_limit_passes is not beyond
    figure = limit_in_words(limit)
    if itself:
        return f"{figure} or {'more' if over else 'less'}"
    return f"{'over' if over else 'under'} {figure}"
