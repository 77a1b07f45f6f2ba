"""Cases for what no case exercises yet, each the quiet case with as few answers changed as it takes."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice

from msgspec.structs import replace

from advisor.loader.case_file import read_case, split_cases
from advisor.model.case import Case, Readings
from advisor.model.problems import Problems
from advisor.model.quantity import Measure
from advisor.model.ruleset import Leaf
from advisor.tools.case_writer import case_text
from advisor.tools.coverage import Coverage, CoverageItem, DecidingTest, conditions_by_node, held_in
from advisor.tools.verify.backtracking import Wish
from advisor.tools.verify.boundary_values import TODAY
from advisor.tools.verify.factors import Local
from advisor.tools.verify.partitions import State
from advisor.tools.verify.workbench import Bench, bench_of, nothing

#: So many choices are judged for one thing before it is taken that none shows it.
_MOST_TRIED = 12


def proposed(coverage: Coverage) -> Iterator[tuple[CoverageItem, Case | None]]:
    """Each bare thing with a case that exercises it; None where no example is known. What else it covers counts."""
    for item in coverage.bare():
        if (item.kind, item.name) not in coverage.met:
            bench = bench_of(coverage.rules.on(item.day))
            yield item, next((case for case in cases_for(item, bench) if _shows(case, item, coverage)), None)


def _shows(case: Case, item: CoverageItem, coverage: Coverage) -> bool:
    """Whether a case exercises what it is for, read back from its file; then it counts for all that it exercises."""
    (text,) = split_cases(case_text(case, coverage.rules), "proposed")
    try:
        again = read_case(text, coverage.rules, TODAY)
    except Problems:
        return False
    if (item.kind, item.name) not in coverage.marks(again):
        return False
    coverage.add(again)
    return True


def cases_for(item: CoverageItem, bench: Bench) -> Iterator[Case]:
    """Cases that should exercise something, each near the quiet one; whether they do is for the engine to say."""
    if item.kind == "ending" and item.name == bench.rules.about.when_unanswered:
        yield Case(today=item.day or TODAY)
    for wishes, instead in _ways_to(item, bench):
        fixed = {number: place for _, (number, place) in instead}
        for near in islice(bench.found(wishes, fixed, nothing), _MOST_TRIED):
            states = bench.states_of(near, *(row for row, _ in instead))
            if states is not None:
                case = bench.case(states)
                yield replace(case, today=item.day) if item.day else case


CoverageRow = tuple[State, tuple[int, int]]
CasePath = tuple[list[Wish], tuple[CoverageRow, ...]]


def _ways_to(item: CoverageItem, bench: Bench) -> Iterator[CasePath]:
    """What has to come out, in one way or another, for something to be exercised."""
    effects, rules = bench.effects, bench.rules
    if item.kind == "ruling":
        yield from (([Wish(effects.of(r), lambda b: b.holds)], ()) for r in rules.rulings() if r.id == item.name)
    elif item.kind == "can't tell":
        same = (effect for effect in effects.every if effect.id == f"{item.name}-cant-tell")
        yield from (([Wish(effect, lambda b: b.verdict is not None)], ()) for effect in same)
    elif item.kind == "way on":
        node, _, number = item.name.partition("/way-")
        taken = Wish(effects.ways.taken(node), lambda way: way == int(number) - 1)
        yield [taken, Wish(effects.ways.met(node), bool)], ()
    elif item.kind == "ending":
        for ruling in rules.rulings():
            if ruling.ending == item.name:
                yield [Wish(effects.of(ruling), lambda b: b.certain)], ()
    elif item.kind == "method":
        when = next(m.when for m in rules.methods.values() if m.id == item.name)
        yield [Wish(local, lambda state: state is True) for local in effects.tests.all_of(when)] if when else [], ()
    else:
        yield from _to_a_side(item, bench)


def _to_a_side(item: CoverageItem, bench: Bench) -> Iterator[CasePath]:
    """A reading on a side of a limit, or just at it, where it decides the whole condition that it stands in."""
    for node, (leaf, if_held, if_not) in _uses(item.limit, bench):
        local = bench.effects.tests.local
        met: list[Wish] = [Wish(bench.effects.ways.met(node), bool)] if node else []
        for turned in (False, True):
            first, second = (lambda state: state is True), (lambda state: state is False)
            decides = [
                Wish(local(if_held), second if turned else first),
                Wish(local(if_not), first if turned else second),
            ]
            yield from _at(item, leaf, [*met, *decides], bench)


def _at(item: CoverageItem, leaf: Leaf, wishes: list[Wish], bench: Bench) -> Iterator[CasePath]:
    if item.kind == "limit at its figure":
        group = bench.space.group_of[leaf.subject]
        limit = bench.rules.limits[item.limit]
        for state, place in bench.space.rows(group):
            reading = _reading(state, leaf.subject)
            if state.real and reading is not None and reading.exact:
                figure = limit.figure_for(reading)
                if reading.to(figure.unit).low == figure.low:
                    yield wishes, ((state, (group, place)),)
    else:
        wanted = (item.kind == "limit beyond") is (leaf.test == "beyond")
        local: Local[object] = bench.effects.tests.local(leaf)  # type: ignore[assignment]
        yield [*wishes, Wish(local, lambda state: state is wanted)], ()


def _uses(name: str, bench: Bench) -> Iterator[tuple[str, DecidingTest]]:
    """Each test against a limit, and the node at which it is made; an empty text for a method's."""
    for node, condition in conditions_by_node(bench.rules):
        yield from ((node, held) for held in held_in(condition) if held[0].operand[0] == name)


def _reading(state: State, subject: str) -> Measure | None:
    value = state.looks[subject][0]
    if isinstance(value, Readings):
        value = value.readings[0]
    return value if isinstance(value, Measure) else None
