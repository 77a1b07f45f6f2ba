"""Checks a journal: its schema, SQLite's own check, every link and the chain, personal words, and the lists.

A file is held against what this program makes: what is not its own is named, and nothing in the file is run.

Seals: how many entries a journal held on a day and its last hash, noted outside the journal, signed or not.

A seal shows later that nothing up to its entry was changed, taken out or cut off at the end. The one that lies beside
the journal shows loss and mistakes; whoever may write in that folder can write both anew. One that is kept elsewhere,
or is signed by a key that is, shows more. No seal says anything of entries that came after it, nor that the clock was
right, nor that what was typed is true.
"""

from __future__ import annotations

import json
import os
import sqlite3
from collections.abc import Generator, Iterable, Iterator
from contextlib import closing, suppress
from pathlib import Path

from msgspec import Struct, field

from advisor.journal.data_folder import OWNER_ONLY_FILE
from advisor.journal.events import (
    FORGOTTEN,
    NOTHING_BEFORE,
    WITHHELD,
    Entry,
    Private,
    canonical,
    chain_of,
    link_of,
    mark_of,
    origin_of,
)
from advisor.journal.migrations import MIGRATIONS, SAYS_WHAT_IS_MISSING, SEARCH_LIST_SINCE, Foreign, compared
from advisor.journal.private_words import commitments_of, private_of
from advisor.journal.projection import FINDER_COLUMNS, fill_finder, follow
from advisor.journal.queries import all_entries
from advisor.journal.signing import Checker, Signer, record_message, seal_message
from advisor.journal.store import UNUSABLE, last_in, trust_nothing
from advisor.model.problems import Misread, shown

BESIDE = "seals.jsonl"
LONGEST_LINE, MOST_SEALS = 2000, 200_000


class Seal(Struct, frozen=True):
    """One line of a file of seals. `key` and `signature` are empty where it is not signed."""

    at: str
    entries: int
    hash: str
    key: str = ""
    signature: str = ""
    where: str = ""

    @property
    def text(self) -> str:
        """What is sealed, as text."""
        return canonical({"at": self.at, "entries": self.entries, "hash": self.hash})


def seal_of(db: sqlite3.Connection, at: str, signer: Signer | None = None) -> Seal:
    """The seal of a journal as it stands."""
    entries, chain = last_in(db)
    bare = Seal(at, entries, chain.hex())
    if signer is None:
        return bare
    return Seal(at, entries, chain.hex(), signer.mark, signer.sign(seal_message(bare.text)))


def add_seal(path: Path, seal: Seal) -> None:
    """Adds a seal to a file that only its owner can read. Raises OSError."""
    data = {"at": seal.at, "entries": seal.entries, "hash": seal.hash}
    if seal.key:
        data |= {"key": seal.key, "signature": seal.signature}
    descriptor = os.open(path, os.O_CREAT | os.O_RDWR | os.O_APPEND, OWNER_ONLY_FILE)
    with os.fdopen(descriptor, "a", encoding="ascii") as file:
        torn = os.lseek(descriptor, 0, os.SEEK_END) > 0 and os.lseek(descriptor, -1, os.SEEK_END) >= 0
        torn = torn and os.read(descriptor, 1) != b"\n"
        file.write("\n" * torn + canonical(data) + "\n")


def seals_in(path: Path, faults: list[str] | None = None) -> Iterator[Seal]:
    """The seals of a file. A line that is none goes to `faults`, or raises Misread without them. Raises OSError."""
    with path.open("rb") as file:
        for number in range(1, MOST_SEALS):
            line = file.readline(LONGEST_LINE)
            if not line:
                return
            if line.strip():
                try:
                    yield _seal(line, f"{shown(path.name, 80)}:{number}")
                except Misread as error:
                    if faults is None:
                        raise
                    faults.append(error.found)


