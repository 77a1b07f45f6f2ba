"""`advisor casings`: what is in the journal - found, shown, checked, carried out and in, and forgotten."""

from __future__ import annotations

import os
import sys
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

from advisor.commands.options import DEFAULT_RULES, Options, complain, problem, read_options
from advisor.model.problems import Misread, Place, Problem, Problems, shown

if TYPE_CHECKING:
    from advisor.journal.store import Connection

HELP = """advisor casings [WORDS] - the recorded consultations: by number, casing, plate, date, verdict, technician

  On a terminal a screen to look through them, searching as you type; in a pipe, and with --plain, plain lines.

  --show NAME           a casing's history on one page, with all places in one drawing
                        --svg FILE: the drawings as a picture as well
  --verify              check that nothing was changed, taken out, put in another order or cut off; says where.
                        --head HASH: also that an earlier check's last hash still stands in the chain;
                        --against FILE: also against seals kept elsewhere; --public KEY: also every signature
  --seal FILE           note the number of entries and the last hash in FILE, to be kept elsewhere;
                        --key KEY: signed
  --make-key FILE       a new pair of keys: FILE to sign with (advisor --key FILE), FILE.pub to check with
  --export FILE         all records; FILE ends in .jsonl (exact, with the chain), .csv or .parquet (a row each, where
                        it stands; Parquet needs the package pyarrow); - for JSON lines on standard output
  --anonymous           with --export: without technicians, plates and notes
  --import FILE         take records in (.jsonl, .csv or .parquet), checked like what is typed
  --merge FOLDER        take in another journal's records (a folder or a journal file); nothing is doubled
  --backup FILE         a whole copy, safe while the journal is in use
  --forget WORD         delete technician, plate and notes for good: of one consultation by its id, or of all
                        under that technician's name or plate
  --most N              how many are listed (default 50)
  --data FOLDER         where the journal is (default: this user's data folder, or ADVISOR_DATA)
  --rules ID-or-FOLDER  the rule set whose questions imports are checked by and histories are worded by

Exit code 0: done. 1: --verify found something. 2: something could not be read or taken in.

example:
  advisor casings T42 --data ./shop-journal
"""
_VALUES = (
    "--data", "--show", "--svg", "--head", "--against", "--public", "--seal", "--key", "--make-key", "--export",
    "--import", "--merge", "--backup", "--forget", "--most",
)  # fmt: skip
_ONE_OF = ("--show", "--verify", "--seal", "--make-key", "--export", "--import", "--merge", "--backup", "--forget")
_READ = ("--import", "--merge", "--against", "--public", "--key")
#: What makes no sense, and must not look done, where there is no journal.
_NEED_ONE = ("--verify", "--seal", "--export", "--backup")


def run(words: list[str]) -> int:
    """Carries out what was asked; gives the exit code."""
    from advisor.journal.store import UNUSABLE, DamagedJournal, NewerJournal

    try:
        options = read_options(words, ("--verify", "--anonymous", "--plain"), _VALUES, HELP)
        return 0 if options is None else _carry_out(options)
    except Problems as error:
        complain(error.problems)
    except Misread as error:
        complain([Problem("bad-option", Place("command line"), error.found, error.expected, error.do or "see --help")])
    except (NewerJournal, DamagedJournal) as error:
        sys.stderr.write(f"{error}\n")
    except BrokenPipeError:
        raise
    except UNUSABLE as error:
        reason = (error.strerror if isinstance(error, OSError) else None) or str(error)
        sys.stderr.write(f"the journal can't be used: {shown(reason, 200)}\n")
    return 2


def _carry_out(options: Options) -> int:
    from advisor.commands import casings_moving, casings_proof
    from advisor.journal.data_folder import FILE_NAME, data_folder

    asked = [name for name in _ONE_OF if name in options.values or name in options.flags]
    if len(asked) > 1:
        raise problem("bad-option", " and ".join(asked), "one of them at a time")
    _refuse_pipes(options)
    folder = data_folder(options.values.get("--data", [""])[-1], os.environ)
    path = folder / FILE_NAME
    given = options.values.get(asked[0], [""])[-1] if asked else ""
    rules = (options.rules or [DEFAULT_RULES])[-1]
    if asked == ["--import"]:
        return casings_moving.import_file(folder, given, rules)
    if asked == ["--merge"]:
        return casings_moving.merge(folder, Path(given), rules)
    if asked == ["--make-key"]:
        return casings_proof.make_a_key(Path(given))
    if folder.is_file():
        do = "for a copy: take it in with --merge FILE, or put it into a folder of its own under that name"
        raise problem(
            "no-journal", f"a file as --data: {shown(str(folder), 200)}", f"a folder with {FILE_NAME} in it", do
        )
    if not path.exists() and asked and asked[0] in _NEED_ONE:
        found = f"no journal in {shown(str(folder), 200)}, and so nothing for {asked[0]}"
        raise problem("no-journal", found, f"a folder with {FILE_NAME} in it", "name the folder with --data")
    if not path.exists():
        sys.stdout.write(f"There is no journal in {shown(str(folder), 200)} yet.\n")
        return 0
    if asked == ["--forget"]:
        return casings_moving.forget_words(folder, given)
    return _read(options, path, asked, given, rules)


