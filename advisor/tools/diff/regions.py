"""The regions of cases in which a ruling, a question or a method can count otherwise, each as a few cases to judge.

A region is a choice of one kind of state for each group that is looked at; every state of a kind is one and the same
to what is compared. Readings in doubt are left out: they only stand between known ones.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import islice, product
from math import prod

from advisor.engine.facts import is_certain
from advisor.model.case import Case, Readings
from advisor.model.quantity import Measure
from advisor.tools.verify.effects import Effect
from advisor.tools.verify.partitions import State
from advisor.tools.verify.workbench import Bench

#: So many regions are judged for one ruling, and looked at for one method; what has more is named.
MOST_REGIONS = 600
MOST_OF_A_METHOD = 2400
MOST_ALTERNATIVES = 8

Region = Iterable[Case]
Lot = list[tuple[int, int, State]]


def of_effect(name: str, benches: Sequence[Bench], cut: set[str]) -> Iterator[Region]:
    """The regions that a ruling or a "can't tell" looks at, under each of the rule sets that has it."""
    for bench in benches:
        for effect in bench.effects.every:
            if effect.id == name:
                for chosen in _chosen(effect.kinds, bench, name, cut):
                    yield _alternatives(chosen, effect, bench)


def of_method(name: str, benches: Sequence[Bench], cut: set[str]) -> Iterator[Region]:
    """The regions that a method looks at, under each of the rule sets that has it."""
    for bench in benches:
        method = bench.rules.methods.get(name)
        if method is not None and method.when is not None:
            kinds = bench.effects.tests.kinds((method.when,))
            for lots in _chosen(kinds, bench, name, cut, MOST_OF_A_METHOD):
                yield (bench.rough([lot[0][2] for lot in lots]),)


def of_question(node: str, question: str, benches: Sequence[Bench], cut: set[str]) -> Iterator[Region]:
    """The quiet case without the question's answer, and every region of a "can't tell" there."""
    for bench in benches:
        if question in bench.rules.questions:
            over = bench.rules.questions[question].over
            yield (bench.case([]).with_answer(over, (question, -1 if over == "tire" else 0), None),)
        yield from of_effect(f"{node}-cant-tell", (bench,), cut)


def _chosen(
    kinds: Mapping[int, list[int]], bench: Bench, name: str, cut: set[str], most: int = MOST_REGIONS
) -> Iterator[tuple[Lot, ...]]:
    lots = [_lots(number, kinds[number], bench) for number in kinds]
    if prod(len(each) for each in lots) > most:
        cut.add(name)
    return islice(product(*lots), most)


def _lots(number: int, kinds: Sequence[int], bench: Bench) -> list[Lot]:
    """The known states of a group by kind, in each the most like the quiet case first."""
    found: dict[tuple[object, ...], Lot] = {}
    for place, state in enumerate(bench.space.states(number)):
        if state.real and not _doubtful(state):
            key = kinds[place], bench.space.turned(number, place)
            found.setdefault(key, []).append((number, place, state))
    return [sorted(lot, key=lambda each: _strange(each[2], bench)) for lot in found.values()]


def _alternatives(lots: Sequence[Lot], effect: Effect, bench: Bench) -> Iterator[Case]:
    """The plainest case of a region; where the effect counts there, others too, as something else may outweigh it."""
    plain = [lot[0][2] for lot in lots]
    yield bench.rough(plain)
    brings = effect.at({number: place for number, place, _ in (lot[0] for lot in lots)})
    if brings.verdict is None and not brings.restriction:
        return
    for nth, lot in enumerate(lots):
        for _, _, state in lot[1:MOST_ALTERNATIVES]:
            yield bench.rough([*plain[:nth], state, *plain[nth + 1 :]])


def _strange(state: State, bench: Bench) -> int:
    """How many questions are answered here and not in the quiet case, or the other way round."""
    asked = {question for name in state.looks for question in bench.space.inputs(name)}
    quiet = {where[2] for where in bench.answers if where[2] in asked}
    return len(quiet ^ {where[2] for where in state.answers})


def _doubtful(state: State) -> bool:
    return any(isinstance(answer, Measure | Readings) and not is_certain(answer) for answer in state.answers.values())
