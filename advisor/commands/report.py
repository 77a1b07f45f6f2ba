"""`advisor report`: the report of a case or of a record, as plain text and as one HTML page to print."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path

from advisor.commands.decide import Judges
from advisor.commands.options import Options, complain, read_options
from advisor.commands.report_record import names_a_record, record_report
from advisor.console.printers import text_lines
from advisor.journal.data_folder import write_private
from advisor.loader.case_file import CaseText, read_case, split_cases
from advisor.loader.yaml_nodes import decoded, read_text
from advisor.model.problems import Place, Problem, Problems, shown
from advisor.report.html import report_page
from advisor.work.record_model import Report, report_of

HELP = """advisor report CASE|RECORD - the report of a case file (- reads standard input), or of a record:
                        by its id, or by its casing, whose latest is taken; advisor casings lists them

  --html FILE           writes one self-contained HTML page to print (- for standard output)
  --text                plain text on standard output (this is so anyway without --html)
  --technician NAME     the name above the signature line (default: the record's)
  --rules ID-or-FOLDER  the rule set; wins over that of the case or record
  --data FOLDER         where the journal is (default: this user's data folder, or ADVISOR_DATA)

Exit code 2: something could not be read or written.

example:
  printf 'answers: {vehicle: truck}\\n' | advisor report -
"""
_LONGEST_NAME = 120


def run(words: list[str]) -> int:
    """Writes the report of every case in a file; gives the exit code."""
    try:
        options = read_options(words, ("--text",), ("--html", "--technician", "--data"), HELP)
        if options is None:
            return 0
        if len(options.words) != 1 or not options.words[0].strip():
            found = f"{len(options.words)} names" if len(options.words) > 1 else "no case and no record"
            raise _problem("no-case", found, "one case file, - for standard input, or one record's id or casing")
        reports, code = _asked_for(options.words[0], options)
        _give(options, reports)
        return code
    except Problems as error:
        complain(error.problems)
        return 2


def _asked_for(word: str, options: Options) -> tuple[list[Report], int]:
    name, judges = _technician(options), Judges(options.rules[-1:])
    if names_a_record(word):
        return [record_report(word, options.values.get("--data", [""])[-1], judges, name)], 0
    return _reports(word, judges, name)


def _technician(options: Options) -> str:
    name = " ".join(options.values.get("--technician", [""])[-1].split())
    if len(name) > _LONGEST_NAME:
        raise _problem("bad-option", f"a name of {len(name)} characters", f"at most {_LONGEST_NAME}")
    return name


def _reports(name: str, judges: Judges, technician: str) -> tuple[list[Report], int]:
    label = "standard input" if name == "-" else name
    text = decoded(sys.stdin.buffer.read(), label) if name == "-" else read_text(Path(name), name)
    reports, code = [], 0
    for number, case in enumerate(split_cases(text, label), 1):
        try:
            reports.append(_report(case, judges, label if number == 1 else f"{label}, case {number}", technician))
        except Problems as error:
            complain(error.problems)
            code = 2
    return reports, code


def _report(case: CaseText, judges: Judges, label: str, technician: str) -> Report:
    name = judges.names_for(case)[0]
    judge = judges.by_name(name) if name in judges.asked else judges.of_case(name, case)
    return report_of(judge.judge(read_case(case, judge.rules, date.today())), judge, label, technician)


def _give(options: Options, reports: list[Report]) -> None:
    if not reports:
        return
    files = options.values.get("--html", [])
    if "--text" in options.flags or not files:
        sys.stdout.write("\n\n".join("\n".join(text_lines(report)) for report in reports) + "\n")
    for file in files:
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
        raise _problem("not-written", found, "a place that can be written to") from None
    sys.stderr.write(f"Written: {shown(file)}\n")


def _problem(problem_id: str, found: str, expected: str) -> Problems:
    return Problems([Problem(problem_id, Place("command line"), found, expected, "see --help")])
