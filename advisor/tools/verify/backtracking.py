"""Looks for a choice of states that grants every wish, nearest to the quiet case; exact, group by group, cut off early.

A wish is something local that must come out in a certain way. The states of a group that are of one kind to every
wish stand for each other, so that few are left to try; a choice that breaks a wish is given up as soon as all groups
of that wish have a state.
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from advisor.tools.verify.factors import Local


class Wish(NamedTuple):
    """Something local, and whether what it gives is as wanted."""

    of: Local[Any]
    granted: Callable[[Any], bool]


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


def solutions(wishes: Sequence[Wish], fixed: Mapping[int, int], order: Order) -> Iterator[dict[int, int]]:
    """Every choice for the groups of the wishes that grants them all, the fixed groups left as they are.

    `order` gives a group's states, those to be tried first in front; a state that it leaves out is never taken.
    """
    groups = _groups(wishes, fixed)
    places = {group: place for place, group in enumerate(groups)}
    ready: _Ready = [[] for _ in range(len(groups) + 1)]
    for wish in (*_needed(wishes), *wishes):
        own = [places[group] for group in wish.of.groups if group in places]
        ready[max(own, default=-1) + 1].append((wish, sum(1 << place for place in own)))
    chosen = dict(fixed)
    if all(wish.granted(wish.of.at(chosen)) for wish, _ in ready[0]):
        lots = [_lot(group, wishes, order) for group in groups]
        yield from _deeper(0, groups, lots, ready, chosen)


def _needed(wishes: Sequence[Wish]) -> Iterator[Wish]:
    """What fewer groups decide and has to be for the wishes: so a choice that leads nowhere is given up earlier."""
    for wish in wishes:
        if wish.of.needs and not wish.granted(wish.of.otherwise):
            yield from (Wish(each, _is_not_false) for each in wish.of.needs)


def _is_not_false(state: object) -> bool:
    return state is not False


def _groups(wishes: Sequence[Wish], fixed: Mapping[int, int]) -> list[int]:
    """The groups to choose states for, such that wishes can be judged early."""
    left = sorted((wish.of.groups for wish in wishes), key=lambda groups: len([g for g in groups if g not in fixed]))
    return list(dict.fromkeys(group for groups in left for group in groups if group not in fixed))


def _lot(group: int, wishes: Sequence[Wish], order: Order) -> list[int]:
    kinds = [wish.of.kinds[group] for wish in wishes if group in wish.of.kinds]
    first: dict[tuple[int, ...], int] = {}
    for place in order(group):
        first.setdefault(tuple([kind[place] for kind in kinds]), place)
    return list(first.values())


def _deeper(
    depth: int, groups: list[int], lots: list[list[int]], ready: _Ready, chosen: dict[int, int]
) -> Generator[dict[int, int], None, int]:
    """Every choice from a depth on; gives, as bits, the groups whose states stood in the way of more.

    Where none comes out for reasons that this group's state has no part in, its other states are not tried.
    """
    if depth == len(groups):
        yield dict(chosen)
        return EVERY
    group, own, in_the_way = groups[depth], 1 << depth, 0
    for place in lots[depth]:
        chosen[group] = place
        for wish, looks_at in ready[depth + 1]:
            if not wish.granted(wish.of.at(chosen)):
                in_the_way |= looks_at
                break
        else:
            below = yield from _deeper(depth + 1, groups, lots, ready, chosen)
            if not below & own:
                in_the_way = below
                break
            in_the_way |= below
    chosen.pop(group, None)
    return in_the_way & ~own


#: Stands for all groups: where a choice came out, nothing is cut off.
EVERY = -1
