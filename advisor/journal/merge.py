"""Takes records in from an export or from another journal. What is here is only ever added to.

A consultation that went on otherwise here and there is a fork: both ways are kept, the other's as a branch, ID~MARK,
with the links that it has there. Of two ways, the longer one stands for both where it only adds to what the shorter one
recorded; it does not where a verdict, whose it is, or the casing would be another. So which ways a journal holds does
not depend on what was merged into what, how often, or in which order.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterable, Iterator

from msgspec import Struct, field

from advisor.journal.events import BRANCH, FORGOTTEN, Entry, NewEvent, mark_of, origin_of
from advisor.journal.private_words import commitments_of
from advisor.journal.queries import all_consultations, branches_of, entries_of, last_verdict, state_after
from advisor.journal.recovery import as_draft
from advisor.journal.redaction import carried_out, notes_of_forgetting, still_here
from advisor.journal.session_locks import Claims
from advisor.journal.store import Store, add_words, forgotten_so
from advisor.model.problems import shown

_A_BLOCK = 200
_MOST_TOLD = 50
Branches = dict[str, list[Entry]]
#: What is wrong with a consultation's verdicts by its own rules, or an empty text.
Held = Callable[[list[Entry]], str]


class Joined(Struct):
    """How many consultations were new, longer than known, known already, went on otherwise, or were not taken.

    `told` says each refusal and each conflict with both sides.
    """

    new: int = 0
    longer: int = 0
    known: int = 0
    apart: int = 0
    refused: int = 0
    told: list[str] = field(default_factory=list)

    def tell(self, line: str) -> None:
        """Notes a line to be told, up to some."""
        if len(self.told) < _MOST_TOLD:
            self.told.append(line)
        elif len(self.told) == _MOST_TOLD:
            self.told.append(f"The first {_MOST_TOLD} are told.")


class Incoming(Struct, frozen=True):
    """A consultation to take in: its entries with their links, and the same made ready.

    `snapshot` is a hash of a row of CSV, which tells where a consultation stood and not how it came there.
    """

    id: str
    entries: list[Entry]
    drafts: list[NewEvent]
    snapshot: str = ""


def of_journal(db: sqlite3.Connection) -> Iterator[Incoming]:
    """What was forgotten in another journal, and its consultations."""
    for entry in notes_of_forgetting(db):
        yield Incoming(entry.consultation, [entry], [as_draft(db, entry)])
    for summary in all_consultations(db):
        entries = entries_of(db, summary.id)
        yield Incoming(summary.id, entries, [as_draft(db, entry) for entry in entries])


class Joining:
    """Takes consultations into a journal. `trusted`: what was forgotten there is deleted here as well."""

    def __init__(self, store: Store, claims: Claims, held: Held, trusted: bool) -> None:
        self.store, self.claims, self.held, self.trusted = store, claims, held, trusted

    def join(self, incoming: Iterable[Incoming]) -> Joined:
        """Takes them in, some hundreds at a time; what was taken in stays when a later one fails."""
        joined, block = Joined(), list[Incoming]()
        for each in incoming:
            block.append(each)
            if len(block) >= _A_BLOCK:
                self._block(block, joined)
                block = []
        self._block(block, joined)
        return joined

    def _block(self, block: list[Incoming], joined: Joined) -> None:
        counted = Joined(joined.new, joined.longer, joined.known, joined.apart, joined.refused, [*joined.told])
        with self.store.writing() as db:
            for each in block:
                if each.id.startswith("#"):
                    self._forgotten(db, each.drafts[0], each.entries[0], counted)
                else:
                    self._one(db, each, counted)
        for name in counted.__struct_fields__:
            setattr(joined, name, getattr(counted, name))

    def _one(self, db: sqlite3.Connection, each: Incoming, joined: Joined) -> None:
        for draft, entry in _forgotten_within(each):
            self._forgotten(db, draft, entry, joined)
        each = _without_what_was_forgotten(db, each)
        ways = {name: entries_of(db, name) for name in branches_of(db, origin_of(each.id))}
        name = self._place_for(each, ways)
        if name is not None and (wrong := self._wrong(name, each, ways)):
            joined.refused += 1
            here = next(iter(ways.values()), None)
            ours = f"; here it is {_in_words(here)}" if here else ""
            joined.tell(f"{shown(each.id, 60)}: not taken: {wrong}{ours}")
            return
        _add_words(db, each, ways)
        if name is None:
            joined.known += 1
            return
        self._count(name, ways, each, joined)
        missing = each.drafts[len(ways.get(name, ())) :]
        self.store.append_within(db, [_named(draft, name) for draft in missing])

    def _wrong(self, name: str, each: Incoming, ways: Branches) -> str:
        """Why a consultation is not taken in, or an empty text."""
        if wrong := self.held(each.entries):
            return wrong
        if name in ways:
            if not self.claims.take(name):
                return "it is open in another window here; close it there and take this in again"
            self.claims.let_go(name)
        return ""

    def _place_for(self, each: Incoming, ways: Branches) -> str | None:
        """Under which name what is missing goes; None where nothing is."""
        there = each.entries
        if any(_stands_for(ours, there) or _same_standing(each, ours) for ours in ways.values()):
            return None
        for name, ours in ways.items():
            if _stands_for(there, ours):
                return name
        if each.id not in ways:
            return each.id
        return f"{origin_of(each.id)}{BRANCH}{mark_of(there[-1].link)}"

    def _count(self, name: str, ways: Branches, each: Incoming, joined: Joined) -> None:
        if name in ways:
            joined.longer += 1
        elif not ways:
            joined.new += 1
        else:
            joined.apart += 1
            here = next(iter(ways.items()))
            joined.tell(
                f"{shown(here[0], 60)} went apart: here {_in_words(here[1])}; there {_in_words(each.entries)}, "
                f"kept beside it as {shown(name, 60)}"
            )

    def _forgotten(self, db: sqlite3.Connection, draft: NewEvent, entry: Entry, joined: Joined) -> None:
        """Takes a forgetting in. Out of a file it deletes nothing: that is said, and how it is done."""
        if entries_of(db, draft.consultation):
            return
        of, day = shown(str(entry.data.get("of", "")), 60), shown(entry.at[:10], 10)
        count, others = still_here(db, entry)
        if others:
            joined.refused += 1
            joined.tell(f"{of}: not taken: a note of forgetting that also names {others} words of other consultations")
            return
        if count and not self.trusted:
            joined.tell(
                f"{of}: forgotten there on {day}; here {count} of its personal words are kept still. "
                f"To delete them here as well: advisor casings --forget {of}"
            )
            return
        carried_out(db, entry)
        self.store.append_within(db, [draft])
        if count:
            joined.tell(f"{of}: forgotten there on {day}, and so {count} personal words deleted here")


def _named(draft: NewEvent, name: str) -> NewEvent:
    return NewEvent(name, draft.at, draft.kind, draft.rules, draft.body, draft.private)


def _stands_for(longer: list[Entry], shorter: list[Entry]) -> bool:
    """Whether one way is the other one gone on with, and leaves what that recorded as it was."""
    count = len(shorter)
    if len(longer) < count or (count and longer[count - 1].link != shorter[-1].link):
        return False
    recorded, whole = _recorded(shorter), _recorded(longer)
    return not recorded["verdict"] or all(not value or whole[name] == value for name, value in recorded.items())


def _recorded(entries: list[Entry]) -> dict[str, object]:
    """What a consultation says of its tire: the verdict with all that goes with it, the casing, whose it is."""
    verdict = last_verdict(entries) or {}
    found: dict[str, object] = {name: verdict.get(name) for name in ("verdict", "ending", "method", "restrictions")}
    for entry in entries:
        if entry.kind == "casing":
            found["casing"] = entry.data.get("casing")
        elif entry.kind in ("technician", "plate"):
            found[entry.kind] = commitments_of(entry).get(entry.kind)
    return dict.fromkeys(("casing", "technician", "plate")) | found


def _same_standing(each: Incoming, ours: list[Entry]) -> bool:
    """Whether two ways led to the same answers and the same verdict, where one is known from a row of CSV alone."""
    if not each.snapshot and not _from_row(ours) and not _from_row(each.entries):
        return False
    one, other = last_verdict(ours) or {}, last_verdict(each.entries) or {}
    same = [one.get(name) == other.get(name) for name in ("verdict", "ending", "digest", "at", "case")]
    return all(same) and state_after(ours).case == state_after(each.entries).case


def _from_row(entries: list[Entry]) -> bool:
    return bool(entries) and entries[0].data.get("from") == "csv"


def _in_words(entries: list[Entry]) -> str:
    """What a way comes to, in words."""
    verdict = last_verdict(entries)
    if verdict is None:
        answers = sum(entry.kind in ("answer", "change", "case") for entry in entries)
        return f"without a verdict, {answers} {'answer' if answers == 1 else 'answers'}"
    said = f"{shown(str(verdict.get('verdict', '')), 20).upper()}, {shown(str(verdict.get('ending', '')), 60)}"
    method = verdict.get("method")
    how = f", by {shown(str(method), 40)}" if method else ""
    return f"{said}{how}, decided {shown(str(verdict['at'])[:16].replace('T', ' '), 20)} UTC"


def _forgotten_within(each: Incoming) -> Iterator[tuple[NewEvent, Entry]]:
    """Forgettings that an earlier version wrote into the consultation itself."""
    commitments = set[str]()
    for entry in each.entries:
        if entry.kind == FORGOTTEN:
            note = forgotten_so(entry, commitments)
            yield note, Entry(0, note.consultation, 1, note.at, note.kind, note.rules, note.body, b"", b"")
        commitments.update(commitments_of(entry).values())


def _without_what_was_forgotten(db: sqlite3.Connection, each: Incoming) -> Incoming:
    """The same without the words that were forgotten here; a row of CSV brings none of a consultation that was."""
    forgotten = {
        one
        for entry in each.entries
        for one in commitments_of(entry).values()
        if db.execute("SELECT 1 FROM without_words WHERE commitment = ? AND why = ?", (one, FORGOTTEN)).fetchone()
    }
    none = bool(each.snapshot) and any(entry.data.get("of") == origin_of(each.id) for entry in notes_of_forgetting(db))
    if not forgotten and not none:
        return each
    drafts = [
        NewEvent(
            draft.consultation, draft.at, draft.kind, draft.rules, draft.body,
            () if none else tuple(one for one in draft.private if one.commitment not in forgotten),
        )
        for draft in each.drafts
    ]  # fmt: skip
    return Incoming(each.id, each.entries, drafts, each.snapshot)


def _add_words(db: sqlite3.Connection, each: Incoming, ways: Branches) -> None:
    """Puts in the words of entries that were here without them, and brings the lists up to that."""
    held = {one for entries in ways.values() for entry in entries for one in commitments_of(entry).values()}
    add_words(db, [one for draft in each.drafts for one in draft.private if one.commitment in held], ways)
