"""`advisor decide` over many cases: CSV, Parquet or JSON lines, all cores, results in order, a bar on a terminal.

Work shared out over the cores in chunks, never far ahead of what is written out, results in order.
A batch written into a file and gone on with after a stop, a kill or a power cut: whole lines there stay.
"""

from __future__ import annotations

import csv
import io
import json
import os
import signal
import sys
import time
from argparse import Namespace
from collections import deque
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager, redirect_stdout, suppress
from datetime import date
from functools import cache
from importlib.util import find_spec
from itertools import chain, islice
from multiprocessing import get_context
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO, TextIO, TypeVar

from msgspec import Struct

from advisor import start
from advisor.api import Rules, load
from advisor.commands.command_parser import rules_named, usage_error
from advisor.console.json_output import answer_of_problems
from advisor.console.verdict_lines import verdict_lines
from advisor.fleet.packages import needs
from advisor.loader.cache import ready
from advisor.loader.case_file import CaseText, split_cases
from advisor.loader.case_rows import Cells, Columns, row_case
from advisor.loader.yaml_nodes import opened
from advisor.model.exit_code import ExitCode
from advisor.model.problems import Place, Problem, Problems, json_shown, shown
from advisor.model.ruleset import Verdict

if TYPE_CHECKING:
    from advisor.fleet.array_judge import RowsJudge

A_CHUNK = 100
#: So many at once where they are judged by arrays.
A_LARGE_CHUNK = 2_000
CHUNKS_AHEAD = 4
BAR_COLUMNS = 30

#: A case as it was read: its line in the file, and what stands there.
BatchItem = tuple[int, Any]
Chunk = list[BatchItem]


class Done(Struct, frozen=True):
    """What came of some cases: what to write out, the problems told, the exit code, how many cases and faults."""

    out: str
    problems: str
    code: ExitCode
    cases: int
    failed: int


Judging = Callable[[Chunk], Done]
Found = TypeVar("Found")


class Cores(Struct, frozen=True):
    """How many processes, how each is made ready for the work, and how many items each gets at once."""

    count: int
    begin: Callable[[Any], None]
    work: Any
    chunk: int = 0


def run_chunks(judge: Judging, items: Iterator[BatchItem], cores: Cores, first: int, bar: Bar | None) -> ExitCode:
    """Writes out what comes of all items, in their order; gives the exit code."""
    code, number, failed = ExitCode.DONE, first - 1, 0
    try:
        for done in each_done(judge, items, cores):
            if bar and (done.problems or sys.stdout.isatty()):
                bar.clear()
            sys.stdout.write(done.out)
            sys.stdout.flush()
            sys.stderr.write(done.problems)
            code, number, failed = max(code, done.code), number + done.cases, failed + done.failed
            if bar:
                bar.show(number)
        sys.stdout.flush()
        if failed:
            sys.stderr.write(f"Not judged: {failed} of {number - first + 1} cases. The others are.\n")
    except (KeyboardInterrupt, WorkerEnded):
        sys.stdout.flush()
        sys.stderr.write(f"\nStopped after case {number}. To go on with the rest: --from {number + 1}")
        sys.stderr.write(", or with --into the same command once more\n")
        raise
    finally:
        if bar:
            bar.clear()
    return code


class WorkerEnded(Problems):
    """A process that judges was ended from outside; what it was at is not known."""

    def __init__(self) -> None:
        found, do = "a process of the batch that was ended from outside", "go on; on fewer cores where memory is short"
        super().__init__(usage_error("worker-ended", found, "one that goes on to its end", do).problems)


def each_done(judge: Callable[[Chunk], Found], items: Iterator[BatchItem], cores: Cores) -> Iterator[Found]:
    """What comes of each chunk of items, in their order; few of them are read ahead. Raises WorkerEnded."""
    chunks = iter(lambda: list(islice(items, cores.chunk or A_CHUNK)), [])
    first = list(islice(chunks, 2))
    chunks = chain(first, chunks)
    if len(first) < 2 or cores.count == 1 or not hasattr(os, "fork"):
        yield from map(judge, chunks)
        return
    pool = ProcessPoolExecutor(cores.count, get_context("fork"), _ready, (cores,))
    try:
        waiting = deque(pool.submit(judge, chunk) for chunk in islice(chunks, cores.count * CHUNKS_AHEAD))
        while waiting:
            yield waiting.popleft().result()
            waiting.extend(pool.submit(judge, chunk) for chunk in islice(chunks, 1))
    except BrokenProcessPool:
        raise WorkerEnded from None
    finally:
        pool.shutdown(cancel_futures=True)


