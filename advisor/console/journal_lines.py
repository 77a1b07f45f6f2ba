"""The journal in the plain face: opened, an unfinished consultation offered, and taken up where it was left."""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterable, Iterator, Mapping
from datetime import datetime
from pathlib import Path

from msgspec.structs import replace

from advisor.console.session_lines import message_lines
from advisor.console.verdict_lines import wrapped
from advisor.dialogue.answer_list import so_far_lines
from advisor.dialogue.day_list import day_line
from advisor.dialogue.event_sink import at_its_end, look_up
from advisor.dialogue.event_sink import take_up as resume
from advisor.dialogue.session import Consultation
from advisor.journal.log import Journal
from advisor.journal.resume import (
    MovingKeeper,
    Offer,
    begin_recording,
    offer_in_words,
    offer_of,
    offers,
    take_up_record,
)
from advisor.loader.answer_codec import plain
from advisor.wording.messages import Message

GO_ON_WORDS = frozenset({"go on", "yes", "y", "1", "resume"})
DROP_WORDS = frozenset({"drop", "3"})


class PlainRecording:
    """One consultation in the plain face and its journal. Raises NewerJournal."""

    def __init__(self, folder: Path, now: Callable[[], datetime], consultation: Consultation) -> None:
        self.journal = Journal(folder, now)
        self.consultation = consultation
        self.rules = consultation.judge.rules
        self.keeper: MovingKeeper = begin_recording(self.journal, self.rules)

    def opening(
        self, typed: Iterator[str], ask: bool, resume: bool, about: Mapping[str, str], record: str = ""
    ) -> Iterator[str]:
        """The lines before the first question; asks whether to go on only where `ask`, and no `record` is named."""
        yield from self._noticed()
        waiting = offers(self.journal, self.rules.about.id) if (ask or resume) and not record else []
        if record and (named := offer_of(self.journal, record)):
            yield from self._take_up(named)
        elif waiting and (resume or (yield from self._asked(waiting[0], len(waiting) - 1, typed))):
            yield from self._take_up(waiting[0])
        elif resume:
            yield from wrapped("There is no unfinished consultation by these rules. A new one begins.")
        for name, words in about.items():
            self.keeper.add_first(name, words)
        if self.keeper.casing:
            yield from self._said(look_up(self.keeper, self.consultation, self.keeper.casing))
        if technician := about.get("technician", ""):
            self.consultation.become(replace(self.consultation.state, technician=technician))

    def _asked(self, offer: Offer, more: int, typed: Iterator[str]) -> Generator[str, None, bool]:
        yield from wrapped(offer_in_words(offer, more))
        how = "Type go on to take it up, new to begin another, drop to put it away, or today for the day's list."
        yield from wrapped(how)
        word = plain(next(typed, "new"))
        while listed := day_line(self.keeper, self.consultation, word):
            yield from self._said(listed)
            if self.consultation.state.kept_as:  # one of the list was gone into
                return False
            word = plain(next(typed, "new"))
        if word in DROP_WORDS and (taken := take_up_record(self.journal, offer, self.rules)):
            taken.keeper.leave()
            yield from self._noticed()
        return word in GO_ON_WORDS

    def _take_up(self, offer: Offer) -> Iterator[str]:
        taken = take_up_record(self.journal, offer, self.rules)
        if taken is None:
            yield from wrapped("It was just taken up in another window. A new one begins.")
            return
        self.keeper = taken.keeper
        self.consultation.become(replace(self.consultation.state, technician=offer.summary.technician))
        heard = resume(self.consultation, taken.saved, taken.notes, taken.work, taken.heard)
        for line in ("Taken up where it was left.", *taken.says, *so_far_lines(self.consultation)):
            yield from wrapped(line)
        yield from self._said(heard)

    @staticmethod
    def _said(messages: Iterable[Message]) -> Iterator[str]:
        for message in messages:
            yield from message_lines(message)

    def _noticed(self) -> Iterator[str]:
        for line in self.journal.take_notices():
            yield from wrapped(line)

    def close(self) -> Iterator[str]:
        """Closes the journal; gives what is to be said."""
        if at_its_end(self.consultation):
            self.keeper.end()
        for line in self.journal.close():
            yield from wrapped(line)
