"""Worse damage that comes out better.

Of two cases that differ in one answer, the one with the worse answer never has a better verdict, a lesser method or
fewer restrictions. Which answers are worse is said by the questions themselves (`worse`, `worse-order`). An outcome
that only doubt brings may give way to one that is certain. Every step from one region to the next worse one is held
against every ruling that it can touch; a step that fails is shown as two cases, one after the other.

worse-looks-better (error): a worse answer with a better verdict, a lesser method or fewer restrictions.
Why it is bad: a tire goes back on the road because it is hurt more.
PASS:
  paths.yaml: {nodes/washed/rulings/not-washed/when: {washed: {is: "no"}}}
FAIL:
  paths.yaml: {nodes/washed/rulings/not-washed/when: {washed: {is: "yes"}}}

How it looks, shared with the check of doubt: only what looks at the changed group can get lost. For each thing that
counts for certain before, a choice of all other facts is looked for in which nothing makes up for it after; the engine
then judges both cases, and its word is final.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import islice

from msgspec import Struct

from advisor.engine.conditions import compiled
from advisor.engine.judgement_types import Judgement
from advisor.model.case import Case
from advisor.model.problems import Place, Problem
from advisor.model.ruleset import RuleSet, Ruling, Verdict, leaves
from advisor.tools.verify.backtracking import Nearest, Wish, solutions
from advisor.tools.verify.dominance import Pair, assumed_pairs, pairs
from advisor.tools.verify.effects import Brings, Effect, holds_surely
from advisor.tools.verify.shrink import smallest
from advisor.tools.verify.workbench import MOST_CASES, Bench, Breaks, Proof, bench_of


class Slip(Struct, frozen=True, eq=False):
    """Two cases, the second of which comes out better than it may. Without cases where no answers bring it about."""

    pair: Pair
    cases: tuple[Case, ...] = ()
    judged: tuple[Judgement, ...] = ()


Least = Callable[[Verdict], Verdict]
Better = Callable[[Judgement, Judgement], bool]


def as_it_was(verdict: Verdict) -> Verdict:
    """Worse damage may not come out milder than it was."""
    return verdict


def at_most_hold(verdict: Verdict) -> Verdict:
    """Doubt may not come out milder than the better of hold and what is known."""
    return min(Verdict.HOLD, verdict)


def better_of(pair: Pair, bench: Bench, least: Least) -> Better:
    """Whether the second judgement is better than the first where it may not be; never where their order is lifted."""
    lifted = [compiled(condition, bench.rules) for condition in pair.beside]

    def better(before: Judgement, after: Judgement) -> bool:
        both = [judgement.walk.tire.part("injuries", 0) for judgement in (before, after)]
        if any(test(facts) is not False for test in lifted for facts in both):
            return False
        return is_better(before, after, bench.rules, least)

    return better


#: So many states that the wishes do not tell apart from the one found are tried where the engine does not confirm it.
MOST_ALIKE = 12
#: What of an outcome can be better than it may be.
BETTER = VERDICT, RESTRICTIONS, METHOD = "verdict", "restrictions", "method"


def is_better(before: Judgement, after: Judgement, rules: RuleSet, least: Least = as_it_was) -> bool:
    """Whether the second judgement is better than the first where it may not be."""
    return bool(what_is_better(before, after, rules, least))


def what_is_better(before: Judgement, after: Judgement, rules: RuleSet, least: Least = as_it_was) -> str:
    """What of the second judgement is better than in the first where it may not be; an empty text where nothing is.

    A restriction that holds for certain may be lost only where the tire does not go back to service as it is.
    """
    if after.verdict < least(certain_verdict(before)):
        return VERDICT
    held = {name for reason in before.reasons if not reason.doubt for name in reason.restrictions}
    if after.verdict <= Verdict.REFER and not held <= set(after.restrictions):
        return RESTRICTIONS
    named = before.verdict is after.verdict and after.verdict <= Verdict.REFER
    return METHOD if named and _rank(after, rules) < _rank(before, rules) else ""


def _rank(judgement: Judgement, rules: RuleSet) -> int:
    return rules.methods[judgement.method].rank if judgement.method else -1


def every_slip(pair: Pair, bench: Bench, least: Least, harmless: set[object]) -> Iterator[Slip]:
    """What a pair of states lets come out better in verdict, restrictions or method."""
    better = better_of(pair, bench, least)
    yield from slips(pair, bench, least, better, harmless)
    yield from _lesser_method(pair, bench, better, harmless)


def _ordered(pair: Pair, bench: Bench) -> list[Wish]:
    """That none of the conditions holds, or may hold, under which the pair's order does not count."""
    local = [
        bench.effects.tests.local(each).laid_down(pair.group, place) for each in pair.beside for place in pair.places
    ]
    return [Wish(each, lambda state: state is False) for each in local]


