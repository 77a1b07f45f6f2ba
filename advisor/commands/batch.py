"""`advisor decide` over many cases: CSV or JSON lines, all cores, results in order, a bar on a terminal."""

from __future__ import annotations

import csv
import io
import os
import sys
from collections.abc import Iterator
from contextlib import suppress
from datetime import date
from pathlib import Path
from typing import Any, TextIO

from advisor import start
from advisor.commands.batch_cores import Bar, Cores, Done, Item, run_chunks
from advisor.commands.options import DEFAULT_RULES, Options
from advisor.engine.judge import Judge
from advisor.errors import Place, Problem, Problems, json_shown, shown
from advisor.loading.batch_rows import Cells, Columns, row_case
from advisor.loading.case_file import CaseText, read_case, split_cases
from advisor.loading.kept import ready
from advisor.loading.quick_lines import quick_case
from advisor.loading.yaml_text import opened
from advisor.plain.json_answer import answer_of, answer_of_problems
from advisor.plain.verdict_lines import verdict_lines
from advisor.quick import dataclass

LARGEST_LINE = 4 * 2**20
LARGE_FILE_BYTES = 2**18


@dataclass(frozen=True, slots=True)
class Work:
    """What every process needs to know: the file, how it is written out, and by which rules."""

    name: str
    as_json: bool
    brief: bool
    today: date
    rules: str
    columns: Columns | None
    judge: Judge


_WORK: Work | None = None
_CELLS = Cells()


def takes(name: str, options: Options) -> bool:
    """Whether a file is one for a batch: CSV, or large JSON lines, where one rule set at most is named."""
    if len(options.rules) > 1 or name == "-":
        return False
    if name.endswith(".csv"):
        return True
    with suppress(OSError):
        large = "--into" in options.values or Path(name).stat().st_size >= LARGE_FILE_BYTES
        return name.endswith((".jsonl", ".ndjson")) and large
    return False


def run_batch(name: str, options: Options, today: date) -> int:
    """Judges the cases of a file, in order; a case that does not fit is told and the rest goes on."""
    if "--into" in options.values:
        return _into(name, options, today)
    return _judge_all(name, options, today, _number(options, "--from", 1))


def _into(name: str, options: Options, today: date) -> int:
    """The same, written into a file, behind what is there already."""
    from advisor.commands.batch_into import into

    if len(options.words) > 1 or "--from" in options.values or not {"--json", "--brief"} & options.flags:
        found, expected = "--into as it stands", "--into with one file of cases, with --json or --brief, without --from"
        raise Problems([Problem("bad-option", Place("command line"), found, expected, "see --help")])
    digest = ready((options.rules or [DEFAULT_RULES])[-1], os.environ).digest
    with into(options.values["--into"][-1], digest) as first:
        return _judge_all(name, options, today, first)


def _judge_all(name: str, options: Options, today: date, first: int) -> int:
    cores = _number(options, "--cores", os.cpu_count() or 1)
    rules = (options.rules or [DEFAULT_RULES])[-1]
    judge = Judge(ready(rules, os.environ))
    start.done()
    mapping = _mapping(options)
    with opened(Path(name), name) as file:
        size = os.fstat(file.fileno()).st_size
        text = io.TextIOWrapper(file, "utf-8-sig", "surrogateescape", newline="")
        columns = None
        items: Iterator[Item]
        if name.endswith(".csv"):
            reader = csv.reader(text, strict=True)
            columns = _columns(reader, judge, mapping, name)
            items = _rows(reader, first)
        else:
            items = _lines(text, first)
        work = Work(name, "--json" in options.flags, "--brief" in options.flags, today, rules, columns, judge)
        begin(work)
        bar = Bar(size, file) if sys.stderr.isatty() else None
        return run_chunks(judge_chunk, items, Cores(cores, begin, work), first, bar)


