"""`advisor casings`: the journal checked, sealed and signed."""

from __future__ import annotations

import sys
from argparse import Namespace
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

from advisor.journal.integrity import (
    BESIDE,
    MOST_FOUND,
    Against,
    Checked,
    Seal,
    add_seal,
    seal_of,
    seals_in,
    signature_fault,
    verify,
)
from advisor.journal.migrations import SAYS_WHAT_IS_MISSING
from advisor.journal.signing import checker, make_key, signer
from advisor.journal.store import Connection, DamagedJournal, opened_to_read, whole
from advisor.model.exit_code import ExitCode
from advisor.model.problems import shown


def verify_file(path: Path, options: Namespace) -> ExitCode:
    """Checks a journal's file; one that can't be opened as a journal is a finding as well."""
    try:
        whole(path)
        with closing(opened_to_read(path)) as db:
            return verify_journal(db, path.parent, options)
    except DamagedJournal as error:
        sys.stdout.write(f"the file: {shown(str(error), 200)}\n")
        sys.stdout.write(
            "Not all of it stands as it was written. The next start sets it aside and saves what it can.\n"
        )
        return ExitCode.FOUND


def verify_journal(db: Connection, folder: Path, options: Namespace) -> ExitCode:
    """Checks the journal and says what that proves."""
    key = checker(Path(options.public)) if options.public is not None else None
    seals, faults = list[Seal](), list[str]()
    if (folder / BESIDE).exists():
        seals += seals_in(folder / BESIDE, faults)
    for name in options.against:
        elsewhere = list(seals_in(Path(name), faults))
        faults += [fault for seal in elsewhere if (fault := signature_fault(seal, key))]
        seals += elsewhere
    found = verify(db, Against(options.head or "", tuple(seals), key))
    found.problems[:0] = faults
    _tell(found, bool(options.against), key is not None)
    return ExitCode.FOUND if found.problems else ExitCode.DONE


def _tell(found: Checked, elsewhere: bool, with_key: bool) -> None:
    for line in found.problems:
        sys.stdout.write(f"{line}\n")
    if len(found.problems) >= MOST_FOUND:
        sys.stdout.write(f"The first {MOST_FOUND} are shown.\n")
    count = f"{found.entries} entries of {found.consultations} consultations"
    if found.problems:
        sys.stdout.write(f"Looked at {count}; not all of them stand as they were written.\n")
        return
    sys.stdout.write(f"Looked at {count}; each stands as it was written and where it was written.\n")
    sys.stdout.writelines(f"{line}\n" for line in _what_it_shows(found, elsewhere, with_key))
    sys.stdout.write(f"Last hash: {found.head}\n")


def _what_it_shows(found: Checked, elsewhere: bool, with_key: bool) -> list[str]:
    lines = []
    if found.version < SAYS_WHAT_IS_MISSING:
        lines.append(f"A journal of version {found.version}: of personal words that are gone it can't say why.")
    if found.forgotten or found.never_came:
        lines.append(f"Personal words not there: {found.forgotten} forgotten, {found.never_came} that never came.")
    if found.signed or with_key:
        held = "each signature holds" if with_key and found.signed else "not checked without --public KEY"
        signed = f"Signed consultations: {found.signed}" + (f" ({held})" if found.signed else "")
        lines.append(f"{signed}; brought to their end and not signed: {found.not_signed}.")
    if elsewhere:
        lines.append(f"The seals kept elsewhere hold: nothing up to entry {found.sealed} was replaced or cut off.")
        if found.entries > found.sealed:
            lines.append(f"Of the {found.entries - found.sealed} entries after that only the chain speaks.")
    else:
        if found.sealed:
            lines.append(f"The seal beside the journal holds up to entry {found.sealed}.")
        lines += [
            "Whoever may write in this folder could write all of it anew, seal and all. To shut that out keep a",
            "seal elsewhere: --seal FILE now, --verify --against FILE later; or the last hash, with --head.",
        ]
    return lines


def seal(db: Connection, options: Namespace) -> ExitCode:
    """Adds a seal of the journal as it stands to a file."""
    path = Path(options.seal)
    key = signer(Path(options.key)) if options.key is not None else None
    made = seal_of(db, datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ"), key)
    add_seal(path, made)
    by = f", signed by key {made.key}" if made.key else ""
    sys.stdout.write(f"Sealed: {made.entries} entries, last hash {made.hash}{by}\n")
    sys.stdout.write(f"Written: {shown(str(path), 200)}. Keep it where nobody who may change the journal can.\n")
    return ExitCode.DONE


def make_a_key(_: Path, options: Namespace) -> ExitCode:
    """Makes a pair of keys."""
    path = Path(options.make_key)
    public, mark = make_key(path)
    sys.stdout.write(f"Key {mark}\n")
    sys.stdout.write(f"  to sign with: {shown(str(path), 200)} - not locked by a password; keep it to yourself\n")
    sys.stdout.write(f"  to check with: {shown(str(public), 200)} - give it to whoever is to check\n")
    return ExitCode.DONE