def _lesser_method(pair: Pair, bench: Bench, better: Better, harmless: set[object]) -> Iterator[Slip]:
    """Steps that lead to a less demanding method."""
    kinds = bench.effects.method_kinds.get(pair.group)
    if kinds is None or kinds[pair.places[0]] == kinds[pair.places[1]]:
        return
    for number in range(1, len(bench.effects.methods)):
        for lesser in range(number):
            step = number, lesser, pair.group, *(kinds[place] for place in pair.places), pair.beside
            if step in harmless:
                continue
            wishes = [*_changes(pair, bench, number, lesser), *_ordered(pair, bench)]
            if next(solutions(wishes, {pair.group: pair.places[1]}, bench.order), None) is None:
                harmless.add(step)
                continue
            slip = first_slip(wishes, pair, bench, no_verdict, better)
            if slip is not None:
                yield slip
                return


def _changes(pair: Pair, bench: Bench, number: int, lesser: int) -> Iterator[Wish]:
    """That one method is chosen before, and a lesser one may be after."""
    tests, methods = bench.effects.tests, bench.effects.methods
    first, second = pair.places
    for when, place in ((methods[number], first), (methods[lesser], second)):
        yield from (Wish(part.laid_down(pair.group, place), _is_true, surely=True) for part in tests.all_of(when))
    for when in methods[:number]:
        yield Wish(tests.local(when).laid_down(pair.group, first), lambda state: state is not True)


def _is_true(state: object) -> bool:
    return state is True


def slips(pair: Pair, bench: Bench, least: Least, better: Better, harmless: set[object]) -> Iterator[Slip]:
    """What a pair of states lets get lost, confirmed by the engine; nothing where there is none.

    `harmless` gathers the steps by which something does not get lost in any case, so that none is looked at twice.
    """
    one, two = pair.places
    told_apart = (
        (effect, effect.ruling, kinds)
        for effect in bench.effects.touching.get(pair.group, ())
        if (kinds := effect.kinds[pair.group])[one] != kinds[two] and effect.ruling and not effect.ruling.doubts
    )
    for effect, part, kinds in (
        (effect, each, kinds) for effect, ruling, kinds in told_apart for each in _parts(ruling)
    ):
        step = effect.id, part, pair.group, kinds[one], kinds[two], pair.beside
        if step in harmless:
            continue
        makes_up = _makes_up(part, bench, least)
        held = Wish(effect.laid_down(pair.group, one), holds_surely, surely=True)
        lost = Wish(effect, lambda brings, effect=effect, makes_up=makes_up: not makes_up(effect, brings))  # type: ignore[misc]
        wishes = [held, lost, *_ordered(pair, bench)]
        if next(solutions(wishes, {pair.group: two}, bench.order), None) is None:
            harmless.add(step)
            continue
        slip = first_slip(wishes, pair, bench, makes_up, better)
        if slip is not None:
            yield slip


