"""The journal's file: opened with full sync, brought to this version, entries put in one after another."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

from advisor.record.entry import NOTHING_BEFORE, Draft, Entry, chain_of, link_of
from advisor.record.place import make_file, make_folder
from advisor.record.private import words_of
from advisor.record.schema import APPLICATION_ID, ENTRY_COLUMNS, STEPS, VERSION
from advisor.record.summary import follow

BUSY_S = 5.0

#: An open journal as the rest of the program hands it on, and what goes wrong with one: only this layer knows SQLite.
Connection = sqlite3.Connection
UNUSABLE = (sqlite3.Error, OSError)


class NewerJournal(Exception):
    """The journal was written by a newer version of this program."""


class DamagedJournal(Exception):
    """The file is not a journal, or can't be read as one."""


class Store:
    """An open journal file. Every append is one transaction that is on disk when the call returns."""

    def __init__(self, path: Path) -> None:
        """Opens or makes the file. Raises NewerJournal, DamagedJournal, OSError or sqlite3.Error."""
        make_folder(path.parent)
        make_file(path)
        self.path = path
        self.wrote = False
        self._file = path.stat()
        self.db = connected(path)
        try:
            self._prepare()
        except BaseException:
            self.db.close()
            raise

    @property
    def gone(self) -> bool:
        """Whether the file was taken away, or another was put in its place, since it was opened."""
        try:
            return not os.path.samestat(self._file, os.stat(self.path))
        except OSError:
            return True

    def check(self) -> None:
        """Has SQLite look the whole file through. Raises DamagedJournal."""
        try:
            if self.db.execute("PRAGMA quick_check(1)").fetchone() != ("ok",):
                raise DamagedJournal("the file is damaged")
        except sqlite3.DatabaseError as error:
            raise damage_in(error) from None

    def count_of(self, consultation: str) -> int:
        """How many entries of a consultation are in the journal."""
        return last_of(self.db, consultation)[0]

    def close(self) -> None:
        """Closes the file."""
        self.db.close()

    def _prepare(self) -> None:
        try:
            self.db.execute("PRAGMA journal_mode = WAL")
            self.db.execute("PRAGMA synchronous = FULL")
            self.db.execute("PRAGMA fullfsync = ON")
            version = check_version(self.db, self.path)
            if version < VERSION:
                self._bring_up(version)
            self.db.execute("SELECT seq, chain FROM entry ORDER BY seq DESC LIMIT 1").fetchone()
        except sqlite3.DatabaseError as error:
            raise damage_in(error) from None

    def _bring_up(self, version: int) -> None:
        if version:
            copy = self.path.with_name(f"{self.path.stem}-before-version-{VERSION}.sqlite")
            numbers = (copy.with_stem(f"{copy.stem}-{number}") for number in range(2, 1000))
            backup(self.db, next(name for name in (copy, *numbers) if not name.exists()))
        with self.writing() as db:
            version = db.execute("PRAGMA user_version").fetchone()[0]
            for step in STEPS[version:]:
                for statement in step:
                    db.execute(statement)
            db.execute(f"PRAGMA user_version = {VERSION}")
            db.execute(f"PRAGMA application_id = {APPLICATION_ID}")

    @contextmanager
    def writing(self) -> Iterator[sqlite3.Connection]:
        """One transaction that no other process can come between; undone whole when anything goes wrong."""
        self.db.execute("BEGIN IMMEDIATE")
        try:
            yield self.db
            self.db.execute("COMMIT")
        except BaseException:
            if self.db.in_transaction:
                self.db.execute("ROLLBACK")
            raise

    def append(self, drafts: Iterable[Draft]) -> None:
        """Puts entries in, in their order, in one transaction. Raises sqlite3.Error; then none of them is in."""
        with self.writing() as db:
            self.append_within(db, drafts)

    def append_within(self, db: sqlite3.Connection, drafts: Iterable[Draft]) -> None:
        """Puts entries in within a transaction that was begun."""
        seq, chain = last_in(db)
        self.wrote = True
        for each in drafts:
            step, before = last_of(db, each.consultation)
            seq, step = seq + 1, step + 1
            link = link_of(before, each.consultation, step, each.at, each.kind, each.rules, each.body)
            chain = chain_of(chain, seq, link)
            entry = Entry(seq, each.consultation, step, each.at, each.kind, each.rules, each.body, link, chain)
            for private in each.private:
                row = (private.commitment, private.salt, private.words)
                db.execute("INSERT OR IGNORE INTO private(commitment, salt, words) VALUES (?, ?, ?)", row)
            insert(db, entry)
            follow(db, entry, words_of(db, entry) if each.private else {})