def _refuse_pipes(options: Options) -> None:
    """Nothing that is to be read may be something that is waited for. Raises Problems."""
    from advisor.loader.yaml_nodes import opened

    for name in _READ:
        for file in options.values.get(name, []):
            if Path(file).exists() and not Path(file).is_dir():
                opened(Path(file), file).close()


def _read(options: Options, path: Path, asked: list[str], given: str, rules: str) -> int:
    from advisor.commands import casings_moving, casings_proof
    from advisor.journal.store import opened_to_read

    if asked == ["--verify"]:
        return casings_proof.verify_file(path, options)
    _mend_where_needed(path)
    with closing(opened_to_read(path)) as db:
        if asked == ["--seal"]:
            return casings_proof.seal(db, Path(given), options)
        if asked == ["--export"]:
            return casings_moving.export(db, given, "--anonymous" in options.flags, rules)
        if asked == ["--backup"]:
            return casings_moving.back_up(db, Path(given))
        if asked == ["--show"]:
            return _show(db, given, rules, options.values.get("--svg", [""])[-1])
        return _list(db, options)


def _mend_where_needed(path: Path) -> None:
    """Has a journal that can't be read as it is mended: lists made anew, or set aside with what can be saved."""
    from datetime import datetime

    from advisor.journal.log import Journal
    from advisor.journal.store import lists_in_order

    if not lists_in_order(path):
        journal = Journal(path.parent, datetime.now)
        sys.stderr.writelines(f"{line}\n" for line in (*journal.take_notices(), *journal.close()))


def _list(db: Connection, options: Options) -> int:
    from advisor.commands.consult import full_terminal

    if full_terminal() and not ({"--plain"} & options.flags or "--most" in options.values):
        return _look_through(db, options)
    from advisor.console.casing_lines import list_lines
    from advisor.journal.search import MOST_SHOWN, found_by

    text = options.values.get("--most", [str(MOST_SHOWN)])[-1]
    if not (text.isascii() and text.isdigit() and 0 < int(text[:7]) <= 1_000_000):
        raise problem("bad-option", f'"{shown(text, 40)}" as --most', "a number from 1 to 1000000")
    found = found_by(db, options.words, int(text))
    if not found:
        sys.stdout.write("Nothing in the journal fits.\n" if options.words else "The journal is empty.\n")
    sys.stdout.writelines(f"{line}\n" for line in list_lines(found, int(text)))
    return 0


def _look_through(db: Connection, options: Options) -> int:
    """The screen to look through the casings; the rules are read when a page is first opened."""
    from functools import cache

    from advisor.engine.evaluator import Judge
    from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
    from advisor.tui.casings_app import run_casings

    @cache
    def judge() -> Judge:
        return Judge(load_rule_set(find_rule_set((options.rules or [DEFAULT_RULES])[-1])))

    code, farewell = run_casings(db, judge, " ".join(options.words))
    sys.stderr.write(f"{farewell}\n" if farewell else "")
    return code


def _show(db: Connection, casing: str, rules: str, picture: str) -> int:
    from advisor.console.casing_lines import history_page
    from advisor.drawings.render_svg import sheet
    from advisor.drawings.selection import pictures_for
    from advisor.engine.evaluator import Judge
    from advisor.journal.casing_history import same_code, visits_of, visits_put_together
    from advisor.journal.data_folder import write_private
    from advisor.loader.ruleset_loader import find_rule_set, load_rule_set

    judge = Judge(load_rule_set(find_rule_set(rules)))
    visits = visits_of(db, casing)
    if not visits:
        sys.stdout.write(f"No casing {shown(casing, 80)} in the journal.\n")
        return 0
    sys.stdout.writelines(f"{line}\n" for line in history_page(casing, visits, same_code(db, visits), judge))
    if picture:
        pictures = pictures_for(judge.judge(visits_put_together(visits, judge)[0]), judge)
        write_private(Path(picture), [sheet(pictures)])
        sys.stdout.write(f"Written: {shown(picture, 200)}\n")
    return 0
