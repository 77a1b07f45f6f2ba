"""`advisor casings`: records carried out to a file, taken in from one, or from another journal."""

from __future__ import annotations

import sys
from argparse import Namespace
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

from advisor.commands.casings.keeping import to_write
from advisor.commands.command_parser import rules_named, usage_error
from advisor.journal.data_folder import FILE_NAME, write_private
from advisor.journal.export import LONGEST_EXPORTED, RecordRows, csv_lines, export_lines, read_line
from advisor.journal.import_csv import csv_incoming, parquet_incoming
from advisor.journal.integrity import verify
from advisor.journal.merge import Incoming, Joined, Joining, of_journal
from advisor.journal.parquet import write_parquet
from advisor.journal.rules_held import ByTheirRules
from advisor.journal.store import Connection, opened_to_read
from advisor.loader.paths import find_rule_set, shipped
from advisor.loader.ruleset_loader import load_rule_set
from advisor.model.exit_code import ExitCode
from advisor.model.problems import Misread, Place, Problem, Problems, shown
from advisor.model.ruleset import RuleSet


def export(db: Connection, options: Namespace) -> ExitCode:
    """Writes all records out; the file takes its name only when it is whole."""
    name, anonymous = options.export, options.anonymous
    if name == "-":
        sys.stdout.writelines(export_lines(db, anonymous))
        return ExitCode.DONE
    path = Path(name)
    if path.suffix in (".jsonl", ".ndjson"):
        write_private(path, export_lines(db, anonymous))
    elif path.suffix in (".csv", ".parquet"):
        _export_rows(path, RecordRows(db, _rules(rules_named(options)), anonymous))
    else:
        expected = "a file that ends in .jsonl, .csv or .parquet"
        raise usage_error("bad-option", f'"{shown(name, 80)}" as --export', expected)
    sys.stdout.write(f"Written: {shown(name, 200)}\n")
    return ExitCode.DONE


def _export_rows(path: Path, rows: RecordRows) -> None:
    if path.suffix == ".parquet":
        write_parquet(path, rows)
    else:
        write_private(path, csv_lines(rows))
    if rows.elsewhere:
        count, do = rows.elsewhere, "--rules names theirs; JSON lines hold all"
        sys.stderr.write(f"Not in it: {count} consultations by other rules than {rows.rules.about.id} ({do}).\n")
    if rows.not_asked:
        sys.stderr.write(f"Not in it: {rows.not_asked} answers that these rules don't ask (JSON lines hold them).\n")


def _rules(name: str) -> RuleSet:
    return load_rule_set(find_rule_set(name))


def import_file(folder: Path, options: Namespace) -> ExitCode:
    """Takes records in from a file; a line that does not fit is told and left out, and the rest goes on."""
    name, rules = options.import_file, rules_named(options)
    path = Path(name)
    problems: list[Problem] = []
    journal, store = to_write(folder)
    try:
        rules_by = _finder(rules)
        if path.suffix == ".csv":
            incoming = csv_incoming(path, name, _rules(rules), problems)
        elif path.suffix == ".parquet":
            incoming = parquet_incoming(path, name, _rules(rules), problems)
        else:
            incoming = _lines(path, name, rules_by, problems)
        held = ByTheirRules(rules_by)
        joined = Joining(store, journal.claims, held, trusted=False).join(incoming)
    finally:
        sys.stderr.writelines(f"{line}\n" for line in journal.close())
    sys.stderr.writelines(f"{each}\n" for each in problems)
    _tell(joined, len(problems), held)
    return ExitCode.BAD_INPUT if problems or joined.refused else ExitCode.DONE


def _finder(rules: str) -> Callable[[str], RuleSet]:
    """What gives the rule set of an id: the one that was named, or a shipped one. Raises Misread."""
    loaded: dict[str, RuleSet] = {}

    def rules_by(rules_id: str) -> RuleSet:
        if not loaded:
            given = _rules(rules)
            loaded[given.about.id] = given
        if rules_id not in loaded:
            if rules_id not in shipped():
                raise Misread(f'the rule set "{shown(rules_id, 60)}"', f"{', '.join(loaded)}, or another with --rules")
            loaded[rules_id] = _rules(rules_id)
        return loaded[rules_id]

    return rules_by


def _lines(path: Path, name: str, rules_by: Callable[[str], RuleSet], problems: list[Problem]) -> Iterator[Incoming]:
    with path.open("rb") as file:
        number = 0
        while line := file.readline(LONGEST_EXPORTED + 1):
            number += 1
            if not line.strip():
                continue
            try:
                consultation, entries, drafts = read_line(line.decode("utf-8", "strict"), rules_by)
                yield Incoming(consultation, entries, drafts)
            except UnicodeDecodeError:
                problems.append(Problem("not-text", Place(name, number), "bytes that are not UTF-8", "a text file"))
            except Misread as error:
                problems.append(Problem("bad-record", Place(name, number), error.found, error.expected, error.do))


def merge(folder: Path, options: Namespace) -> ExitCode:
    """Takes another journal's records in, once that journal was checked."""
    other = Path(options.merge)
    path = other / FILE_NAME if other.is_dir() else other
    with closing(opened_to_read(path)) as db:
        found = verify(db)
        if found.problems:
            sys.stderr.writelines(f"{shown(str(path), 200)}: {line}\n" for line in found.problems[:5])
            what = "a journal that does not stand as it was written"
            expected, do = "a journal that --verify finds nothing in", "export and import what is sound"
            raise Problems([Problem("bad-record", Place(str(other)), what, expected, do)])
        journal, store = to_write(folder)
        try:
            held = ByTheirRules(_finder(rules_named(options)))
            joined = Joining(store, journal.claims, held, trusted=True).join(of_journal(db))
        finally:
            sys.stderr.writelines(f"{line}\n" for line in journal.close())
    _tell(joined, 0, held)
    return ExitCode.BAD_INPUT if joined.refused else ExitCode.DONE


def _tell(joined: Joined, problems: int, held: ByTheirRules) -> None:
    sys.stdout.writelines(f"{line}\n" for line in joined.told)
    refused = joined.refused + problems
    parts = [
        f"{joined.new} new",
        f"{joined.longer} gone on with",
        f"{joined.known} known already",
        *([f"{joined.apart} kept beside ours, as both had gone on"] if joined.apart else []),
        *([f"{refused} not taken"] if refused else []),
    ]
    sys.stdout.write(f"Consultations: {', '.join(parts)}.\n")
    if held.elsewhere:
        sys.stdout.write(f"{held.elsewhere} were decided by rules that are not here; those verdicts were not judged.\n")