def _seal(line: bytes, where: str) -> Seal:
    with suppress(ValueError, RecursionError, TypeError, KeyError):
        data = json.loads(line)
        seal = Seal(data["at"], data["entries"], data["hash"], data.get("key", ""), data.get("signature", ""), where)
        texts = (seal.at, seal.hash, seal.key, seal.signature)
        if all(isinstance(text, str) for text in texts) and type(seal.entries) is int and seal.entries >= 0:
            return seal
    raise Misread(f"{where}: a line that is no seal", "a file that --seal wrote")


def signature_fault(seal: Seal, checker: Checker | None) -> str:
    """What is wrong with a seal's signature, or an empty text; without a key nothing is."""
    if checker is None:
        return ""
    if not seal.key:
        return f"{seal.where}: a seal that is not signed"
    if seal.key != checker.mark:
        return f"{seal.where}: a seal signed by another key, {shown(seal.key, 20)}"
    if not checker.holds(seal_message(seal.text), seal.signature):
        return f"{seal.where}: a seal whose signature does not hold"
    return ""


MOST_FOUND = 100
#: So many consultations are held in memory at once while they are checked.
_AT_HAND = 10_000
_FLAGS, _END = {"ended": 1, "signed": 2}, "SELECT step, link, flags FROM ends"
_LISTED = """id, begun, rules_id, edition, digest, state, casing, technician, plate, verdict, ending, decided,
    words, notes"""


class Checked(Struct):
    """What a check found: problems in words, how many entries it saw, and the chain's last hash."""

    problems: list[str] = field(default_factory=list)
    entries: int = 0
    consultations: int = 0
    head: str = NOTHING_BEFORE.hex()
    seen_head: bool = False
    sealed: int = 0
    signed: int = 0
    not_signed: int = 0
    version: int = 0
    forgotten: int = 0
    never_came: int = 0


class Against(Struct, frozen=True):
    """What a journal is held against: a last hash noted earlier, seals, and the key of signatures.

    The hash must still stand somewhere in the chain, each seal's at its entry.
    """

    head: str = ""
    seals: tuple[Seal, ...] = ()
    key: Checker | None = None


#: Nothing was noted earlier.
AGAINST_NOTHING = Against()


def verify(db: sqlite3.Connection, against: Against = AGAINST_NOTHING) -> Checked:
    """Checks a journal."""
    checked, head = Checked(), against.head
    try:
        trust_nothing(db)
        checked.version = int(db.execute("PRAGMA user_version").fetchone()[0])
        foreign = compared(db, checked.version)
        checked.problems.extend(_schema(foreign))
        checked.problems.extend(_file(db, foreign, checked.version))
        for problem in () if foreign.recorded else _entries(db, checked, against, foreign):
            checked.problems.append(problem)
            if len(checked.problems) >= MOST_FOUND:
                break
    except UNUSABLE as error:
        checked.problems.append(f"after entry {checked.entries}: the file can't be read on ({shown(str(error), 200)})")
    if head and not checked.seen_head:
        checked.problems.append(f"no entry has the hash {shown(head, 80)}: entries up to it were changed or taken away")
    return checked


def _schema(foreign: Foreign) -> Iterator[str]:
    """What in the file is not as this program makes it."""
    for kind, name in foreign.more[:20]:
        yield f"the file: a {shown(kind, 20)} that is not the program's own, {shown(name, 60)}"
    if foreign.recorded:
        yield "the file: the tables of the entries are not as this program makes them; they were not read"
    if foreign.lists:
        yield "the file: the lists are not as this program makes them; the next start makes them anew"


def _file(db: sqlite3.Connection, foreign: Foreign, found: int) -> Iterator[str]:
    for (line,) in db.execute("PRAGMA integrity_check(20)"):
        if line != "ok":
            yield f"the file: {shown(str(line), 200)}"
    try:
        if not foreign.lists and found >= SEARCH_LIST_SINCE:
            db.execute("SELECT count(*) FROM finder").fetchone()
    except UNUSABLE as error:
        yield f"the search list: {shown(str(error), 200)}"


