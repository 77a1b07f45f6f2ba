"""Which limits a condition goes by, named in it or as a figure of a worked-out value that it looks at."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from msgspec import Struct

from advisor.loader.strictness import how_looser
from advisor.model.ruleset import Condition, Limit, RuleSet, leaves
from advisor.tools.verify.reachability import Ways


class Unshown(Struct, frozen=True):
    """A figure that moved and by which something counts, though no case tried came out otherwise.

    `values`: the worked-out values by way of which it counts; none where it is named in conditions alone. `looser` says
    in words how it is looser; it is empty where it is nowhere looser.
    """

    limit: str
    values: tuple[str, ...]
    deciding: tuple[str, ...]
    looser: str


def limits_in(conditions: Iterable[Condition | None], rules: RuleSet) -> set[str]:
    """The limits named in conditions, and those that are figures of the values that they look at."""
    return {limit for condition in conditions for limit in _by_limit(condition, rules)}


def _by_limit(condition: Condition | None, rules: RuleSet) -> dict[str, str]:
    """Each limit that a condition goes by, with the worked-out value whose figure it is, if it is one."""
    found: dict[str, str] = {}
    for leaf in leaves(condition):
        if leaf.test in ("beyond", "within"):
            found[leaf.operand[0]] = ""
        value = rules.values.get(leaf.subject)
        for limit in value.figures.values() if value is not None else ():
            found.setdefault(limit, leaf.subject)
    return found


def unshown(old: RuleSet, new: RuleSet, shown: Iterable[str], told: Iterable[str]) -> Iterator[Unshown]:
    """The changed limits by which something counts, but for those named among the changes shown.

    One that conditions name is left out as well where it is told what else comes out otherwise.
    """
    named, otherwise = set(shown), set(told)
    for limit in sorted(set(changed_limits(old, new)) - named):
        values: dict[str, None] = {}
        deciding: dict[str, None] = {}
        for name, condition in _deciding(new):
            used = _by_limit(condition, new)
            if limit in used and (used[limit] or limit not in otherwise):
                values |= dict.fromkeys(filter(None, [used[limit]]))
                deciding[name] = None
        if deciding:
            looser = how_looser(old.limits[limit], new.limits[limit], decides=True)
            yield Unshown(limit, tuple(values), tuple(deciding), looser)


def _deciding(rules: RuleSet) -> Iterator[tuple[str, Condition | None]]:
    """What brings a verdict, a restriction, a caution or a method, with its conditions and those of the way to it."""
    ways = Ways(rules)
    for ruling in rules.rulings():
        for condition in (ruling.when, *ways.conditions(ruling.node)):
            yield f"ruling {ruling.id}", condition
    for method in rules.methods.values():
        yield f"method {method.id}", method.when


def _meaning(limit: Limit) -> tuple[object, ...]:
    """Figures, worse side, and whether the figure itself passes."""
    return tuple((f.low, f.high, f.unit) for f in limit.figures), limit.worse, limit.at_limit_passes


def changed_limits(old: RuleSet, new: RuleSet) -> Iterator[str]:
    """The limits of both that mean something else."""
    for name in old.limits.keys() & new.limits.keys():
        if _meaning(old.limits[name]) != _meaning(new.limits[name]):
            yield name
