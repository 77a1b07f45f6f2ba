"""The regions of two rule sets together: each is one and the same to both of them, for something that can count.

A region is a choice of one kind of state for every group that the thing looks at under either rule set: the common
refinement of what the two tell apart. So an answer that only one of them minds is a region of its own.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import islice, product
from math import prod
from typing import Any, NamedTuple

from advisor.tools.verify.backtracking import Nearest, Wish
from advisor.tools.verify.factors import Local, numbered
from advisor.tools.verify.partitions import State
from advisor.tools.verify.workbench import MOST_CASES, Bench, Breaks

#: So many regions are looked at for one thing; what has more is named.
MOST_REGIONS = 40_000

Region = dict[int, int]


def together(sides: Sequence[Local[Any] | None], nothing: object) -> Local[tuple[Any, Any]]:
    """What both rule sets make of a region; `nothing` where one of them does not have the thing."""
    one, two = sides
    known = [each for each in sides if each is not None]
    groups = sorted({number for each in known for number in each.groups})
    kinds = {n: numbered(zip(*(each.kinds[n] for each in known if n in each.kinds), strict=True)) for n in groups}
    return Local(
        kinds,
        lambda chosen: (
            one.at(chosen) if one is not None else nothing,
            two.at(chosen) if two is not None else nothing,
        ),
    )


def regions_of(local: Local[Any], bench: Bench) -> Iterator[Region]:
    """Every region, each by its states that speak least against a repair."""
    lots = []
    for number in local.groups:
        kinds = local.kinds[number]
        first: dict[int, int] = {}
        for place in bench.mild_order(number):
            first.setdefault(kinds[place], place)
        lots.append(list(first.values()))
    return (dict(zip(local.groups, chosen, strict=True)) for chosen in islice(product(*lots), MOST_REGIONS))


def has_more(local: Local[Any]) -> bool:
    """Whether there are more regions than are looked at."""
    return prod(len(set(kinds)) for kinds in local.kinds.values()) > MOST_REGIONS


class Search(NamedTuple):
    """Where a case is looked for, what outweighs a difference in it, and what else has to come out as wished there."""

    bench: Bench
    breaks: Breaks
    beside: tuple[Wish, ...] = ()


def unmasked(local: Local[Any], wanted: Callable[[Any], bool], search: Search) -> Iterator[Region]:
    """The regions of the whole rule set in which something comes out as wanted and nothing else outweighs it."""
    found = search.bench.found([Wish(local, wanted), *search.beside], {}, search.breaks)
    yield from islice(found, MOST_CASES)


def without_doubt(local: Local[Any], region: Region, doubted: Iterable[str], search: Search) -> Iterator[Region]:
    """Regions of the same kinds with other answers to what the engine finds in doubt, or otherwise, in one.

    What hangs together over groups shows in no state, as a truck tire's print on a car.
    """
    bench, lots = search.bench, []
    homes = {**bench.space.home, **bench.space.group_of}
    for number in sorted({homes[name] for name in doubted if name in homes}):
        kinds, own = local.kinds.get(number, ()), region.get(number, bench.at_rest[number])
        alike = [place for place in bench.mild_order(number) if not kinds or kinds[place] == kinds[own]]
        lots.append([(number, place) for place in alike])
    for places in islice(product(*sorted(lots, key=len, reverse=True)) if lots else (), MOST_CASES):
        near = Nearest({**region, **dict(places)}, bench.at_rest)
        if bench.grants(near, search.breaks) and all(wish.granted(wish.of.at(near)) for wish in search.beside):
            yield near


def states_of(region: Region, benches: Sequence[Bench]) -> list[State] | None:
    """The states that a region puts in the quiet case's place, with the answers of both rule sets.

    None where no answers bring one of them about.
    """
    found = []
    for number, place in region.items():
        if place != benches[0].quiet[number]:
            one, two = (bench.space.states(number)[place] for bench in benches)
            if not one.real:
                return None
            looks, answers = {**two.looks, **one.looks}, {**two.answers, **one.answers}
            found.append(State(looks, answers, {**two.context, **one.context}, silent=one.silent | two.silent))
    return found
