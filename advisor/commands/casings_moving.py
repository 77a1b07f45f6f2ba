"""`advisor casings`: records carried out, taken in, copied and forgotten."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import datetime
from pathlib import Path

from advisor.commands.options import problem
from advisor.journal.data_folder import FILE_NAME, write_private
from advisor.journal.export import LONGEST_EXPORTED, RecordRows, csv_lines, export_lines, read_line
from advisor.journal.import_csv import csv_incoming, parquet_incoming
from advisor.journal.integrity import verify
from advisor.journal.log import Journal
from advisor.journal.merge import Incoming, Joined, Joining, of_journal
from advisor.journal.parquet import write_parquet
from advisor.journal.redaction import copies_beside, forget, meant_by, mentioned_in
from advisor.journal.rules_held import ByTheirRules
from advisor.journal.store import Connection, Store, backup, opened_to_read
from advisor.loader.paths import find_rule_set, shipped
from advisor.loader.ruleset_loader import load_rule_set
from advisor.model.problems import Misread, Place, Problem, Problems, shown
from advisor.model.ruleset import RuleSet


def export(db: Connection, name: str, anonymous: bool, rules: str) -> int:
    """Writes all records out; the file takes its name only when it is whole."""
    if name == "-":
        sys.stdout.writelines(export_lines(db, anonymous))
        return 0
    path = Path(name)
    if path.suffix in (".jsonl", ".ndjson"):
        write_private(path, export_lines(db, anonymous))
    elif path.suffix in (".csv", ".parquet"):
        _export_rows(path, RecordRows(db, _rules(rules), anonymous))
    else:
        expected = "a file that ends in .jsonl, .csv or .parquet"
        raise problem("bad-option", f'"{shown(name, 80)}" as --export', expected)
    sys.stdout.write(f"Written: {shown(name, 200)}\n")
    return 0


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


def _store(folder: Path) -> tuple[Journal, Store]:
    journal = Journal(folder, datetime.now)
    sys.stderr.writelines(f"{line}\n" for line in journal.take_notices())
    if journal.store is None:
        raise problem("not-written", f"the journal in {shown(str(folder), 200)}", "a folder that can be written to")
    return journal, journal.store


def import_file(folder: Path, name: str, rules: str) -> int:
    """Takes records in from a file; a line that does not fit is told and left out, and the rest goes on."""
    path = Path(name)
    problems: list[Problem] = []
    journal, store = _store(folder)
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
    return 2 if problems or joined.refused else 0


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


def merge(folder: Path, other: Path, rules: str) -> int:
    """Takes another journal's records in, once that journal was checked."""
    path = other / FILE_NAME if other.is_dir() else other
    with closing(opened_to_read(path)) as db:
        found = verify(db)
        if found.problems:
            sys.stderr.writelines(f"{shown(str(path), 200)}: {line}\n" for line in found.problems[:5])
            what = "a journal that does not stand as it was written"
            expected, do = "a journal that --verify finds nothing in", "export and import what is sound"
            raise Problems([Problem("bad-record", Place(str(other)), what, expected, do)])
        journal, store = _store(folder)
        try:
            held = ByTheirRules(_finder(rules))
            joined = Joining(store, journal.claims, held, trusted=True).join(of_journal(db))
        finally:
            sys.stderr.writelines(f"{line}\n" for line in journal.close())
    _tell(joined, 0, held)
    return 2 if joined.refused else 0


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


def back_up(db: Connection, target: Path) -> int:
    """A whole copy, while the journal may be in use."""
    if target.exists():
        raise problem(
            "not-written", f"{shown(str(target), 200)}, which is there already", "a new file", "name another file"
        )
    backup(db, target)
    sys.stdout.write(f"Written: {shown(str(target), 200)}\n")
    return 0


def forget_words(folder: Path, word: str) -> int:
    """Takes personal words away for good."""
    journal, store = _store(folder)
    try:
        found = meant_by(store.db, word)
        if not found:
            raise problem("not-found", f'"{shown(word, 60)}"', "a consultation's id, a technician or a plate")
        count, gone = forget(store, journal, found)
        copies, mentions = copies_beside(store), mentioned_in(store.db, word)
    finally:
        sys.stderr.writelines(f"{line}\n" for line in journal.close())
    sys.stdout.write(f"{count} personal words of {len(found)} consultations are deleted. The chain still holds.\n")
    if not gone:
        sys.stdout.write("Another window has the journal open: until it is closed they may lie in the log beside it.\n")
    if mentions:
        sys.stdout.write(f"Notes of {mentions} other consultations hold the word; --forget ID deletes one's notes.\n")
    sys.stdout.writelines(f"A copy may still hold them: {shown(str(copy), 200)}\n" for copy in copies)
    return 0
