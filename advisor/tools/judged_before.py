"""Cases judged before an edit of the rules, and which of them may end otherwise after it.

Judging a case goes by the tests that hold a value against a limit, by the rulings, and by all else that rules say. So
of each case that was judged is kept which values were looked at, place by place, and which rulings brought something or
still could. Where all else is as it was, a case is judged anew only where a test by a limit that was edited comes out
otherwise of one of its values, where a ruling that was edited had a part in it, and where an edited ruling, as it
stands now, is not plainly denied by what was looked at. What is not known of a case counts as open.
"""

from __future__ import annotations

from collections.abc import Container
from functools import cached_property
from typing import Any

import msgspec
from msgspec import Struct, field
from msgspec.structs import replace

from advisor.engine.conditions import Test, compiled, tested
from advisor.engine.facts import OneOf, Value
from advisor.engine.judgement_types import Judgement
from advisor.loader.cache import seal_over
from advisor.loader.kept_language import Remembers
from advisor.loader.kept_values import value_from_data, value_to_data
from advisor.loader.ruleset_codec import figure_of, rule_set_to_json
from advisor.model.case import Choice, Choices, Readings
from advisor.model.inputs import OVER_TIRE
from advisor.model.limits import Limit
from advisor.model.quantity import Measure
from advisor.model.ruleset import Leaf, RuleSet, Ruling, leaves
from advisor.tools.verify.case_space import every_condition
from advisor.tools.verify.partitions import Looks


class JudgedCase(Struct, array_like=True):
    """The rulings that brought something or still could; and by place its part, and the numbers of the values there."""

    rulings: tuple[str, ...]
    places: tuple[tuple[str, tuple[int, ...]], ...]


class JudgedFile(Struct, array_like=True):
    """A file with cases: what it was read from, how many are only proposed, and each; None for one with a problem."""

    read_from: str
    proposed: int
    cases: list[JudgedCase | None]


class JudgedByRules(Struct):
    """What the cases were judged by, apart from all else: limits, and rulings as hashes; every value that was met."""

    limits: dict[str, Limit]
    rulings: dict[str, str]
    values: list[tuple[str, Any]] = field(default_factory=list)
    files: dict[str, JudgedFile] = field(default_factory=dict)


