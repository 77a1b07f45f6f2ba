"""Rows of cells as numbers: each distinct text of a question is read once, and a row holds which one it has.

Which rows need the one-case path is told here: a cell that does not fit, injuries that leave a gap.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from datetime import date
from typing import Any

import numpy
from msgspec import Struct
from numpy.typing import NDArray

from advisor.loader.answer_codec import read_cell
from advisor.loader.case_file import HEARD_BESIDE, PROPOSED, TOP_KEYS, read_case, split_cases
from advisor.loader.case_rows import Column, row_day, unguarded
from advisor.loader.reader import Diagnostics
from advisor.model import inputs
from advisor.model.case import TIRE, Answer, Answers, Case, Choice
from advisor.model.problems import Problems
from advisor.model.ruleset import Question, RuleSet

Codes = NDArray[numpy.int32]
RowMarks = NDArray[numpy.bool_]
#: An answer's place in a case: of the tire, of which repair or injury; and its question.
AnswerSpot = tuple[str, int, str]
#: Instead of an answer's number: a cell that does not fit.
MISFIT = -1
#: So many answers and days are kept with their numbers before all are let go.
MOST_KEPT = 400_000
_OVERS = ("injuries", inputs.OVER_REPAIRS)


def each_once(numbers: NDArray[Any]) -> NDArray[Any]:
    """Each number once, in order; numpy's own would first load masked arrays."""
    ordered: NDArray[Any] = numpy.sort(numbers)
    once: NDArray[Any] = ordered[numpy.diff(ordered, prepend=ordered[:1] - 1) != 0]
    return once


def distinct(columns: Sequence[NDArray[Any]], rows: int) -> tuple[NDArray[numpy.intp], NDArray[numpy.intp]]:
    """The place of one row of each kind, and the kind of each row: rows are of a kind where all columns are equal."""
    key, size = None, 1
    for column in columns:
        if not rows or (top := int(column.max()) + 1) == int(column.min()) + 1:
            continue
        if key is not None and size * top >= _MOST_KINDS:
            found, key = numpy.unique(key, return_inverse=True)
            size = len(found)
        key = column.astype(numpy.int64) if key is None else key * top + column
        size *= top
    if key is None:
        return numpy.zeros(min(rows, 1), numpy.intp), numpy.zeros(rows, numpy.intp)
    if size > max(4 * rows, _FEW):
        _, first, kinds = numpy.unique(key, return_index=True, return_inverse=True)
        return first, kinds
    first_of = numpy.full(size, -1, numpy.intp)
    first_of[key] = numpy.arange(rows)
    there = numpy.flatnonzero(first_of >= 0)
    rank = numpy.empty(size, numpy.intp)
    rank[there] = numpy.arange(len(there))
    return first_of[there], rank[key]


_MOST_KINDS, _FEW = 2**62, 2**14


def by_number(cells: Iterable[str]) -> tuple[list[str], Codes]:
    """The distinct ones of some cells, and which of them each is."""
    numbers: dict[str, int] = {}
    which = [numbers.setdefault(text, len(numbers)) for text in cells]
    return list(numbers), numpy.array(which, numpy.int32)


class AnswerNumbers:
    """The answers of one question by number; 0 is none."""

    def __init__(self, question: Question) -> None:
        self.question = question
        self.answers: list[Answer | None] = [None]
        self._numbers: dict[object, int] = {}

    @property
    def kept(self) -> int:
        """How many texts and answers are kept."""
        return len(self._numbers)

    def of_text(self, text: str) -> int:
        """The number of what a cell says; MISFIT for one that does not fit."""
        found = self._numbers.get(text)
        if found is None:
            notes = Diagnostics("cells")
            answer = read_cell(self.question, unguarded(text), notes)
            found = self._numbers[text] = MISFIT if notes.problems else self.of_answer(answer)
        return found

    def of_answer(self, answer: Answer | None) -> int:
        """The number of an answer."""
        if answer is None:
            return 0
        key = answer.__class__, answer, str(answer)
        found = self._numbers.get(key)
        if found is None:
            found = self._numbers[key] = len(self.answers)
            self.answers.append(answer)
        return found