def _entries(db: sqlite3.Connection, checked: Checked, against: Against, foreign: Foreign) -> Iterator[str]:
    seals: dict[int, list[Seal]] = {}
    for seal in against.seals:
        seals.setdefault(seal.entries, []).append(seal)
    before, chain, sound = 0, NOTHING_BEFORE, True
    with closing(_fresh()) as fresh:
        words, ends = _Words(db, fresh), _Ends(fresh)
        for entry in all_entries(db):
            place = f"entry {entry.seq}"
            if not _kinds(entry):
                yield f"{place}: a value of another kind than was written"
                sound = False
                continue
            if entry.seq != before + 1:
                yield f"{place}: comes after entry {before}; what lay between is gone"
            step, link, flags = ends.of(entry.consultation)
            wrong = list(_one(entry, place, step, link, chain))
            yield from wrong
            sound = sound and not wrong
            before, chain = entry.seq, entry.chain
            ends.put(entry.consultation, (entry.step, entry.link, flags | _FLAGS.get(entry.kind, 0)))
            checked.entries += 1
            checked.seen_head = checked.seen_head or entry.chain.hex() == against.head
            if entry.seq in seals:
                checked.sealed = entry.seq
                yield from _sealed(entry, place, seals.pop(entry.seq))
            if entry.kind == "signed":
                yield from _signature(entry, place, link, against.key)
            found = yield from words.of(entry, place)
            if sound:
                follow(fresh, entry, found)
        checked.head = chain.hex()
        checked.consultations, checked.signed, checked.not_signed = ends.counted()
        yield from _branches(db, ends.branches())
        yield from _cut_off((seal for left in seals.values() for seal in left), before)
        yield from _tail(db, before)
        yield from words.at_the_end(sound and checked.version >= SAYS_WHAT_IS_MISSING, checked)
        if sound and not foreign.lists:
            fill_finder(fresh)
            yield from _lists(db, fresh, checked.version)


def _sealed(entry: Entry, place: str, seals: Iterable[Seal]) -> Iterator[str]:
    for seal in seals:
        if seal.hash != entry.chain.hex():
            when = f"{shown(seal.at, 20)} ({seal.where})"
            yield f"{place}: not as sealed on {when}: it or one before was replaced"


def _cut_off(seals: Iterable[Seal], last: int) -> Iterator[str]:
    """What was sealed behind the last entry that is there."""
    for seal in seals:
        if seal.entries > last:
            yield (
                f"after entry {last}: {seal.entries - last} entries at the end are gone; "
                f"they were sealed on {shown(seal.at, 20)} ({seal.where})"
            )


def _kinds(entry: Entry) -> bool:
    texts = (entry.consultation, entry.at, entry.kind, entry.rules, entry.body)
    return all(isinstance(text, str) for text in texts) and isinstance(entry.step, int)


def _one(entry: Entry, place: str, step: int, link: bytes, chain: bytes) -> Iterator[str]:
    at = f"{place} ({shown(entry.consultation, 40)}, step {entry.step})"
    if entry.step != step + 1:
        yield f"{at}: comes after step {step} of its consultation"
    if entry.link != link_of(link, entry.consultation, entry.step, entry.at, entry.kind, entry.rules, entry.body):
        yield f"{at}: was changed since it was written"
    if entry.chain != chain_of(chain, entry.seq, entry.link, entry.consultation):
        yield f"{at}: does not follow on the entry before it in the journal"


def _signature(entry: Entry, place: str, link: bytes, key: Checker | None) -> Iterator[str]:
    """What is wrong with a record's signature, where the key is known that it should be by."""
    data = entry.data
    if key is None:
        return
    if data.get("key") != key.mark:
        yield f"{place} ({shown(entry.consultation, 40)}): signed by another key, {shown(str(data.get('key')), 20)}"
    elif not key.holds(record_message(origin_of(entry.consultation), link), str(data.get("signature"))):
        yield f"{place} ({shown(entry.consultation, 40)}): the signature does not hold"


