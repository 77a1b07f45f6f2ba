"""The journal's file: opened with full sync, brought to this version, entries put in one after another."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from advisor.journal.data_folder import make_file, make_folder
from advisor.journal.events import (
    FORGOTTEN,
    NOTHING_BEFORE,
    WITHHELD,
    Entry,
    NewEvent,
    Private,
    chain_of,
    link_of,
    noted_beside,
    origin_of,
)
from advisor.journal.migrations import APPLICATION_ID, ENTRY_COLUMNS, MIGRATIONS, VERSION, compared, is_ours
from advisor.journal.private_words import commitments_in, words_of
from advisor.journal.projection import follow, make_lists_anew, refresh_finder, work_out_again
from advisor.journal.queries import all_entries, entries_of

BUSY_S = 5.0

#: An open journal as the rest of the program hands it on, and what goes wrong with one: only this layer knows SQLite.
Connection = sqlite3.Connection
UNUSABLE = (sqlite3.Error, OSError, UnicodeError)
#: SQLite's result codes that speak of the place and not of the file: waiting, or room, or rights help.
_BUSY = 5
_OF_THE_PLACE = frozenset({3, 5, 6, 7, 8, 9, 10, 13, 14, 15, 22})
#: I/O errors that are the file's own: it can't be read, or is shorter than it says.
_OF_READING = frozenset({266, 522, 8458})
#: Versions so far ahead are no version at all.
_FURTHEST_AHEAD = 100


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
        self.wrote = self.lists_anew = False
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
            self.db.execute("INSERT INTO finder(finder) VALUES ('integrity-check')")
        except (sqlite3.DatabaseError, UnicodeDecodeError) as error:
            raise damage_in(error) from None

    def complete(self, consultation: str, drafts: list[NewEvent]) -> None:
        """Puts back what is lacking of a consultation: entries at its end, and words."""
        with self.writing() as db:
            count = last_of(db, consultation)[0]
            self.append_within(db, drafts[count:])
            add_words(db, [one for each in drafts[:count] for one in each.private], [consultation])

    def count(self) -> int:
        """How many entries are in the journal."""
        return last_in(self.db)[0]

    def close(self) -> None:
        """Closes the file."""
        self.db.close()

    def _prepare(self) -> None:
        try:
            whole(self.path)
            self.db.execute("PRAGMA journal_mode = WAL")
            self.db.execute("PRAGMA synchronous = FULL")
            self.db.execute("PRAGMA fullfsync = ON")
            version = check_version(self.db, self.path)
            if version < VERSION:
                self._bring_up(version)
            if not is_ours(self.db):
                self._look_closely()
            self._try_writing()
        except (sqlite3.DatabaseError, UnicodeDecodeError) as error:
            raise damage_in(error) from None

    def _look_closely(self) -> None:
        """Makes lists anew that are missing. Raises DamagedJournal where more than that is not as we make it."""
        found = compared(self.db, VERSION)
        if found.recorded or found.acts:
            raise DamagedJournal("its tables are not as this program makes them")
        if found.lists:
            with self.writing() as db:
                make_lists_anew(db, all_entries(db), lambda entry: words_of(db, entry))
            self.lists_anew = True

    def _try_writing(self) -> None:
        """Writes an entry with its lines in the lists and takes it back, so that a fault shows before an answer is."""
        self.db.execute("PRAGMA busy_timeout = 50")
        try:
            self.db.execute("BEGIN IMMEDIATE")
        except sqlite3.OperationalError as error:
            if result_code(error) != _BUSY:
                raise
            return  # another window is writing just now, and so it can be written
        finally:
            self.db.execute(f"PRAGMA busy_timeout = {int(BUSY_S * 1000)}")
        try:
            seq, chain = last_in(self.db)
            for step, kind in enumerate(("begin", "technician"), 1):
                entry = Entry(seq + step, "#trial", step, "", kind, "", "{}", chain, chain)
                insert(self.db, entry)
                follow(self.db, entry, {"technician": "trial"})
            refresh_finder(self.db, "#trial")
            self.db.execute("SAVEPOINT trial")  # has the search list written
        finally:
            if self.db.in_transaction:
                self.db.execute("ROLLBACK")

    def _bring_up(self, version: int) -> None:
        if version:
            copy = self.path.with_name(f"{self.path.stem}-before-version-{VERSION}.sqlite")
            numbers = (copy.with_stem(f"{copy.stem}-{number}") for number in range(2, 1000))
            backup(self.db, next(name for name in (copy, *numbers) if not name.exists()))
        with self.writing() as db:
            version = db.execute("PRAGMA user_version").fetchone()[0]
            for step in MIGRATIONS[version:]:
                for statement in step:
                    db.execute(statement)
            if version:
                self._say_what_is_missing(db)
            db.execute(f"PRAGMA user_version = {VERSION}")
            db.execute(f"PRAGMA application_id = {APPLICATION_ID}")

    def _say_what_is_missing(self, db: sqlite3.Connection) -> None:
        """Notes for a journal of an earlier version which words were forgotten, and which others are not there."""
        gone, forgets = dict[str, str](), list[NewEvent]()
        held = dict[str, set[str]]()
        for entry in all_entries(db):
            if entry.kind == "forgotten":
                forgets.append(forgotten_so(entry, held.get(entry.consultation, set())))
            for commitment in commitments_in(entry.body).values():
                held.setdefault(entry.consultation, set()).add(commitment)
                if not db.execute("SELECT 1 FROM private WHERE commitment = ?", (commitment,)).fetchone():
                    gone[commitment] = entry.at
        self.append_within(db, forgets)
        told = {row[0] for row in db.execute("SELECT commitment FROM without_words")}
        if left := sorted(set(gone) - told):
            at = max(gone.values())
            self.append_within(db, [noted_beside(WITHHELD, at, {"commitments": left, "before-version": VERSION})])

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

    def append(self, drafts: Iterable[NewEvent]) -> None:
        """Puts entries in, in their order, in one transaction. Raises sqlite3.Error; then none of them is in."""
        with self.writing() as db:
            self.append_within(db, drafts)

    def append_within(self, db: sqlite3.Connection, drafts: Iterable[NewEvent]) -> None:
        """Puts entries in within a transaction that was begun."""
        drafts = list(drafts)
        seq, chain = last_in(db)
        self.wrote, behind = True, dict[str, None]()
        for each in (*_withheld(db, drafts), *drafts):
            step, before = last_of(db, each.consultation)
            seq, step = seq + 1, step + 1
            link = link_of(before, each.consultation, step, each.at, each.kind, each.rules, each.body)
            chain = chain_of(chain, seq, link, each.consultation)
            entry = Entry(seq, each.consultation, step, each.at, each.kind, each.rules, each.body, link, chain)
            for private in each.private:
                row = (private.commitment, private.salt, private.words)
                db.execute("INSERT OR IGNORE INTO private(commitment, salt, words) VALUES (?, ?, ?)", row)
            insert(db, entry)
            if follow(db, entry, words_of(db, entry)):
                behind[each.consultation] = None
        for consultation in behind:
            refresh_finder(db, consultation)


def add_words(db: sqlite3.Connection, wanted: Iterable[Private], consultations: Iterable[str]) -> None:
    """Puts in words of entries that are here without them, and brings those consultations' rows up to that."""
    sql = """INSERT OR IGNORE INTO private(commitment, salt, words)
        SELECT ?1, ?2, ?3 WHERE NOT EXISTS (SELECT 1 FROM without_words WHERE commitment = ?1 AND why = ?4)"""
    added = [db.execute(sql, (one.commitment, one.salt, one.words, FORGOTTEN)).rowcount > 0 for one in wanted]
    if any(added):
        for each in consultations:
            work_out_again(db, entries_of(db, each), lambda entry: words_of(db, entry))


