"""Records taken in from CSV: each row checked like what is typed, and judged; a verdict told must be the one judged."""

from __future__ import annotations

import csv
import hashlib
from collections.abc import Iterable, Iterator, Mapping
from itertools import chain
from pathlib import Path

from msgspec.structs import replace

from advisor.engine.evaluator import Judge
from advisor.journal.case_data import case_data, day_from
from advisor.journal.csv_columns import ABOUT, PERSONAL, keys_in, left_out_of_cell
from advisor.journal.events import NOTHING_BEFORE, Entry, NewEvent, canonical, draft, link_of
from advisor.journal.export import is_event_id
from advisor.journal.merge import Incoming
from advisor.journal.parquet import read_parquet
from advisor.journal.recorder import verdict_data
from advisor.journal.state_diff import saved_data
from advisor.loader.answer_codec import answer_of_cell
from advisor.loader.answer_fit import misfits
from advisor.loader.case_rows import Cells, Columns, unguarded
from advisor.loader.reader import Diagnostics
from advisor.loader.renamed import case_now
from advisor.model.case import Answer, Case
from advisor.model.problems import Misread, Place, Problem, Problems, shown
from advisor.model.ruleset import RuleSet
from advisor.model.saved import Saved

LONGEST_CELL = 2**20


def csv_incoming(path: Path, name: str, rules: RuleSet, problems: list[Problem]) -> Iterator[Incoming]:
    """The consultations of a CSV file; a row that does not fit is noted in `problems` and left out."""
    csv.field_size_limit(LONGEST_CELL)
    with path.open(encoding="utf-8-sig", errors="backslashreplace", newline="") as file:
        reader = csv.reader(file, strict=True)

        def rows() -> Iterator[tuple[int, list[str] | csv.Error]]:
            while True:
                line = reader.line_num + 1
                try:
                    row = next(reader, None)
                except csv.Error as error:
                    yield line, error
                    continue
                if row is None:
                    return
                if row:
                    yield line, [unguarded(cell) for cell in row]

        yield from _incoming_of(rows(), name, rules, problems)


def parquet_incoming(path: Path, name: str, rules: RuleSet, problems: list[Problem]) -> Iterator[Incoming]:
    """The same of a Parquet file. Raises Misread for what is no such file."""
    header, texts = read_parquet(path)
    rows = ((line, _short(row)) for line, row in enumerate(chain([header], texts), 1))
    yield from _incoming_of(rows, name, rules, problems)


def _short(row: list[str]) -> list[str] | csv.Error:
    longest = max(map(len, row), default=0)
    return row if longest <= LONGEST_CELL else csv.Error(f"a cell of {longest} characters")


def _incoming_of(
    rows: Iterable[tuple[int, list[str] | csv.Error]], name: str, rules: RuleSet, problems: list[Problem]
) -> Iterator[Incoming]:
    judge, cells, columns = Judge(rules), Cells(), None
    for line, row in rows:
        place = Place(name, line)
        try:
            if isinstance(row, csv.Error):
                problems.append(Problem("bad-row", place, f"a row that can't be read: {row}", "a row of CSV"))
            elif columns is None:
                columns = _columns(row, rules, name)
            else:
                yield _incoming(row, columns, judge, cells, place)
        except Misread as error:
            problems.append(Problem("bad-record", place, error.found, error.expected, error.do))
        except Problems as error:
            problems.extend(error.problems)
            if columns is None:
                return


def _columns(header: list[str], rules: RuleSet, name: str) -> Columns:
    missing = [column for column in ABOUT if column not in header]
    if missing:
        found = f"no column {', '.join(missing)}"
        raise Problems([Problem("missing-column", Place(name), found, "the columns of an export")])
    return Columns(header, rules, {}, name, ABOUT)


def _incoming(row: list[str], columns: Columns, judge: Judge, cells: Cells, place: Place) -> Incoming:
    if len(row) != len(columns.columns):
        raise Misread(f"{len(row)} cells in the row", f"{len(columns.columns)}, as in the first row")
    notes = Diagnostics(place.file, place.line - 1)
    about: dict[str, str] = {}
    case = Case()
    for column, text in zip(columns.columns, row, strict=True):
        if column.name in ABOUT:
            about[column.name] = text
        elif column.question is not None and text:
            answer: Answer | None = answer_of_cell(text, column.question, notes, cells.answer)
            if answer is not None:
                case = case.with_answer(column.question.over, (column.question.id, column.index), answer)
    if notes.problems:
        raise Problems(notes.problems)
    case = replace(case, today=day_from(about["today"] or None), skipped=left_out_of_cell(about["left-out"]))
    case = case_now(case, judge.rules)
    _check(about, case, judge)
    return _as_incoming(about, case, judge)


def _check(about: Mapping[str, str], case: Case, judge: Judge) -> None:
    if not is_event_id(about["consultation"]):
        raise Misread(f'"{shown(about["consultation"], 60)}" as a consultation', "an id such as 260314-0a1b2c3d4e")
    if about["rules"] != judge.rules.about.id:
        raise Misread(f'the rule set "{shown(about["rules"], 60)}"', f"{judge.rules.about.id}, or another with --rules")
    if found := misfits(case, judge.rules):
        raise Misread("; ".join(found[:5]), "answers that fit their questions", "correct or take the row out")
    if about["verdict"] and about["digest"] == judge.rules.digest:
        judged = judge.judge(case)
        if (str(judged.verdict), judged.ending) != (about["verdict"], about["ending"]):
            found_words = f'the verdict "{shown(about["verdict"], 40)}", {shown(about["ending"], 60)}'
            raise Misread(found_words, f"{judged.verdict}, {judged.ending}, as these rules judge it")


def _as_incoming(about: Mapping[str, str], case: Case, judge: Judge) -> Incoming:
    name, digest = about["consultation"], about["digest"]
    begin = {"rules": about["rules"], "edition": about["edition"], "today": about["today"] or None, "from": "csv"}
    order = tuple(key for _, key in keys_in(case))
    drafts = [draft(name, about["begun"], "begin", digest, begin)]
    if about["casing"]:
        drafts.append(draft(name, about["begun"], "casing", digest, {"casing": about["casing"]}))
    drafts += [draft(name, about["begun"], field, digest, {}, {field: about[field]})
               for field in PERSONAL if about[field]]  # fmt: skip
    drafts.append(draft(name, about["begun"], "case", digest, saved_data(Saved(case, order))))
    if about["verdict"]:
        decided = verdict_data(case, judge.judge(case))
        told = {key: about[key] for key in ("verdict", "ending", "method")}
        drafts.append(draft(name, about["decided"], "verdict", digest, {**decided, **told, "from": "csv"}))
    return Incoming(name, list(_linked(drafts)), drafts, _mark(about, case))


def _mark(about: Mapping[str, str], case: Case) -> str:
    """A hash of all that a row says."""
    return hashlib.sha256(canonical({"about": dict(about), "case": case_data(case)}).encode()).hexdigest()


def _linked(drafts: list[NewEvent]) -> Iterator[Entry]:
    link = NOTHING_BEFORE
    for step, each in enumerate(drafts, 1):
        link = link_of(link, each.consultation, step, each.at, each.kind, each.rules, each.body)
        yield Entry(0, each.consultation, step, each.at, each.kind, each.rules, each.body, link, b"")
