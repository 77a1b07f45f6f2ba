"""Looks for a choice of states that grants every wish, nearest to the quiet case; exact, group by group, cut off early.

A wish is something local that must come out in a certain way. The states of a group that are of one kind to every
wish stand for each other, so that few are left to try; a choice that breaks a wish is given up as soon as all groups
of that wish have a state.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Generator, Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from advisor.tools.verify.factors import Local, Need


class Wish(NamedTuple):
    """Something local, and whether what it gives is as wanted. `surely`: only where it is so for certain."""

    of: Local[Any]
    granted: Callable[[Any], bool]
    surely: bool = False


class Nearest(dict[int, int]):
    """A choice of states; every group that was not chosen is in its quiet state."""

    def __init__(self, chosen: Mapping[int, int], quiet: Sequence[int]) -> None:
        super().__init__(chosen)
        self.quiet = quiet

    def __missing__(self, group: int) -> int:
        return self.quiet[group]


Order = Callable[[int], Sequence[int]]


#: A wish, and the places of its groups among those chosen for, as bits.
_Ready = list[list[tuple[Wish, int]]]
#: For each group chosen for, the needs that look at it: their number, which terms each state takes from them, and the
#: places of their groups as bits.
_Taking = list[list[tuple[int, list[int], int]]]


def solutions(wishes: Sequence[Wish], fixed: Mapping[int, int], order: Order) -> Iterator[dict[int, int]]:
    """Every choice for the groups of the wishes that grants them all, the fixed groups left as they are.

    `order` gives a group's states, those to be tried first in front; a state that it leaves out is never taken.
    """
    groups = _groups(wishes, fixed)
    places = {group: place for place, group in enumerate(groups)}
    needs, beside = _needed(wishes)
    ready: _Ready = [[] for _ in range(len(groups) + 1)]
    for wish in (*beside, *wishes):
        own = [places[group] for group in wish.of.groups if group in places]
        ready[max(own, default=-1) + 1].append((wish, sum(1 << place for place in own)))
    taking, left = _takings(needs, fixed, places)
    chosen = dict(fixed)
    if all(left) and all(wish.granted(wish.of.at(chosen)) for wish, _ in ready[0]):
        kinds: dict[int, list[list[int]]] = {group: [] for group in groups}
        for wish in wishes:
            for group in wish.of.groups:
                if group in kinds:
                    kinds[group].append(wish.of.kinds[group])
        lots = [_lot(kinds[group], order(group)) for group in groups]
        yield from _Search(groups, lots, ready, taking, chosen).deeper(0, left)


_Needed = tuple[list[tuple[Need, bool]], list[Wish]]


def _needed(wishes: Sequence[Wish]) -> _Needed:
    """What has to be for the wishes: conditions by terms, each with whether it has to hold for certain; all else."""
    needs: list[tuple[Need, bool]] = []
    beside: list[Wish] = []
    for wish in wishes:
        if wish.of.needs and (wish.surely or not wish.granted(wish.of.otherwise)):
            for need in wish.of.needs:
                if isinstance(need, Need):
                    needs.append((need, wish.surely))
                else:
                    beside.append(Wish(need, bool))
                    needs += [(each, True) for each in need.needs if isinstance(each, Need)]
    return needs, beside


def _takings(
    needs: list[tuple[Need, bool]], fixed: Mapping[int, int], places: Mapping[int, int]
) -> tuple[_Taking, list[int]]:
    """What each state takes from the needs; and what the fixed groups leave of each of them."""
    taking: _Taking = [[] for _ in places]
    left = [need.sure if surely else need.terms for need, surely in needs]
    for number, (need, surely) in enumerate(needs):
        looks_at = sum(1 << places[group] for group in need.groups if group in places)
        for group in need.groups:
            taken = need.marks(group)[surely]
            if group in fixed:
                left[number] &= ~taken[fixed[group]]
            else:
                taking[places[group]].append((number, taken, looks_at))
    return taking, left


def _groups(wishes: Sequence[Wish], fixed: Mapping[int, int]) -> list[int]:
    """The groups to choose states for, such that wishes can be judged early."""
    left = sorted((wish.of.groups for wish in wishes), key=lambda groups: len([g for g in groups if g not in fixed]))
    return list(dict.fromkeys(group for groups in left for group in groups if group not in fixed))


def _lot(kinds: list[list[int]], order: Sequence[int]) -> list[int]:
    """One state of each kind that the wishes tell apart."""
    apart = list({id(each): each for each in kinds}.values())
    seen: Sequence[object] = apart[0] if len(apart) == 1 else list(zip(*apart, strict=True))
    first: dict[object, int] = {}
    deque(map(first.setdefault, map(seen.__getitem__, order), order), maxlen=0)
    return list(first.values())


class _Search(NamedTuple):
    """Tries one group's states after another."""

    groups: list[int]
    lots: list[list[int]]
    ready: _Ready
    taking: _Taking
    chosen: dict[int, int]

    def deeper(self, depth: int, left: list[int]) -> Generator[dict[int, int], None, int]:
        """Every choice from a depth on; gives, as bits, the groups whose states stood in the way of more.

        Where none comes out for reasons that this group's state has no part in, its other states are not tried.
        `left`: the terms that are left of each need.
        """
        if depth == len(self.groups):
            yield dict(self.chosen)
            return EVERY
        group, own, in_the_way = self.groups[depth], 1 << depth, 0
        for place in self.lots[depth]:
            self.chosen[group] = place
            broken, left_here = self._broken(depth, place, left)
            if broken:
                in_the_way |= broken
                continue
            below = yield from self.deeper(depth + 1, left_here)
            if not below & own:
                in_the_way = below
                break
            in_the_way |= below
        self.chosen.pop(group, None)
        return in_the_way & ~own

    def _broken(self, depth: int, place: int, left: list[int]) -> tuple[int, list[int]]:
        """The groups, as bits, of a need or wish that a state goes against; and what is left of each need."""
        if self.taking[depth]:
            left = left.copy()
            for number, taken, looks_at in self.taking[depth]:
                left[number] &= ~taken[place]
                if not left[number]:
                    return looks_at, left
        for wish, looks_at in self.ready[depth + 1]:
            if not wish.granted(wish.of.at(self.chosen)):
                return looks_at, left
        return 0, left


#: Stands for all groups: where a choice came out, nothing is cut off.
EVERY = -1
