"""Conditions with three values: yes (True), no (False), or open (the answers that leave it open)."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import Protocol, Self, TypeVar

from advisor.engine.facts import NOT_APPLICABLE, Facts, OneOf, Value
from advisor.model.case import CANT_TELL, Choice, Choices, Key, Readings
from advisor.model.quantity import Measure
from advisor.model.ruleset import Condition, Join, Leaf, Limit, LimitTable, RuleSet

Open = frozenset[Key]
Outcome = bool | Open
Test = Callable[[Facts], Outcome]
ValueTest = Callable[["Value | None"], "bool | None"]


class OpenAnswers(Protocol):
    """What leaves a condition open, by whatever names; two of them are put together by `|`."""

    def __or__(self, other: Self, /) -> Self: ...


StillOpen = TypeVar("StillOpen", bound=OpenAnswers)
SeenThere = TypeVar("SeenThere")


def compiled(condition: Condition | None, rules: RuleSet) -> Test:
    """A function that tells whether a condition holds; no condition always holds."""
    if condition is None:
        return lambda facts: True
    if isinstance(condition, Leaf):
        return _leaf(condition, rules)
    return joined_tests(condition.how, [compiled(part, rules) for part in condition.parts])


def joined_tests(
    how: str, parts: Sequence[Callable[[SeenThere], bool | StillOpen]]
) -> Callable[[SeenThere], bool | StillOpen]:
    """What several conditions come to: of `any` True decides, of `all` False; else what leaves them open, all of it.

    Of `not` open stays open. The one place that says what "all", "any" and "not" mean with three values; what leaves
    one open is put together by `|`.
    """
    return partial(_negated, parts[0]) if how == "not" else partial(_all_or_any, tuple(parts), how == "any")


def _all_or_any(
    parts: tuple[Callable[[SeenThere], bool | StillOpen], ...], decided: bool, there: SeenThere
) -> bool | StillOpen:
    still_open: StillOpen | None = None
    for part in parts:
        state = part(there)
        if state is decided:
            return decided
        if not isinstance(state, bool):
            still_open = state if still_open is None else still_open | state
    return not decided if still_open is None else still_open


def _negated(part: Callable[[SeenThere], bool | StillOpen], there: SeenThere) -> bool | StillOpen:
    state = part(there)
    return not state if isinstance(state, bool) else state


def open_keys(state: Outcome) -> Open:
    """The answers that leave a condition open; none where it is not, or where they belong to another injury."""
    return frozenset() if isinstance(state, bool) else state


def _leaf(leaf: Leaf, rules: RuleSet) -> Test:
    subject, test_of = leaf.subject, tested(leaf, rules)
    last: Value | None = None
    state = test_of(last)

    def test(facts: Facts) -> Outcome:
        nonlocal last, state
        value, open_keys = (None if facts.trails else facts.memo.get(subject)) or facts.look(subject)
        if value is not last:
            state, last = test_of(value), value
        return open_keys if state is None else state

    return test


def tested(leaf: Leaf, rules: RuleSet) -> ValueTest:
    """A function that tells whether a test holds of a value; None where the value leaves it open."""
    names = frozenset(leaf.operand)
    if leaf.test == "known":
        return lambda value: None if value is None else value is not CANT_TELL and value is not NOT_APPLICABLE
    if leaf.test in ("answered", "unanswered"):  # open while there is none, since an answer may still come
        wanted_answer = leaf.test == "answered"
        return lambda value: None if value is None else wanted_answer
    if leaf.test in ("beyond", "within"):
        limit, wanted = rules.limits[leaf.operand[0]], leaf.test == "beyond"
        return lambda value: _against(value, limit, wanted)
    if leaf.test in ("has-any", "has-none"):
        any_wanted = leaf.test == "has-any"
        return lambda value: _has(value, names, any_wanted)
    return lambda value: _among(value, names)


def _among(value: Value | None, choices: frozenset[str]) -> bool | None:
    if isinstance(value, Choice):
        return value.id in choices
    if isinstance(value, OneOf):
        inside = [name in choices for name in value.possible]
        return True if all(inside) else None if any(inside) else False
    return False if value is NOT_APPLICABLE else None


def _has(value: Value | None, names: frozenset[str], wanted: bool) -> bool | None:
    if not isinstance(value, Choices):
        return None
    if value.present & names:
        return wanted
    if value.absent is None or names <= value.absent:
        return not wanted
    return None


def _against(value: Value | None, limit: Limit, wanted: bool) -> bool | None:
    if isinstance(value, Measure):
        beyond = limit.is_beyond(value)
    elif isinstance(value, Readings):
        beyond = _any_beyond(value, limit)
    else:
        return False if value is NOT_APPLICABLE else None
    return None if beyond is None else beyond is wanted


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