def _withheld(db: sqlite3.Connection, drafts: Iterable[NewEvent]) -> list[NewEvent]:
    """The note that words of these entries are not there, where they come without them."""
    told, at = set[str](), ""
    for each in drafts:
        if '"private"' in each.body:
            given = {private.commitment for private in each.private}
            lacking = {one for one in commitments_in(each.body).values() if one not in given}
            at = max(at, each.at) if lacking else at
            told |= lacking
    sql = "SELECT 1 FROM private WHERE commitment = ? UNION ALL SELECT 1 FROM without_words WHERE commitment = ?"
    left = sorted(each for each in told if not db.execute(sql, (each, each)).fetchone())
    return [noted_beside(WITHHELD, at, {"commitments": left})] if left else []


def forgotten_so(entry: Entry, commitments: Iterable[str]) -> NewEvent:
    """The note for a forgetting that an earlier version wrote into the consultation itself."""
    body = {"of": origin_of(entry.consultation), "fields": entry.data.get("fields", [])}
    return noted_beside(FORGOTTEN, entry.at, {**body, "commitments": sorted(commitments)})


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
    trust_nothing(db)
    db.execute("PRAGMA secure_delete = ON")
    return db


def trust_nothing(db: sqlite3.Connection) -> None:
    """Nothing that stands in the file is run: no trigger, no view, no function named in its schema."""
    db.execute("PRAGMA trusted_schema = OFF")
    db.set_authorizer(_only_ours)
    setconfig = getattr(db, "setconfig", None)  # from Python 3.12 on
    for name, on in (("DEFENSIVE", True), ("ENABLE_TRIGGER", False), ("ENABLE_VIEW", False)):
        if setconfig is not None:
            setconfig(getattr(sqlite3, f"SQLITE_DBCONFIG_{name}"), on)