class CodedRows(Struct, frozen=True):
    """Rows by numbers: of each answer by its spot, of the day; how many injuries and repairs each has.

    `alone`: the rows that only the one-case path can read.
    """

    size: int
    answers: Mapping[AnswerSpot, Codes]
    days: Codes
    counts: Mapping[str, Codes]
    alone: RowMarks

    def some(self, rows: NDArray[Any]) -> CodedRows:
        """Some of the rows, in their order."""
        if len(rows) == self.size:
            return self
        answers = {spot: codes[rows] for spot, codes in self.answers.items()}
        counts = {over: count[rows] for over, count in self.counts.items()}
        return CodedRows(len(rows), answers, self.days[rows], counts, self.alone[rows])

    def most(self, over: str) -> int:
        """The most injuries or repairs that a row has."""
        return int(self.counts[over].max(initial=0))


class RowCoder:
    """Makes numbers of cells; what was read once is not read again."""

    def __init__(self, rules: RuleSet) -> None:
        self.rules = rules
        self.numbers = {name: AnswerNumbers(question) for name, question in rules.questions.items()}
        self.days: list[date] = []
        self._day_numbers: dict[object, int] = {}
        self._today = date.max
        self._values: dict[tuple[object, ...], tuple[str, int]] = {}

    @property
    def kept(self) -> int:
        """How many texts, answers and days are kept."""
        return len(self.days) + len(self._values) + sum(each.kept for each in self.numbers.values())

    def day_number(self, text: str, default: date) -> int:
        """The number of the day in a cell; MISFIT for one that is no day."""
        key = text.strip() or default
        found = self._day_numbers.get(key)
        if found is None:
            notes = Diagnostics("cells")
            day = (row_day(text, notes) if text.strip() else None) or default
            found = self._day_numbers[key] = MISFIT if notes.problems else len(self.days)
            self.days.append(day)
        return found

    def coded(self, columns: Iterable[tuple[Column, Sequence[str], Codes]], size: int, today: date) -> CodedRows:
        """Rows by numbers; each column with its distinct texts, and which of them each row has."""
        answers: dict[AnswerSpot, Codes] = {}
        days = numpy.full(size, self.day_number("", today), numpy.int32)
        alone = numpy.zeros(size, bool)
        for column, texts, which in columns:
            if column.today:
                days = _looked_up([self.day_number(text, today) for text in texts], which)
                alone |= days < 0
            elif column.question is not None:
                of_text = self.numbers[column.question.id].of_text
                codes = _looked_up([of_text(text) for text in texts], which)
                alone |= codes < 0
                answers[column.question.over, column.index, column.question.id] = codes
        return self.whole(answers, days, alone)

    def of_lines(self, lines: Sequence[str], named: str, today: date) -> CodedRows:
        """Lines of JSON, each a case by the rule set so named, by numbers; left alone where one is no plain case."""
        self._today = today
        rows: dict[AnswerSpot, list[int]] = {}
        numbers: dict[AnswerSpot, list[int]] = {}
        days = numpy.full(len(lines), self.day_number("", today), numpy.int32)
        alone = numpy.zeros(len(lines), bool)
        for row, line in enumerate(lines):
            try:
                day, answers = self._in_line(line, named, today)
            except (ValueError, RecursionError):
                alone[row] = True
                continue
            days[row] = day
            for spot, number in answers.items():
                rows.setdefault(spot, []).append(row)
                numbers.setdefault(spot, []).append(number)
        coded: dict[AnswerSpot, Codes] = {}
        for spot, where in rows.items():
            coded[spot] = numpy.zeros(len(lines), numpy.int32)
            coded[spot][where] = numbers[spot]
        return self.whole(coded, days, alone)

    def _in_line(self, line: str, named: str, today: date) -> tuple[int, dict[AnswerSpot, int]]:
        """The day's number and the answers' in a line. Raises ValueError for what only the reader of cases can read."""
        case = _plain_json(line)
        if not isinstance(case, dict) or case.get("rules", named) != named or not case.keys() <= _MAY_STAND:
            raise ValueError
        if case.get(PROPOSED):
            raise ValueError
        day = case.get("today")
        if "today" in case and not (type(day) is str and _DATE.fullmatch(day)):
            raise ValueError
        tire, repairs, found = case.get("answers", {}), inputs.EARLIER_REPAIRS, dict[AnswerSpot, int]()
        if not isinstance(tire, dict):
            raise ValueError
        if isinstance(tire.get(repairs), list):
            self._add_items(found, inputs.OVER_REPAIRS, tire[repairs])
            told, tire = "yes" if tire[repairs] else "no", {key: tire[key] for key in tire if key != repairs}
            any_there = self.rules.by_case_key["tire", repairs].id
            found["tire", TIRE, any_there] = self.numbers[any_there].of_answer(Choice(told))
        self._add(found, "tire", TIRE, tire)
        self._add_items(found, "injuries", case.get("injuries", []))
        number = self.day_number(str(day or ""), today)
        if number < 0:
            raise ValueError
        return number, found

    def _add_items(self, found: dict[AnswerSpot, int], over: str, items: object) -> None:
        if not isinstance(items, list):
            raise ValueError
        for index, item in enumerate(items):
            before = len(found)
            self._add(found, over, index, item)
            if len(found) == before:
                raise ValueError

    def _add(self, found: dict[AnswerSpot, int], over: str, index: int, answers: object) -> None:
        if not isinstance(answers, dict):
            raise ValueError
        for key, value in answers.items():
            kind = type(value)
            known = over, key, kind, value if kind is str or kind is _Number else _written(value)
            name, number = self._values.get(known) or self._value(known, over, key, value)
            if number < 0 or (over, index, name) in found:
                raise ValueError
            if number:
                found[over, index, name] = number

    def _value(self, known: tuple[object, ...], over: str, key: str, value: object) -> tuple[str, int]:
        """The question and the number of an answer in a line, read as the case that holds it alone."""
        question = self.rules.by_case_key.get((over, key))
        name, number = question.id if question else "", MISFIT
        alone = f"{{{_written(key)}: {_written(value)}}}"
        if over == inputs.OVER_REPAIRS:
            alone = f'{{"answers": {{"{inputs.EARLIER_REPAIRS}": [{alone}]}}}}'
        else:
            alone = f'{{"answers": {alone}}}' if over == "tire" else f'{{"injuries": [{alone}]}}'
        with suppress(Problems):
            case = read_case(next(split_cases(alone, "cases.jsonl")), self.rules, self._today)
            answer = case.get(over, (name, TIRE if over == "tire" else 0))
            number = self.numbers[name].of_answer(answer) if question else MISFIT
        self._values[known] = name, number
        return name, number

    def whole(self, answers: dict[AnswerSpot, Codes], days: Codes, alone: RowMarks) -> CodedRows:
        """The rows with what follows from others: that there is one more injury, that there are repairs."""
        size, counts = len(days), {}
        for over in _OVERS:
            there = _there(answers, over, size)
            answers.update(_moved_up(answers, over, there))
            counts[over] = self._lined_up(answers, over, there, alone)
        any_there = self.rules.question_now(inputs.EARLIER_REPAIRS)
        if any_there in self.numbers and (some := counts[inputs.OVER_REPAIRS] > 0).any():
            spot = "tire", TIRE, any_there
            given = answers.get(spot, numpy.zeros(size, numpy.int32))
            answers[spot] = numpy.where(some & (given == 0), self.numbers[any_there].of_answer(Choice("yes")), given)
        return CodedRows(size, answers, days, counts, alone)

    def _lined_up(self, answers: dict[AnswerSpot, Codes], over: str, there: NDArray[Any], alone: RowMarks) -> Codes:
        """How many injuries or repairs each row has, with the answers whether there is one more put in."""
        count: Codes = there.sum(axis=0, dtype=numpy.int32)
        more = self.rules.more_of(over)
        if not more:
            return count
        yes, no = (self.numbers[more].of_answer(Choice(name)) for name in ("yes", "no"))
        for index in range(len(there)):
            spot = over, index, more
            given = answers.get(spot, numpy.zeros(len(count), numpy.int32))
            last, before = count == index + 1, count > index + 1
            given = numpy.where((given == 0) & last, no, numpy.where((given == 0) & before, yes, given))
            answers[spot] = given.astype(numpy.int32)
            alone |= (before & (given != yes)) | (last & (given == yes))
        return count

    def case_of(self, rows: CodedRows, row: int) -> Case:
        """The case in a row."""
        tire: dict[str, Answer] = {}
        parts: dict[str, list[dict[str, Answer]]] = {
            over: [{} for _ in range(int(rows.counts[over][row]))] for over in _OVERS
        }
        for (over, index, name), codes in rows.answers.items():
            answer = self.numbers[name].answers[codes[row]]
            if answer is not None:
                (tire if over == "tire" else parts[over][index])[name] = answer
        injuries, repairs = (tuple[Answers, ...](parts[over]) for over in _OVERS)
        return Case(tire, repairs, injuries, self.days[rows.days[row]])


