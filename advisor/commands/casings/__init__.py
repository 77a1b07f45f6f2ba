"""`advisor casings`: what is in the journal - found, shown, checked, carried out and in, and forgotten.

Here is what may be asked; `listing.py` finds and shows, `proof.py` checks, seals and makes keys, `exchange.py` carries
records out and in, and `keeping.py` copies and forgets.
"""

from __future__ import annotations

import os
import sys
from argparse import Namespace
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

from advisor.commands.casings import exchange, keeping, listing, proof
from advisor.commands.command_parser import CommandParser, a_number, complain, usage_error
from advisor.journal.data_folder import FILE_NAME, data_folder
from advisor.journal.search import MOST_SHOWN
from advisor.journal.store import UNUSABLE, Connection, DamagedJournal, NewerJournal, opened_to_read
from advisor.model.exit_code import ExitCode
from advisor.model.problems import Misread, shown

#: What may be asked, one at a time: its value, and what it does.
_ASKED = {
    "--show": ("NAME", "a casing's history on one page, with all places in one drawing"),
    "--verify": ("", "check that nothing was changed, taken out, put in another order or cut off; says where"),
    "--seal": ("FILE", "note the number of entries and the last hash in FILE, to be kept elsewhere"),
    "--make-key": ("FILE", "a new pair of keys: FILE to sign with (advisor --key FILE), FILE.pub to check with"),
    "--export": (
        "FILE",
        "all records; FILE ends in .jsonl (exact, with the chain), .csv or .parquet (a row each, where it stands; "
        "Parquet needs the package pyarrow); - for JSON lines on standard output",
    ),
    "--import": ("FILE", "take records in (.jsonl, .csv or .parquet), checked like what is typed"),
    "--merge": ("FOLDER", "take in another journal's records (a folder or a journal file); nothing is doubled"),
    "--backup": ("FILE", "a whole copy, safe while the journal is in use"),
    "--forget": (
        "WORD",
        "delete technician, plate and notes for good: of one consultation by its id, or of all under that "
        "technician's name or plate",
    ),
}
#: What goes with some of it.
_BESIDE = {
    "--svg": ("FILE", "with --show: the drawings as a picture as well"),
    "--head": ("HASH", "with --verify: also that an earlier check's last hash still stands in the chain"),
    "--public": ("KEY", "with --verify: also every signature"),
    "--key": ("KEY", "with --seal: signed"),
}
#: What carries out each of these, by what it is handed: the folder of the journal, its file, or what is in it.
_OF_FOLDER: dict[str, Callable[[Path, Namespace], int]] = {
    "--import": exchange.import_file,
    "--merge": exchange.merge,
    "--make-key": proof.make_a_key,
}
_OF_FILE: dict[str, Callable[[Path, Namespace], int]] = {
    "--forget": keeping.forget_words,
    "--verify": proof.verify_file,
}
_OF_RECORDS: dict[str, Callable[[Connection, Namespace], int]] = {
    "": listing.list_found,
    "--show": listing.show_casing,
    "--seal": proof.seal,
    "--export": exchange.export,
    "--backup": keeping.back_up,
}
#: What makes no sense, and must not look done, where there is no journal.
_NEED_ONE = ("--verify", "--seal", "--export", "--backup")


def declare(parser: CommandParser) -> None:
    """The options of the command."""
    parser.words("WORD", "a number, casing, plate, date, verdict or technician to find records by")
    asked = parser.add_mutually_exclusive_group()
    for name, (metavar, says) in _ASKED.items():
        if metavar:
            asked.add_argument(name, metavar=metavar, help=says, dest=_dest(name))
        else:
            asked.add_argument(name, action="store_true", default=None, help=says)
    for name, (metavar, says) in _BESIDE.items():
        parser.value(name, metavar, says)
    parser.values("--against", "FILE", "with --verify: also against seals kept elsewhere")
    parser.flag("--anonymous", "with --export: without technicians, plates and notes")
    parser.flag("--plain", "the list in plain lines, also on a terminal")
    parser.value("--most", "N", f"how many are listed (default {MOST_SHOWN})", type=a_number("--most", 1_000_000))
    parser.journal_folder()
    parser.after(
        "On a terminal a screen to look through them, searching as you type; in a pipe, and with --plain, plain "
        "lines. Imports are checked by the questions of --rules, and histories worded by them.",
        "Exit code 0: done. 1: --verify found something. 2: something could not be read or taken in.",
        example="advisor casings T42 --data ./shop-journal",
    )


def _dest(name: str) -> str:
    """What an option is called among those read; `import` is a word of the language."""
    return {"--import": "import_file"}.get(name, name[2:].replace("-", "_"))


def run(options: Namespace) -> int:
    """Carries out what was asked; gives the exit code."""
    try:
        return _carry_out(options)
    except Misread as error:
        complain(usage_error("bad-option", error.found, error.expected, error.do or "see --help").problems)
    except (NewerJournal, DamagedJournal) as error:
        sys.stderr.write(f"{error}\n")
    except BrokenPipeError:
        raise
    except UNUSABLE as error:
        reason = (error.strerror if isinstance(error, OSError) else None) or str(error)
        sys.stderr.write(f"the journal can't be used: {shown(reason, 200)}\n")
    return ExitCode.BAD_INPUT


def _carry_out(options: Namespace) -> int:
    asked = next((name for name in _ASKED if getattr(options, _dest(name)) is not None), "")
    _refuse_pipes(options)
    folder = data_folder(options.data, os.environ)
    path = folder / FILE_NAME
    if asked in _OF_FOLDER:
        return _OF_FOLDER[asked](folder, options)
    if folder.is_file():
        found, expected = f"a file as --data: {shown(str(folder), 200)}", f"a folder with {FILE_NAME} in it"
        do = "for a copy: take it in with --merge FILE, or put it into a folder of its own under that name"
        raise usage_error("no-journal", found, expected, do)
    if not path.exists():
        if asked in _NEED_ONE:
            found = f"no journal in {shown(str(folder), 200)}, and so nothing for {asked}"
            expected = f"a folder with {FILE_NAME} in it"
            raise usage_error("no-journal", found, expected, "name the folder with --data")
        sys.stdout.write(f"There is no journal in {shown(str(folder), 200)} yet.\n")
        return ExitCode.DONE
    if asked in _OF_FILE:
        return _OF_FILE[asked](path, options)
    _mend_where_needed(path)
    with closing(opened_to_read(path)) as db:
        return _OF_RECORDS[asked](db, options)


def _refuse_pipes(options: Namespace) -> None:
    """Nothing that is to be read may be something that is waited for. Raises Problems."""
    from advisor.loader.yaml_nodes import opened

    to_read = [options.import_file, options.merge, *options.against, options.public, options.key]
    for file in filter(None, to_read):
        if Path(file).exists() and not Path(file).is_dir():
            opened(Path(file), file).close()


def _mend_where_needed(path: Path) -> None:
    """Has a journal that can't be read as it is mended: lists made anew, or set aside with what can be saved."""
    from datetime import datetime

    from advisor.journal.log import Journal
    from advisor.journal.store import lists_in_order

    if not lists_in_order(path):
        journal = Journal(path.parent, datetime.now)
        sys.stderr.writelines(f"{line}\n" for line in (*journal.take_notices(), *journal.close()))
