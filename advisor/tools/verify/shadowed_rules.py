"""Rulings that others hide, so that they decide in no case.

A ruling is hidden when, wherever it holds, another one of a worse verdict holds as well, or another one brings the very
same ending or restriction. What an overlay makes idle in its base is meant so: it takes nothing out there, and a
stricter ruling of its own leaves the base's with nothing to decide.

hidden-ruling (warning): a ruling that could be taken out without changing any case.
Why it is bad: it only looks like a rule; whoever edits it wonders why nothing happens.
PASS:
  paths.yaml:
    nodes/size/rulings/+:
      {id: hole-and-sealant, when: {size: {within: largest-hole}, sealant: {is: "yes"}}, ending: hold-open,
       because: sealant has been in the hole, standing: from memory, source: made-up, clause: none}
FAIL:
  paths.yaml:
    nodes/size/rulings/+:
      {id: hole-and-sealant, when: {size: {beyond: largest-hole}, sealant: {is: "yes"}}, ending: hold-open,
       because: sealant has been in the hole, standing: from memory, source: made-up, clause: none}
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import PurePath

from advisor.model.problems import Problem
from advisor.model.ruleset import RuleSet, Ruling, written_out
from advisor.tools.verify.backtracking import Nearest, Wish
from advisor.tools.verify.effects import Brings, Effect, holds_surely
from advisor.tools.verify.workbench import Bench, Breaks, Proof, bench_of, nothing


def check(rules: RuleSet) -> Iterator[Problem]:
    """Rulings that decide in no case, each with a case in which it holds and what hides it there."""
    bench = bench_of(rules)
    first_alike: dict[tuple[object, ...], Ruling] = {}
    twins = {ruling.id: first_alike.setdefault(_counts_as(ruling), ruling) for ruling in rules.rulings()}
    for ruling in rules.rulings():
        twin = twins[ruling.id]
        own = [Wish(bench.effects.of(ruling), holds_surely, surely=True)]
        if twin is not ruling:
            near = next(bench.found(own, {}, nothing), None)
            yield _problem(ruling, [bench.effects.of(twin)], near, bench)
        elif (
            ruling.counts
            and not ruling.doubts
            and all(next(bench.found(own, {}, each), None) is None for each in _hides(ruling, twins, bench))
        ):
            near = next(bench.found(own, {}, nothing), None)
            by = list(_hiding(_hides(ruling, twins, bench), own, near, bench)) if near is not None else []
            if by and not _overruled(ruling, by, rules):
                yield _problem(ruling, by, near, bench)


def _overruled(ruling: Ruling, by: list[Effect], rules: RuleSet) -> bool:
    """Whether a ruling of the base is idle only because of what the overlay on it says."""
    base = PurePath(rules.about.builds_on).name
    stands = [
        PurePath(rules.place_of_ruling(each).file).parent.name for each in (ruling, *(e.ruling for e in by)) if each
    ]
    return len(stands) == len(by) + 1 and stands[0] == base and base not in stands[1:]


def _counts_as(ruling: Ruling) -> tuple[object, ...]:
    return ruling.node, written_out(ruling.when), ruling.ending, ruling.restrictions, ruling.cautions, ruling.allows


def _hides(ruling: Ruling, twins: Mapping[str, Ruling], bench: Bench) -> list[Breaks]:
    """What hides each thing that a ruling brings: its ending, and each restriction."""

    def another(other: Effect) -> bool:
        return other.ruling is None or twins[other.ruling.id] is not twins[ruling.id]  # a twin is named as such

    def graver(other: Effect, brings: Brings) -> bool:
        if brings.verdict is None or brings.verdict < bench.rules.endings[ruling.ending].verdict:
            return False
        same = brings.certain and other.ruling is not None and other.ruling.ending == ruling.ending
        return (brings.verdict > bench.rules.endings[ruling.ending].verdict or same) and another(other)

    found: list[Breaks] = [graver] if ruling.ending else []
    for name in ruling.restrictions:
        found.append(lambda other, brings, name=name: name in brings.restrictions and another(other))  # type: ignore[misc]
    return found


def _hiding(every: list[Breaks], own: list[Wish], near: Nearest, bench: Bench) -> Iterator[Effect]:
    """What hides a ruling, or part of what it brings: one thing where it does so everywhere, else all in one case."""

    def hides(effect: Effect, brings: Brings) -> bool:
        return any(each(effect, brings) for each in every)

    here = [effect for effect in bench.around(near) if hides(effect, effect.at(near))]
    for each in here:
        shows = bench.found(own, {}, lambda other, brings, each=each: other is each and hides(other, brings))  # type: ignore[misc]
        if next(shows, None) is None:
            yield each
            return
    yield from here


def _problem(ruling: Ruling, by: list[Effect], near: Nearest | None, bench: Bench) -> Problem:
    names = " or ".join(f'"{effect.id}"' for effect in by)
    states = bench.states_of(near) if near is not None else None
    return Proof(
        "hidden-ruling",
        bench.rules.place_of_ruling(ruling),
        f'the ruling "{ruling.id}" at {ruling.node}: wherever it holds, {names} holds too and says as much or worse',
        "a case in which it decides",
        "take one of the two out, or narrow one",
        see=tuple((bench.rules.place_of_ruling(each.ruling), f'"{each.id}"') for each in by if each.ruling is not None),
        case=bench.text(bench.case(states)) if states is not None else "",
    )
