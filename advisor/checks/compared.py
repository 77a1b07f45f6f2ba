"""Whether a change of one answer can make things look better: shared by the checks of worse damage and of doubt.

Only what looks at the changed facts can differ. Each thing that counts before is held against everything that counts
after; where nothing makes up for it, the engine judges both cases, and its word is final.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from advisor.checks.effects import Effect
from advisor.checks.proof import Bench
from advisor.checks.space import Looks, State, looks_of
from advisor.checks.worse import Pair
from advisor.engine.judgement import Judgement
from advisor.model.case import Case
from advisor.model.rules import Verdict

#: So many cases are given to the engine for one effect and pair of states before it is taken as made up for.
MOST_JUDGED = 12


@dataclass(frozen=True, eq=False)
class Slip:
    """Two cases, the second of which comes out better than it may."""

    first: Case
    second: Case
    before: Judgement
    after: Judgement


Least = Callable[[Verdict], Verdict]
Step = tuple[str, object, object]
Better = Callable[[Judgement, Judgement], bool]


def slips(pair: Pair, bench: Bench, least: Least, better: Better) -> Iterator[Slip]:
    """The first slip that a pair of states allows, confirmed by the engine; nothing where there is none."""
    changed = {name for name, look in pair.first.looks.items() if look != pair.second.looks.get(name)}
    own = set(bench.space.numbers(pair.first.looks))
    for effect in bench.effects.every:
        if not effect.names & changed or not _counts(effect):
            continue
        step = _step(effect, pair)
        if step[1] == step[2] or (step, least) in bench.harmless:
            continue
        slip = _slip_of(effect, pair, own, bench, least, better)
        if slip is not None:
            yield slip
            return


def _counts(effect: Effect) -> bool:
    return effect.ruling is None or bool(effect.ruling.ending or effect.ruling.restriction)


def _step(effect: Effect, pair: Pair) -> Step:
    """What an effect can see of a step from one state to the other."""
    first, second = (Looks(state.looks, state.silent) for state in (pair.first, pair.second))
    names = first.table.keys()
    silent = (first.silent, second.silent)
    return effect.id, (effect.seen(first, names), silent[0]), (effect.seen(second, names), silent[1])


def _slip_of(effect: Effect, pair: Pair, own: set[int], bench: Bench, least: Least, better: Better) -> Slip | None:
    numbers = [number for number in bench.effects.numbers(effect) if number not in own]
    judged, falls = 0, False
    for lots in product(*(bench.effects.alike(effect, number) for number in numbers)):
        if not _falls(effect, pair, tuple(lot[0] for lot in lots), least):
            continue
        falls = True
        for further in _not_made_up(effect, pair, lots, own, bench, least):
            slip = judged_both(pair, further, bench, better)
            judged += 1
            if slip is not None or judged >= MOST_JUDGED:
                return slip
    if not falls:
        bench.harmless.add((_step(effect, pair), least))
    return None


def certain(judgement: Judgement) -> bool:
    """Whether a verdict rests on something that holds for certain; one that only doubt brings may give way."""
    return judgement.verdict is Verdict.REPAIR or any(
        reason.verdict == judgement.verdict and not reason.doubt for reason in judgement.reasons
    )


def judged_both(
    pair: Pair, rest: tuple[State, ...], bench: Bench, better: Callable[[Judgement, Judgement], bool]
) -> Slip | None:
    """The engine's word on both cases: a slip where the second comes out better than it may."""
    if not all(state.real for state in (*rest, pair.first, pair.second)):
        return None
    first, second = bench.case((*rest, pair.first)), bench.case((*rest, pair.second))
    before, after = bench.judged(first), bench.judged(second)
    return Slip(first, second, before, after) if better(before, after) else None


def _at(state: State, rest: tuple[State, ...]) -> Looks:
    return looks_of((*rest, state))


def _falls(effect: Effect, pair: Pair, rest: tuple[State, ...], least: Least) -> bool:
    """Whether what an effect brings gets lost or less by the change."""
    before, after = _at(pair.first, rest), _at(pair.second, rest)
    if effect.ruling is not None and effect.ruling.restriction:
        return effect.holds(before) is True and not effect.restricts(after)
    own = effect.verdict(before) if effect.ruling is None or effect.holds(before) is True else None
    if own is None:
        return False
    return (effect.verdict(after) or Verdict.REPAIR) < least(own)


def _not_made_up(
    effect: Effect, pair: Pair, lots: Sequence[list[State]], own: set[int], bench: Bench, least: Least
) -> Iterator[tuple[State, ...]]:
    """States of all facts that matter in which nothing makes up for what got lost; group by group, cut off early."""
    enough = _enough(effect, _at(pair.first, tuple(lot[0] for lot in lots)), least)
    others = [each for each in bench.effects.every if each is not effect and _could_make_up(each, effect)]
    needs = [(each, frozenset(bench.effects.numbers(each))) for each in others]
    choices = {bench.space.group_of[next(iter(lot[0].looks))]: lot for lot in lots}
    have = frozenset(own)
    open_needs = [need - have - choices.keys() for each, need in needs if need & have]
    for number in dict.fromkeys(
        n for need in sorted(open_needs, key=lambda need: (len(need), sorted(need))) for n in sorted(need)
    ):
        choices[number] = bench.space.states(number)
    looks = Looks(pair.second.looks, pair.second.silent)
    if not any(need <= have and enough(each, looks) for each, need in needs):
        yield from _deeper(list(choices.items()), (), looks, have, needs, enough)


def _enough(effect: Effect, before: Looks, least: Least) -> Callable[[Effect, Looks], bool]:
    """Whether another effect brings at least what this one brought."""
    if effect.ruling is not None and effect.ruling.restriction:
        restriction = effect.ruling.restriction
        return lambda other, looks: other.restricts(looks) == restriction
    wanted = least(effect.verdict(before) or Verdict.REPAIR)
    return lambda other, looks: (other.verdict(looks) or Verdict.REPAIR) >= wanted


def _deeper(
    left: list[tuple[int, list[State]]],
    chosen: tuple[State, ...],
    looks: Looks,
    have: frozenset[int],
    needs: list[tuple[Effect, frozenset[int]]],
    enough: Callable[[Effect, Looks], bool],
) -> Iterator[tuple[State, ...]]:
    if not left:
        yield chosen
        return
    (number, states), *rest = left
    now = have | {number}
    complete = [each for each, need in needs if number in need and need <= now]
    for state in states:
        wider = looks.plus(state)
        if not any(enough(each, wider) for each in complete):
            yield from _deeper(rest, (*chosen, state), wider, now, needs, enough)


def _could_make_up(other: Effect, effect: Effect) -> bool:
    if effect.ruling is not None and effect.ruling.restriction:
        return other.ruling is not None and other.ruling.restriction == effect.ruling.restriction
    return other.ruling is None or bool(other.ruling.ending)
