"""Checks a journal: its schema, SQLite's own check, every link and the chain, personal words, and the lists.

A file is held against what this program makes: what is not its own is named, and nothing in the file is run.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Generator, Iterable, Iterator
from contextlib import closing
from dataclasses import dataclass, field

from advisor.errors import shown
from advisor.record.entry import (
    FORGOTTEN,
    NOTHING_BEFORE,
    WITHHELD,
    Entry,
    Private,
    chain_of,
    link_of,
    mark_of,
    origin_of,
)
from advisor.record.private import commitments_of, private_of
from advisor.record.reading import all_entries
from advisor.record.schema import SAYS_WHAT_IS_MISSING, SEARCHED, STEPS, Foreign, compared
from advisor.record.seals import Seal
from advisor.record.signing import Checker, record_message
from advisor.record.store import UNUSABLE, trust_nothing
from advisor.record.summary import COLUMNS, fill_finder, follow

MOST_FOUND = 100
_LISTED = """id, begun, rules_id, edition, digest, state, casing, technician, plate, verdict, ending, decided,
    words, notes"""


@dataclass
class Checked:
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


@dataclass(frozen=True, slots=True)
class Against:
    """What a journal is held against: a last hash noted earlier, seals, and the key of signatures.

    The hash must still stand somewhere in the chain, each seal's at its entry.
    """

    head: str = ""
    seals: tuple[Seal, ...] = ()
    key: Checker | None = None


def verify(db: sqlite3.Connection, against: Against = Against()) -> Checked:
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
        if not foreign.lists and found >= SEARCHED:
            db.execute("SELECT count(*) FROM finder").fetchone()
    except UNUSABLE as error:
        yield f"the search list: {shown(str(error), 200)}"


def _entries(db: sqlite3.Connection, checked: Checked, against: Against, foreign: Foreign) -> Iterator[str]:
    seals: dict[int, list[Seal]] = {}
    for seal in against.seals:
        seals.setdefault(seal.entries, []).append(seal)
    ended, signed = set[str](), set[str]()
    last: dict[str, tuple[int, bytes]] = {}
    words = _Words(db)
    before, chain, sound = 0, NOTHING_BEFORE, True
    with closing(_fresh()) as fresh:
        for entry in all_entries(db):
            place = f"entry {entry.seq}"
            if not _kinds(entry):
                yield f"{place}: a value of another kind than was written"
                sound = False
                continue
            if entry.seq != before + 1:
                yield f"{place}: comes after entry {before}; what lay between is gone"
            step, link = last.get(entry.consultation, (0, NOTHING_BEFORE))
            wrong = list(_one(entry, place, step, link, chain))
            yield from wrong
            sound = sound and not wrong
            before, chain = entry.seq, entry.chain
            last[entry.consultation] = (entry.step, entry.link)
            checked.entries += 1
            checked.seen_head = checked.seen_head or entry.chain.hex() == against.head
            if entry.seq in seals:
                checked.sealed = entry.seq
                yield from _sealed(entry, place, seals.pop(entry.seq))
            if entry.kind == "ended":
                ended.add(entry.consultation)
            elif entry.kind == "signed":
                signed.add(entry.consultation)
                yield from _signature(entry, place, link, against.key)
            found = yield from words.of(entry, place)
            if sound:
                follow(fresh, entry, found, find=False)
        checked.head = chain.hex()
        checked.consultations = sum(not name.startswith("#") for name in last)
        yield from _branches(db, last)
        checked.signed, checked.not_signed = len(signed), len(ended - signed)
        yield from _cut_off((seal for left in seals.values() for seal in left), before)
        yield from _tail(db, before)
        yield from words.at_the_end(fresh if sound and checked.version >= SAYS_WHAT_IS_MISSING else None, checked)
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


class _Words:
    """The personal words: each as its commitment says, and none that is not there without a word about it."""

    def __init__(self, db: sqlite3.Connection) -> None:
        self._db, self._seen = db, 0
        self._lacking = set[str]()

    def of(self, entry: Entry, place: str) -> Generator[str, None, dict[str, str]]:
        """The words of an entry."""
        found = dict[str, str]()
        commitments = commitments_of(entry)
        if commitments:
            there = {name: (salt, words) for name, salt, words in private_of(self._db, entry)}
            for name, commitment in commitments.items():
                if name not in there:
                    self._lacking.add(commitment)
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
            if late := self._lacking.intersection(map(str, told if isinstance(told, list) else ())):
                yield f"{place}: says only afterwards of {len(late)} personal words that they never came"
        return found

    def at_the_end(self, fresh: sqlite3.Connection | None, checked: Checked) -> Iterator[str]:
        """What no entry bears, and what is not there though no entry says so (`fresh` holds what entries say)."""
        if self._db.execute("SELECT count(*) FROM private").fetchone()[0] != self._seen:
            yield from self._not_known()
        if fresh is None:
            return
        told = dict(fresh.execute("SELECT commitment, why FROM without_words"))
        for commitment in sorted(self._lacking - told.keys()):
            yield (f"personal words {shown(commitment, 12)}: are gone, and no entry says that they were forgotten")
        for commitment in sorted(each for each, why in told.items() if why == FORGOTTEN):
            if self._db.execute("SELECT 1 FROM private WHERE commitment = ?", (commitment,)).fetchone():
                yield f"personal words {shown(commitment, 12)}: were forgotten, and yet they are there"
        why = [told[each] for each in self._lacking if each in told]
        checked.forgotten, checked.never_came = why.count(FORGOTTEN), why.count(WITHHELD)

    def _not_known(self) -> Iterator[str]:
        """Words that no entry bears; looked for only where the numbers differ, as a branch shares its words."""
        known = {one for entry in all_entries(self._db) for one in commitments_of(entry).values()}
        for (commitment,) in self._db.execute("SELECT commitment FROM private"):
            if commitment not in known:
                yield _changed(str(commitment))


def _changed(commitment: str) -> str:
    return f"personal words {shown(commitment, 12)}: were changed since they were written"


def _lists(db: sqlite3.Connection, fresh: sqlite3.Connection, version: int) -> Iterator[str]:
    """The lists against lists worked out anew; a word changed there would hide a consultation from a search."""
    tables = {"consultation": _LISTED}
    if version >= SEARCHED:
        tables |= {"finder": COLUMNS, "temp.terms": "term, col, doc, cnt"}
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
    for step in STEPS:
        for statement in step:
            db.execute(statement)
    db.execute("BEGIN")
    return db
