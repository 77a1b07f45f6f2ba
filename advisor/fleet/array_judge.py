"""Judges rows by arrays: each test is worked out once for each kind of answers that it looks at, for all rows at once.

The same as `Judge` in another order. What a test sees of an answer or a worked-out value is a class: values are of one
class where every test of them comes out alike and they leave the same answers open. A condition is worked out once for
each set of classes that comes up (`compiled`, the one definition of three values); the way through a part once for each
set of outcomes of the conditions on it (`Graph.way`). What counts is then gathered for all rows. A worked-out value is
made once for each set of answers that its function read, and one that nearly every row has otherwise only where
something still hangs on it. Rows of which more has to be known are left to the one-case path (`Outcomes.alone`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date
from itertools import repeat
from typing import Any, cast

import numpy
from msgspec import Struct, structs
from numpy.typing import NDArray

from advisor.engine.conditions import Outcome, ValueTest, compiled, open_keys, tested
from advisor.engine.derived.registry import CALLS, FUNCTIONS
from advisor.engine.evaluator import Judge, label_of
from advisor.engine.facts import COUNT_SPOT, DAY_SPOT, STEP_SPOT, Facts, ReadAt, SharedStep, Tables, Value, is_certain
from advisor.engine.judgement_types import InjuryVerdict
from advisor.engine.reachable import MOST_OPEN, MOST_TRIED
from advisor.engine.traversal import Stop, WayThrough
from advisor.fleet.coded_rows import CodedRows, Codes, RowCoder, RowMarks, by_number, distinct, each_once
from advisor.loader.case_constraints import impossible
from advisor.loader.case_rows import Column, Columns
from advisor.model import inputs
from advisor.model.case import CANT_TELL, TIRE, Answer, Answers, Case, Choice, Choices, Key
from advisor.model.decision_graph import END
from advisor.model.ruleset import Condition, Leaf, Part, Question, RuleSet, Ruling, Verdict, leaves

Look = tuple[Value | None, frozenset[Key]]
Numbers = NDArray[numpy.int64]

#: The class of a value that was not worked out yet: open, by this question of nobody's.
_NOT_YET = "?"
_NO, _YES, _OPEN = 0, 1, 2
#: A value that more rows have otherwise than this share of them is worked out only where something hangs on it.
_COSTLY_SHARE, _COSTLY_LEAST = 8, 64
#: So many rows show what is read for a value.
_PROBES = 16
_MOST_REMEMBERED = 400_000
#: Fewer rows in which an answer is tried out are left to the one-case judge.
_FEWEST_TRIED = 16
_HOLD = numpy.uint8(Verdict.HOLD)


class OutcomeNames:
    """What outcomes name by number, the same on every day."""

    def __init__(self, rules: RuleSet) -> None:
        self.endings = {name: number for number, name in enumerate(("", *rules.endings))}
        self.methods = {name: number for number, name in enumerate(("", *rules.methods))}
        self.restrictions: dict[tuple[str, ...], int] = {(): 0}
        self.missing: dict[tuple[str, ...], int] = {(): 0}


class Outcomes(Struct, frozen=True):
    """What comes of each row, by number in `OutcomeNames`; a verdict is its own number.

    `alone`: the rows that the one-case path has to judge; what stands there of them is nothing.
    """

    verdict: Codes
    ending: Codes
    method: Codes
    restrictions: Codes
    settled: Codes
    missing: Codes
    alone: RowMarks


class CodedTables(Tables):
    """What facts look up; of each answer by number there is one object already."""

    def one_each(self, answers: Answers) -> Answers:
        """The answers as they are."""
        return answers


class SeenByTests:
    """A question or worked-out value as tests see it: its classes, each with a value that stands for it."""

    def __init__(self, name: str, judge: Judge) -> None:
        self.name, self.over = name, judge.rules.over_of(name)
        self.asked = name in judge.rules.questions
        self.looks: list[Look] = []
        self.tests: dict[Leaf, ValueTest] = {}
        self._classes: dict[object, int] = {}
        self._rules = judge.rules

    def add(self, leaf: Leaf) -> None:
        """A test of it."""
        self.tests.setdefault(leaf, tested(leaf, self._rules))

    def class_of(self, look: Look) -> int:
        """The class of a value, by how each test of it comes out and which answers leave it open."""
        key = tuple(test(look[0]) for test in self.tests.values()), look[1]
        found = self._classes.get(key)
        if found is None:
            found = self._classes[key] = len(self.looks)
            self.looks.append(look)
        return found


class Looked:
    """What a test looks at, at one place: for each name the value that stands for its class there."""

    __slots__ = ("memo",)
    trails = ()

    def __init__(self, looks: Mapping[str, Look]) -> None:
        self.memo = looks

    def look(self, name: str) -> Look:
        """As `Facts.look`."""
        return self.memo.get(name, _NOTHING)


_NOTHING: Look = None, frozenset()


class Tested:
    """A condition as seen from the tire or another part, with its outcome for each set of classes that came up."""

    def __init__(self, condition: Condition | None, over: str, judge: ArrayJudge) -> None:
        names = dict.fromkeys(leaf.subject for leaf in leaves(condition))
        self.seen = [judge.seen[name] for name in names if judge.seen[name].over in (over, "tire")]
        self._test = compiled(condition, judge.judge.rules)
        self._outcomes: dict[tuple[int, ...], int] = {}
        self._judge = judge

    def outcome(self, classes: tuple[int, ...]) -> int:
        """No, yes, or which answers leave it open, by number."""
        found = self._outcomes.get(classes)
        if found is None:
            looks = {each.name: each.looks[number] for each, number in zip(self.seen, classes, strict=True)}
            state = self._test(cast(Facts, Looked(looks)))
            found = self._outcomes[classes] = self._judge.number_of(state)
        return found


class ArrayJudge:
    """A judge made ready for many rows; what it has worked out stays for the next ones."""

    def __init__(self, judge: Judge, coder: RowCoder, names: OutcomeNames) -> None:
        self.judge, self.rules, self.graph, self.coder = judge, judge.rules, judge.graph, coder
        self.tables = CodedTables(judge.rules, CALLS)
        self.open_by: list[frozenset[Key]] = [frozenset(), frozenset()]
        self._open_numbers: dict[frozenset[Key], int] = {}
        self.seen: dict[str, SeenByTests] = {}
        for leaf in self._every_leaf():
            self.seen.setdefault(leaf.subject, SeenByTests(leaf.subject, judge)).add(leaf)
        for each in self.seen.values():
            if not each.asked:
                each.class_of((None, frozenset({(_NOT_YET + each.name, TIRE)})))
        self._tested: dict[tuple[Condition | None, str], Tested] = {}
        self._waits_for: list[tuple[str, ...]] = []
        self.routes: dict[tuple[Any, ...], Route] = {}
        self.stops = {
            part.id: [s for s in self.graph.stops.values() if s.node.part == part.id] for part in self.rules.parts
        }
        self.read_by: dict[tuple[str, int], dict[ReadAt, None]] = {}
        self.made: dict[tuple[str, int, tuple[ReadAt, ...]], dict[tuple[int, ...], int]] = {}
        self.steps: dict[SharedStep, int] = {}
        self.class_numbers: dict[tuple[str, int], list[int]] = {}
        self.names = names
        self.more = {part.more for part in judge.rules.parts if part.more}
        self.places = 1 + 2 * len(judge.rules.nodes) + sum(len(node.rulings) for node in judge.rules.nodes.values())
        self._marks: dict[tuple[str, str], list[bool]] = {}

    def _every_leaf(self) -> Iterator[Leaf]:
        conditions: list[Condition | None] = [part.when for part in self.rules.parts]
        for node in self.rules.nodes.values():
            conditions += [node.unless, *(edge.when for edge in node.next), *(each.when for each in node.rulings)]
        conditions += [method.when for method in self.rules.methods.values()]
        return (leaf for condition in conditions for leaf in leaves(condition))

    def number_of(self, state: Outcome) -> int:
        """An outcome's number: no, yes, or that of the answers that leave it open."""
        return int(state) if isinstance(state, bool) else self.open_number(state)

    def open_number(self, keys: frozenset[Key]) -> int:
        """The number of some answers that leave something open."""
        found = self._open_numbers.get(keys)
        if found is None:
            found = self._open_numbers[keys] = len(self.open_by)
            self.open_by.append(keys)
        return found

    def waits_for(self, outcome: int) -> tuple[str, ...]:
        """The values not worked out yet on which an outcome hangs."""
        for keys in self.open_by[len(self._waits_for) :]:
            self._waits_for.append(tuple(name[1:] for name, _ in keys if name.startswith(_NOT_YET)))
        return self._waits_for[outcome]

    def tested(self, condition: Condition | None, over: str) -> Tested:
        """A condition as seen from the tire, an injury or an earlier repair."""
        found = self._tested.get((condition, over))
        if found is None:
            found = self._tested[condition, over] = Tested(condition, over, self)
        return found

    def marks(self, question: str, mark: str) -> RowMarks:
        """Of each answer to a question by number: whether it is `given`, `whole`, `doubtful`, or `not told`."""
        answers = self.coder.numbers[question].answers
        known = self._marks.setdefault((question, mark), [])
        for answer in answers[len(known) :]:
            known.append({
                "given": answer is not None,
                "whole": answer is not None and not (isinstance(answer, Choices) and not answer.complete),
                "doubtful": answer is not None and not is_certain(answer),
                "not told": answer is CANT_TELL and question not in self.tables.counts_as,
            }[mark])  # fmt: skip
        return numpy.array(known, bool)

    @staticmethod
    def bits(names: Iterable[str], every: tuple[str, ...]) -> numpy.uint64:
        """OutcomeNames as bits, each by its place among all."""
        return numpy.uint64(sum(1 << every.index(name) for name in set(names)))

    def note_read(self, place: tuple[str, int], path: Mapping[ReadAt, Any]) -> None:
        """Notes what was read for a value or a step, and for the steps on its way."""
        self.read_by.setdefault(place, {}).update(dict.fromkeys(path))
        for (over, index, label), found in path.items():
            if over == STEP_SPOT:
                self.note_read((label, index), found.path)

    @property
    def remembered(self) -> int:
        """How much is kept."""
        return sum(map(len, self.made.values())) + len(self.open_by) + len(self.routes)

    def judged(self, rows: CodedRows) -> Outcomes:
        """What comes of rows, none of them `alone`."""
        return RowsInHand(self, rows).outcomes()

    def impossible(self, rows: CodedRows) -> RowMarks:
        """The rows with something that cannot be true together."""
        rules = self.rules
        sidewall, code = ("tire", TIRE, rules.question_now(inputs.SIDEWALL)), rules.question_now(inputs.DOT_CODE)
        beside = dict.fromkeys(
            (sidewall, *(("tire", TIRE, name) for name in _questions_read(rules, "overall-diameter")))
        )
        held = {rules.question_now(name) for name in _HELD_AGAINST_SIZE}
        checks = [(*beside, spot) for spot, numbers in rows.answers.items() if spot[2] in held and numbers.any()]
        checks += [(spot,) for spot, numbers in rows.answers.items() if spot[2] == code and numbers.any()]
        found = numpy.zeros(rows.size, bool)
        for spots in checks:
            some = {spot: rows.answers[spot] for spot in spots if spot in rows.answers}
            days = [rows.days] if spots[0][2] == code else []
            first, kinds = distinct([*days, *some.values()], rows.size)
            cases = (self.coder.case_of(structs.replace(rows, answers=some), int(row)) for row in first)
            found |= numpy.array([bool(impossible(case, rules)) for case in cases], bool)[kinds]
        return found


