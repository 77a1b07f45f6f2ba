"""Whether a change of one answer can make things look better: shared by the checks of worse damage and of doubt.

Only what looks at the changed group can get lost. For each thing that counts for certain before, a choice of all other
facts is looked for in which nothing makes up for it after; the engine then judges both cases, and its word is final.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import islice

from advisor.checks.effects import Brings, Effect
from advisor.checks.local import Chosen, Local, T
from advisor.checks.proof import MOST_CASES, Bench, Breaks
from advisor.checks.search import Nearest, Wish, solutions
from advisor.checks.worse import Pair
from advisor.engine.judgement import Judgement
from advisor.errors import Place
from advisor.model.case import Case
from advisor.model.rules import RuleSet, Ruling, Verdict, leaves


@dataclass(frozen=True, eq=False)
class Slip:
    """Two cases, the second of which comes out better than it may. Without cases where no answers bring it about."""

    pair: Pair
    cases: tuple[Case, ...] = ()
    judged: tuple[Judgement, ...] = ()


Least = Callable[[Verdict], Verdict]
Better = Callable[[Judgement, Judgement], bool]


def slips(pair: Pair, bench: Bench, least: Least, better: Better, harmless: set[object]) -> Iterator[Slip]:
    """What a pair of states lets get lost, confirmed by the engine; nothing where there is none.

    `harmless` gathers the steps by which something does not get lost in any case, so that none is looked at twice.
    """
    one, two = pair.places
    for effect in bench.effects.touching.get(pair.group, ()):
        kinds = effect.kinds[pair.group]
        step = effect.id, pair.group, kinds[one], kinds[two]
        if kinds[one] == kinds[two] or step in harmless or effect.ruling is None:
            continue
        makes_up = _makes_up(effect.ruling, bench, least)
        held = Wish(shifted(effect, pair.group, one), lambda brings: brings.certain and brings.holds)
        lost = Wish(effect, lambda brings, effect=effect, makes_up=makes_up: not makes_up(effect, brings))  # type: ignore[misc]
        if next(solutions([held, lost], {pair.group: two}, bench.order), None) is None:
            harmless.add(step)
            continue
        slip = first_slip([held, lost], pair, bench, makes_up, better)
        if slip is not None:
            yield slip


def first_slip(wishes: list[Wish], pair: Pair, bench: Bench, breaks: Breaks, better: Better) -> Slip | None:
    """The first choice of all other facts that the engine confirms, or that no answers are known for."""
    unshown = False
    for near in islice(bench.found(wishes, {pair.group: pair.places[1]}, breaks), MOST_CASES):
        slip = judged_both(pair, near, bench, better)
        if slip is not None and slip.cases:
            return slip
        unshown = unshown or slip is not None
    return Slip(pair) if unshown else None


def judged_both(pair: Pair, near: Nearest, bench: Bench, better: Better) -> Slip | None:
    """The engine's word on both cases: a slip where the second comes out better than it may."""
    rest = {number: place for number, place in near.items() if number != pair.group}
    both = [bench.states_of(rest, *bench.real(pair, side)) for side in (0, 1)]
    if None in both:
        return Slip(pair)
    cases = tuple(bench.case(states) for states in both if states is not None)
    before, after = (bench.judged(case) for case in cases)
    return Slip(pair, cases, (before, after)) if better(before, after) else None


def shifted(of: Local[T], group: int, place: int) -> Local[T]:
    """The same thing with one group's state laid down."""
    kinds = {number: kinds for number, kinds in of.kinds.items() if number != group}

    def at(chosen: Chosen) -> T:
        return of.at({**{number: chosen[number] for number in kinds}, group: place})

    return Local(kinds, at)


def _makes_up(ruling: Ruling, bench: Bench, least: Least) -> Breaks:
    """What makes up for a ruling that gets lost: a verdict that is grave enough, or the same restriction.

    Where nothing may be done with the tire for now, or ever, nothing is left to restrict.
    """
    enough = least(bench.rules.endings[ruling.ending].verdict) if ruling.ending else Verdict.HOLD

    def makes_up(other: Effect, brings: Brings) -> bool:
        if ruling.restriction and brings.restriction == ruling.restriction:
            return True
        return brings.verdict is not None and brings.verdict >= enough

    return makes_up


def behind(before: Judgement, after: Judgement, rules: RuleSet) -> tuple[tuple[Place, str], ...]:
    """Where to look: the rulings that count in the first case and not in the second, and the limits they hold."""
    kept = {reason.ruling for reason in after.reasons if not reason.doubt}
    lost = {reason.ruling for reason in before.reasons if not reason.doubt} - kept
    found: dict[Place, str] = {}
    for ruling in rules.rulings():
        if ruling.id in lost:
            found[rules.place_of_ruling(ruling)] = f'the ruling "{ruling.id}", lost in the second case'
            for leaf in leaves(ruling.when):
                if leaf.test in ("beyond", "within"):
                    name = leaf.operand[0]
                    found[rules.place_of("limits.yaml", name)] = f'the limit "{name}", which it holds a reading against'
    return tuple(found.items())


def certain_verdict(judgement: Judgement) -> Verdict:
    """The verdict of what holds for certain; what only doubt brings may give way."""
    held = (reason.verdict for reason in judgement.reasons if reason.verdict is not None and not reason.doubt)
    return max(held, default=Verdict.REPAIR)


def no_verdict(other: Effect, brings: Brings) -> bool:
    """Whether another effect speaks against a repair."""
    return brings.verdict is not None
