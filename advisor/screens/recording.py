"""The journal at the screen: opened beside it once the first question shows; an unfinished consultation is offered."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from pathlib import Path

from advisor.record.journal import Journal, NewerJournal
from advisor.record.keeper import Keeper
from advisor.record.proposals import known_casing_lines
from advisor.record.sessions import Offer, begin, offers, take_up
from advisor.screens.asides import TakeUp
from advisor.screens.desk import Desk
from advisor.talk.earlier import so_far_lines
from advisor.talk.message import Message
from advisor.talk.recorder import take_up as resume


class Recording:
    """The journal of one window. `about` is what is said of a consultation: casing, technician, plate."""

    def __init__(self, folder: Path, now: Callable[[], datetime], resume: bool, about: Mapping[str, str]) -> None:
        self.folder, self.now, self.resume, self.about = folder, now, resume, about
        self.journal: Journal | None = None
        self.refused = ""
        self._offers: list[Offer] = []
        self._desk: Desk | None = None
        self._keeper: Keeper | None = None

    def open(self, desk: Desk) -> None:
        """Opens the journal and looks for what was not finished; may run beside the screen."""
        try:
            self.journal = Journal(self.folder, self.now)
        except NewerJournal as error:
            self.refused = f"Nothing is kept: {error}."
            return
        self._offers = offers(self.journal, desk.consultation.judge.rules.about.id)

    def begin(self, desk: Desk) -> None:
        """From here on the consultation is kept."""
        if self.journal is None:
            desk.tell([Message("note", (self.refused,))])
            return
        self._desk = desk
        keeper = begin(self.journal, desk.consultation.judge.rules)
        self._attach(desk, keeper)
        if notices := self.journal.take_notices():
            desk.tell([Message("note", notices)])
        if self._offers and not desk.answered and not desk.aside:
            offer = self._offers[0]
            if self.resume:
                desk.tell(self._taken_up(desk, offer))
            else:
                begun = offer.summary.begun[:16].replace("T", " ")
                desk.open(TakeUp(begun, len(offer.saved.order), lambda desk: self._taken_up(desk, offer)))
        desk.keep()

    def _attach(self, desk: Desk, keeper: Keeper) -> None:
        desk.recorder = self._keeper = keeper
        for field, words in self.about.items():
            keeper.add(field, words)
        casing = self.about.get("casing", "")
        if casing and self.journal is not None and self.journal.store is not None:
            lines = known_casing_lines(self.journal.store.db, casing, desk.consultation.judge)
            if lines:
                desk.tell([Message("note", tuple(lines))])

    def _taken_up(self, desk: Desk, offer: Offer) -> list[Message]:
        consultation = desk.consultation
        taken = take_up(self.journal, offer, consultation.judge.rules) if self.journal is not None else None
        if taken is None:
            return [Message("note", ("It was just taken up in another window. A new one begins.",))]
        desk.recorder = self._keeper = taken.keeper
        resume(consultation, taken.saved, taken.notes, taken.work)
        lines = ("Taken up where it was left.", *taken.says, *so_far_lines(consultation))
        return [Message("note", lines)]

    def close(self) -> str:
        """Closes the journal; gives what is to be said once the screen is gone."""
        if self._keeper is not None and self._desk is not None and self._desk.consultation.ask is None:
            self._keeper.end()
        return " ".join(self.journal.close()) if self.journal is not None else ""
