"""`advisor report`: the report of a case or of a record, as plain text and as one HTML page to print."""

from __future__ import annotations

import os
import sys
from argparse import Namespace
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec.structs import replace

from advisor.commands.command_parser import CommandParser, complain, usage_error
from advisor.commands.decide import Judges
from advisor.console.printers import text_lines
from advisor.engine.evaluator import Judge
from advisor.journal.data_folder import write_private
from advisor.loader.case_file import CaseText, split_cases
from advisor.loader.yaml_nodes import decoded, read_text
from advisor.model.exit_code import ExitCode
from advisor.model.problems import Problems, shown
from advisor.model.saved import Saved
from advisor.report.html import report_page
from advisor.work.progress import Work, work_from
from advisor.work.record_model import Report, report_of

if TYPE_CHECKING:
    from advisor.journal.one_record import OneRecord

_LONGEST_NAME = 120
_FILE_ENDINGS = (".yaml", ".yml", ".json", ".jsonl", ".ndjson", ".csv", ".txt")


def declare(parser: CommandParser) -> None:
    """The options of the command."""
    parser.words(
        "CASE|RECORD",
        "a case file, or - for standard input; or a record by its id, or by its casing, whose latest is taken "
        "(advisor casings lists them)",
    )
    parser.values(
        "--html",
        "FILE",
        "writes one self-contained HTML page to print (- for standard output)",
    )
    parser.flag("--text", "plain text on standard output (this is so anyway without --html)")
    parser.value(
        "--technician",
        "NAME",
        "the name above the signature line (default: the record's)",
        default="",
        type=_name_to_sign,
    )
    parser.journal_folder()
    parser.after(
        "--rules wins over the rule set of the case or record. Exit code 2: something could not be read or written.",
        example="printf 'answers: {vehicle: truck}\\n' | advisor report -",
    )


def run(options: Namespace) -> ExitCode:
    """Writes the report of every case in a file, or of a record; gives the exit code."""
    if len(options.words) != 1 or not options.words[0].strip():
        found = f"{len(options.words)} names" if len(options.words) > 1 else "no case and no record"
        expected = "one case file, - for standard input, or one record's id or casing"
        raise usage_error("no-case", found, expected)
    [name], judges = options.words, Judges(options.rules[-1:])
    if names_a_record(name):
        reports, code = [report_of_record(name, options.data, judges, options.technician)], ExitCode.DONE
    else:
        reports, code = _of_cases(name, judges, options.technician)
    _give(options, reports)
    return code


def _name_to_sign(text: str) -> str:
    name = " ".join(text.split())
    if len(name) > _LONGEST_NAME:
        raise usage_error("bad-option", f"a name of {len(name)} characters", f"at most {_LONGEST_NAME}")
    return name


def _of_cases(name: str, judges: Judges, technician: str) -> tuple[list[Report], ExitCode]:
    label = "standard input" if name == "-" else name
    text = decoded(sys.stdin.buffer.read(), label) if name == "-" else read_text(Path(name), name)
    reports, code = [], ExitCode.DONE
    for number, case in enumerate(split_cases(text, label), 1):
        try:
            reports.append(_of_case(case, judges, label if number == 1 else f"{label}, case {number}", technician))
        except Problems as error:
            complain(error.problems)
            code = ExitCode.BAD_INPUT
    return reports, code


def _of_case(case: CaseText, judges: Judges, label: str, technician: str) -> Report:
    rules = judges.of_case(judges.names_for(case)[0], case)
    found = rules.judge(rules.read(case))
    return report_of(found.judgement, found.judge, label, technician)


def names_a_record(word: str) -> bool:
    """Whether a word can only be meant as a record: no file of that name, and nothing in it of a file's."""
    return word != "-" and os.sep not in word and not word.endswith(_FILE_ENDINGS) and not Path(word).exists()


def report_of_record(word: str, folder: str, judges: Judges, technician: str) -> Report:
    """The report of the record of an id, or of the latest of a casing. Raises Problems."""
    record = _read(word, folder)
    if record.waits:
        said = " / ".join(f'"{shown(each, 80)}"' for each in record.waits)
        expected = "yes or no to it, so that it is known what is decided: advisor --resume"
        raise usage_error("not-confirmed", f"{said}, which was typed and neither confirmed nor dropped", expected)
    name = judges.asked[0] if judges.asked else record.summary.rules_id
    judge = judges.by_name(name).judge_of_rules
    return _as_recorded(record, judge, technician or record.summary.technician)


def _read(word: str, folder: str) -> OneRecord:
    from advisor.journal.data_folder import FILE_NAME, data_folder
    from advisor.journal.one_record import one_record
    from advisor.journal.store import UNUSABLE, DamagedJournal, NewerJournal

    home = data_folder(folder, os.environ)
    found = f'"{shown(word, 80)}", which is no file here'
    if not (home / FILE_NAME).exists():
        raise _no_record("no-record", f"{found}; and there is no journal in {shown(str(home), 200)}")
    try:
        record = one_record(home, word.encode("utf-8", "replace").decode())
    except (NewerJournal, DamagedJournal, *UNUSABLE) as error:
        raise _no_record("journal-not-read", f"a journal that can't be read: {shown(str(error), 200)}") from None
    if record is None:
        raise _no_record("no-record", f"{found}, and no casing or consultation in the journal")
    return record


def _as_recorded(record: OneRecord, judge: Judge, technician: str) -> Report:
    from advisor.loader.answer_fit import fitted

    saved, left_out = fitted(Saved(record.case), judge.rules)
    work = Work()
    with suppress(KeyError, TypeError, ValueError):
        work = work_from(record.work)
    report = report_of(judge.judge(saved.case), judge, _name(record), technician, work)
    marks = (*report.marks, *_since(record, report, judge, left_out))
    notes = (*report.notes, *record.notes)
    return replace(report, marks=marks, notes=notes, kept_as=record.summary.id, hash=record.hash)


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


def _no_record(problem_id: str, found: str) -> Problems:
    expected = "a case file, - for standard input, or a record's id or casing (advisor casings lists them)"
    return usage_error(problem_id, found, expected)


def _give(options: Namespace, reports: list[Report]) -> None:
    if not reports:
        return
    if options.text or not options.html:
        sys.stdout.write("\n\n".join("\n".join(text_lines(report)) for report in reports) + "\n")
    for file in options.html:
        _write(file, report_page(reports))


def _write(file: str, text: str) -> None:
    if file == "-":
        sys.stdout.write(text)
        return
    try:
        write_private(Path(file), [text])
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        found = f"{shown(file)} that can't be written: {reason.lower()}"
        raise usage_error("not-written", found, "a place that can be written to") from None
    sys.stderr.write(f"Written: {shown(file)}\n")