#: The measures that are held against the tire's size.
_HELD_AGAINST_SIZE = (inputs.OFFSET, inputs.REPAIR_OFFSET, inputs.UNIT_LENGTH, inputs.REPAIR_UNIT_LENGTH)


def _questions_read(rules: RuleSet, name: str) -> list[str]:
    """The questions of the tire that a worked-out value goes by."""
    value = rules.values.get(name)
    if value is None:
        return [name] if name in rules.questions and rules.over_of(name) == "tire" else []
    read = (rules.read_by(value, each) for each in FUNCTIONS[value.function].known)
    return [question for each in read for question in _questions_read(rules, each)]


class Route(Struct, frozen=True):
    """The way through a part, if it is walked (else None), and the nodes that open answers could still lead to."""

    way: WayThrough | None
    ahead: tuple[tuple[Stop, int], ...]


class PartRows:
    """A part with its places in the rows, in their order; `routes`: those taken, `which`: each place's among them."""

    def __init__(self, part: Part, at: Numbers, routes: list[Route], which: NDArray[Any]) -> None:
        self.part, self.at, self.routes, self.which = part, at, routes, which

    def where(self, holds: Callable[[Route], bool]) -> Numbers:
        """The places whose route is such a one."""
        wanted = [holds(route) for route in self.routes]
        return self.at if all(wanted) else self.at[numpy.array(wanted, bool)[self.which]]

    def ahead(self, stop: Stop) -> tuple[Numbers, Codes]:
        """The places from which a node might still be reached, and the number of the open answers that could."""
        opened = [next((number for met, number in route.ahead if met is stop), 0) for route in self.routes]
        if not any(opened):
            return self.at[:0], numpy.zeros(0, numpy.int32)
        each = numpy.array(opened, numpy.int32)[self.which]
        return self.at[each > 0], each[each > 0]


