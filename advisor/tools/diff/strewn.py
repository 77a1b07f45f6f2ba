"""Regions strewn round those that differ, for what no search shows: what hangs together over groups of answers.

They prove nothing; what one of them shows is a case like any other, judged by the engine under both rule sets.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from advisor.tools.diff.regions import Region
from advisor.tools.verify.abstractions import READS
from advisor.tools.verify.workbench import Bench

#: So many regions are strewn for one thing.
MOST_STREWN = 80
#: So many groups at most are moved beside those that it looks at itself.
_MOST_MOVED = 3
#: Steps by which regions, groups and states are gone through, so that each turn puts others together: primes.
_BY_REGION, _BY_GROUP, _BY_STATE = 7, 13, 5


def strewn_regions(regions: Sequence[Region], question: str, bench: Bench) -> Iterator[Region]:
    """Regions near those given; what reads a question's answer is moved in every second."""
    near = sorted(_reading(question, bench))
    places = [_told(number, bench) for number in range(len(bench.space.groups))]
    others = [number for number, told in enumerate(places) if told]
    for turn in range(MOST_STREWN):
        region = dict(regions[turn * _BY_REGION % len(regions)])
        beside = [others[(turn * _BY_GROUP + n * _BY_STATE) % len(others)] for n in range(turn % (_MOST_MOVED + 1))]
        for number in (*(near if turn % 2 else ()), *beside):
            if number not in region and places[number]:
                region[number] = places[number][turn * _BY_STATE % len(places[number])]
        yield region


def _told(number: int, bench: Bench) -> list[int]:
    """The states of a group that answers are known for."""
    return [n for n, state in enumerate(bench.space.states(number)) if state.real] if bench.space.groups[number] else []


def _reading(question: str, bench: Bench) -> set[int]:
    """The groups of the values that read a question's answer, though it stands in no such group."""
    values, space = bench.rules.values, bench.space
    reading = (name for name in space.group_of if name in values and question in READS.get(values[name].function, ()))
    return {space.group_of[name] for name in reading} - {space.group_of.get(question, -1)}


def is_read_beside(question: str, bench: Bench) -> bool:
    """Whether a value reads a question's answer that stands in no group with it, so that no region tells of it."""
    return bool(_reading(question, bench))
