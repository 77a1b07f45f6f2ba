"""The column function: `RecordBatch -> RecordBatch`, plain and picklable, so that any engine over Arrow can map it."""

from __future__ import annotations

import zlib
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date
from functools import cached_property
from itertools import repeat
from threading import Lock
from typing import Any

import numpy
import pyarrow
import pyarrow.compute as compute

from advisor.engine.evaluator import Judge, label_of
from advisor.fleet.array_judge import Outcomes, RowsJudge
from advisor.fleet.coded_rows import Codes, by_number
from advisor.journal.csv_columns import ABOUT
from advisor.loader.case_dict import as_written
from advisor.loader.case_rows import Cells, Columns, row_case
from advisor.loader.ruleset_codec import rule_set_from_json, rule_set_to_json
from advisor.model.problems import Place, Problem, Problems
from advisor.model.ruleset import Verdict
from advisor.model.version import __version__
from advisor.start import at_rest

#: What comes of each row. A row that could not be read has its problem told, and null everywhere else.
RESULT = pyarrow.schema([
    ("verdict", pyarrow.string()),
    ("ending", pyarrow.string()),
    ("method", pyarrow.string()),
    ("restrictions", pyarrow.list_(pyarrow.string())),
    ("settled", pyarrow.bool_()),
    ("missing", pyarrow.list_(pyarrow.string())),
    ("problem", pyarrow.string()),
])  # fmt: skip

ColumnFunction = Callable[[pyarrow.RecordBatch], pyarrow.RecordBatch]
#: Columns of a record beside its answers; what was left out on purpose (`left-out`) decides only what is asked.
NOT_ANSWERS = tuple(name for name in ABOUT if name != "today")
#: So many rows are judged in one call.
ROWS_A_BATCH = 10_000
#: Fewer rows are judged one by one.
FEWEST_BY_ARRAYS = 8
_MOST_READY = 4
_JUDGES: dict[str, Judge] = {}


class BatchJudge:
    """`judge_batch`: judges the rows of a batch by one rule set on one day.

    Pickled it carries the rules themselves, so that a process elsewhere needs no folder of them; each process makes
    them ready once. `columns` says what a column holds whose name is no question's, `carried` names what is no answer.
    """

    def __init__(self, judge: Judge, day: date, columns: tuple[tuple[str, str], ...], carried: tuple[str, ...]) -> None:
        self.judge, self.rules = judge, judge.rules
        self._how = day, columns, carried
        self._one_at_a_time = Lock()

    @cached_property
    def _packed(self) -> bytes:
        return zlib.compress(rule_set_to_json(self.rules), 6)

    def __reduce__(self) -> tuple[Callable[..., BatchJudge], tuple[Any, ...]]:
        return unpacked, (__version__, self._packed, self.rules.digest, *self._how)

    def __call__(self, batch: pyarrow.RecordBatch) -> pyarrow.RecordBatch:
        """A row for each row, in its order. Raises Problems for columns that fit no question."""
        with self._one_at_a_time, at_rest():
            return self._judged(batch)

    def _judged(self, batch: pyarrow.RecordBatch) -> pyarrow.RecordBatch:
        columns = self.columns_of(batch.schema.names)
        texts = [distinct_texts(column, name) for column, name in zip(batch.columns, batch.schema.names, strict=True)]
        if batch.num_rows < FEWEST_BY_ARRAYS:
            found, alone = None, numpy.arange(batch.num_rows)
        else:
            coded = ((column, *each) for column, each in zip(columns.columns, texts, strict=True))
            found = self._rows_judge.outcomes(coded, batch.num_rows, self._how[0])
            alone = numpy.flatnonzero(found.alone)
        cells = Cells()
        one_by_one = [
            self._row(tuple(each[which[row]] for each, which in texts), row + 1, columns, cells)
            for row in alone.tolist()
        ]
        return pyarrow.record_batch(
            [
                _filled(kind, *first, alone, each)
                for kind, first, each in zip(
                    RESULT.types,
                    self._by_arrays(found, batch.num_rows),
                    zip(*one_by_one, strict=True) if one_by_one else repeat((), len(RESULT)),
                    strict=False,
                )
            ],
            RESULT,
        )

    def _by_arrays(self, found: Outcomes | None, size: int) -> Iterator[tuple[list[Any], Any]]:
        """What the arrays say, column by column: values, and which of them each row has."""
        names, nothing = self._rows_judge.names, numpy.zeros(size, numpy.int32)
        yield list(map(str, Verdict)), found.verdict if found else nothing
        yield list(names.endings), found.ending if found else nothing
        yield list(names.methods), found.method if found else nothing
        yield list(map(list, names.restrictions)), found.restrictions if found else nothing
        yield [False, True], found.settled if found else nothing
        yield list(map(list, names.missing)), found.missing if found else nothing
        yield [None], nothing

    @cached_property
    def _rows_judge(self) -> RowsJudge:
        return RowsJudge(self.judge)

    def columns_of(self, names: Iterable[str], file: str = "columns") -> Columns:
        """What each column holds. Raises Problems that name each which fits no question, with the nearest ones."""
        _, columns, carried = self._how
        return Columns(list(names), self.rules, dict(columns), file, (*NOT_ANSWERS, *carried))

    def _row(self, row: tuple[str, ...], number: int, columns: Columns, cells: Cells) -> tuple[Any, ...]:
        try:
            judgement = self.judge.judge(row_case(row, columns, cells, self._how[0], Place("row", number)))
        except Problems as error:
            return (*repeat(None, len(RESULT) - 1), "; ".join(map(_told, error.problems)))
        missing = list(dict.fromkeys(label_of(key, self.rules) for key in judgement.not_given))
        restrictions = list(judgement.restrictions)
        verdict = str(judgement.verdict)
        return verdict, judgement.ending, judgement.method, restrictions, judgement.settled, missing, None