class PlaceCounts:
    """What counts at each place: for the tire a row each, for injuries or repairs all rows of the first, then on."""

    def __init__(self, size: int) -> None:
        self.certain = numpy.zeros(size, numpy.int8)
        self.now = numpy.zeros(size, numpy.int8)
        self.score = numpy.full(size, -1, numpy.int64)
        self.possible = numpy.zeros(size, numpy.uint8)
        self.restrictions = numpy.zeros(size, numpy.uint64)
        self.referred = numpy.zeros(size, numpy.uint64)


class WaitingRuling(Struct, frozen=True):
    """A ruling at places where it hangs on a value that takes long to work out; `opened`: as in `Route.ahead`."""

    ruling: Ruling
    stop: Stop
    over: str
    at: Numbers
    opened: Codes | None


class RowsInHand:
    """Some rows being judged: their classes, their ways, then what counts."""

    def __init__(self, home: ArrayJudge, rows: CodedRows) -> None:
        self.home, self.rows, self.size, self.rules = home, rows, rows.size, home.rules
        self.every = numpy.arange(rows.size)
        self.depth = {over: max(rows.most(over), 1) + 1 if over != "tire" else 1 for over in inputs.OVERS}
        self.alone = numpy.zeros(rows.size, bool)
        self._classes: dict[str, Codes] = {}
        self._costly: dict[tuple[str, int], bool] = {}
        self._facts: dict[int, Facts] = {}
        self._steps: dict[tuple[str, int], Codes] = {}
        self._none = numpy.zeros(rows.size, numpy.int32)
        self.missing: dict[Key, RowMarks] = {}
        self.asked: dict[Key, RowMarks] = {}
        self.put_off: dict[Key, RowMarks] = {}
        self.deciding: dict[Key, RowMarks] = {}
        self.waited_for: dict[Key, Codes] = {}
        self.counts = {over: PlaceCounts(rows.size * depth) for over, depth in self.depth.items()}
        self.skipped = numpy.zeros(rows.size, bool)

    # What tests see

    def numbers_at(self, spot: tuple[Any, int, str]) -> Codes:
        """What each row has at a spot, as a number."""
        if spot[0] == DAY_SPOT:
            return self.rows.days
        if spot[0] == COUNT_SPOT:
            return self.rows.counts[spot[2]]
        if spot[0] == STEP_SPOT:
            return self._step_numbers(spot[2], spot[1])
        return self.rows.answers.get(spot, self._none)

    def facts_of(self, row: int) -> Facts:
        """The facts of a row's tire."""
        found = self._facts.get(row)
        if found is None:
            if len(self._facts) >= _MOST_FACTS:
                self._facts.clear()
            found = self._facts[row] = Facts(self.home.tables, self.home.coder.case_of(self.rows, row))
        return found

    def classes(self, seen: SeenByTests) -> Codes:
        """The class of a question or worked-out value at each place."""
        found = self._classes.get(seen.name)
        if found is None:
            if seen.asked:
                places = range(self.depth[seen.over]) if seen.over != "tire" else (TIRE,)
                found = numpy.concatenate([self._answer_classes(seen, index) for index in places])
            else:
                found = numpy.zeros(self.size * self.depth[seen.over], numpy.int32)
            self._classes[seen.name] = found
        return found

    def _answer_classes(self, seen: SeenByTests, index: int) -> Codes:
        answers = self.home.coder.numbers[seen.name].answers
        known = self.home.class_numbers.setdefault((seen.name, index), [])
        for answer in answers[len(known) :]:
            case = _case_with(seen.over, index, {} if answer is None else {seen.name: answer})
            look = Facts(self.home.tables, case).part(seen.over, index).look(seen.name)
            known.append(seen.class_of(look))
        return numpy.array(known, numpy.int32)[self.numbers_at((seen.over, index, seen.name))]

    def states(self, condition: Condition | None, over: str, at: Numbers, wait: bool = False) -> Codes:
        """The outcome of a condition at some places, by number.

        `wait`: what takes long to work out may be left, and the outcome waits for it.
        """
        tested_here = self.home.tested(condition, over)
        there = at if over == "tire" or all(seen.over == over for seen in tested_here.seen) else at % self.size
        while True:
            each = [(self.classes(seen), at if seen.over == over else there) for seen in tested_here.seen]
            columns = [classes if where is self.every else classes[where] for classes, where in each]
            first, kinds = distinct(columns, len(at))
            outcomes = [tested_here.outcome(tuple(int(column[place]) for column in columns)) for place in first]
            waiting: dict[str, list[int]] = {}
            for kind, outcome in enumerate(outcomes):
                for name in self.home.waits_for(outcome):
                    waiting.setdefault(name, []).append(kind)
            kind_numbers = numpy.arange(len(first))
            places = {name: at[numpy.isin(kind_numbers, which)[kinds]] for name, which in waiting.items()}
            made = [self._make(name, over, here, False) for name, here in places.items()]
            if not any(made) and (wait or not any(self._make(name, over, here, True) for name, here in places.items())):
                return numpy.array(outcomes, numpy.int32)[kinds]

    def _make(self, name: str, over: str, at: Numbers, costly: bool) -> bool:
        """Works a value out at some places, one that takes long only if it is `costly`; whether any was."""
        seen = self.home.seen[name]
        places = at if seen.over == over else each_once(at % self.size)
        classes, made = self.classes(seen), False
        for index, rows in self.by_index(places, seen.over):
            if self._costly_here(seen, index):
                if not costly:
                    continue
            else:
                rows = self.every
            start = max(index, 0) * self.size
            rows = rows[classes[rows + start] == 0]
            if len(rows):
                classes[rows + start] = self._worked_out(seen, index, rows)
                made = True
        return made

    def _costly_here(self, seen: SeenByTests, index: int) -> bool:
        """Whether a value is another one in too many rows; what is read for it is found at some of them first."""
        if (seen.name, index) not in self.home.read_by:
            self._worked_out(seen, index, self.every[:: self.size // _PROBES + 1])
        return self._is_costly((seen.name, index))

    def _is_costly(self, place: tuple[str, int]) -> bool:
        """Whether a value or a step is another one in too many rows."""
        found = self._costly.get(place)
        if found is None:
            first, _ = distinct([self.numbers_at(spot) for spot in self._read_for(place)], self.size)
            found = self._costly[place] = len(first) > max(_COSTLY_LEAST, self.size // _COSTLY_SHARE)
        return found

    def _read_for(self, place: tuple[str, int]) -> tuple[ReadAt, ...]:
        """What is read for a value or a step; instead of a step that is another one in too many rows what it reads."""
        found: dict[ReadAt, None] = {}
        for spot in self.home.read_by.get(place, {}):
            over, index, label = spot
            lies_open = over == STEP_SPOT and self._is_costly((label, index))
            found.update(dict.fromkeys(self._read_for((label, index)) if lies_open else (spot,)))
        return tuple(found)

    def _worked_out(self, seen: SeenByTests, index: int, rows: Numbers) -> Codes:
        """The classes of a value at some rows."""
        place = seen.name, index

        def make(row: int) -> int:
            value = self.facts_of(row).part(seen.over, index).worked_out(seen.name)
            self.home.note_read(place, value.path)
            return seen.class_of(value.look)

        return self._made_by_kind(place, rows, make)

    def _step_numbers(self, label: str, index: int) -> Codes:
        """What comes of a step in each row, as a number."""
        found = self._steps.get((label, index))
        if found is None:

            def make(row: int) -> int:
                step = self.facts_of(row).at((STEP_SPOT, index, label))
                self.home.note_read((label, index), step.path)
                return self.home.steps.setdefault(step, len(self.home.steps))

            found = self._steps[label, index] = self._made_by_kind((label, index), self.every, make)
        return found

    def _made_by_kind(self, place: tuple[str, int], rows: Numbers, make: Callable[[int], int]) -> Codes:
        """What is made of rows, by number: once for each set of answers that was read for it.

        Rows are of a kind where all is the same that any of them had read for it, so that one stands for its kind.
        """
        while True:
            spots = self._read_for(place)
            columns = [self.numbers_at(spot)[rows] for spot in spots]
            first, kinds = distinct(columns, len(rows))
            made = self.home.made.setdefault((*place, spots), {})
            keys = zip(*(column[first].tolist() for column in columns), strict=True) if columns else repeat(())
            found = []
            for row, key in zip(rows[first].tolist(), keys, strict=False):
                number = made.get(key)
                if number is None:
                    number = made[key] = make(row)
                found.append(number)
            if self._read_for(place) == spots:
                return numpy.array(found, numpy.int32)[kinds]
            made.clear()  # more is read than was known

    def by_index(self, at: Numbers, over: str) -> Iterator[tuple[int, Numbers]]:
        """The rows of each injury or repair among some places, which stand in order; for the tire all of them."""
        if over == "tire":
            if len(at):
                yield TIRE, at
            return
        ends = numpy.searchsorted(at, numpy.arange(1, self.depth[over] + 1) * self.size)
        start = 0
        for index, end in enumerate(ends.tolist()):
            if end > start:
                yield index, at[start:end] - index * self.size
            start = end

    # The ways

    def parts(self) -> Iterator[PartRows]:
        """Each part with the places where it is walked or might be, and their routes."""
        for part in self.rules.parts:
            entered = self.states(part.when, "tire", self.every)
            places = [(numpy.zeros(0, numpy.int64), _WALKED)]
            places += self._walked(part, entered) if part.over != "tire" else [(self.every[entered == _YES], _WALKED)]
            for number in each_once(entered[entered >= _OPEN]).tolist():
                rows = self.every[entered == number]
                places += [(at, number) for at, _ in self._each(part, rows, least=1)]
            at = numpy.concatenate([each for each, _ in places])
            opened = numpy.concatenate([numpy.full(len(each), by, numpy.int32) for each, by in places])
            order = numpy.argsort(at, kind="stable")
            if len(at):
                yield PartRows(part, at[order], *self._routes(part, at[order], opened[order]))

    def _each(self, part: Part, rows: Numbers, least: int) -> Iterator[tuple[Numbers, int]]:
        """The places of each injury or repair of some rows, at least so many; for the tire the rows."""
        if part.over == "tire":
            yield rows, TIRE
            return
        lengths = numpy.maximum(self.rows.counts[part.over][rows], max(least, int(part.at_least_one)))
        for index in range(int(lengths.max(initial=0))):
            yield rows[lengths > index] + index * self.size, index

    def _walked(self, part: Part, entered: Codes) -> Iterator[tuple[Numbers, int]]:
        """The places of injuries or repairs for which a part is walked; and the next one, where it is not ruled out."""
        rows = self.every[entered == _YES]
        yield from ((at, _WALKED) for at, _ in self._each(part, rows, least=0))
        if not part.more or not len(rows):
            return
        count = self.rows.counts[part.over][rows]
        length = numpy.maximum(count, int(part.at_least_one))
        numbers = self.home.coder.numbers[part.more]
        decided = [number for number, answer in enumerate(numbers.answers) if str(answer) in ("yes", "no")]
        for index in range(int(length.max()) + 1):
            next_one = rows[length == index]
            last = self.numbers_at((part.over, index - 1, part.more))[next_one]
            last = numpy.where(count[length == index] == index, last, 0)
            open_now = next_one[~numpy.isin(last, decided)]
            yield open_now + index * self.size, self.home.open_number(frozenset({(part.more, index - 1)}))

    def _routes(self, part: Part, at: Numbers, opened: Codes) -> tuple[list[Route], NDArray[Any]]:
        """The routes through a part, and which of them each place takes."""
        stops = self.home.stops[part.id]
        terms, columns = list[int](), [opened]
        for stop in stops:
            if stop.node.unless is not None:
                terms.append(stop.unless)
                columns.append((self.states(stop.node.unless, part.over, at) == _YES).astype(numpy.int32))
        for stop in stops:
            for (mask, _, _), edge in zip(stop.next, stop.node.next, strict=True):
                if edge.when is not None:
                    terms.append(mask)
                    columns.append(self.states(edge.when, part.over, at))
        first, kinds = distinct(columns, len(at))
        routes = []
        for place in first.tolist():
            numbers = [int(column[place]) for column in columns]
            route = self.home.routes.get((part.id, *numbers))
            if route is None:
                states = _StatesHere(dict(zip(terms, numbers[1:], strict=True)))
                looked = self._looked(stops, part.over, int(at[place]))
                route = self.home.routes[part.id, *numbers] = self._route(part, states, looked, int(opened[place]))
            routes.append(route)
        return routes, kinds

    def _looked(self, stops: Iterable[Stop], over: str, place: int) -> Looked:
        names = {leaf.subject for stop in stops for edge in stop.node.next for leaf in leaves(edge.when)}
        every = [seen for name in names if (seen := self.home.seen[name]).over in (over, "tire")]
        here = ((seen, place if seen.over == over else place % self.size) for seen in every)
        return Looked({seen.name: seen.looks[self.classes(seen)[at]] for seen, at in here})

    def _perhaps_from(
        self, name: str, facts: Facts, states: _StatesHere, met: set[str], opened_by: frozenset[Key]
    ) -> Iterator[tuple[Stop, frozenset[Key]]]:
        """As the walk of one case: each node not met that ways not ruled out lead to, with the answers that could."""
        ahead = [(name, opened_by)]
        while ahead:
            name, opened_by = ahead.pop(0)
            if name == END or name in met:
                continue
            met.add(name)
            stop, first, others = self.home.graph.stops[name], END, list[tuple[str, frozenset[Key]]]()
            yield stop, opened_by
            for terms, test, target in stop.next:
                state = states.state(terms)
                if state is True:
                    first = target
                    break
                if state is None:
                    others.append((target, opened_by | open_keys(test(facts))))
            ahead += [(first, opened_by), *others]

    def _route(self, part: Part, states: _StatesHere, looked: Looked, opened: int) -> Route:
        graph, facts = self.home.graph, cast(Facts, looked)
        if opened != _WALKED:
            ahead = list(self._perhaps_from(part.starts, facts, states, set(), self.home.open_by[opened]))
            return Route(None, tuple((stop, self.home.open_number(keys)) for stop, keys in ahead))
        way, ahead = graph.way(part, states), []
        met = {stop.node.id for stop, _ in way.stops}
        for target, test in way.aside:
            ahead += self._perhaps_from(target, facts, states, met, open_keys(test(facts)))
        return Route(way, tuple((stop, self.home.open_number(keys)) for stop, keys in ahead))

    # What is missing, and what counts

    def count(self) -> list[PartRows]:
        """PlaceCounts all that counts; gives the parts that were walked."""
        parts = list(self.parts())
        for each in parts:
            self._note_missing(each)
        self.lacking = numpy.logical_or.reduce([numpy.zeros(self.size, bool), *self.missing.values()])
        self.would_be_later = numpy.logical_or.reduce([numpy.zeros(self.size, bool), *self.put_off.values()])
        waiting = [each for part in parts for each in self._part_counted(part)]
        self.certain = self._whole("certain")
        for late in waiting:
            self._count_late(late)
        self.certain, self.now = self._whole("certain"), self._whole("now")
        return parts

    def key_at(self, question: str, index: int) -> Key:
        """An answer's address as seen from a place."""
        question = self.home.tables.names.get(question, question)
        return question, (index if self.home.tables.overs.get(question) != "tire" else TIRE)

    def _numbers_of(self, key: Key) -> Codes:
        over = self.home.tables.overs.get(key[0], "tire")
        return self.numbers_at((over, key[1], key[0]))

    def _marked(self, key: Key, mark: str) -> RowMarks:
        """The rows whose answer at an address is of some kind."""
        return self.home.marks(key[0], mark)[self._numbers_of(key)]

    def _note_missing(self, each: PartRows) -> None:
        """Notes what is asked, what of it has to be answered and is not, and what is put off."""
        over = each.part.over
        for stop in self.home.stops[each.part.id]:
            if not stop.node.asks:
                continue
            asked = each.where(lambda route: _asks(route, stop))  # noqa: B023
            for index, rows in self.by_index(asked, over):
                key = self.key_at(stop.node.asks, index)
                self._mark(self.asked, key, rows)
                if not stop.node.optional:
                    self._mark(self.missing, key, rows[~self._marked(key, "whole")[rows]])
            if stop.node.id in self.home.graph.put_off:
                left = each.where(lambda route: _passes(route, stop) and not _asks(route, stop))  # noqa: B023
                for index, rows in self.by_index(left, over):
                    key = self.key_at(stop.node.asks, index)
                    self._mark(self.put_off, key, rows[~self._marked(key, "given")[rows]])

    def _mark(self, marks: dict[Key, RowMarks], key: Key, rows: Numbers) -> None:
        if len(rows):
            found = marks.get(key)
            if found is None:
                found = marks[key] = numpy.zeros(self.size, bool)
            found[rows] = True

    def _part_counted(self, each: PartRows) -> Iterator[WaitingRuling]:
        """PlaceCounts what counts in a part; gives what waits for values that take long to work out."""
        over = each.part.over
        for stop in self.home.stops[each.part.id]:
            if stop.node.cant_tell.ending:
                self._cant_tell(stop, over, each.where(lambda route: _asks(route, stop)))  # noqa: B023
            rulings = [ruling for ruling, _ in stop.rulings if ruling.counts]
            if not rulings:
                continue
            met = each.where(lambda route: _passes(route, stop))  # noqa: B023
            perhaps, opened = each.ahead(stop)
            for ruling in rulings:
                yield from self._counted(WaitingRuling(ruling, stop, over, met, None), wait=True)
                if ruling.ending and len(perhaps):
                    yield from self._counted(WaitingRuling(ruling, stop, over, perhaps, opened), wait=True)

    def _counted(self, each: WaitingRuling, wait: bool) -> Iterator[WaitingRuling]:
        """PlaceCounts a ruling where it holds or is open; gives where it waits."""
        ruling, over, at, opened = each.ruling, each.over, each.at, each.opened
        if not len(at):
            return
        outcomes = self.states(ruling.when, over, at, wait)
        for outcome in numpy.flatnonzero(numpy.bincount(outcomes)).tolist():
            if outcome == _NO:
                continue
            here = outcomes == outcome
            places, keys = at[here], self.home.open_by[outcome]
            if self.home.waits_for(outcome):
                yield WaitingRuling(ruling, each.stop, over, places, None if opened is None else opened[here])
            elif opened is not None:
                for number in each_once(opened[here]).tolist():
                    self._possible(ruling, over, places[opened[here] == number], keys | self.home.open_by[number])
            elif ruling.doubts:
                for index, rows in self.by_index(places, over):
                    doubted = frozenset(self.key_at(name, index) for name in ruling.doubts)
                    self._open(ruling, each.stop, over, rows + max(index, 0) * self.size, doubted)
            elif outcome == _YES:
                ending, verdict = self.home.judge.certainly(ruling)
                self._count(ruling, each.stop, over, places, ending, verdict, False)
            else:
                self._open(ruling, each.stop, over, places, keys)

    def _count_late(self, each: WaitingRuling) -> None:
        """PlaceCounts a ruling that waited, where it could still change anything.

        It could not where something worse is certain, or something as bad whose ending stands before its own; unless it
        brings a restriction, or something is put off that would be asked for its sake.
        """
        if not each.ruling.restrictions:
            rows, worst = each.at % self.size, self._worst_of(each.ruling)
            moot = self.certain[rows] > worst
            if not any(self.rules.endings[name].method for name in self._endings_of(each.ruling)):
                best = (
                    (self._rank(each.ruling, each.stop, worst, False) + 1) * _MOST_PARTS * len(self.home.names.endings)
                )
                moot |= (self.certain[rows] == worst) & (self._whole("score")[rows] >= best)
            moot &= ~self.would_be_later[rows]
            self.skipped[rows[moot]] = True
            opened = None if each.opened is None else each.opened[~moot]
            each = WaitingRuling(each.ruling, each.stop, each.over, each.at[~moot], opened)
        for _ in self._counted(each, wait=False):
            raise AssertionError("a value that was asked for and not worked out")

    def _rank(self, ruling: Ruling | None, stop: Stop, verdict: int, doubt: bool) -> int:
        """By which the ending is chosen: the worst verdict's, a certain one before a doubtful one, the first met."""
        places = self.home.places
        return (verdict * 2 + (not doubt)) * places + places - 1 - self.home.judge.place(stop.node, ruling)

    def _endings_of(self, ruling: Ruling) -> list[str]:
        """The endings that a ruling could bring, held for certain or in doubt."""
        names = (ruling.ending, ruling.doubt_ending, ruling.in_doubt, self.rules.about.when_in_doubt)
        return [name for name in names if name in self.rules.endings]

    def _worst_of(self, ruling: Ruling) -> int:
        """The worst verdict that a ruling could bring."""
        return max(int(self.rules.endings[name].verdict) for name in self._endings_of(ruling))

    def _cant_tell(self, stop: Stop, over: str, at: Numbers) -> None:
        """PlaceCounts what "can't tell" brings at a question; where it is not answered yet, what it could bring."""
        ending = stop.node.cant_tell.ending
        verdict = self.rules.endings[ending].verdict
        for index, rows in self.by_index(at, over):
            key, start = self.key_at(stop.node.asks, index), max(index, 0) * self.size
            told = rows[self._marked(key, "not told")[rows]]
            if self.home.tables.overs.get(key[0]) == over:
                self._count(None, stop, over, told + start, ending, verdict, True)
            else:
                self.alone[told] = True
            if (missing := self.missing.get(key)) is not None:
                self._note_possible(over, rows[missing[rows]] + start, {int(verdict)}, frozenset({key}))

    def _open(self, ruling: Ruling, stop: Stop, over: str, at: Numbers, keys: frozenset[Key]) -> None:
        """As the one-case judge: still to be asked, or in doubt, which then counts at once."""
        if ruling.in_doubt == "never":
            return
        rows, none = at % self.size, numpy.zeros(len(at), bool)
        waiting, asked, given = none, none, none
        for key in keys:
            waiting = waiting | self.missing[key][rows] if key in self.missing else waiting
            asked = asked | self.asked[key][rows] if ruling.ending and key in self.asked else asked
            given = given | self._marked(key, "given")[rows]
        quiet = ~waiting & ~given & ~asked if ruling.in_doubt != "same" else none
        if ruling.ending:
            needed = any(name in self.home.graph.needed for name, _ in keys)
            self._possible(ruling, over, at if needed else at[~quiet], keys)
        if not ruling.allows or ruling.cautions:
            ending, verdict = self.home.judge.doubt.brings(ruling, {name for name, _ in keys})
            self._count(ruling, stop, over, at[~(quiet | waiting)], ending, verdict, bool(keys))

    def _count(
        self,
        ruling: Ruling | None,
        stop: Stop,
        over: str,
        at: Numbers,
        ending: str,
        verdict: Verdict | None,
        doubt: bool,
    ) -> None:
        """PlaceCounts what a ruling, or (None) an answer "can't tell", brings at some places."""
        counts = self.counts[over]
        if not len(at):
            return
        if ruling is not None and ruling.restrictions:
            counts.restrictions[at] |= self.home.bits(ruling.restrictions, tuple(self.rules.restrictions))
        if verdict is None:
            return
        counts.now[at] = numpy.maximum(counts.now[at], int(verdict))
        if not doubt:
            counts.certain[at] = numpy.maximum(counts.certain[at], int(verdict))
        if ending:
            endings, rank = self.home.names.endings, self._rank(ruling, stop, int(verdict), doubt)
            score = (rank * _MOST_PARTS + (_MOST_PARTS - 1 - at // self.size)) * len(endings) + endings[ending]
            counts.score[at] = numpy.maximum(counts.score[at], score)
            if verdict is Verdict.REFER and (method := self.rules.endings[ending].method):
                counts.referred[at] |= self.home.bits((method,), tuple(self.rules.methods))

    def _possible(self, ruling: Ruling, over: str, at: Numbers, keys: frozenset[Key]) -> None:
        endings = self.rules.endings
        both = (ruling.ending, self.home.judge.doubt.ending(ruling, {name for name, _ in keys}))
        self._note_possible(over, at, {int(endings[name].verdict) for name in both}, keys)

    def _note_possible(self, over: str, at: Numbers, verdicts: set[int], keys: frozenset[Key]) -> None:
        if not len(at):
            return
        self.counts[over].possible[at] |= numpy.uint8(sum(1 << verdict for verdict in verdicts))
        rows = at % self.size
        for key in keys:
            self._mark(self.deciding, key, rows)
            waited_for = self.waited_for.setdefault(key, numpy.zeros(self.size, numpy.int32))
            numpy.add.at(waited_for, rows, 1)

    # Put together

    def _whole(self, name: str) -> NDArray[Any]:
        """What counts of all places of each row: the worst, or all of it."""
        each = [getattr(self.counts[over], name).reshape(depth, self.size) for over, depth in self.depth.items()]
        join = numpy.maximum if name in ("certain", "now", "score") else numpy.bitwise_or
        found: NDArray[Any] = join.reduce(numpy.concatenate(each), axis=0)
        return found

    def each_alone(self) -> NDArray[Any]:
        """The verdicts that each ruling by itself leaves open, as bits."""
        one, certain, now = numpy.uint8(1), self.certain.astype(numpy.uint8), self.now.astype(numpy.uint8)
        could = (one << certain) | (one << now) | (self._whole("possible") & ~((numpy.uint8(2) << certain) - one))
        worse = one << numpy.maximum(now, _HOLD)
        could = numpy.where(self.lacking & (_HOW_MANY[could] > 1), could | worse, could)
        found: NDArray[Any] = numpy.where(self.lacking & (could == 1), could | (one << _HOLD), could)
        return found

    def verdicts(self, could: NDArray[Any]) -> tuple[Codes, Codes, Codes]:
        """Verdict, ending and method; a repair without a method for each injury is left alone."""
        names = self.home.names
        unanswered = self.lacking & (self.now < _HOLD) & (_HOW_MANY[could] > 1)
        verdict = numpy.where(unanswered, _HOLD, self.now).astype(numpy.int32)
        score = self._whole("score")
        ending = numpy.where(score >= 0, score % len(names.endings), names.endings[""]).astype(numpy.int32)
        ending[unanswered] = names.endings[self.rules.about.when_unanswered]
        method = numpy.full(self.size, names.methods[""], numpy.int32)
        self._refer(verdict, method)
        self._repair(verdict, ending, method)
        return verdict, ending, method

    def outcomes(self) -> Outcomes:
        """What comes of the rows."""
        parts = self.count()
        could = self.each_alone()
        verdict, ending, method = self.verdicts(could)
        self._try_out(could, verdict)
        settled = (_HOW_MANY[could] == 1).astype(numpy.int32)
        return Outcomes(verdict, ending, method, self._restrictions(), settled, self._missing(parts), self.alone)

    def _refer(self, verdict: Codes, method: Codes) -> None:
        """The methods of the rows that are referred."""
        rows = self.every[verdict == int(Verdict.REFER)]
        named = self._whole("referred")[rows]
        for bits in each_once(named).tolist():
            names = [name for place, name in enumerate(self.rules.methods) if bits >> place & 1]
            chosen = max(names, key=lambda name: self.rules.methods[name].rank, default="")
            method[rows[named == bits]] = self.home.names.methods[chosen]

    def _repair(self, verdict: Codes, ending: Codes, method: Codes) -> None:
        """Method and ending of the rows to be repaired; those without a method for each injury are left alone."""
        methods, count = self.home.judge.methods, self.rows.counts["injuries"]
        rows = self.every[verdict == int(Verdict.REPAIR)]
        self.alone[rows[count[rows] == 0]] = True
        columns = []
        for index in range(int(count[rows].max(initial=0))):
            chosen = numpy.full(len(rows), _NO_METHOD, numpy.int32)
            for place, (each, _, _) in reversed(list(enumerate(methods.ranked))):
                holds = self.states(each.when, "injuries", rows + index * self.size) == _YES
                chosen[holds] = place + _FIRST_METHOD
            there = count[rows] > index
            self.alone[rows[there & (chosen == _NO_METHOD)]] = True
            columns.append(numpy.where(there, chosen, _NO_INJURY))
        first, kinds = distinct(columns, len(rows))
        for kind, place in enumerate(first.tolist()):
            each_one = [int(column[place]) - _FIRST_METHOD for column in columns if column[place] != _NO_INJURY]
            names = [methods.ranked[number][0].id if number >= 0 else "" for number in each_one]
            name, _ = methods.most_demanding([InjuryVerdict(0, Verdict.REPAIR, "", each, ()) for each in names])
            these = rows[kinds == kind]
            method[these] = self.home.names.methods[name]
            if called := methods.ending_of(name):
                ending[these] = self.home.names.endings[called]

    def _restrictions(self) -> Codes:
        """The number of each row's restrictions."""
        bits = self._whole("restrictions")
        found = numpy.zeros(self.size, numpy.int32)
        for each in each_once(bits).tolist():
            names = tuple(name for place, name in enumerate(self.rules.restrictions) if each >> place & 1)
            numbers = self.home.names.restrictions
            found[bits == each] = numbers.setdefault(names, len(numbers))
        return found

    def _try_out(self, could: NDArray[Any], verdict: Codes) -> None:
        """Leaves of the verdicts that could be reached those that some answer to each open choice leaves.

        Only where few are open; what is in doubt by answers that were given is left to the one-case judge.
        """
        lacking = sum((each.astype(numpy.int32) for each in self.missing.values()), numpy.zeros(self.size, numpy.int32))
        undecided = (_HOW_MANY[could] > 1) & (lacking <= MOST_OPEN) & ~self.alone
        tried = {key: undecided & (number > 1) for key, number in self.waited_for.items()}
        choices = {key: rows for key, rows in tried.items() if self.rules.questions[key[0]].kind == "choice"}
        doubtful = self.skipped | (self.now > self.certain)
        for key, marks in self.deciding.items():
            doubtful = doubtful | (marks & self._marked(key, "doubtful") & ~self.missing.get(key, self._none > 0))
        for rows in choices.values():
            self.alone |= rows & doubtful
        takes = numpy.zeros(self.size, numpy.int32)
        for key, rows in tried.items():
            takes[rows & self.missing.get(key, self._none > 0)] += len(self.rules.questions[key[0]].choices) + 1
        self.alone |= undecided & (takes > MOST_TRIED)
        each = [(key, rows & self.missing[key] & ~self.alone) for key, rows in choices.items() if key in self.missing]
        for key, marks in each:
            self.alone |= marks & (key[0] in self.home.more) if key[1] == TIRE else marks & self._beyond(key)
        wanted = [(key, self.every[marks & ~self.alone]) for key, marks in each]
        if sum(len(rows) for _, rows in wanted) < _FEWEST_TRIED:
            for _, rows in wanted:
                self.alone[rows] = True
        else:
            self._tried(wanted, could, verdict)

    def _beyond(self, key: Key) -> RowMarks:
        """The rows in which an answer would be of an injury or repair that was not told of, or say how many are."""
        over = self.home.tables.overs[key[0]]
        return (self.rows.counts[over] <= key[1]) | (key[0] in self.home.more)

    def _tried(self, wanted: list[tuple[Key, Numbers]], could: NDArray[Any], verdict: Codes) -> None:
        """Judges the rows with each answer to each open choice, all in one."""
        each: list[tuple[Key, Numbers, int, bool]] = [
            (key, rows, self.home.coder.numbers[key[0]].of_answer(answer), answer is CANT_TELL)
            for key, rows in wanted
            for answer in _tries(self.rules.questions[key[0]])
        ]
        other = self.rows.some(numpy.concatenate([rows for _, rows, _, _ in each]))
        answers, start = dict(other.answers), 0
        for key, rows, number, _ in each:
            spot = self.home.tables.overs[key[0]], key[1], key[0]
            answers[spot] = answers.get(spot, numpy.zeros(other.size, numpy.int32)).copy()
            answers[spot][start : start + len(rows)] = number
            start += len(rows)
        trial = RowsInHand(self.home, structs.replace(other, answers=answers))
        trial.count()
        left, start = trial.each_alone(), 0
        trial.verdicts(left)
        reached = {key: numpy.zeros(self.size, numpy.uint8) for key, _ in wanted}
        for key, rows, _, unsure in each:
            here = slice(start, start + len(rows))
            reached[key][rows] |= left[here] & numpy.uint8(15 << _HOLD & 15) if unsure else left[here]
            self.alone[rows[trial.alone[here]]] = True
            start += len(rows)
        for key, rows in wanted:
            could[rows] &= reached[key][rows] | (numpy.uint8(1) << verdict[rows].astype(numpy.uint8))

    def _missing(self, parts: list[PartRows]) -> Codes:
        """The number of what each row lacks, in the order of asking."""
        later = {key: marks & self.deciding[key] for key, marks in self.put_off.items() if key in self.deciding}
        lacking = {key: marks.copy() for key, marks in self.missing.items() if marks.any()}
        for key, marks in later.items():
            lacking[key] = lacking[key] | marks if key in lacking else marks
        found = numpy.zeros(self.size, numpy.int32)
        rows = self.every[numpy.logical_or.reduce([self._none > 0, *lacking.values()])]
        if not len(rows):
            return found
        routes: list[tuple[int, PartRows, Codes]] = []
        for each in parts:
            for index, here in self.by_index(each.at, each.part.over):
                column = numpy.zeros(self.size, numpy.int32)
                column[here] = each.which[each.at // self.size == max(index, 0)] + 1
                routes.append((index, each, column[rows]))
        packed = numpy.packbits(numpy.stack([marks[rows] for marks in lacking.values()]), axis=0)
        first, kinds = distinct([*(column for *_, column in routes), *packed], len(rows))
        numbers = []
        for place in first.tolist():
            passed = ((index, each.routes[column[place] - 1].way) for index, each, column in routes if column[place])
            keys = (
                self.key_at(stop.node.asks, index)
                for index, way in passed
                if way is not None
                for stop, _ in way.stops
                if stop.node.asks
            )
            row = rows[place]
            wanted = (label_of(key, self.rules) for key in keys if key in lacking and lacking[key][row])
            lists = self.home.names.missing
            numbers.append(lists.setdefault(tuple(dict.fromkeys(wanted)), len(lists)))
        found[rows] = numpy.array(numbers, numpy.int32)[kinds]
        return found


def _tries(question: Question) -> list[Answer]:
    return [*(Choice(choice.id) for choice in question.choices), CANT_TELL]


def _passes(route: Route, stop: Stop) -> bool:
    return route.way is not None and any(met is stop for met, _ in route.way.stops)


def _asks(route: Route, stop: Stop) -> bool:
    return route.way is not None and any(met is stop and asked for met, asked in route.way.stops)


#: How many verdicts a set of them has, by its bits.
_HOW_MANY = numpy.array([number.bit_count() for number in range(16)])
_NO_INJURY, _NO_METHOD, _FIRST_METHOD = 0, 1, 2
#: No case has more injuries than this.
_MOST_PARTS = 1024


class _StatesHere:
    """As `SeenHere`: which conditions hold, by their terms."""

    def __init__(self, outcomes: Mapping[int, int]) -> None:
        self._outcomes = outcomes

    def state(self, terms: int) -> bool | None:
        """Whether a condition holds; None while it is open."""
        outcome = self._outcomes.get(terms, _YES)
        return None if outcome >= _OPEN else outcome == _YES


def _case_with(over: str, index: int, answers: Answers) -> Case:
    """A case with these answers alone."""
    if over == "tire":
        return Case(answers)
    items: tuple[Answers, ...] = (*({} for _ in range(index)), answers)
    return Case(injuries=items) if over == "injuries" else Case(repairs=items)


#: Instead of what opens the way to a place: it is walked.
_WALKED = _NO
_MOST_FACTS = 20_000


class RowsJudge:
    """Judges rows, each by the limits of its day; what was worked out stays for the next ones, up to a bound."""

    def __init__(self, judge: Judge) -> None:
        self.judge = judge
        self.names = OutcomeNames(judge.rules)
        self._begin()

    def _begin(self) -> None:
        self.coder = RowCoder(self.judge.rules)
        self._by_rules: dict[int, ArrayJudge] = {}

    def outcomes(self, columns: Iterable[tuple[Column, Sequence[str], Codes]], size: int, today: date) -> Outcomes:
        """What comes of each row; each column with its distinct texts, and which of them each row has."""
        self._let_go()
        return self.judged(self.coder.coded(columns, size, today))

    def _let_go(self) -> None:
        if self.coder.kept + sum(each.remembered for each in self._by_rules.values()) > _MOST_REMEMBERED:
            self._begin()

    def of_rows(self, rows: Sequence[Sequence[str]], columns: Columns, today: date) -> Outcomes:
        """What comes of rows of cells."""
        cells = zip(*rows, strict=True) if rows else ((),) * len(columns.columns)
        coded = ((column, *by_number(each)) for column, each in zip(columns.columns, cells, strict=True))
        return self.outcomes(coded, len(rows), today)

    def of_lines(self, lines: Sequence[str], named: str, today: date) -> Outcomes:
        """What comes of lines of JSON, each a case by the rule set so named."""
        self._let_go()
        return self.judged(self.coder.of_lines(lines, named, today))

    def judged(self, rows: CodedRows) -> Outcomes:
        """What comes of rows by numbers of this one's coder."""
        alone, nothing = rows.alone.copy(), numpy.zeros(rows.size, numpy.int32)
        found = Outcomes(
            nothing.copy(), nothing.copy(), nothing.copy(), nothing.copy(), nothing.copy(), nothing.copy(), alone
        )
        base = self._array_judge(self.judge)
        readable = numpy.flatnonzero(~alone)
        alone[readable] = base.impossible(rows.some(readable))
        readable = numpy.flatnonzero(~alone)
        judges = {
            day: self._array_judge(self.judge.on(self.coder.days[day])) for day in set(rows.days[readable].tolist())
        }
        for judge in {id(each): each for each in judges.values()}.values():
            days = [day for day, each in judges.items() if each is judge]
            here = readable if len(days) == len(judges) else readable[numpy.isin(rows.days[readable], days)]
            part = judge.judged(rows.some(here))
            for name in Outcomes.__struct_fields__:
                getattr(found, name)[here] = getattr(part, name)
        return found

    def _array_judge(self, judge: Judge) -> ArrayJudge:
        found = self._by_rules.get(id(judge))
        if found is None:
            found = self._by_rules[id(judge)] = ArrayJudge(judge, self.coder, self.names)
        return found
