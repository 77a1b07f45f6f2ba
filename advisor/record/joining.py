"""Takes records in from an export or from another journal: what is known already is not doubled, nothing is lost."""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from advisor.record.entry import Draft, Entry
from advisor.record.forgetting import wipe
from advisor.record.reading import all_consultations, entries_of, last_verdict, state_after
from advisor.record.salvage import as_draft
from advisor.record.store import Store

_A_BLOCK = 200


@dataclass
class Joined:
    """How many consultations were new, longer than known, known already, or went on otherwise here and there."""

    new: int = 0
    longer: int = 0
    known: int = 0
    apart: int = 0


@dataclass(frozen=True, slots=True)
class Incoming:
    """A consultation to take in: its entries with their links, and the same made ready.

    `snapshot` is a hash of a row of CSV, which tells where a consultation stood and not how it came there.
    """

    id: str
    entries: list[Entry]
    drafts: list[Draft]
    snapshot: str = ""


def of_journal(db: sqlite3.Connection) -> Iterator[Incoming]:
    """The consultations of another journal."""
    for summary in all_consultations(db):
        entries = entries_of(db, summary.id)
        yield Incoming(summary.id, entries, [as_draft(db, entry) for entry in entries])


def join(store: Store, incoming: Iterable[Incoming]) -> Joined:
    """Takes consultations in, some hundreds at a time; what was taken in stays when a later one fails."""
    joined, block = Joined(), list[Incoming]()
    for each in incoming:
        block.append(each)
        if len(block) >= _A_BLOCK:
            _join_block(store, block, joined)
            block = []
    _join_block(store, block, joined)
    return joined


def _join_block(store: Store, block: list[Incoming], joined: Joined) -> None:
    counted = Joined(joined.new, joined.longer, joined.known, joined.apart)
    with store.writing() as db:
        for each in block:
            missing = _missing(db, each, counted)
            if any(draft.kind == "forgotten" for draft in missing):
                wipe(db, each.id, entries_of(db, each.id))
            store.append_within(db, missing)
    joined.new, joined.longer, joined.known, joined.apart = counted.new, counted.longer, counted.known, counted.apart


def _missing(db: sqlite3.Connection, each: Incoming, joined: Joined) -> list[Draft]:
    """The entries that this journal lacks."""
    known = entries_of(db, each.id)
    if any(entry.kind == "forgotten" for entry in known):
        each = replace(each, drafts=[replace(draft, private=()) for draft in each.drafts])
    here = [entry.link for entry in known]
    there = [entry.link for entry in each.entries]
    same = 0
    while same < min(len(here), len(there)) and here[same] == there[same]:
        same += 1
    if same == len(there) or (each.snapshot and here and _stands_so(known, each.entries)):
        joined.known += 1
        return []
    if same == len(here):
        joined.longer += bool(here)
        joined.new += not here
        return each.drafts[same:]
    return _apart(db, each, joined)


def _stands_so(ours: list[Entry], theirs: list[Entry]) -> bool:
    """Whether two ways led to the same answers and the same verdict."""
    one, other = last_verdict(ours) or {}, last_verdict(theirs) or {}
    same = [one.get(name) == other.get(name) for name in ("verdict", "ending", "digest", "at", "case")]
    return all(same) and state_after(ours).case == state_after(theirs).case


def _apart(db: sqlite3.Connection, each: Incoming, joined: Joined) -> list[Draft]:
    """Both went on from the same beginning: the other's way is kept under an id of its own, always the same one."""
    mark = each.snapshot or hashlib.sha256(each.entries[-1].link).hexdigest()
    name = f"{each.id[:24]}-{mark[:8]}"
    if entries_of(db, name):
        joined.known += 1
        return []
    joined.apart += 1
    return [Draft(name, draft.at, draft.kind, draft.rules, draft.body, draft.private) for draft in each.drafts]