class _Number(str):
    """A number in JSON as it is written."""

    __slots__ = ()


def _once(pairs: list[tuple[str, object]]) -> dict[str, object]:
    found = dict(pairs)
    if len(found) < len(pairs):
        raise ValueError
    return found


def _no_number(text: str) -> object:
    raise ValueError(text)


#: What a case may hold; of some of it no notice is taken.
_MAY_STAND = {*TOP_KEYS, *HEARD_BESIDE}
_DATE = re.compile(r"\d{4}-\d\d-\d\d")
#: A line that YAML and JSON read alike.
_PLAIN_LINE = re.compile(r"[ !#-\[\]-~\"]*[\r\n]*")


def _plain_json(line: str) -> object:
    """What a line of JSON holds, numbers as written. Raises ValueError for one that YAML might read otherwise."""
    if not _PLAIN_LINE.fullmatch(line):
        raise ValueError
    return json.loads(line, object_pairs_hook=_once, parse_int=_Number, parse_float=_Number, parse_constant=_no_number)


def _written(value: object) -> str:
    """Plain data in JSON again, numbers as they were written."""
    if isinstance(value, _Number):
        return str(value)
    if isinstance(value, list):
        return f"[{', '.join(map(_written, value))}]"
    if isinstance(value, dict):
        return f"{{{', '.join(f'{_written(key)}: {_written(each)}' for key, each in value.items())}}}"
    return json.dumps(value)