def batch_judge(
    judge: Judge, day: date, columns: Mapping[str, str] | None = None, carried: Iterable[str] = ()
) -> BatchJudge:
    """The column function of a rule set, on the day that counts for rows without one of their own."""
    return BatchJudge(judge, day, tuple(sorted((columns or {}).items())), tuple(carried))


def unpacked(version: str, packed: bytes, digest: str, *how: Any) -> BatchJudge:
    """A column function out of another process. Raises Problems where the program there is another version."""
    if version != __version__:
        found, do = f"version {__version__} of the program on a worker", "install the same version everywhere"
        raise Problems([Problem("other-version", Place("cluster"), found, version, do)])
    if digest not in _JUDGES:
        while len(_JUDGES) >= _MOST_READY:
            _JUDGES.pop(next(iter(_JUDGES)))
        _JUDGES[digest] = Judge(rule_set_from_json(zlib.decompress(packed), dict))
    return BatchJudge(_JUDGES[digest], *how)


def judged_table(table: pyarrow.Table, judge: ColumnFunction) -> pyarrow.Table:
    """A table judged, some rows at a time, so that it is never all in objects at once."""
    if not table.num_rows:
        judge(pyarrow.RecordBatch.from_pylist([], table.schema))  # its columns are looked at all the same
    batches = table.combine_chunks().to_batches(ROWS_A_BATCH)
    return pyarrow.Table.from_batches([judge(batch) for batch in batches], RESULT)


def _told(problem: Problem) -> str:
    """A problem of a row on one line; the row is known by where this stands."""
    expected = f"; expected {problem.expected}" if problem.expected else ""
    nearest = f"; nearest {', '.join(problem.nearest)}" if problem.nearest else ""
    return f"{problem.id}: {problem.found}{expected}{nearest}"


def distinct_texts(column: Any, name: str) -> tuple[list[str], Codes]:
    """The distinct cells of a column as a row of CSV would hold them, and which of them each row has."""
    if pyarrow.types.is_nested(column.type):
        return by_number(texts_in(column, name))
    coded = column if pyarrow.types.is_dictionary(column.type) else column.dictionary_encode()
    texts = texts_in(coded.dictionary, name)
    return [*texts, ""], compute.fill_null(coded.indices, len(texts)).to_numpy(zero_copy_only=False).astype(numpy.int32)


def _filled(kind: Any, values: list[Any], which: Codes, alone: Any, one_by_one: Sequence[Any]) -> Any:
    """A column of the result: what the arrays say, and of the rows left alone what was found one by one."""
    which = which.astype(numpy.int32)
    which[alone] = len(values) + numpy.arange(len(one_by_one))
    # pyarrow.array(which) would first load masked arrays, a tenth of what a first table takes
    places = pyarrow.Array.from_buffers(pyarrow.int32(), len(which), [None, pyarrow.py_buffer(which)])
    return pyarrow.array([*values, *one_by_one], kind).take(places)


def texts_in(column: Any, name: str) -> list[str]:
    """The cells of a column as a row of CSV would hold them. Raises Problems for a kind that can't be written so."""
    found = []
    for value in column.to_pylist():
        text = value if isinstance(value, str) else _cell(value)
        if text is None:
            kind = f'the column "{name}" of the kind {column.type}'
            raise Problems([Problem("bad-column", Place("columns"), kind, "texts, lists of texts, numbers or dates")])
        found.append(text)
    return found


def _cell(value: Any) -> str | None:
    if isinstance(value, list):
        items = [as_written(item) for item in value]
        return None if None in items else "; ".join(filter(None, items))
    return as_written(value)
