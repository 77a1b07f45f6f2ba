"""Checks a journal: SQLite's own check, every link and the chain, what hides behind commitments, and the lists."""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import closing
from dataclasses import dataclass, field

from advisor.errors import shown
from advisor.record.entry import NOTHING_BEFORE, Entry, chain_of, link_of
from advisor.record.private import commitments_of, words_of
from advisor.record.reading import all_entries
from advisor.record.schema import STEPS
from advisor.record.seals import Seal
from advisor.record.signing import Checker, record_message
from advisor.record.summary import follow

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
        checked.problems.extend(_file(db))
        for problem in _entries(db, checked, against):
            checked.problems.append(problem)
            if len(checked.problems) >= MOST_FOUND:
                break
    except sqlite3.DatabaseError as error:
        checked.problems.append(f"after entry {checked.entries}: the file can't be read on ({shown(str(error), 200)})")
    if head and not checked.seen_head:
        checked.problems.append(f"no entry has the hash {shown(head, 80)}: entries up to it were changed or taken away")
    return checked


def _file(db: sqlite3.Connection) -> Iterator[str]:
    for (line,) in db.execute("PRAGMA integrity_check(20)"):
        if line != "ok":
            yield f"the file: {shown(str(line), 200)}"
    try:
        db.execute("SELECT count(*) FROM finder").fetchone()
    except sqlite3.DatabaseError as error:
        yield f"the search list: {shown(str(error), 200)}"


def _entries(db: sqlite3.Connection, checked: Checked, against: Against) -> Iterator[str]:
    seals: dict[int, list[Seal]] = {}
    for seal in against.seals:
        seals.setdefault(seal.entries, []).append(seal)
    ended, signed = set[str](), set[str]()
    last: dict[str, tuple[int, bytes]] = {}
    hidden: set[str] = set()
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
            hidden.update(commitments_of(entry).values())
            if sound:
                follow(fresh, entry, words_of(db, entry))
        checked.head, checked.consultations = chain.hex(), len(last)
        checked.signed, checked.not_signed = len(signed), len(ended - signed)
        yield from _cut_off((seal for left in seals.values() for seal in left), before)
        yield from _tail(db, before)
        yield from _private(db, hidden)
        if sound:
            yield from _lists(db, fresh)


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
    if entry.chain != chain_of(chain, entry.seq, entry.link):
        yield f"{at}: does not follow on the entry before it in the journal"


def _signature(entry: Entry, place: str, link: bytes, key: Checker | None) -> Iterator[str]:
    """What is wrong with a record's signature, where the key is known that it should be by."""
    data = entry.data
    if key is None:
        return
    if data.get("key") != key.mark:
        yield f"{place} ({shown(entry.consultation, 40)}): signed by another key, {shown(str(data.get('key')), 20)}"
    elif not key.holds(record_message(entry.consultation, link), str(data.get("signature"))):
        yield f"{place} ({shown(entry.consultation, 40)}): the signature does not hold"


def _tail(db: sqlite3.Connection, last: int) -> Iterator[str]:
    row = db.execute("SELECT seq FROM sqlite_sequence WHERE name = 'entry'").fetchone()
    if row and row[0] != last:
        yield f"after entry {last}: {row[0] - last} entries at the end are gone"
    elif row is None and last:
        yield "the count of entries is gone"


def _private(db: sqlite3.Connection, hidden: set[str]) -> Iterator[str]:
    for commitment, salt, words in db.execute("SELECT commitment, salt, words FROM private"):
        known = isinstance(salt, bytes) and isinstance(words, str) and commitment in hidden
        if not known or hashlib.sha256(salt + words.encode()).hexdigest() != commitment:
            yield f"personal words {shown(str(commitment), 12)}: were changed since they were written"


def _lists(db: sqlite3.Connection, fresh: sqlite3.Connection) -> Iterator[str]:
    """The lists against lists worked out anew; a word changed there would hide a consultation from a search."""
    for table in ("consultation", "finder"):
        columns = _LISTED if table == "consultation" else "id, casing, technician, plate, verdict, begun, words, notes"
        sql = f"SELECT {columns} FROM {table} ORDER BY id"  # noqa: S608
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
    """An empty journal in memory, to work the lists out in anew."""
    db = sqlite3.connect(":memory:", isolation_level=None)
    for step in STEPS:
        for statement in step:
            db.execute(statement)
    db.execute("BEGIN")
    return db
