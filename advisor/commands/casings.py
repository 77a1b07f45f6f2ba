"""`advisor casings`: what is in the journal - found, shown, checked, carried out and in, and forgotten."""

from __future__ import annotations

import os
import sys
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

from advisor.commands.options import DEFAULT_RULES, Options, complain, read_options
from advisor.errors import Place, Problem, Problems, shown

if TYPE_CHECKING:
    from advisor.record.store import Connection

HELP = """advisor casings [WORDS] - the recorded consultations: by number, casing, plate, date, verdict, technician

  --show NAME           a casing's history on one page, with all places in one drawing
                        --svg FILE: the drawings as a picture as well
  --verify              check that nothing was changed, taken out or put in another order; says where.
                        --head HASH: also that an earlier check's last hash still stands in the chain
  --export FILE         all records; FILE ends in .jsonl or .csv (- for JSON lines on standard output)
  --anonymous           with --export: without technicians, plates and notes
  --import FILE         take records in (.jsonl or .csv), checked like what is typed
  --merge FOLDER        take in another journal's records (a folder or a journal file); nothing is doubled
  --backup FILE         a whole copy, safe while the journal is in use
  --forget WORD         delete technician, plate and notes for good: of one consultation by its id, or of all
                        under that technician's name or plate
  --most N              how many are listed (default 50)
  --data FOLDER         where the journal is (default: this user's data folder, or ADVISOR_DATA)
  --rules ID-or-FOLDER  the rule set whose questions imports are checked by and histories are worded by

Exit code 0: done. 1: --verify found something. 2: something could not be read or taken in.

example:
  advisor casings --verify --data ./shop-journal
"""
_VALUES = ("--data", "--show", "--svg", "--head", "--export", "--import", "--merge", "--backup", "--forget", "--most")
_ONE_OF = ("--show", "--verify", "--export", "--import", "--merge", "--backup", "--forget")


def run(words: list[str]) -> int:
    """Carries out what was asked; gives the exit code."""
    from advisor.record.store import UNUSABLE, DamagedJournal, NewerJournal

    try:
        options = read_options(words, ("--verify", "--anonymous"), _VALUES, HELP)
        return 0 if options is None else _carry_out(options)
    except Problems as error:
        complain(error.problems)
    except (NewerJournal, DamagedJournal) as error:
        sys.stderr.write(f"{error}\n")
    except BrokenPipeError:
        raise
    except UNUSABLE as error:
        reason = (error.strerror if isinstance(error, OSError) else None) or str(error)
        sys.stderr.write(f"the journal can't be used: {shown(reason, 200)}\n")
    return 2


def problem(problem_id: str, found: str, expected: str) -> Problems:
    """A problem with what was typed on the command line."""
    return Problems([Problem(problem_id, Place("command line"), found, expected, "see --help")])


def _carry_out(options: Options) -> int:
    from advisor.commands import casings_moving as moving
    from advisor.record.place import FILE_NAME, data_folder

    asked = [name for name in _ONE_OF if name in options.values or name in options.flags]
    if len(asked) > 1:
        raise problem("bad-option", " and ".join(asked), "one of them at a time")
    folder = data_folder(options.values.get("--data", [""])[-1], os.environ)
    path = folder / FILE_NAME
    given = options.values.get(asked[0], [""])[-1] if asked else ""
    rules = (options.rules or [DEFAULT_RULES])[-1]
    if asked == ["--import"]:
        return moving.import_file(folder, given, rules)
    if asked == ["--merge"]:
        return moving.merge(folder, Path(given))
    if not path.exists():
        sys.stdout.write(f"There is no journal in {shown(str(folder), 200)} yet.\n")
        return 0
    if asked == ["--forget"]:
        return moving.forget_words(folder, given)
    return _read(options, path, asked, given, rules)


def _read(options: Options, path: Path, asked: list[str], given: str, rules: str) -> int:
    from advisor.commands import casings_moving as moving
    from advisor.record.store import opened_to_read

    with closing(opened_to_read(path)) as db:
        if asked == ["--verify"]:
            return _verify(db, options.values.get("--head", [""])[-1])
        if asked == ["--export"]:
            return moving.export(db, given, "--anonymous" in options.flags, rules)
        if asked == ["--backup"]:
            return moving.back_up(db, Path(given))
        if asked == ["--show"]:
            return _show(db, given, rules, options.values.get("--svg", [""])[-1])
        return _list(db, options)


def _verify(db: Connection, head: str) -> int:
    from advisor.record.verify import MOST_FOUND, verify

    found = verify(db, head)
    for line in found.problems:
        sys.stdout.write(f"{line}\n")
    if len(found.problems) >= MOST_FOUND:
        sys.stdout.write(f"The first {MOST_FOUND} are shown.\n")
    count = f"{found.entries} entries of {found.consultations} consultations"
    if found.problems:
        sys.stdout.write(f"Looked at {count}; not all of them stand as they were written.\n")
        return 1
    sys.stdout.write(f"Looked at {count}; each stands as it was written and where it was written.\n")
    sys.stdout.write(f"Last hash: {found.head}\n")
    sys.stdout.write("Note it elsewhere: --verify --head HASH shows later that nothing up to here was replaced.\n")
    return 0


def _list(db: Connection, options: Options) -> int:
    from advisor.plain.casing_lines import list_lines
    from advisor.record.finding import MOST_SHOWN, found_by

    text = options.values.get("--most", [str(MOST_SHOWN)])[-1]
    if not (text.isascii() and text.isdigit() and 0 < int(text[:7]) <= 1_000_000):
        raise problem("bad-option", f'"{shown(text, 40)}" as --most', "a number from 1 to 1000000")
    found = found_by(db, options.words, int(text))
    if not found:
        sys.stdout.write("Nothing in the journal fits.\n" if options.words else "The journal is empty.\n")
    sys.stdout.writelines(f"{line}\n" for line in list_lines(found, int(text)))
    return 0


def _show(db: Connection, casing: str, rules: str, picture: str) -> int:
    from advisor.engine.judge import Judge
    from advisor.loading.rule_set import find_rule_set, load_rule_set
    from advisor.plain.casing_lines import history_page
    from advisor.record.history import put_together, visits_of
    from advisor.talk.drawings import pictures_for
    from advisor.tire.drawing_svg import sheet

    judge = Judge(load_rule_set(find_rule_set(rules)))
    visits = visits_of(db, casing)
    if not visits:
        sys.stdout.write(f"No casing {shown(casing, 80)} in the journal.\n")
        return 0
    sys.stdout.writelines(f"{line}\n" for line in history_page(casing, visits, judge))
    if picture:
        pictures = pictures_for(judge.judge(put_together(visits, judge)), judge)
        Path(picture).write_text(sheet(pictures), encoding="utf-8")
        sys.stdout.write(f"Written: {shown(picture, 200)}\n")
    return 0
