"""Whether a change of one answer can make things look better: shared by the checks of worse damage and of doubt.

Only what looks at the changed facts can differ. Each thing that counts before is held against everything that counts
after; where nothing makes up for it, the engine judges both cases, and its word is final.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from advisor.checks.effects import Effect
from advisor.checks.proof import Bench
from advisor.checks.space import Looks, State, looks_of
from advisor.checks.worse import Pair
from advisor.engine.judgement import Judgement
from advisor.model.case import Case
from advisor.model.rules import Verdict

#: So many cases are given to the engine for one pair of states before it is taken as made up for.
MOST_JUDGED = 60


@dataclass(frozen=True, eq=False)
class Slip:
    """Two cases, the second of which comes out better than it may."""

    first: Case
    second: Case
    before: Judgement
    after: Judgement


Least = Callable[[Verdict], Verdict]


def slips(pair: Pair, bench: Bench, least: Least, better: Callable[[Judgement, Judgement], bool]) -> Iterator[Slip]:
    """The first slip that a pair of states allows, confirmed by the engine; nothing where there is none."""
    touched = _touched(pair, bench)
    own = bench.space.numbers(pair.first.looks)
    for effect in touched:
        if not (effect.ruling is None or effect.ruling.ending or effect.ruling.restriction):
            continue
        numbers = [number for number in bench.space.numbers(effect.names) if number not in own]
        for rest in bench.space.choices(numbers):
            if not _falls(effect, pair, rest, least):
                continue
            judged = 0
            for more in _not_made_up(effect, pair, rest, touched, bench, least):
                slip = judged_both(pair, (*rest, *more), bench, better)
                if slip is not None:
                    yield slip
                    return
                judged += 1
                if judged >= MOST_JUDGED:
                    break


def judged_both(
    pair: Pair, rest: tuple[State, ...], bench: Bench, better: Callable[[Judgement, Judgement], bool]
) -> Slip | None:
    """The engine's word on both cases: a slip where the second comes out better than it may."""
    if not all(state.real for state in (*rest, pair.first, pair.second)):
        return None
    first, second = bench.case((*rest, pair.first)), bench.case((*rest, pair.second))
    before, after = bench.judged(first), bench.judged(second)
    return Slip(first, second, before, after) if better(before, after) else None


def _touched(pair: Pair, bench: Bench) -> list[Effect]:
    names = {name for name, look in pair.first.looks.items() if look != pair.second.looks.get(name)}
    return [effect for effect in bench.effects.every if effect.names & names]


def _at(state: State, rest: tuple[State, ...]) -> Looks:
    return looks_of((*rest, state))


def _falls(effect: Effect, pair: Pair, rest: tuple[State, ...], least: Least) -> bool:
    """Whether what an effect brings gets lost or less by the change."""
    before, after = _at(pair.first, rest), _at(pair.second, rest)
    if effect.ruling is not None and effect.ruling.restriction:
        return effect.holds(before) is True and not effect.restricts(after)
    own = effect.verdict(before) if effect.holds(before) is True else None
    if own is None:
        return False
    return (effect.verdict(after) or Verdict.REPAIR) < least(own)


def _not_made_up(
    effect: Effect, pair: Pair, rest: tuple[State, ...], touched: list[Effect], bench: Bench, least: Least
) -> Iterator[tuple[State, ...]]:
    """States of further facts in which no other effect makes up for what got lost."""
    have = set(bench.space.numbers(pair.first.looks)) | {
        bench.space.group_of[name] for state in rest for name in state.looks
    }
    own = effect.verdict(_at(pair.first, rest))
    others = [each for each in touched if each is not effect and _could_make_up(each, effect)]
    numbers = [n for n in bench.space.numbers({name for each in others for name in each.names}) if n not in have]
    count = 0
    for more in bench.space.choices(numbers, most=4000):
        after = _at(pair.second, (*rest, *more))
        if effect.ruling is not None and effect.ruling.restriction:
            made_up = any(each.restricts(after) == effect.ruling.restriction for each in others)
        else:
            made_up = own is not None and any((each.verdict(after) or Verdict.REPAIR) >= least(own) for each in others)
        if not made_up:
            yield more
            count += 1
            if count > MOST_JUDGED:
                return


def _could_make_up(other: Effect, effect: Effect) -> bool:
    if effect.ruling is not None and effect.ruling.restriction:
        return other.ruling is not None and other.ruling.restriction == effect.ruling.restriction
    return other.ruling is None or bool(other.ruling.ending)
