"""Puts figures, answers and worked-out values into wording, so that a text cannot disagree with them."""

from __future__ import annotations

import re
from functools import lru_cache

from advisor.engine.conditions import limit_by
from advisor.engine.facts import NOT_APPLICABLE, Facts, OneOf, Value
from advisor.model.case import CANT_TELL, Choice, Choices, Text
from advisor.model.quantity import Measure
from advisor.model.ruleset import Condition, Join, Limit, LimitTable, Question, RuleSet

_PLACEHOLDER = re.compile(r"\{([a-z0-9-]+)\}")
_BRACES = re.compile(r"\{[^{}]*\}|[{}]")
NOT_KNOWN = "not known"


def limit_in_words(limit: Limit, like: Measure | None = None) -> str:
    """A limit's figure in the unit of a reading, or all its figures: `1/4 in (6 mm)`."""
    if like is not None:
        return str(limit.figure_for(like))
    first, *others = (str(figure) for figure in limit.figures)
    return f"{first} ({', '.join(others)})" if others else first


def table_in_words(table: LimitTable, facts: Facts, rules: RuleSet) -> str:
    """The figure of the row that holds here; where none does for certain, that of each row and for which it is."""
    limit = limit_by(table, facts, rules)
    if limit is not None:
        return limit_in_words(limit)
    rows = (f"{limit_in_words(rules.limits[row.limit])} for {row_in_words(row.when, rules)}" for row in table.rows)
    return ", ".join(rows)


def row_in_words(condition: Condition, rules: RuleSet) -> str:
    """For which answers a condition over choices holds, in their words: `passenger or light truck (the tire class)`."""
    if isinstance(condition, Join):
        parts = [row_in_words(part, rules) for part in condition.parts]
        return f"not {parts[0]}" if condition.how == "not" else _JOINED[condition.how].join(parts)
    question = rules.questions.get(condition.subject)
    if not condition.operand or condition.test in ("beyond", "within"):
        return " ".join((condition.subject, condition.test, *condition.operand)).replace("-", " ")
    none = "no " if condition.test == "has-none" else ""
    name = (question or rules.values[condition.subject]).name
    return f"{none}{_or(condition.operand, question)} ({name})"


_JOINED = {"all": " with ", "any": " or "}


def _or(choices: tuple[str, ...], question: Question | None) -> str:
    return " or ".join(_choice(name, question) for name in choices)


def value_in_words(value: Value | None, question: Question | None = None) -> str:
    """An answer or worked-out value for people."""
    if value is None or value is NOT_APPLICABLE:
        return NOT_KNOWN
    if value is CANT_TELL:
        return "can't tell"
    if isinstance(value, Choice):
        return _choice(value.id, question)
    if isinstance(value, Choices):
        return _choices(value, question)
    if isinstance(value, OneOf):
        return " or ".join(_choice(name, question) for name in value.possible)
    if isinstance(value, Text):
        return value.text
    return str(value)


def _choice(name: str, question: Question | None) -> str:
    choice = question.choice(name) if question else None
    return choice.says if choice else name.replace("-", " ")


def _choices(value: Choices, question: Question | None) -> str:
    found = ", ".join(_choice(name, question) for name in sorted(value.present))
    if value.complete:
        return found or "none"
    looked = ", ".join(f"no {_choice(name, question)}" for name in sorted(value.absent or ()))
    return ", ".join(part for part in (found, looked, "the rest not looked at yet") if part)


def fill(text: str, facts: Facts, rules: RuleSet, limit: Limit | None = None, like: Measure | None = None) -> str:
    """A text with every `{name}` put in; `{limit}` is the limit that a ruling holds a reading against."""

    pieces = _pieces(text)
    if len(pieces) == 1:
        return text

    def put_in(name: str) -> str:
        if name == "limit":
            return limit_in_words(limit, like) if limit else NOT_KNOWN
        if name in rules.limits:
            return limit_in_words(rules.limits[name])
        if name in rules.tables:
            return table_in_words(rules.tables[name], facts, rules)
        if name in rules.questions or name in rules.values:
            value, worked_out = facts.get(name), rules.values.get(name)
            if worked_out and worked_out.if_unknown and (value is None or value in (NOT_APPLICABLE, CANT_TELL)):
                return worked_out.if_unknown
            return value_in_words(value, rules.questions.get(name))
        return f"{{{name}}}"

    return "".join([put_in(piece) if at % 2 else piece for at, piece in enumerate(pieces)])


class Filler:
    """Fills texts of one rule set; those that name no answer and no worked-out value are filled once."""

    def __init__(self, rules: RuleSet) -> None:
        self._rules = rules
        self._fixed: dict[str, str | None] = {}

    def fill(self, text: str, facts: Facts) -> str:
        """The text with every `{name}` put in."""
        if text not in self._fixed:
            named = _pieces(text)[1::2]
            is_fixed = all(name in self._rules.limits for name in named)
            self._fixed[text] = fill(text, facts, self._rules) if is_fixed else None
        fixed = self._fixed[text]
        if fixed is not None:
            return fixed
        return facts.remembered(("says", text), lambda facts: fill(text, facts, self._rules))


def names_in(text: str) -> tuple[list[str], list[str]]:
    """The names in braces of a text, and the braces that stand round anything else."""
    pieces = _pieces(text)
    return pieces[1::2], _BRACES.findall(" ".join(pieces[::2]))


@lru_cache(maxsize=4096)
def _pieces(text: str) -> list[str]:
    """A text taken apart: words, name, words, name … words."""
    return _PLACEHOLDER.split(text)