def _tail(db: sqlite3.Connection, last: int) -> Iterator[str]:
    row = db.execute("SELECT seq FROM sqlite_sequence WHERE name = 'entry'").fetchone()
    if row and row[0] != last:
        yield f"after entry {last}: {row[0] - last} entries at the end are gone"
    elif row is None and last:
        yield "the count of entries is gone"


def _branches(db: sqlite3.Connection, names: Iterable[str]) -> Iterator[str]:
    """A branch bears the mark of a link that it holds."""
    for name in names:
        mark = name[len(origin_of(name)) + 1 :]
        if mark and not name.startswith("#"):
            links = db.execute("SELECT link FROM entry WHERE consultation = ?", (name,))
            if not any(mark_of(link) == mark for (link,) in links):
                yield f"{shown(name, 60)}: bears a mark that is not its own"


class _Ends:
    """Where each consultation stands: the latest ones at hand, the others in a table, so that memory does not grow."""

    def __init__(self, fresh: sqlite3.Connection) -> None:
        self._db, self._near = fresh, dict[bytes, tuple[int, bytes, int]]()
        fresh.execute("CREATE TABLE ends(name BLOB PRIMARY KEY, step, link, flags) WITHOUT ROWID")

    def of(self, name: str) -> tuple[int, bytes, int]:
        """Step and link of a consultation's last entry, and whether it was ended and signed."""
        key = _key(name)
        row = self._near.get(key) or self._db.execute(f"{_END} WHERE name = ?", (key,)).fetchone()
        return row or (0, NOTHING_BEFORE, 0)

    def put(self, name: str, end: tuple[int, bytes, int]) -> None:
        """Notes where a consultation stands now."""
        self._near[_key(name)] = end
        if len(self._near) >= _AT_HAND:
            self._away()

    def _away(self) -> None:
        rows = ((name, *end) for name, end in self._near.items())
        self._db.executemany("INSERT OR REPLACE INTO ends VALUES (?, ?, ?, ?)", rows)
        self._near.clear()

    def counted(self) -> tuple[int, int, int]:
        """How many consultations there are, how many are signed, and how many were ended and are not."""
        self._away()
        sql = "SELECT count(*) FILTER (WHERE substr(name, 1, 1) <> x'23'), total(flags & 2), total(flags = 1) FROM ends"
        every, signed, ended = self._db.execute(sql).fetchone()
        return int(every), int(signed) // 2, int(ended)

    def branches(self) -> Iterator[str]:
        """The names that bear a mark, once all stand in the table."""
        rows = self._db.execute("SELECT name FROM ends WHERE instr(name, x'7e')")
        return (bytes(name).decode("utf-8", "surrogateescape") for (name,) in rows)


def _key(name: str) -> bytes:
    """A name as a key; a damaged one has marks in it that are no text."""
    return name.encode("utf-8", "surrogateescape")