def insert(db: sqlite3.Connection, entry: Entry) -> None:
    """Writes an entry's row."""
    sql = f"INSERT INTO entry({ENTRY_COLUMNS}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)"  # noqa: S608
    row = (entry.seq, entry.consultation, entry.step, entry.at, entry.kind, entry.rules, entry.body)
    db.execute(sql, (*row, entry.link, entry.chain))


def last_in(db: sqlite3.Connection) -> tuple[int, bytes]:
    """Number and chain hash of the last entry."""
    row = db.execute("SELECT seq, chain FROM entry ORDER BY seq DESC LIMIT 1").fetchone()
    return (row[0], row[1]) if row else (0, NOTHING_BEFORE)


def last_of(db: sqlite3.Connection, consultation: str) -> tuple[int, bytes]:
    """Step and link of a consultation's last entry."""
    sql = "SELECT step, link FROM entry WHERE consultation = ? ORDER BY step DESC LIMIT 1"
    row = db.execute(sql, (consultation,)).fetchone()
    return (row[0], row[1]) if row else (0, NOTHING_BEFORE)


def connected(path: Path) -> sqlite3.Connection:
    """A connection that waits for others, wipes what is deleted and trusts nothing in the file."""
    db = sqlite3.connect(path, timeout=BUSY_S, isolation_level=None, check_same_thread=False)
    db.execute("PRAGMA trusted_schema = OFF")
    db.execute("PRAGMA secure_delete = ON")
    return db


def opened_to_read(path: Path) -> sqlite3.Connection:
    """A journal opened only to be read, also from a place that can't be written to.

    Raises NewerJournal, DamagedJournal, or sqlite3.Error when there is none.
    """
    uri = path.absolute().as_uri()
    error: sqlite3.Error | None = None
    log = path.with_name(f"{path.name}-wal")
    for mode in ("mode=ro", "mode=ro&immutable=1"):
        db: sqlite3.Connection | None = None
        if error is not None and log.exists() and log.stat().st_size:
            raise sqlite3.OperationalError(
                f"its newest entries lie in {log.name} and can't be read in a place that can't be written to; "
                "copy the whole folder to a place where you may write, and name that with --data"
            )
        try:
            db = sqlite3.connect(
                f"{uri}?{mode}", uri=True, timeout=BUSY_S, isolation_level=None, check_same_thread=False
            )
            db.execute("PRAGMA trusted_schema = OFF")
            check_version(db, path)
            return db
        except sqlite3.OperationalError as found:
            error = found
        except sqlite3.DatabaseError as found:
            raise damage_in(found) from None
        if db is not None:
            db.close()
    raise error or sqlite3.OperationalError("can't be opened")


def check_version(db: sqlite3.Connection, path: Path) -> int:
    """The journal's version. Raises NewerJournal for one that this program does not know."""
    version = int(db.execute("PRAGMA user_version").fetchone()[0])
    application = int(db.execute("PRAGMA application_id").fetchone()[0])
    if version and application != APPLICATION_ID:
        raise DamagedJournal("a database of another program")
    if version > VERSION:
        raise NewerJournal(
            f"the journal {path.name} is of version {version}; this program knows versions up to {VERSION}. "
            "Nothing in it was changed. Use the newer program, or another folder with --data"
        )
    return version


def damage_in(error: sqlite3.DatabaseError) -> Exception:
    """DamagedJournal where an error says that the file is damaged, else the error itself."""
    if type(error) is sqlite3.DatabaseError or "no such table" in str(error) or "malformed" in str(error):
        return DamagedJournal(str(error))
    return error


def says_why(error: Exception) -> bool:
    """Whether an error says that the place is full, locked or can't be written to, so that waiting helps."""
    return isinstance(error, sqlite3.Error) and any(word in str(error) for word in ("locked", "full", "readonly"))


def backup(db: sqlite3.Connection, target: Path) -> None:
    """Copies a journal whole, while it is in use; the copy takes its name only when it is complete."""
    unfinished = target.with_name(f"{target.name}.part")
    unfinished.unlink(missing_ok=True)
    make_file(unfinished)
    copy = sqlite3.connect(unfinished)
    try:
        db.backup(copy)
        copy.execute("PRAGMA journal_mode = DELETE")
    finally:
        copy.close()
    os.replace(unfinished, target)
