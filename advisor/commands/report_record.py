"""The report of a record: read from the journal by its id or its casing, judged again by the rules as they are now."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec.structs import replace

from advisor.engine.evaluator import Judge
from advisor.model.problems import Place, Problem, Problems, shown
from advisor.model.saved import Saved
from advisor.work.progress import Work, work_from
from advisor.work.record_model import Report, report_of

if TYPE_CHECKING:
    from advisor.commands.decide import Judges
    from advisor.journal.one_record import OneRecord

_FILE_ENDINGS = (".yaml", ".yml", ".json", ".jsonl", ".ndjson", ".csv", ".txt")


def names_a_record(word: str) -> bool:
    """Whether a word can only be meant as a record: no file of that name, and nothing in it of a file's."""
    return word != "-" and os.sep not in word and not word.endswith(_FILE_ENDINGS) and not Path(word).exists()


def record_report(word: str, folder: str, judges: Judges, technician: str) -> Report:
    """The report of the record of an id, or of the latest of a casing. Raises Problems."""
    record = _read(word, folder)
    name = judges.asked[0] if judges.asked else record.summary.rules_id
    judge = judges.by_name(name)
    return _report(record, judge, technician or record.summary.technician)


def _read(word: str, folder: str) -> OneRecord:
    from advisor.journal.data_folder import FILE_NAME, data_folder
    from advisor.journal.one_record import one_record
    from advisor.journal.store import UNUSABLE, DamagedJournal, NewerJournal

    home = data_folder(folder, os.environ)
    found = f'"{shown(word, 80)}", which is no file here'
    if not (home / FILE_NAME).exists():
        raise _problem("no-record", f"{found}; and there is no journal in {shown(str(home), 200)}")
    try:
        record = one_record(home, word.encode("utf-8", "replace").decode())
    except (NewerJournal, DamagedJournal, *UNUSABLE) as error:
        raise _problem("journal-not-read", f"a journal that can't be read: {shown(str(error), 200)}") from None
    if record is None:
        raise _problem("no-record", f"{found}, and no casing or consultation in the journal")
    return record


def _report(record: OneRecord, judge: Judge, technician: str) -> Report:
    from advisor.loader.answer_fit import fitted

    saved, left_out = fitted(Saved(record.case), judge.rules)
    work = Work()
    with suppress(KeyError, TypeError, ValueError):
        work = work_from(record.work)
    report = report_of(judge.judge(saved.case), judge, _name(record), technician, work)
    marks = (*report.marks, *_since(record, report, judge, left_out))
    return replace(report, marks=marks, notes=(*report.notes, *record.notes))


def _name(record: OneRecord) -> str:
    summary = record.summary
    parts = [f"casing {summary.casing}" if summary.casing else "", f"consultation {summary.id}"]
    parts += [f"plate {summary.plate}" if summary.plate else "", f"kept {_minute(summary.decided or summary.begun)}"]
    return ", ".join(filter(None, parts))


def _minute(at: str) -> str:
    return f"{at[:16].replace('T', ' ')} UTC"


def _since(record: OneRecord, report: Report, judge: Judge, left_out: list[str]) -> list[str]:
    """What is otherwise than when it was recorded."""
    summary, says = record.summary, list(record.beside)
    if not record.decided:
        says.append("No verdict was recorded; this is how it stands.")
    elif record.decided.get("digest") != judge.rules.digest or summary.rules_id != judge.rules.about.id:
        then = f"{str(record.decided.get('verdict', '')).upper()} by {summary.rules_id}, edition {summary.edition}"
        now = f"This report judges by {judge.rules.about.id}, edition {judge.rules.about.edition}: {report.sign}."
        says.append(f"Recorded as {then}, digest {record.decided.get('digest')}. {now}")
    if left_out:
        says.append(f"Recorded answers that fit no question of these rules and were left out: {', '.join(left_out)}.")
    return [shown(text, 1000) for text in says]


def _problem(problem_id: str, found: str) -> Problems:
    expected = "a case file, - for standard input, or a record's id or casing (advisor casings lists them)"
    return Problems([Problem(problem_id, Place("command line"), found, expected, "see --help")])
