"""The journal at the screen: opened beside it once the first question shows; an unfinished consultation is offered."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from functools import partial
from pathlib import Path

from msgspec.structs import replace
from textual.screen import Screen

from advisor.dialogue.answer_list import so_far_lines
from advisor.dialogue.event_sink import at_its_end, look_up
from advisor.dialogue.event_sink import take_up as resume
from advisor.journal.log import Journal, NewerJournal
from advisor.journal.queries import Summary, entries_of, state_after
from advisor.journal.resume import (
    MovingKeeper,
    Offer,
    begin_recording,
    offer_in_words,
    offer_of,
    offers,
    take_up_record,
)
from advisor.journal.signing import Signer
from advisor.journal.store import Connection
from advisor.loader.answer_fit import fitted
from advisor.model.problems import Misread, shown
from advisor.tui.dialogs import TakeUp
from advisor.tui.presenter import Desk
from advisor.wording.messages import Message


class ScreenRecording:
    """The journal of one window. `about` is what is said of a consultation: casing, technician, plate.

    `record` is one to be taken up at once, as `resume` takes up the latest that is not finished.
    """

    def __init__(
        self,
        folder: Path,
        now: Callable[[], datetime],
        resume: bool,
        about: Mapping[str, str],
        signer: Signer | None = None,
        record: str = "",
    ) -> None:
        self.folder, self.now, self.resume, self.about, self.signer = folder, now, resume, about, signer
        self.record = record
        self.journal: Journal | None = None
        self.refused = ""
        self._offers: list[Offer] = []
        self._desk: Desk | None = None
        self._keeper: MovingKeeper | None = None

    def open(self, desk: Desk) -> None:
        """Opens the journal and looks for what was not finished; may run beside the screen."""
        try:
            self.journal = Journal(self.folder, self.now)
            self.journal.signer = self.signer
            named = offer_of(self.journal, self.record) if self.record else None
            self._offers = [named] if named else offers(self.journal, desk.consultation.judge.rules.about.id)
        except NewerJournal as error:
            self.refused = f"Nothing is kept: {error}."
        except Exception as error:
            self.refused = f"Nothing is kept: the journal can't be used ({shown(f'{error}', 200)})."

    def begin(self, desk: Desk, in_time: bool = True) -> None:
        """From here on the consultation is kept; what was not finished is offered, if nothing is typed as yet."""
        if self.journal is None:
            desk.tell([Message("note", (self.refused,))])
            return
        self._desk = desk
        self._attach(desk, begin_recording(self.journal, desk.consultation.judge.rules))
        if notices := self.journal.take_notices():
            desk.tell([Message("note", notices)])
        if self._offers and not desk.answered and not desk.aside:
            offer, says = self._offers[0], offer_in_words(self._offers[0], len(self._offers) - 1)
            if self.resume or self.record:
                desk.tell(self._taken_up(desk, offer))
                desk.to_its_work()
            elif in_time:
                desk.open(TakeUp(says, partial(self._taken_up, desk, offer), partial(self._put_away, offer)))
            else:
                desk.tell([Message("note", (says, "advisor --resume takes it up."))])
        desk.keep()

    def _attach(self, desk: Desk, keeper: MovingKeeper) -> None:
        desk.recorder = self._keeper = keeper
        if self.journal is not None and (db := self.journal.db) is not None:
            desk.open_casings = partial(self._casings_screen, desk, db)
        for field, words in self.about.items():
            keeper.add_first(field, words)
        if technician := self.about.get("technician", ""):
            desk.consultation.become(replace(desk.consultation.state, technician=technician))
        if keeper.casing and (said := look_up(keeper, desk.consultation, keeper.casing)):
            desk.tell(said)

    def _casings_screen(self, desk: Desk, db: Connection, take: Callable[[str], None]) -> Screen[None]:
        from advisor.tui.casings_screen import CasingsScreen

        judge = desk.consultation.judge
        return CasingsScreen(db, lambda: judge, take=take, reopen=partial(self._reopened, desk, db))

    def _reopened(self, desk: Desk, db: Connection, chosen: Summary, as_new: bool) -> None:
        """Takes a record up for its work, or begins a new consultation with its answers; not over open answers."""
        if desk.answered and not at_its_end(desk.consultation):
            desk.complaint = ("Answers are open here. End them with stop, or begin anew (F9), then open the record.",)
            return
        try:
            entries = entries_of(db, chosen.id)
            offer = Offer(chosen, state_after(entries), tuple(entries))
        except (Misread, KeyError, ValueError) as error:
            desk.complaint = (f"This record can't be read: {shown(str(error), 120)}",)
            return
        desk.consultation.start_over()
        desk.keep()
        if as_new:
            saved, left_out = fitted(offer.saved, desk.consultation.judge.rules)
            desk.consultation.resume(replace(saved, asking=None))
            fit = (f"Left out, as no question takes them now: {', '.join(left_out)}.",) if left_out else ()
            says = f"A new consultation with the answers of {chosen.id}. Change what is otherwise (F4)."
            desk.tell([Message("note", (says, *fit))])
        else:
            desk.tell(self._taken_up(desk, offer))
        desk.keep()

    def _taken_up(self, desk: Desk, offer: Offer) -> list[Message]:
        consultation = desk.consultation
        taken = take_up_record(self.journal, offer, consultation.judge.rules) if self.journal is not None else None
        if taken is None:
            return [Message("note", ("It was just taken up in another window. A new one begins.",))]
        desk.recorder = self._keeper = taken.keeper
        if technician := offer.summary.technician:
            consultation.become(replace(consultation.state, technician=technician))
        heard = resume(consultation, taken.saved, taken.notes, taken.work, taken.heard)
        lines = ("Taken up where it was left.", *taken.says, *so_far_lines(consultation))
        known = look_up(taken.keeper, consultation, taken.keeper.casing) if taken.keeper.casing else []
        return [Message("note", lines), *known, *heard]

    def _put_away(self, offer: Offer) -> list[Message]:
        assert self.journal is not None and self._desk is not None
        taken = take_up_record(self.journal, offer, self._desk.consultation.judge.rules)
        if taken is not None:
            taken.keeper.leave()
        return [Message("note", ("Put away.", *self.journal.take_notices()))]

    def close(self) -> str:
        """Closes the journal; gives what is to be said once the screen is gone."""
        if self._keeper is not None and self._desk is not None and at_its_end(self._desk.consultation):
            self._keeper.end()
        return " ".join(self.journal.close()) if self.journal is not None else ""
