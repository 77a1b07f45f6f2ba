"""Consultations begun, and those taken up again where they were left."""

from __future__ import annotations

import sqlite3
from contextlib import suppress
from typing import Any

from msgspec import Struct

from advisor.journal.events import Entry
from advisor.journal.log import Journal
from advisor.journal.private_words import words_of
from advisor.journal.queries import (
    Summary,
    entries_of,
    local_minute,
    noted,
    state_after,
    still_heard,
    summary_of,
    tire_in_short,
    unfinished,
)
from advisor.journal.recorder import Keeper
from advisor.journal.recovery import as_draft
from advisor.journal.state_diff import PARTS
from advisor.loader.answer_fit import fitted
from advisor.loader.renamed import read_as
from advisor.model.problems import Misread, shown
from advisor.model.ruleset import RuleSet
from advisor.model.saved import Saved


class Offer(Struct, frozen=True):
    """A consultation that was not brought to an end."""

    summary: Summary
    saved: Saved
    entries: tuple[Entry, ...]


class MovingKeeper(Keeper):
    """A keeper that can go on with another consultation of its journal."""

    def go_into(self, record: str, rules: RuleSet) -> TakenUp | None:
        """Goes on with another consultation by these rules; the one in hand stays as it is kept.

        None where the other is open in another window, or can't be read.
        """
        offer = offer_of(self.journal, record)
        return take_up_record(self.journal, offer, rules, self) if offer is not None else None


class TakenUp(Struct, frozen=True):
    """A consultation taken up: its keeper, where it stands, its notes and work, who does it, what is to be said."""

    keeper: MovingKeeper
    saved: Saved
    notes: tuple[str, ...]
    work: dict[str, Any]
    heard: tuple[str, ...]
    says: tuple[str, ...]
    technician: str = ""


def begin_recording(journal: Journal, rules: RuleSet) -> MovingKeeper:
    """The keeper of a new consultation."""
    return MovingKeeper(journal, rules.about, rules.digest, journal.new_id())


def offers(journal: Journal, rules_id: str) -> list[Offer]:
    """The consultations by a rule set that can be taken up, the latest first; not those open in another window.

    One that is damaged is left out and hides no other.
    """
    db = journal.db
    if db is None:
        return []
    found = list[Offer]()
    with suppress(sqlite3.Error):
        for summary in unfinished(db):
            if summary.rules_id != rules_id or not journal.claims.take(summary.id):
                continue
            journal.claims.let_go(summary.id)
            with suppress(sqlite3.Error, Misread, KeyError, ValueError, TypeError):
                entries = tuple(entries_of(db, summary.id))
                saved = state_after(entries)
                if len(entries) > 1:
                    found.append(Offer(summary, saved, entries))
    return found


def offer_in_words(offer: Offer, more: int) -> str:
    """What is said of an unfinished consultation; `more` is how many others there are."""
    row = offer.summary
    case = offer.saved.case
    count = sum(len(answers) for part in PARTS for answers in case.instances(part))
    begun = local_minute(row.begun)
    said = [f"{count} {'answer' if count == 1 else 'answers'}"]
    said += [shown(tire_in_short(case), 80)] if tire_in_short(case) else []
    said += [f"casing {shown(row.casing, 40)}"] if row.casing else []
    said += ["the work begun"] if any(entry.kind == "work" for entry in offer.entries) else []
    are = "other is" if more == 1 else "others are"
    others = f" {more} {are} unfinished as well; today lists all." if more else ""
    return f"An unfinished consultation from {begun} is there, with {', '.join(said)}.{others}"


def offer_of(journal: Journal, record: str) -> Offer | None:
    """A consultation by its id, finished or not; None where it is not there or can't be read."""
    db = journal.db
    if db is None:
        return None
    with suppress(sqlite3.Error, Misread, KeyError, ValueError, TypeError):
        if summary := summary_of(db, record):
            entries = tuple(entries_of(db, record))
            return Offer(summary, state_after(entries), entries)
    return None


def take_up_record(
    journal: Journal, offer: Offer, rules: RuleSet, keeper: MovingKeeper | None = None
) -> TakenUp | None:
    """Takes a consultation up under the rules of today; None where another window was quicker.

    A `keeper` lets the consultation that it keeps go for this one; without one there is a new keeper.
    """
    db = journal.db
    if db is None or not journal.claims.take(offer.summary.id):
        return None
    if keeper is None:
        keeper = MovingKeeper(journal, rules.about, rules.digest, offer.summary.id)
    else:
        keeper.move_to(offer.summary.id)
    notes, work = noted(offer.entries, lambda entry: words_of(db, entry))
    keeper.take_up(offer.saved, offer.entries)
    journal.take_up(offer.summary.id, [as_draft(db, entry) for entry in offer.entries])
    saved, left_out = fitted(offer.saved, rules)
    says = []
    if offer.summary.digest != rules.digest:
        says.append("The rules have changed since this was begun. The answers are judged by the rules as they are now.")
    former = {name for name, _ in offer.saved.order if name not in rules.questions} & rules.renamed["question"].keys()
    if former:
        says.append(f"{'; '.join(read_as(name, rules.renamed['question'][name]) for name in sorted(former))}.")
    if left_out:
        says.append(f"These answers fit no question any more and were left out: {', '.join(left_out)}.")
    heard = still_heard(offer.entries, lambda entry: words_of(db, entry))
    return TakenUp(keeper, saved, tuple(notes), work, tuple(heard), tuple(says), offer.summary.technician)
