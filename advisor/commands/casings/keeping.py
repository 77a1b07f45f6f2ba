"""`advisor casings`: the journal copied, and personal words in it deleted."""

from __future__ import annotations

import sys
from argparse import Namespace
from datetime import datetime
from pathlib import Path

from advisor.commands.command_parser import usage_error
from advisor.journal.log import Journal
from advisor.journal.redaction import copies_beside, forget, meant_by, mentioned_in
from advisor.journal.store import Connection, Store, backup
from advisor.model.exit_code import ExitCode
from advisor.model.problems import shown


def to_write(folder: Path) -> tuple[Journal, Store]:
    """A journal opened to write into, and where it is kept. Raises Problems."""
    journal = Journal(folder, datetime.now)
    sys.stderr.writelines(f"{line}\n" for line in journal.take_notices())
    if journal.store is None:
        raise usage_error("not-written", f"the journal in {shown(str(folder), 200)}", "a folder that can be written to")
    return journal, journal.store


def back_up(db: Connection, options: Namespace) -> ExitCode:
    """A whole copy, while the journal may be in use."""
    target = Path(options.backup)
    if target.exists():
        found = f"{shown(str(target), 200)}, which is there already"
        raise usage_error("not-written", found, "a new file", "name another file")
    backup(db, target)
    sys.stdout.write(f"Written: {shown(str(target), 200)}\n")
    return ExitCode.DONE


def forget_words(path: Path, options: Namespace) -> ExitCode:
    """Takes personal words away for good."""
    word = options.forget
    journal, store = to_write(path.parent)
    try:
        found = meant_by(store.db, word)
        if not found:
            raise usage_error("not-found", f'"{shown(word, 60)}"', "a consultation's id, a technician or a plate")
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
    return ExitCode.DONE
