"""Keeps one consultation in the journal: what changed since the last time, and the verdict once there is one."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from typing import Any

from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.journal.case_data import case_data, day_from
from advisor.journal.events import Entry, NewEvent, draft
from advisor.journal.log import Journal
from advisor.journal.queries import NO_WORK, noted, still_heard
from advisor.journal.state_diff import changes
from advisor.journal.tires_of_day import TireOfDay, readings_since, tires_of_day
from advisor.model import inputs
from advisor.model.case import Case
from advisor.model.proposed import Proposed
from advisor.model.ruleset import About
from advisor.model.saved import Saved
from advisor.model.version import __version__
from advisor.wording.blocks import Said

#: What can be said of a consultation beside its answers; all but the casing are personal words.
FIELDS = ("casing", "technician", "plate", "note")
LONGEST_WORDS = 500


class Keeper:
    """The recorder of one consultation. Nothing is written before the first answer."""

    def __init__(self, journal: Journal, about: About, digest: str, consultation: str) -> None:
        self.journal, self.about, self.digest = journal, about, digest
        self._technician = ""
        self._blank(consultation)

    def _blank(self, consultation: str) -> None:
        """From now on another consultation is kept, of which nothing is known yet."""
        self.consultation = consultation
        self._saved = Saved(Case())
        self._begun = self._ended = False
        self._work: Mapping[str, Any] = NO_WORK
        self._first: list[tuple[str, str]] = []
        self._step = self._notes = self._heard = 0
        self._steps: dict[str, int] = {}
        self._decided: dict[str, Any] | None = None
        self._finished = True
        self.casing = ""

    @property
    def safe(self) -> bool:
        """Whether everything is on disk."""
        return not self.journal.waiting

    def judged_by(self, about: About, digest: str) -> None:
        """From now on these rules judge: every further entry bears their digest."""
        self.about, self.digest = about, digest

    def take_up(self, saved: Saved, entries: Sequence[Entry]) -> None:
        """Goes on with a consultation that is in the journal already, with these entries."""
        self._begun, self._saved, self._step = True, saved, len(entries)
        notes, work = noted(entries, lambda entry: {"note": ""})
        self._notes, self._work = len(notes), work
        self._heard = len(still_heard(entries, lambda entry: {"heard": "waiting"}))
        for entry in entries:
            if entry.kind in ("answer", "change"):
                self._steps[str(entry.data.get("key"))] = entry.step
            elif entry.kind == "casing":
                self.casing = str(entry.data.get("casing", ""))
            elif entry.kind == "verdict":
                self._decided = {**entry.data, "digest": entry.rules}
        self.journal.claims.take(self.consultation)

    def keep(
        self,
        saved: Saved,
        judgement: Judgement | None,
        notes: Sequence[str] = (),
        work: Mapping[str, Any] | None = None,
        heard: Sequence[str] = (),
        finished: bool = True,
    ) -> tuple[str, ...]:
        """Puts what changed on disk, new notes, the work, and the verdict at the end; gives what is to be said.

        `heard` are the lines of what waits to be confirmed; they are heard again when the consultation is taken up.
        One that is not `finished`, as a repair was begun, is not brought to its end by beginning another.
        """
        known = self._saved.order or len(notes) < self._notes
        if self._begun and known and saved == Saved(Case(today=saved.case.today)):
            self._anew()
        drafts: list[NewEvent] = []
        if not self._begun and (saved.order or saved.case.skipped or notes or heard):
            drafts.extend(self._begin(case_data(saved.case)["today"]))
        for kind, body in changes(self._saved, saved) if self._begun else ():
            drafts.append(self._named(kind, body))
        self._saved = saved if self._begun else self._saved
        if self._begun:
            for words in notes[self._notes :]:
                drafts.append(self._about("note", words))
            self._notes = len(notes)
            if (work := work or NO_WORK) != self._work:
                drafts.extend(self._worked(work))
            drafts.extend(self._waits(heard))
        drafts.extend(self._verdict(saved, judgement))
        self._finished = finished
        if drafts:
            self._ended = False
            self.journal.append(drafts)
        return self.journal.take_notices()

    def add(self, field: str, words: str) -> tuple[str, ...]:
        """Keeps a casing's name, a technician, a plate or a note that was typed; on disk when this returns."""
        begun = [] if self._begun else self._begin(self.journal.now().date().isoformat())
        self.journal.append([*begun, self._about(field, self._cleaned(field, words))])
        return self.journal.take_notices()

    def readings_of_day(self) -> list[Any]:
        """What was read at the work on other tires in the hours before, oldest first, as plain data."""
        db = self.journal.db
        with suppress(sqlite3.DatabaseError):  # a damaged journal is dealt with when something is kept in it
            return [] if db is None else list(readings_since(db, self.journal.now(), self.consultation))
        return []

    def tires_of_day(self) -> list[TireOfDay]:
        """The tires of the day as they are kept, in the order in which they were begun."""
        db = self.journal.db
        with suppress(sqlite3.DatabaseError):
            return [] if db is None else tires_of_day(db, self.journal.now())
        return []

    def move_to(self, consultation: str) -> None:
        """Lets the consultation in hand go, for another one; ended where nothing is left of it."""
        if self._decided is not None and self._finished:
            self.end()
        self.journal.claims.let_go(self.consultation)
        self._blank(consultation)

    def add_first(self, field: str, words: str) -> None:
        """The same for what the program was started with: kept once something is said."""
        words = self._cleaned(field, words)
        if self._begun:
            self.journal.append([self._about(field, words)])
        else:
            self._first.append((field, words))

    def _cleaned(self, field: str, words: str) -> str:
        if field not in FIELDS:
            raise ValueError(f"{field} is none of {', '.join(FIELDS)}")
        words = " ".join(words.split())[:LONGEST_WORDS]
        if field == "technician":
            self._technician = words
        elif field == "casing":
            self.casing = words
        return words

    def known_casing(self, name: str, judge: Judge) -> tuple[tuple[Said, ...], list[Proposed]]:
        """What the journal holds of a casing: lines to say, and the repairs to be looked for on the tire."""
        from advisor.journal.repair_offers import known_lines, proposed_for

        db = self.journal.db
        if db is None:
            return (), []
        return tuple(known_lines(db, name, self.consultation)), proposed_for(db, name, judge, self.consultation)

    def _anew(self) -> None:
        """Another tire: what was decided is brought to an end, what was not is put away, and a new one begins.

        A repair that was begun stays open, for the day's list and the next start.
        """
        if self._decided is None:
            self.leave()
        self.move_to(self.journal.new_id())
        self._first = [("technician", self._technician)] if self._technician else []

    def end(self) -> None:
        """Marks the consultation as brought to an end; until then it is offered again, with its verdict."""
        if self._begun and not self._ended:
            self._ended = True
            self.journal.append([self._draft("ended", {})])
            self._step += self.journal.sign(self.consultation)

    def leave(self) -> None:
        """Marks the consultation as one that is not to be offered again."""
        if self._begun:
            self.journal.append([self._draft("left", {})])
        self.journal.claims.let_go(self.consultation)

    def _begin(self, today: str | None) -> list[NewEvent]:
        self._begun, self._saved = True, Saved(Case(today=day_from(today)))
        self.journal.claims.take(self.consultation)
        body = {
            "rules": self.about.id,
            "edition": self.about.edition,
            "today": today,
            "program": __version__,
        }
        first, self._first = self._first, []
        return [self._draft("begin", body), *(self._about(field, words) for field, words in first)]

    def _about(self, field: str, words: str) -> NewEvent:
        if field == "casing":
            return self._draft("casing", {"casing": words})
        return self._draft(field, {}, {field: words})

    def _named(self, kind: str, body: dict[str, Any]) -> NewEvent:
        """An entry; a change names the step whose answer it takes the place of."""
        if kind in ("answer", "change"):
            address = str(body["key"])
            if kind == "change" and address in self._steps:
                body = {**body, "in-place-of": self._steps[address]}
            self._steps[address] = self._step + 1
        return self._draft(kind, body)

    def _worked(self, work: Mapping[str, Any]) -> Iterator[NewEvent]:
        """The work where it changed: ticks, timers, readings whole; each new note by itself, as words are personal."""
        for text, *where in work["notes"][len(self._work["notes"]) :]:
            yield self._draft("note", {"work": where}, {"note": str(text)[:LONGEST_WORDS]})
        now, was = ({key: each.get(key, []) for key in ("ticks", "timers", "readings")} for each in (work, self._work))
        if now != was:
            yield self._draft("work", now if now["readings"] else {key: now[key] for key in ("ticks", "timers")})
        self._work = work

    def _waits(self, heard: Sequence[str]) -> Iterator[NewEvent]:
        """The lines of what waits to be confirmed, and that nothing waits any more."""
        if len(heard) < self._heard:
            yield self._draft("heard", {"waits": False})
            self._heard, self._decided = 0, {} if self._decided else None
        for line in heard[self._heard :]:
            yield self._draft("heard", {"waits": True}, {"heard": line})
        self._heard = len(heard)

    def _verdict(self, saved: Saved, judgement: Judgement | None) -> list[NewEvent]:
        if judgement is None or not self._begun:
            return []
        decided = {**verdict_data(saved.case, judgement), "ended": False}
        if self._decided == {**decided, "digest": self.digest}:
            return []
        self._decided = {**decided, "digest": self.digest}
        return [self._draft("verdict", decided)]

    def _draft(self, kind: str, body: Mapping[str, Any], private: Mapping[str, str] | None = None) -> NewEvent:
        self._step += 1
        return draft(self.consultation, self.journal.at, kind, self.digest, body, private)


def verdict_data(case: Case, judgement: Judgement) -> dict[str, Any]:
    """What was decided, and the whole case that it was decided on.

    `asked-as` tells, where these rules renamed them, which questions are those that lists are made of.
    """
    now = judgement.walk.tire.rules.question_now
    asked_as = {name: now(name) for name in (inputs.DOT_CODE, inputs.SIDEWALL) if now(name) != name}
    return {
        "verdict": str(judgement.verdict),
        "ending": judgement.ending,
        "method": judgement.method,
        "restrictions": list(judgement.restrictions),
        "settled": judgement.settled,
        "missing": len(judgement.missing),
        "rulings": sorted({reason.ruling for reason in judgement.reasons}),
        "ended": True,
        "case": case_data(case),
        **({"asked-as": asked_as} if asked_as else {}),
    }