def _only_ours(action: int, one: str | None, other: str | None, database: str | None, within: str | None) -> int:
    """Refuses what a trigger or a view would do."""
    return sqlite3.SQLITE_OK if within is None else sqlite3.SQLITE_DENY


def _as_far_as_it_is_text(data: bytes) -> str:
    """A text with a mark in the place of each damaged byte, so that a record costs nothing but itself."""
    return data.decode("utf-8", "surrogateescape")


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
            trust_nothing(db)
            db.text_factory = _as_far_as_it_is_text
            check_version(db, path)
            return db
        except sqlite3.OperationalError as found:
            error = found
        except (sqlite3.DatabaseError, UnicodeDecodeError) as found:
            raise damage_in(found) from None
        if db is not None:
            db.close()
    raise error or sqlite3.OperationalError("can't be opened")


def lists_in_order(path: Path) -> bool:
    """Whether a journal can be read as it is: its schema is its version's. Raises NewerJournal, OSError."""
    try:
        whole(path)
        with closing(opened_to_read(path)) as db:
            found = compared(db, int(db.execute("PRAGMA user_version").fetchone()[0]))
            return is_ours(db) or not (found.recorded or found.lists or found.acts)
    except (sqlite3.DatabaseError, UnicodeDecodeError, DamagedJournal) as error:
        return result_code(error) in _OF_THE_PLACE


def check_version(db: sqlite3.Connection, path: Path) -> int:
    """The journal's version. Raises NewerJournal for one that this program does not know."""
    version = int(db.execute("PRAGMA user_version").fetchone()[0])
    application = int(db.execute("PRAGMA application_id").fetchone()[0])
    if version and application != APPLICATION_ID:
        raise DamagedJournal("a database of another program")
    if not 0 <= version <= VERSION + _FURTHEST_AHEAD:
        raise DamagedJournal("its version is none")
    if version > VERSION:
        raise NewerJournal(
            f"the journal {path.name} is of version {version}; this program knows versions up to {VERSION}. "
            "Nothing in it was changed. Use the newer program, or another folder with --data"
        )
    return version


def result_code(error: BaseException) -> int:
    """SQLite's result code of an error, or 0."""
    code: int = getattr(error, "sqlite_errorcode", 0) or 0
    return code & 0xFF


def damage_in(error: sqlite3.DatabaseError | UnicodeDecodeError) -> Exception:
    """DamagedJournal where an error says that the file is damaged, else the error itself."""
    whole_code: int = getattr(error, "sqlite_errorcode", 0) or 0
    if isinstance(error, UnicodeDecodeError) or whole_code in _OF_READING:
        return DamagedJournal("it can't be read")
    if whole_code:
        return error if result_code(error) in _OF_THE_PLACE else DamagedJournal(str(error))
    if type(error) is sqlite3.DatabaseError or "no such table" in str(error) or "malformed" in str(error):
        return DamagedJournal(str(error))
    return DamagedJournal(str(error)) if "decode" in str(error) else error


def whole(path: Path) -> None:
    """Raises DamagedJournal where a file is shorter than it says, and no log beside it holds the rest."""
    log = path.with_name(f"{path.name}-wal")
    if log.exists() and log.stat().st_size:
        return
    with path.open("rb") as file:
        head = file.read(100)
        size = file.seek(0, 2)
    counted, says, same = (int.from_bytes(head[at : at + 4], "big") for at in (24, 28, 92))
    if head.startswith(b"SQLite format 3\x00") and counted == same and size < says * 4096:
        raise DamagedJournal("it is shorter than it says")


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