def first_slip(wishes: list[Wish], pair: Pair, bench: Bench, breaks: Breaks, better: Better) -> Slip | None:
    """The first choice of all other facts that the engine confirms, or that no answers are known for."""
    unshown = False
    for found in islice(bench.found(wishes, {pair.group: pair.places[1]}, breaks), MOST_CASES):
        for near in (found, *islice(_alike(found, wishes, pair, bench), MOST_ALIKE)):
            slip = judged_both(pair, near, bench, better)
            if slip is not None and slip.cases:
                return slip
            unshown = unshown or slip is not None
    return Slip(pair) if unshown else None


def _alike(near: Nearest, wishes: list[Wish], pair: Pair, bench: Bench) -> Iterator[Nearest]:
    """Choices with another state of one group that is the same to every wish: a print that goes with the vehicle."""
    for group, place in near.items():
        if group == pair.group or place == near.quiet[group]:
            continue
        kinds = [wish.of.kinds[group] for wish in wishes if group in wish.of.groups]
        for other in bench.order(group):
            if other != place and all(kind[other] == kind[place] for kind in kinds):
                yield Nearest({**near, group: other}, near.quiet)


def judged_both(pair: Pair, near: Nearest, bench: Bench, better: Better) -> Slip | None:
    """The engine's word on both cases: a slip where the second comes out better than it may."""
    rest = {number: place for number, place in near.items() if number != pair.group}
    both = [bench.states_of(rest, *bench.real(pair, side)) for side in (0, 1)]
    if None in both:
        return Slip(pair)
    cases = tuple(bench.case(states) for states in both if states is not None)
    before, after = (bench.judged(case) for case in cases)
    return Slip(pair, cases, (before, after)) if better(before, after) else None


def _parts(ruling: Ruling) -> tuple[str, ...]:
    """What a ruling brings that must not get lost: its ending and each restriction, apart from each other."""
    return (*([ruling.ending] if ruling.ending else []), *ruling.restrictions)


def _makes_up(part: str, bench: Bench, least: Least) -> Breaks:
    """What makes up for an ending or a restriction that gets lost: a verdict that is grave enough, or the same one.

    Where nothing may be done with the tire for now, or ever, nothing is left to restrict.
    """
    ending = bench.rules.endings.get(part)
    enough = least(ending.verdict) if ending else Verdict.HOLD

    def makes_up(other: Effect, brings: Brings) -> bool:
        if part in brings.restrictions:
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


def outcome_in_words(judgement: Judgement) -> str:
    """Verdict, method and restrictions on one line."""
    return ", ".join([str(judgement.verdict), *(n for n in (judgement.method, *judgement.restrictions) if n)])


def check(rules: RuleSet) -> Iterator[Problem]:
    """Questions and values of which a worse answer can bring a better outcome."""
    bench = bench_of(rules)
    harmless: set[object] = set()
    ordered = [question for question in rules.questions.values() if question.worse or question.worse_order]
    lots = [pairs(question, bench.space, doubt=False) for question in ordered]
    for lot in (*lots, assumed_pairs(bench.space, doubt=False)):
        slip = next((slip for pair in lot for slip in every_slip(pair, bench, as_it_was, harmless)), None)
        if slip is not None:
            yield _problem(slip, bench)


def _problem(slip: Slip, bench: Bench) -> Proof:
    name, place = bench.named(slip.pair.about)
    cases = smallest(slip.cases, bench, better_of(slip.pair, bench, as_it_was))
    judged = [bench.judged(case) for case in cases]
    said = [outcome_in_words(judgement) for judgement in judged]
    return Proof(
        "worse-looks-better",
        place,
        f"worse damage with a better outcome: {name}" + (f", from {said[0]} to {said[1]}" if cases else ""),
        "the same or worse",
        "look at the rulings that hold in the first case and not in the second; "
        "where the order of two choices does not count, say so in not-ordered, and why",
        see=behind(judged[0], judged[1], bench.rules) if judged else (),
        case=bench.text(*cases),
    )