class _Words:
    """The personal words: each as its commitment says, and none that is not there without a word about it."""

    def __init__(self, db: sqlite3.Connection, fresh: sqlite3.Connection) -> None:
        self._db, self._fresh, self._seen = db, fresh, 0
        for name in ("lacking", "known"):
            fresh.execute(f"CREATE TABLE {name}(commitment TEXT PRIMARY KEY) WITHOUT ROWID")

    def of(self, entry: Entry, place: str) -> Generator[str, None, dict[str, str]]:
        """The words of an entry."""
        found = dict[str, str]()
        commitments = commitments_of(entry)
        if commitments:
            there = {name: (salt, words) for name, salt, words in private_of(self._db, entry)}
            for name, commitment in commitments.items():
                if name not in there:
                    self._fresh.execute("INSERT OR IGNORE INTO lacking VALUES (?)", (commitment,))
                    continue
                salt, words = there[name]
                whole = isinstance(salt, bytes) and isinstance(words, str)
                if whole and Private(words, salt).commitment == commitment:
                    found[name] = words
                else:
                    yield _changed(commitment)
                self._seen += 1
        elif entry.kind == WITHHELD and "before-version" not in entry.data:
            told = entry.data.get("commitments")
            found_lacking = "SELECT count(*) FROM lacking WHERE commitment = ?"
            each = {str(one) for one in told if str(one).isascii()} if isinstance(told, list) else set()
            if late := sum(self._fresh.execute(found_lacking, (one,)).fetchone()[0] for one in each):
                yield f"{place}: says only afterwards of {late} personal words that they never came"
        return found

    def at_the_end(self, says: bool, checked: Checked) -> Iterator[str]:
        """What no entry bears, and, where entries say so, what is not there without a word or there all the same."""
        if self._db.execute("SELECT count(*) FROM private").fetchone()[0] != self._seen:
            yield from self._not_known()
        if not says:
            return
        untold = "SELECT commitment FROM lacking EXCEPT SELECT commitment FROM without_words ORDER BY 1"
        for (commitment,) in self._fresh.execute(untold):
            yield (f"personal words {shown(commitment, 12)}: are gone, and no entry says that they were forgotten")
        for (commitment,) in self._fresh.execute("SELECT commitment FROM without_words WHERE why = ?", (FORGOTTEN,)):
            if self._db.execute("SELECT 1 FROM private WHERE commitment = ?", (commitment,)).fetchone():
                yield f"personal words {shown(commitment, 12)}: were forgotten, and yet they are there"
        counted = "SELECT total(why = ?), total(why = ?) FROM without_words JOIN lacking USING (commitment)"
        checked.forgotten, checked.never_came = map(int, self._fresh.execute(counted, (FORGOTTEN, WITHHELD)).fetchone())

    def _not_known(self) -> Iterator[str]:
        """Words that no entry bears; looked for only where the numbers differ, as a branch shares its words."""
        borne = ((one,) for entry in all_entries(self._db) for one in commitments_of(entry).values())
        self._fresh.executemany("INSERT OR IGNORE INTO known VALUES (?)", borne)
        for (commitment,) in self._db.execute("SELECT commitment FROM private"):
            if not self._fresh.execute("SELECT 1 FROM known WHERE commitment = ?", (commitment,)).fetchone():
                yield _changed(str(commitment))


def _changed(commitment: str) -> str:
    return f"personal words {shown(commitment, 12)}: were changed since they were written"


def _lists(db: sqlite3.Connection, fresh: sqlite3.Connection, version: int) -> Iterator[str]:
    """The lists against lists worked out anew; a word changed there would hide a consultation from a search."""
    tables = {"consultation": _LISTED}
    if version >= SEARCH_LIST_SINCE:
        tables |= {"finder": FINDER_COLUMNS, "temp.terms": "term, col, doc, cnt"}
        for each in (fresh, db):
            each.execute("CREATE VIRTUAL TABLE IF NOT EXISTS temp.terms USING fts5vocab('main', 'finder', 'col')")
    if version >= SAYS_WHAT_IS_MISSING:
        tables["without_words"] = "commitment, why"
    for table, columns in tables.items():
        sql = f"SELECT {columns} FROM {table} ORDER BY 1, 2"  # noqa: S608
        ours, theirs = fresh.execute(sql), db.execute(sql)
        while True:
            expected, found = ours.fetchone(), theirs.fetchone()
            if expected != found:
                name = shown(str((expected or found)[0]), 40)
                yield f"the list of consultations ({table}), {name}: does not say what the entries say"
                break
            if expected is None:
                break


def _fresh() -> sqlite3.Connection:
    """An empty journal of its own, to work the lists out in anew; on disk where it grows large."""
    db = sqlite3.connect("", isolation_level=None)
    for step in MIGRATIONS:
        for statement in step:
            db.execute(statement)
    db.execute("BEGIN")
    return db
