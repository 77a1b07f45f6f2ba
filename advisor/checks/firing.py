"""In which states a ruling holds, and what always comes along with it: shared by the checks of rulings."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from advisor.checks.effects import Effect
from advisor.checks.proof import Bench
from advisor.checks.space import State, looks_of
from advisor.engine.judgement import Judgement, Reason
from advisor.model.case import Case
from advisor.model.rules import Ruling

#: So many cases are judged to find one in which a ruling stands alone.
MOST_CASES = 40


@dataclass
class Firing:
    """How a ruling was seen to hold: a case, and the rulings that came along in every case tried."""

    holds_somewhere: bool = False
    case: Case | None = None
    judgement: Judgement | None = None
    along: dict[str, Reason] | None = None
    tried: int = 0
    real: bool = True
    steps: list[tuple[State, ...]] = field(default_factory=list)


def firing(ruling: Ruling, bench: Bench) -> Firing:
    """Looks for cases in which a ruling holds for certain, until one shows it with nothing else beside it."""
    kept = bench.firings.get(ruling.id)
    if kept is None:
        kept = bench.firings[ruling.id] = _look(ruling, bench)
    return kept


def _look(ruling: Ruling, bench: Bench) -> Firing:
    effect = next(each for each in bench.effects.every if each.ruling is ruling)
    found = Firing()
    for states in holding(effect, bench):
        found.holds_somewhere = True
        found.real = all(state.real for state in states)
        if not found.real or ruling.caution or ruling.allows:
            return found
        case = bench.case(states)
        judgement = bench.judged(case)
        own = next((r for r in judgement.reasons if r.ruling == ruling.id and not r.doubt), None)
        if own is None:
            continue
        found.tried += 1
        others = {r.ruling: r for r in judgement.reasons if _rivals(r, own)}
        found.along = others if found.along is None else {k: v for k, v in found.along.items() if k in others}
        if found.case is None or len(others) == 0:
            found.case, found.judgement = case, judgement
        if not found.along or found.tried >= MOST_CASES:
            break
    return found


def _rivals(other: Reason, own: Reason) -> bool:
    """Whether another reason counts towards what the ruling counts towards."""
    if other.ruling == own.ruling:
        return False
    return bool(other.ending) if own.ending else other.restriction == own.restriction


def holding(effect: Effect, bench: Bench) -> Iterator[tuple[State, ...]]:
    """The states in which an effect's ruling holds for certain, those with certain facts only first.

    For a caution those in which it is open come last, since it shows in doubt as well.
    """
    numbers = bench.space.numbers(effect.names)
    later = []
    for states in bench.space.choices(numbers):
        if effect.holds(looks_of(states)) is True:
            if all(state.certain for state in states):
                yield states
            else:
                later.append(states)
    yield from later
    if effect.ruling is not None and effect.ruling.caution:
        yield from (states for states in bench.space.choices(numbers) if effect.holds(looks_of(states)) is not False)