class JudgedBefore:
    """What is known of the cases beside rules `as_proved` from the last time, and what is kept for the next."""

    def __init__(self, rules: RuleSet, memory: Remembers) -> None:
        self._rules, self._memory = rules, memory
        held, self._held_by = _held_limits(rules)
        self._key = memory.key("judged", rule_set_to_json(_all_else(rules, held)))
        found = memory.recalled(self._key)
        self._before = msgspec.json.decode(found, type=JudgedByRules, dec_hook=figure_of) if found else None
        rulings = [ruling for ruling in rules.rulings() if _stands_alone(ruling, rules)]
        hashes = {each.id: seal_over(msgspec.json.encode(each)).hex() for each in rulings}
        known = [] if self._before is None else self._before.values
        self._now = JudgedByRules(
            {name: limit for name, limit in rules.limits.items() if name in held}, hashes, [*known]
        )
        self._numbers = dict[tuple[str, Value | None], int]()

    def file(self, label: str, read_from: str) -> JudgedFile | None:
        """A file as it was judged before; None where it was not, or is another since."""
        found = self._before.files.get(label) if self._before is not None else None
        return found if found is not None and found.read_from == read_from else None

    def keep(self, label: str, judged: JudgedFile) -> None:
        """Remembers a file as it is judged now."""
        self._now.files[label] = judged

    def write(self) -> None:
        """Hands all that is known now to the memory."""
        self._memory.keep(self._key, self._now)

    def case(self, judgement: Judgement) -> JudgedCase:
        """What is kept of a case."""
        places = [
            (over, tuple(self._number(name, value) for name, value in seen.items() if _may_be_kept(value)))
            for over, seen in judgement.walk.tire.seen_at_each()
        ]
        rulings = [*(each.ruling for each in judgement.counted), *(each.ruling for each in judgement.possible)]
        return JudgedCase(tuple(dict.fromkeys(each.id for each in rulings if each is not None)), tuple(places))

    def _number(self, name: str, value: Value | None) -> int:
        number = self._numbers.get((name, value))
        if number is None:
            known, written = self._known_numbers, msgspec.json.encode((name, value_to_data(value)))
            number = self._numbers[name, value] = known.setdefault(written, len(known))
            if number == len(self._now.values):
                self._now.values.append((name, value_to_data(value)))
        return number

    @cached_property
    def _known_numbers(self) -> dict[bytes, int]:
        return {msgspec.json.encode(each): number for number, each in enumerate(self._now.values)}

    def may_end_otherwise(self, case: JudgedCase | None) -> bool:
        """Whether an edit can have to do with a case of those that were judged before."""
        if case is None or self._reordered or not self._edited.isdisjoint(case.rulings):
            return True
        if any(not self._moved.isdisjoint(values) for _, values in case.places):
            return True
        return bool(self._new_tests) and not self._denied(case)

    def _denied(self, case: JudgedCase) -> bool:
        """Whether every ruling that was edited is plainly denied, as it stands now, at each place of a case."""
        at_tire: dict[str, Value | None] = {}
        for over, values in case.places:
            if over == OVER_TIRE:
                at_tire = dict(map(self._values.__getitem__, values))
        for over, values in case.places:
            tests = self._new_tests.get(over, ())
            own = dict(map(self._values.__getitem__, values)) if tests else {}
            looks = Looks({name: (value, _OPEN_FOR_NOTHING) for name, value in {**at_tire, **own}.items()})
            if any(test(looks) is not False for test in tests):  # type: ignore[arg-type]
                return False
        return True

    @cached_property
    def _values(self) -> list[tuple[str, Value | None]]:
        """What the values of the last time are."""
        return (
            [(name, value_from_data(value)) for name, value in self._before.values] if self._before is not None else []
        )

    @cached_property
    def _edited(self) -> frozenset[str]:
        """The rulings that are others since, new or gone."""
        before, now = self._before.rulings if self._before is not None else {}, self._now.rulings
        return frozenset(name for name in {**before, **now} if before.get(name) != now.get(name))

    @cached_property
    def _reordered(self) -> bool:
        """Whether the rulings that stayed stand in another order, by which the ending of a verdict can go."""
        before = self._before.rulings if self._before is not None else {}
        stayed = [name for name in before if name not in self._edited]
        return stayed != [name for name in self._now.rulings if name not in self._edited]

    @cached_property
    def _new_tests(self) -> dict[str, list[Test]]:
        """The conditions of the rulings that were edited, as they stand now, by the part in which they are met."""
        found: dict[str, list[Test]] = {}
        for ruling in self._rules.rulings() if self._edited else ():
            if ruling.id in self._edited:
                part = self._rules.nodes[ruling.node].part
                over = next(each.over for each in self._rules.parts if each.id == part)
                found.setdefault(over, []).append(compiled(ruling.when, self._rules))
        return found

    @cached_property
    def _moved(self) -> frozenset[int]:
        """The values of which a test by an edited limit comes out otherwise than it did."""
        if self._before is None or self._before.limits == self._now.limits:
            return frozenset()
        before = replace(self._rules, limits={**self._rules.limits, **self._before.limits})
        turned: dict[str, list[tuple[Any, Any]]] = {}
        for subject, held in self._held_by.items():
            turned[subject] = [
                (tested(leaf, before), tested(leaf, self._rules))
                for leaf in held
                if before.limits[leaf.operand[0]] != self._rules.limits[leaf.operand[0]]
            ]
        return frozenset(
            number
            for number, (name, value) in enumerate(self._values)
            if any(then(value) is not now(value) for then, now in turned.get(name, ()))
        )


def _held_limits(rules: RuleSet) -> tuple[frozenset[str], dict[str, dict[Leaf, None]]]:
    """The limits of all days that nothing is worked out with; and the tests that hold values against them."""
    figures = {name for value in rules.values.values() for name in value.figures.values()}
    held = frozenset(name for name, limit in rules.limits.items() if name not in figures and not limit.later)
    tests: dict[str, dict[Leaf, None]] = {}
    for leaf in (leaf for condition in every_condition(rules) for leaf in leaves(condition)):
        if leaf.test in ("beyond", "within") and leaf.operand[0] in held:
            tests.setdefault(leaf.subject, {})[leaf] = None
    return held, tests


def _stands_alone(ruling: Ruling, rules: RuleSet) -> bool:
    """Whether judging goes by a ruling only where its condition is not denied."""
    return not ruling.doubts and not rules.days


def _all_else(rules: RuleSet, held: Container[str]) -> RuleSet:
    """Rules without these limits, and without the rulings that stand alone."""
    limits = {name: limit for name, limit in rules.limits.items() if name not in held}
    nodes = {
        name: replace(node, rulings=tuple(each for each in node.rulings if not _stands_alone(each, rules)))
        for name, node in rules.nodes.items()
    }
    return replace(rules, limits=limits, nodes=nodes)


_OPEN_FOR_NOTHING = frozenset[Any]()


def _may_be_kept(value: Value | None) -> bool:
    return isinstance(value, Choice | OneOf | Measure | Readings | Choices)