def _number(options: Options, name: str, default: int) -> int:
    text = options.values.get(name, [str(default)])[-1]
    if text.isascii() and text.isdigit() and int(text[:12]) > 0:
        return int(text[:12])
    found = f'"{shown(text, 40)}" as {name}'
    raise Problems([Problem("bad-option", Place("command line"), found, "a number from 1 on", "see --help")])


def _mapping(options: Options) -> dict[str, str]:
    found = {}
    for each in options.values.get("--map", []):
        column, equals, question = each.rpartition("=")
        if not equals:
            said = f'"{shown(each, 60)}" as --map'
            raise Problems([Problem("bad-option", Place("command line"), said, "COLUMN=QUESTION", "see --help")])
        found[column.strip()] = question
    return found


def _columns(reader: Any, judge: Judge, mapping: dict[str, str], name: str) -> Columns:
    try:
        header: list[str] = next(reader, [])
    except csv.Error as error:
        raise Problems([Problem("bad-row", Place(name), f"a first row that can't be read: {error}")]) from None
    if not header:
        raise Problems([Problem("no-case", Place(name), "an empty file", "columns by question ids, then the cases")])
    return Columns(header, judge.rules, mapping, name)


def _rows(reader: Any, first: int) -> Iterator[Item]:
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


def _lines(text: TextIO, first: int) -> Iterator[Item]:
    line = number = 0
    while found := text.readline(LARGEST_LINE):
        line += 1
        if found.strip():
            number += 1
            if number >= first:
                yield line, found


# Judging, in each process


def begin(work: Work) -> None:
    """Makes a process ready: the work is known."""
    global _WORK
    _WORK = work


def judge_chunk(items: list[Item]) -> Done:
    """What comes of some cases. A fault of the program in one case is told as a problem of that case."""
    work = _WORK
    assert work is not None
    out, told, failed = list[str](), list[str](), 0
    for line, item in items:
        try:
            out.append(_judged(line, item, work))
        except Problems as error:
            failed += 1
            told.extend(f"{problem}\n" for problem in error.problems)
            if work.as_json:
                out.append(_json(answer_of_problems(error.problems, work.judge.rules)))
            elif work.brief:
                out.append(f"{line}\tnot judged\n")
    return Done("".join(out), "".join(told), 2 if failed else 0, len(items), failed)


def _judged(line: int, item: Any, work: Work) -> str:
    place = Place(work.name, line)
    if not _is_text(item):
        raise Problems([Problem("not-text", place, "bytes that are not UTF-8", "a text file", "save it as UTF-8")])
    if work.columns is not None:
        if isinstance(item, str):
            raise Problems([Problem("bad-row", place, f"a row that can't be read: {item}", "a row of CSV")])
        case = row_case(item, work.columns, _CELLS, work.today, place)
    else:
        quick = quick_case(item, work.judge.rules, _CELLS, work.today, work.rules)
        case = quick if quick is not None else read_case(_slow(item, line, work), work.judge.rules, work.today)
    judgement = work.judge.judge(case)
    if work.as_json:
        return _json(answer_of(judgement, work.judge))
    if work.brief:
        return f"{line}\t{judgement.verdict}\t{judgement.ending}\t{judgement.method}\n"
    return "\n".join(verdict_lines(judgement, work.judge, f"{work.name}:{line}")) + "\n"


def _is_text(item: Any) -> bool:
    try:
        ("".join(item) if isinstance(item, list) else item).encode()
    except UnicodeEncodeError:
        return False
    return True


def _slow(item: str, line: int, work: Work) -> CaseText:
    """A line read like a case file, with every problem and its place."""
    case = next(split_cases(item, work.name))
    if case.rules and case.rules != work.rules:
        found, expected = f'the rule set "{shown(case.rules, 60)}"', f"{work.rules}, as the whole batch, or --rules"
        raise Problems([Problem("other-rules", Place(work.name, line), found, expected, "judge it by itself")])
    return CaseText(case.file, case.node, tuple(one.at(work.name, line - 1) for one in case.problems), line - 1)


def _json(answer: dict[str, Any]) -> str:
    return json_shown(answer) + "\n"
