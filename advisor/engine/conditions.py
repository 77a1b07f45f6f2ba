"""Conditions with three values: yes (True), no (False), or open (the answers that leave it open)."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from advisor.engine.facts import NOT_APPLICABLE, Facts, OneOf, Value
from advisor.model.case import CANT_TELL, Choice, Choices, Key, Readings
from advisor.model.quantity import Measure
from advisor.model.ruleset import Condition, Join, Leaf, Limit, LimitTable, RuleSet

Open = frozenset[Key]
Outcome = bool | Open
Test = Callable[[Facts], Outcome]


def compiled(condition: Condition | None, rules: RuleSet) -> Test:
    """A function that tells whether a condition holds; no condition always holds."""
    if condition is None:
        return lambda facts: True
    if isinstance(condition, Leaf):
        return _leaf(condition, rules)
    parts = tuple(compiled(part, rules) for part in condition.parts)
    return _JOINS[condition.how](parts)


def _all(parts: tuple[Test, ...]) -> Test:
    def test(facts: Facts) -> Outcome:
        still_open: Open | None = None
        for part in parts:
            state = part(facts)
            if state is False:
                return False
            if state is not True:
                still_open = state if still_open is None else still_open | state
        return True if still_open is None else still_open

    return test


def _any(parts: tuple[Test, ...]) -> Test:
    def test(facts: Facts) -> Outcome:
        still_open: Open | None = None
        for part in parts:
            state = part(facts)
            if state is True:
                return True
            if state is not False:
                still_open = state if still_open is None else still_open | state
        return False if still_open is None else still_open

    return test


def _not(parts: tuple[Test, ...]) -> Test:
    (part,) = parts

    def test(facts: Facts) -> Outcome:
        state = part(facts)
        return not state if isinstance(state, bool) else state

    return test


_JOINS: dict[str, Callable[[tuple[Test, ...]], Test]] = {"all": _all, "any": _any, "not": _not}


def _leaf(leaf: Leaf, rules: RuleSet) -> Test:
    subject = leaf.subject
    if leaf.test == "known":
        return lambda facts: _known(*facts.look(subject))
    if leaf.test in ("answered", "unanswered"):
        wanted_answer = leaf.test == "answered"
        return lambda facts: _answered(*facts.look(subject), wanted_answer)
    if leaf.test in ("beyond", "within"):
        limit, wanted = rules.limits[leaf.operand[0]], leaf.test == "beyond"
        return lambda facts: _against(*facts.look(subject), limit, wanted)
    if leaf.test in ("has-any", "has-none"):
        names, any_wanted = frozenset(leaf.operand), leaf.test == "has-any"
        return lambda facts: _has(*facts.look(subject), names, any_wanted)
    return _choice_test(subject, frozenset(leaf.operand))


def _known(value: Value | None, open_keys: Open) -> Outcome:
    if value is None:
        return open_keys
    return value is not CANT_TELL and value is not NOT_APPLICABLE


def _answered(value: Value | None, open_keys: Open, wanted: bool) -> Outcome:
    """Whether an answer is there, can't tell included; open while there is none, since one may still come."""
    return open_keys if value is None else wanted


def _choice_test(subject: str, choices: frozenset[str]) -> Test:
    """By far the most frequent test, so it is one call."""

    def test(facts: Facts) -> Outcome:
        value, open_keys = facts.look(subject)
        if isinstance(value, Choice):
            return value.id in choices
        if isinstance(value, OneOf):
            inside = [name in choices for name in value.possible]
            return True if all(inside) else open_keys if any(inside) else False
        return False if value is NOT_APPLICABLE else open_keys

    return test


def _has(value: Value | None, open_keys: Open, names: frozenset[str], wanted: bool) -> Outcome:
    if not isinstance(value, Choices):
        return open_keys
    if value.present & names:
        return wanted
    if value.absent is None or names <= value.absent:
        return not wanted
    return open_keys


def _against(value: Value | None, open_keys: Open, limit: Limit, wanted: bool) -> Outcome:
    if isinstance(value, Measure):
        beyond = limit.is_beyond(value)
    elif isinstance(value, Readings):
        beyond = _any_beyond(value, limit)
    else:
        return False if value is NOT_APPLICABLE else open_keys
    return open_keys if beyond is None else beyond is wanted


def _any_beyond(readings: Readings, limit: Limit) -> bool | None:
    """Whether any of several readings is beyond the limit."""
    states = [limit.is_beyond(reading) for reading in readings.readings]
    return True if True in states else None if None in states else False


def row_tested(found: Leaf | Join | None, facts: Facts, rules: RuleSet) -> Leaf | None:
    """The test against one limit here: of a table that of the row that counts, else that of the one that applies.

    Where several are open, the first of them.
    """
    if not isinstance(found, Join):
        return found
    rows = [row for row in found.parts if isinstance(row, Join)]
    whens = [Join("all", row.parts[:-1]) for row in rows]
    number = _first_that_holds(rows, facts, rules)
    number = _first_that_holds(whens, facts, rules) if number < 0 else number
    return next((part for part in reversed(rows[max(number, 0)].parts) if isinstance(part, Leaf)), None)


def _first_that_holds(conditions: Sequence[Condition], facts: Facts, rules: RuleSet) -> int:
    """The number of the first condition that holds, else of the first that is open; -1 where there is none."""
    states = [compiled(condition, rules)(facts) for condition in conditions]
    held = [number for number, state in enumerate(states) if state is True]
    return next(iter((*held, *(number for number, state in enumerate(states) if state is not False))), -1)


def limit_named(name: str, facts: Facts, rules: RuleSet) -> Limit | None:
    """The limit of a name, or that of the row that holds here of a table of that name; None where there is none."""
    return limit_by(rules.tables[name], facts, rules) if name in rules.tables else rules.limits.get(name)


def limit_by(table: LimitTable, facts: Facts, rules: RuleSet) -> Limit | None:
    """The limit of the row that holds here; None where none does for certain."""
    for row in table.rows:
        state = compiled(row.when, rules)(facts)
        if state is not False:
            return rules.limits[row.limit] if state is True else None
    return None
