"""The journal in the plain face: opened, an unfinished consultation offered, and taken up where it was left."""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterator, Mapping
from datetime import datetime
from pathlib import Path

from advisor.plain.verdict_lines import wrapped
from advisor.record.journal import Journal
from advisor.record.keeper import Keeper
from advisor.record.proposals import known_casing_lines
from advisor.record.sessions import Offer, begin, offers, take_up
from advisor.talk.consultation import Consultation
from advisor.talk.earlier import so_far_lines
from advisor.talk.recorder import take_up as resume
from advisor.talk.typed import plain

GO_ON_WORDS = frozenset({"go on", "yes", "y", "1", "resume"})
DROP_WORDS = frozenset({"drop", "3"})


class Recording:
    """One consultation in the plain face and its journal. Raises NewerJournal."""

    def __init__(self, folder: Path, now: Callable[[], datetime], consultation: Consultation) -> None:
        self.journal = Journal(folder, now)
        self.consultation = consultation
        self.rules = consultation.judge.rules
        self.keeper: Keeper = begin(self.journal, self.rules)

    def opening(self, typed: Iterator[str], ask: bool, resume: bool, about: Mapping[str, str]) -> Iterator[str]:
        """The lines before the first question; asks whether to go on only where `ask`."""
        yield from self._noticed()
        waiting = offers(self.journal, self.rules.about.id) if ask or resume else []
        if waiting and (resume or (yield from self._asked(waiting[0], typed))):
            yield from self._take_up(waiting[0])
        elif resume:
            yield from wrapped("There is no unfinished consultation by these rules. A new one begins.")
        for field, words in about.items():
            self.keeper.add(field, words)
        if about.get("casing") and self.journal.store is not None:
            for line in known_casing_lines(self.journal.store.db, about["casing"], self.consultation.judge):
                yield from wrapped(line)

    def _asked(self, offer: Offer, typed: Iterator[str]) -> Generator[str, None, bool]:
        begun, count = offer.summary.begun[:16].replace("T", " "), len(offer.saved.order)
        yield from wrapped(f"An unfinished consultation from {begun} UTC is there, with {count} answers.")
        yield from wrapped("Type go on to take it up, new to begin another, or drop to put it away.")
        word = plain(next(typed, "new"))
        if word in DROP_WORDS and (taken := take_up(self.journal, offer, self.rules)):
            taken.keeper.leave()
            yield from self._noticed()
        return word in GO_ON_WORDS

    def _take_up(self, offer: Offer) -> Iterator[str]:
        taken = take_up(self.journal, offer, self.rules)
        if taken is None:
            yield from wrapped("It was just taken up in another window. A new one begins.")
            return
        self.keeper = taken.keeper
        resume(self.consultation, taken.saved, taken.notes, taken.work)
        for line in ("Taken up where it was left.", *taken.says, *so_far_lines(self.consultation)):
            yield from wrapped(line)

    def _noticed(self) -> Iterator[str]:
        for line in self.journal.take_notices():
            yield from wrapped(line)

    def close(self) -> Iterator[str]:
        """Closes the journal; gives what is to be said."""
        if self.consultation.ask is None:
            self.keeper.end()
        for line in self.journal.close():
            yield from wrapped(line)
