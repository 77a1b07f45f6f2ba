"""The journal as the rest of the program sees it: takes entries, never stops the work, says once what is wrong."""

from __future__ import annotations

import secrets
import sqlite3
from collections.abc import Callable, Iterable
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path

from advisor.journal.data_folder import FILE_NAME
from advisor.journal.events import NewEvent, draft, origin_of
from advisor.journal.integrity import BESIDE, add_seal, seal_of
from advisor.journal.queries import entries_of
from advisor.journal.recovery import save_what_can_be, set_aside
from advisor.journal.session_locks import Claims, mending
from advisor.journal.signing import Signer, record_message
from advisor.journal.store import (
    UNUSABLE,
    DamagedJournal,
    NewerJournal,
    Store,
    damage_in,
    last_of,
    opened_to_read,
    says_why,
)
from advisor.model.problems import shown

__all__ = ["Journal", "NewerJournal"]


class Journal:
    """One process's way into the journal of a folder. `notices` is what is still to be said to the technician."""

    def __init__(self, folder: Path, now: Callable[[], datetime]) -> None:
        """Opens the journal, or goes on in memory where it can't be opened. Raises NewerJournal."""
        self.folder, self.now = folder, now
        self.path = folder / FILE_NAME
        self.claims = Claims(folder)
        self.waiting: list[NewEvent] = []
        self._ours: dict[str, list[NewEvent]] = {}
        self.signer: Signer | None = None
        self.store: Store | None = None
        self._only_read: sqlite3.Connection | None = None
        self.notices: list[str] = []
        self._said = self._in_vain = False
        try:
            self._open()
        except (*UNUSABLE, DamagedJournal) as error:
            self._in_memory(error)
            with suppress(*UNUSABLE, NewerJournal, DamagedJournal):
                self._only_read = opened_to_read(self.path)

    @property
    def db(self) -> sqlite3.Connection | None:
        """The journal to read from, also where it can't be written to; None where there is none."""
        return self.store.db if self.store is not None else self._only_read

    @property
    def at(self) -> str:
        """Now, in UTC, as entries say it."""
        return self.now().astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")

    def new_id(self) -> str:
        """An id for a consultation: its day and ten random signs."""
        return f"{self.at[2:10].replace('-', '')}-{secrets.token_hex(5)}"

    def append(self, drafts: Iterable[NewEvent]) -> None:
        """Puts entries on disk before it returns; where that can't be done they wait in memory, in their order."""
        self.waiting.extend(drafts)
        self.write_out()

    def take_up(self, consultation: str, drafts: Iterable[NewEvent]) -> None:
        """Goes on with a consultation that holds these entries already."""
        self._ours[consultation] = list(drafts)

    def write_out(self, look_again: bool = False) -> bool:
        """Writes what waits; tells whether nothing waits any more. `look_again`: and all that was written is there."""
        if not self.waiting and not (look_again and self._ours):
            return True
        try:
            if self.store is not None and self.store.gone:
                self._drop()
            if self.store is None:
                self._open()
                look_again = True
            if look_again:
                self._complete()
            if self.store is not None and self._said:
                self._got_there(self.store)
            if self.store is not None and self.waiting:
                self._write(self.store)
        except (*UNUSABLE, DamagedJournal, NewerJournal) as error:
            self._in_memory(error)
            if not says_why(error):
                self._drop()
            return False
        if self._said:
            self._said = False
            self.notices.append("The journal can be written again, and everything is on disk.")
        return True

    def _drop(self) -> None:
        """Lets an open file go; it is opened anew at the next entry."""
        if self.store is not None:
            with suppress(sqlite3.Error):
                self.store.close()
            self.store = None

    def _write(self, store: Store) -> None:
        try:
            store.append(self.waiting)
        except (sqlite3.DatabaseError, UnicodeDecodeError) as error:
            if not isinstance(damage_in(error), DamagedJournal):
                raise
            self._drop()
            self._mend()
            self._complete()
            self._write_after_mending()
        for each in self.waiting:
            self._ours.setdefault(each.consultation, []).append(each)
        self.waiting.clear()

    def _got_there(self, store: Store) -> None:
        """Lets go of what waits and is there all the same: a sync that failed may have left it in the log, whole."""
        for consultation in dict.fromkeys(each.consultation for each in self.waiting):
            ours = self._ours.get(consultation, [])
            for entry in entries_of(store.db, consultation)[len(ours) :]:
                first = next(
                    each for each in [*self.waiting, None] if each is None or each.consultation == consultation
                )
                said = (entry.at, entry.kind, entry.rules, entry.body)
                if first is None or said != (first.at, first.kind, first.rules, first.body):
                    break
                self.waiting.remove(first)
                self._ours.setdefault(consultation, []).append(first)

    def _write_after_mending(self) -> None:
        """Writes what waits; where even a file in which no fault is found can't take it, into a new one, once."""
        try:
            if self.store is not None:
                self.store.append(self.waiting)
        except (sqlite3.DatabaseError, UnicodeDecodeError) as error:
            if self._in_vain or not isinstance(damage_in(error), DamagedJournal):
                raise
            self._in_vain = True
            with mending(self.folder):
                self._set_aside()
            self._complete()
            if self.store is not None:
                self.store.append(self.waiting)

    def _complete(self) -> None:
        """Puts back what this window wrote before and what a file that was mended or taken away no longer holds."""
        store = self.store
        if store is not None:
            for consultation, drafts in self._ours.items():
                store.complete(consultation, drafts)

    def take_notices(self) -> tuple[str, ...]:
        """What is to be said, each notice once."""
        found, self.notices = tuple(self.notices), []
        return found

    def close(self) -> tuple[str, ...]:
        """Writes out what waits and closes the file; gives what is to be said."""
        wrote = bool(self._ours) or (self.store is not None and self.store.wrote)
        if self.write_out():
            self._drop()  # what is on disk is looked at once more, by a connection that remembers nothing
        if not self.write_out(look_again=True) and self.waiting:
            count = len(self.waiting)
            self.notices.append(
                f"{count} journal {'entries' if count != 1 else 'entry'} could not be written and "
                f"{'are' if count != 1 else 'is'} lost when this window closes."
            )
        self.claims.close()
        if self.store is None and wrote:
            with suppress(*UNUSABLE, DamagedJournal, NewerJournal):
                self._open()
        if self.store is not None and wrote:
            self._seal(self.store)
        self._drop()
        if self._only_read is not None:
            self._only_read.close()
            self._only_read = None
        return self.take_notices()

    def sign(self, consultation: str) -> bool:
        """Signs a consultation as it stands, where there is a key; not while entries wait to be written."""
        if self.signer is None or self.store is None or self.waiting:
            return False
        with suppress(sqlite3.Error):
            link = last_of(self.store.db, consultation)[1]
            signature = self.signer.sign(record_message(origin_of(consultation), link))
            body = {"key": self.signer.mark, "signature": signature}
            self.append([draft(consultation, self.at, "signed", "", body)])
            return True
        return False

    def _seal(self, store: Store) -> None:
        """Notes beside the journal how far it goes."""
        with suppress(OSError, sqlite3.Error):
            add_seal(self.folder / BESIDE, seal_of(store.db, self.at, self.signer))

    def _open(self) -> None:
        try:
            self.store = self._opened()
        except DamagedJournal:
            self._mend()

    def _opened(self) -> Store:
        store = Store(self.path)
        if store.lists_anew:
            self.notices.append("The journal's lists were damaged. They were made anew from the entries; none is lost.")
        return store

    def _mend(self) -> None:
        """Sets the damaged file aside and goes on with a new one that holds what could be saved."""
        self.store = None
        with mending(self.folder):
            with suppress(DamagedJournal):  # another window may have mended it just now
                self.store = self._opened()
                self.store.check()
                return
            self._set_aside()

    def _set_aside(self) -> None:
        if self.store is not None:
            self.store.close()
        aside = set_aside(self.path, self.now())
        self.store = Store(self.path)
        try:
            saved, lost = save_what_can_be(aside, self.store)
        except (*UNUSABLE, ValueError):
            saved = self.store.count()
            lost = 0
        self.notices.append(
            f"The journal was damaged. It was set aside whole in {shown(str(aside.parent))}; {saved} entries were "
            f"saved into a new one{f', {lost} could not be' if lost else ''}."
        )

    def _in_memory(self, error: Exception) -> None:
        if not self._said:
            self._said = True
            reason = (error.strerror if isinstance(error, OSError) else None) or str(error)
            self.notices.append(
                f"The journal in {shown(str(self.folder), 200)} can't be written ({shown(reason, 200)}). "
                "The answers are kept in memory, and written out as soon as it can be."
            )
