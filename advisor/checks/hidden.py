"""No ruling is hidden by others: in some case it decides. A ruling is hidden when, wherever it holds, another one of a
worse verdict holds as well, or another one brings the very same ending or restriction. Taking it out would change no
case, so it only looks like a rule."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.checks.firing import firing
from advisor.checks.proof import Bench, Proof, bench_of
from advisor.engine.judgement import Reason
from advisor.errors import Problem
from advisor.model.rules import RuleSet, Ruling


def check(rules: RuleSet) -> Iterator[Problem]:
    """Rulings that decide in no case, each with a case in which it holds and the one that hides it."""
    bench = bench_of(rules)
    seen_alike: dict[tuple[object, ...], Ruling] = {}
    for ruling in rules.rulings():
        twin = seen_alike.setdefault(_counts_as(ruling), ruling)
        along = firing(ruling, bench).along or {}
        hiding = [other for other in along.values() if _hides(other, ruling, bench)]
        if twin is not ruling:
            yield _problem(ruling, twin.id, bench)
        elif hiding:
            yield _problem(ruling, hiding[0].ruling, bench)


def _counts_as(ruling: Ruling) -> tuple[object, ...]:
    return ruling.node, ruling.when, ruling.ending, ruling.restriction, ruling.caution, ruling.allows


def _hides(other: Reason, ruling: Ruling, bench: Bench) -> bool:
    if ruling.restriction:
        return other.restriction == ruling.restriction
    own = bench.rules.endings[ruling.ending].verdict if ruling.ending else None
    return own is not None and other.verdict is not None and (other.verdict > own or other.ending == ruling.ending)


def _problem(ruling: Ruling, by: str, bench: Bench) -> Problem:
    case = firing(ruling, bench).case
    return Proof(
        "hidden-ruling",
        bench.place(ruling.node),
        f'the ruling "{ruling.id}" at {ruling.node}: wherever it holds, "{by}" holds too and says as much or worse',
        "a case in which it decides",
        "take one of the two out, or narrow one",
        see=((bench.place(next(r.node for r in bench.rules.rulings() if r.id == by)), f'"{by}"'),)
        if any(r.id == by for r in bench.rules.rulings())
        else (),
        case=bench.text(case) if case is not None else "",
    )
