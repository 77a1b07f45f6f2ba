"""The shortest set of answers that by itself gives the verdict: left alone, all others unanswered, it still does.

Worked out, not written by hand. A verdict that one ruling brings needs that ruling's answers only. A verdict that
everything else has to bear out (repair, refer) needs the answers that keep it from being worse as well; those are
kept apart as `rest`. Taking any one answer out of the whole set no longer gives the verdict.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from itertools import combinations

from msgspec import Struct

from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement, Reason
from advisor.explain.dependencies import support
from advisor.model import inputs
from advisor.model.case import TIRE, Case, Key
from advisor.model.ruleset import RuleSet, Verdict

#: Sets up to this many answers are tried out in full, so that the smallest is found and not only a small one.
_MOST_TRIED = 9
#: So few answers are left out one by one at once; of more, whole lots are tried first.
FEW = 14


class ShortReason(Struct, frozen=True):
    """`core`: the answers that bring the verdict. `rest`: those that keep it from being another one."""

    core: tuple[Key, ...]
    rest: tuple[Key, ...]

    @property
    def keys(self) -> tuple[Key, ...]:
        """The whole set."""
        return (*self.core, *self.rest)


def answered_keys(case: Case, rules: RuleSet) -> list[Key]:
    """The address of every answer of a case, in the order of the questions."""
    found: list[Key] = []
    for over in inputs.OVERS:
        for index, answers in enumerate(case.instances(over)):
            found += [(name, TIRE if over == "tire" else index) for name in answers]
    order = {name: place for place, name in enumerate(rules.questions)}
    return sorted(found, key=lambda key: (order[key[0]], key[1]))


def only(case: Case, keys: Iterable[Key], rules: RuleSet) -> Case:
    """The case with these answers alone; everything else is unanswered."""
    kept = Case(today=case.today, skipped=case.skipped)
    for key in sorted(keys, key=lambda each: each[1]):
        over = rules.questions[key[0]].over
        kept = kept.with_answer(over, key, case.get(over, key))
    return kept


def short_reason(judge: Judge, case: Case, judgement: Judgement | None = None) -> ShortReason:
    """The shortest set of answers that by itself gives the case's verdict and ending."""
    now = judgement or judge.judge(case)
    rules = judge.rules

    alone = _judged(judge, case)

    def same(keys: Sequence[Key]) -> bool:
        there = alone(keys)
        return (there.verdict, there.ending) == (now.verdict, now.ending) and (there.settled or not _lasts(now))

    if same(()):
        return ShortReason((), ())
    every = answered_keys(case, rules)
    cores = [
        _core(alone, now, reason, every, support(judge, case, reason))
        for reason in now.deciding
        if reason.ending == now.ending
    ]
    core = min(cores, key=len, default=())
    if core and same(core):
        return ShortReason(core, ())
    needed = _needed(now, every)
    whole = _without_needless(every, same, needed)
    if now.verdict is not Verdict.REPAIR:
        whole = _one_by_one(whole, same, [key for key in needed if not _open_is_worse(key, now, rules)])
    core = tuple(key for key in core if key in whole)
    return ShortReason(core, tuple(key for key in whole if key not in core))


def _lasts(now: Judgement) -> bool:
    """Whether the verdict is settled though questions are open: then the set has to settle it as well."""
    return now.settled and now.verdict.name == "SCRAP"


def _judged(judge: Judge, case: Case) -> Callable[[Iterable[Key]], Judgement]:
    """Judges some of a case's answers alone; each set once."""
    known: dict[frozenset[Key], Judgement] = {}

    def alone(keys: Iterable[Key]) -> Judgement:
        named = frozenset(keys)
        if named not in known:
            known[named] = judge.judge(only(case, named, judge.rules))
        return known[named]

    return alone


def _needed(now: Judgement, every: list[Key]) -> list[Key]:
    """The answers without which a question that has to be answered would be open."""
    asked = {visit.key for visit in now.walk.visits if visit.asked and not visit.stop.node.optional}
    return [key for key in every if key in asked]


def _open_is_worse(key: Key, now: Judgement, rules: RuleSet) -> bool:
    """Whether a question left open could end worse than the verdict, so that its answer is needed for certain."""
    endings = [node.cant_tell.ending for node in rules.nodes.values() if node.asks == key[0]]
    return all(ending and rules.endings[ending].verdict > now.verdict for ending in endings)


def _one_by_one(keys: list[Key], holds: Callable[[Sequence[Key]], bool], tried: Sequence[Key]) -> list[Key]:
    """The keys without each of the tried ones that can be left out after all."""
    for key in tried:
        without = [each for each in keys if each != key]
        if holds(without):
            keys = without
    return keys


def _core(
    alone: Callable[[Iterable[Key]], Judgement], now: Judgement, reason: Reason, every: list[Key], near_by: set[Key]
) -> tuple[Key, ...]:
    """The smallest set that makes one ruling hold."""

    def holds(keys: Sequence[Key]) -> bool:
        there = alone(keys)
        fits = any(
            (each.ruling, each.key, each.ending) == (reason.ruling, reason.key, reason.ending)
            and each.verdict == now.verdict
            for each in there.reasons
        )
        return fits and (there.settled or not _lasts(now))

    if reason.question and holds((reason.key,)):
        return (reason.key,)
    own = [key for key in every if key in near_by]
    every = own if holds(own) else every
    forward = _without_needless(every, holds)
    if all(not holds([each for each in every if each != key]) for key in forward):
        return tuple(forward)
    backward = _without_needless(every[::-1], holds)
    near = [key for key in every if key in forward or key in backward]
    return _smallest(near, min(forward, backward, key=len), every, holds)


def _smallest(
    near: list[Key], small: list[Key], every: list[Key], holds: Callable[[Sequence[Key]], bool]
) -> tuple[Key, ...]:
    """A smaller set than the one found by leaving out, if there is one; in the order of the questions."""
    never_missing = [key for key in near if not holds([each for each in every if each != key])]
    others = [key for key in near if key not in never_missing]
    if len(others) <= _MOST_TRIED:
        for size in range(len(never_missing), len(small)):
            for keys in combinations(others, size - len(never_missing)):
                if holds([*never_missing, *keys]):
                    return tuple(key for key in every if key in never_missing or key in keys)
    return tuple(key for key in every if key in small)


def _without_needless(
    keys: Sequence[Key], holds: Callable[[Sequence[Key]], bool], kept: Sequence[Key] = ()
) -> list[Key]:
    """The keys without every one that can be left out, first in large lots, then one by one; `kept` ones stay."""
    left = list(keys)
    loose = [key for key in keys if key not in kept]
    size = max(len(loose), 1)
    while loose:
        for place in range(0, len(loose), size):
            lot = loose[place : place + size]
            without = [key for key in left if key not in lot]
            if holds(without):
                left = without
        if size == 1:
            break
        loose = [key for key in loose if key in left]
        size = 1 if len(loose) <= FEW else max(size // 4, 1)
    return left