def _ready(cores: Cores) -> None:
    """Makes a process ready; Ctrl-C is left to the one that writes."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    cores.begin(cores.work)


class Bar:
    """How far it is, how fast, and how long it still takes; drawn on a terminal only, at most ten times a second."""

    def __init__(self, share: Callable[[int], float], begun_with: int = 0, what: str = "cases") -> None:
        """`share`: which part of all there is so many are."""
        self._share, self._begun_with, self._what = share, begun_with, what
        self._begun = self._shown = time.monotonic()
        self._share_before = -1.0
        self._drawn = 0

    def show(self, number: int) -> None:
        """Draws the bar."""
        now, share = time.monotonic(), min(1.0, self._share(number))
        if self._share_before < 0:
            self._share_before = 0.0 if not self._begun_with else share
        if now - self._shown < 0.1:
            return
        self._shown, taken = now, max(0.001, now - self._begun)
        full = round(share * BAR_COLUMNS)
        rate, done = (number - self._begun_with) / taken, share - self._share_before
        left = f", {_minutes(taken * (1 - share) / done)} left" if done > 0 else ""
        text = (
            f"[{'#' * full}{'.' * (BAR_COLUMNS - full)}] {share:4.0%}  {number} {self._what}, {rate:.0f} a second{left}"
        )
        sys.stderr.write(f"\r{text.ljust(self._drawn)}")
        sys.stderr.flush()
        self._drawn = len(text)

    def clear(self) -> None:
        """Takes the bar away."""
        if self._drawn:
            sys.stderr.write(f"\r{' ' * self._drawn}\r")
            self._drawn = 0


def _minutes(seconds: float) -> str:
    minutes, rest = divmod(round(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02d}:{rest:02d}" if hours else f"{minutes}:{rest:02d}"


_OWNER_ONLY = 0o600
_A_BLOCK = 2**20


@contextmanager
def into(name: str, digest: str) -> Iterator[int]:
    """Lets what is printed go into a file behind its last whole line; gives the number of the first case to judge.

    `digest` is that of the rules: lines of JSON judged by others are not mixed with these. Raises Problems.
    """
    path = Path(name)
    try:
        descriptor = os.open(path, os.O_CREAT | os.O_RDWR, _OWNER_ONLY)
    except OSError as error:
        raise _problem(name, f"a file that can't be written: {(error.strerror or '').lower()}") from None
    with os.fdopen(descriptor, "r+b") as file:
        count, end, last = _whole_lines(file.fileno())
        other = _digest_in(last)
        if other and other != digest:
            raise _problem(name, f"results by rules of digest {shown(other, 20)}, not {digest}")
        file.truncate(end)
    with path.open("a", encoding="utf-8", newline="\n") as out, redirect_stdout(out):
        if count:
            sys.stderr.write(f"{count} cases are in {shown(name, 200)} already; going on with the next.\n")
        yield count + 1
        out.flush()
        os.fsync(out.fileno())


def _whole_lines(descriptor: int) -> tuple[int, int, bytes]:
    """How many whole lines a file holds, where the last of them ends, and that line."""
    count, end, at, last, rest = 0, 0, 0, b"", b""
    while block := os.pread(descriptor, _A_BLOCK, at):
        at += len(block)
        *lines, rest = (rest + block).split(b"\n")
        if lines:
            count, last, end = count + len(lines), lines[-1], at - len(rest)
    return count, end, last


def _digest_in(line: bytes) -> str:
    with suppress(ValueError, RecursionError, TypeError, KeyError):
        found = json.loads(line)["rules"]["digest"]
        return found if isinstance(found, str) else ""
    return ""


def _problem(name: str, found: str) -> Problems:
    return Problems(
        [Problem("bad-option", Place(shown(name, 200)), found, "a new file, or one begun by the same rules")]
    )


LARGEST_LINE = 4 * 2**20
LARGE_FILE_BYTES = 2**18


class BatchWork(Struct, frozen=True):
    """What every process needs to know: the file, how it is written out, and by which rules."""

    name: str
    as_json: bool
    brief: bool
    columns: Columns | None
    named: str
    rules: Rules


_WORK: BatchWork | None = None
_CELLS = Cells()
#: Fewer rows than this are judged one by one.
FEWEST_ROWS = 50


def rows_taken(name: str, options: Namespace) -> bool:
    """Whether a file is one for a batch: CSV, or large JSON lines, where one rule set at most is named."""
    if len(options.rules) > 1 or name == "-":
        return False
    if name.endswith((".csv", ".parquet")):
        return True
    with suppress(OSError):
        large = options.into is not None or Path(name).stat().st_size >= LARGE_FILE_BYTES
        return name.endswith((".jsonl", ".ndjson")) and large
    return False


def run_batch(name: str, options: Namespace, today: date) -> ExitCode:
    """Judges the cases of a file, in order; a case that does not fit is told and the rest goes on."""
    if options.into is not None:
        return _into(name, options, today)
    return _judge_all(name, options, today, options.first or 1)


def _into(name: str, options: Namespace, today: date) -> ExitCode:
    """The same, written into a file, behind what is there already."""

    if len(options.words) > 1 or options.first is not None or not (options.json or options.brief):
        found, expected = "--into as it stands", "--into with one file of cases, with --json or --brief, without --from"
        raise usage_error("bad-option", found, expected)
    digest = ready(rules_named(options), os.environ).digest
    with into(options.into, digest) as first:
        return _judge_all(name, options, today, first)


def _judge_all(name: str, options: Namespace, today: date, first: int) -> ExitCode:
    rules = load(rules_named(options), today)
    start.done()
    with opened(Path(name), name) as file:
        columns, items, share = _source(file, name, rules, dict(options.map), first)
        work = BatchWork(name, options.json, options.brief, columns, rules_named(options), rules)
        begin_worker(work)
        counted = _Counted(items, first - 1)
        whole = Bar(lambda number: share() * number / max(1, counted.read), first - 1)
        bar = whole if sys.stderr.isatty() else None
        cores = Cores(options.cores, begin_worker, work, A_LARGE_CHUNK if _may_be_arrays(work) else 0)
        return run_chunks(judge_chunk, counted, cores, first, bar)


class _Counted:
    """The cases of a file, and how many of them were read: always some more than were judged."""

    def __init__(self, items: Iterator[BatchItem], before: int) -> None:
        self._items, self.read = items, before

    def __iter__(self) -> Iterator[BatchItem]:
        return self

    def __next__(self) -> BatchItem:
        item = next(self._items)
        self.read += 1
        return item


def _source(
    file: BinaryIO, name: str, rules: Rules, mapping: dict[str, str], first: int
) -> tuple[Columns | None, Iterator[BatchItem], Callable[[], float]]:
    """What the columns of a file hold, if it has any; its cases from the first wanted on; how much of it is read."""
    if name.endswith(".parquet"):
        needs("pyarrow", "parquet")
        from advisor.fleet.dataset import ParquetRows

        parquet = ParquetRows(file, name)
        return _columns(parquet.names, rules, mapping, name), parquet.rows(first), parquet.share
    size = max(1, os.fstat(file.fileno()).st_size)
    text = io.TextIOWrapper(file, "utf-8-sig", "surrogateescape", newline="")

    def share() -> float:
        return text.buffer.tell() / size  # and the file stays open for as long as this is asked

    if not name.endswith(".csv"):
        return None, _lines(text, first), share
    reader = csv.reader(text, strict=True)
    return _columns(_header(reader, name), rules, mapping, name), _rows(reader, first), share


def _header(reader: Any, name: str) -> list[str]:
    try:
        found: list[str] = next(reader, [])
    except csv.Error as error:
        raise Problems([Problem("bad-row", Place(name), f"a first row that can't be read: {error}")]) from None
    return found


def _columns(header: list[str], rules: Rules, mapping: dict[str, str], name: str) -> Columns:
    if not header:
        raise Problems([Problem("no-case", Place(name), "an empty file", "columns by question ids, then the cases")])
    columns = Columns(header, rules.rule_set, mapping, name)
    sys.stderr.writelines(f"Note: {says}.\n" for says in columns.read_as)
    return columns


def _rows(reader: Any, first: int) -> Iterator[BatchItem]:
    number = 0
    while True:
        line = reader.line_num + 1
        try:
            row = next(reader, None)
        except csv.Error as error:
            row = str(error)
        if row is None:
            return
        if row:
            number += 1
            if number >= first:
                yield line, row


def _lines(text: TextIO, first: int) -> Iterator[BatchItem]:
    line = number = 0
    while found := text.readline(LARGEST_LINE):
        line += 1
        if found.strip():
            number += 1
            if number >= first:
                yield line, found


# Judging, in each process


def begin_worker(work: BatchWork) -> None:
    """Makes a process ready: the work is known."""
    global _WORK
    _WORK = work
    _rows_judge.cache_clear()


@cache
def _rows_judge(rules: Rules) -> RowsJudge:
    from advisor.fleet.array_judge import RowsJudge

    return RowsJudge(rules.judge_of_rules)


def _may_be_arrays(work: BatchWork) -> bool:
    """Whether no more is wanted of rows than what arrays tell, and they can be had (numpy comes with an extra)."""
    return work.brief and not work.as_json and find_spec("numpy") is not None


def _by_arrays(items: list[BatchItem], work: BatchWork) -> list[str | None]:
    """The line of each case that arrays can judge; None for those to be judged by themselves."""
    found: list[str | None] = [None] * len(items)
    if not _may_be_arrays(work) or len(items) < FEWEST_ROWS:
        return found
    judge, whole = _rows_judge(work.rules), [place for place, (_, item) in enumerate(items) if _is_text(item)]
    if work.columns is None:
        outcomes = judge.of_lines([items[place][1] for place in whole], work.named, work.rules.today)
    else:
        wide = len(work.columns.columns)
        whole = [place for place in whole if isinstance(items[place][1], list) and len(items[place][1]) == wide]
        outcomes = judge.of_rows([items[place][1] for place in whole], work.columns, work.rules.today)
    endings, methods = list(judge.names.endings), list(judge.names.methods)
    said: dict[tuple[int, int, int], str] = {}
    each = zip(*(one.tolist() for one in (outcomes.verdict, outcomes.ending, outcomes.method)), strict=True)
    for place, alone, (verdict, ending, method) in zip(whole, outcomes.alone.tolist(), each, strict=True):
        if not alone:
            key = verdict, ending, method
            if key not in said:
                said[key] = f"\t{Verdict(verdict)}\t{endings[ending]}\t{methods[method]}\n"
            found[place] = f"{items[place][0]}{said[key]}"
    return found


def judge_chunk(items: list[BatchItem]) -> Done:
    """What comes of some cases. A fault of the program in one case is told as a problem of that case."""
    work = _WORK
    assert work is not None
    out, told, failed = list[str](), list[str](), 0
    for (line, item), by_arrays in zip(items, _by_arrays(items, work), strict=True):
        try:
            out.append(by_arrays or _judged(line, item, work))
        except Problems as error:
            failed += 1
            told.extend(f"{problem}\n" for problem in error.problems)
            if work.as_json:
                out.append(_json(answer_of_problems(error.problems, work.rules.rule_set)))
            elif work.brief:
                out.append(f"{line}\tnot judged\n")
    return Done("".join(out), "".join(told), ExitCode.BAD_INPUT if failed else ExitCode.DONE, len(items), failed)


def _judged(line: int, item: Any, work: BatchWork) -> str:
    place = Place(work.name, line)
    if not _is_text(item):
        raise Problems([Problem("not-text", place, "bytes that are not UTF-8", "a text file", "save it as UTF-8")])
    if work.columns is not None:
        if isinstance(item, str):
            raise Problems([Problem("bad-row", place, f"a row that can't be read: {item}", "a row of CSV")])
        case = row_case(item, work.columns, _CELLS, work.rules.today, place)
    else:
        case = work.rules.read(_line_case(item, line, work))
    found = work.rules.judge(case)
    if work.as_json:
        return f"{found.to_json_line()}\n"
    if work.brief:
        return f"{line}\t{found.verdict}\t{found.ending}\t{found.method}\n"
    return "\n".join(verdict_lines(found.judgement, found.judge, f"{work.name}:{line}")) + "\n"


def _is_text(item: Any) -> bool:
    try:
        ("".join(item) if isinstance(item, list) else item).encode()
    except UnicodeEncodeError:
        return False
    return True


def _line_case(item: str, line: int, work: BatchWork) -> CaseText:
    """A line read like a case file, with every problem and its place."""
    case = next(split_cases(item, work.name))
    if case.rules and case.rules != work.named:
        found, expected = f'the rule set "{shown(case.rules, 60)}"', f"{work.named}, as the whole batch, or --rules"
        raise Problems([Problem("other-rules", Place(work.name, line), found, expected, "judge it by itself")])
    return CaseText(case.file, case.node, tuple(one.at(work.name, line - 1) for one in case.problems), line - 1)


def _json(answer: dict[str, Any]) -> str:
    return json_shown(answer) + "\n"