def _looked_up(numbers: Sequence[int], which: Codes) -> Codes:
    found: Codes = numpy.array(numbers or [0], numpy.int32)[which]
    return found


def _there(answers: Mapping[AnswerSpot, Codes], over: str, size: int) -> NDArray[Any]:
    """Of each injury or repair in turn, which rows have an answer of it."""
    indices = sorted({index for part, index, _ in answers if part == over})
    found = numpy.zeros((indices[-1] + 1 if indices else 0, size), bool)
    for (part, index, _), codes in answers.items():
        if part == over:
            found[index] |= codes != 0
    return found


def _moved_up(answers: Mapping[AnswerSpot, Codes], over: str, there: NDArray[Any]) -> dict[AnswerSpot, Codes]:
    """The answers of injuries or repairs behind a gap, as those of the next number that is free."""
    if not len(there) or not (there[1:] & ~there[:-1]).any():
        return {}
    order = numpy.argsort(~there, axis=0, kind="stable")
    names = dict.fromkeys(name for part, _, name in answers if part == over)
    found: dict[AnswerSpot, Codes] = {}
    for name in names:
        nothing = numpy.zeros(there.shape[1], numpy.int32)
        every = numpy.stack([answers.get((over, index, name), nothing) for index in range(len(there))])
        moved = numpy.take_along_axis(every, order, axis=0)
        found.update({(over, index, name): moved[index] for index in range(len(there))})
    return found
