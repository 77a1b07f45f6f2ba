"""What the tests of the journal share: a fixed clock, a journal in a folder, a consultation that is carried on."""

from __future__ import annotations

import functools
import sqlite3
from collections.abc import Iterable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from advisor.dialogue.event_sink import kept, said_aside
from advisor.dialogue.session import Consultation
from advisor.dialogue.talk_commands import say
from advisor.engine.evaluator import Judge
from advisor.journal.data_folder import FILE_NAME
from advisor.journal.integrity import Checked, verify
from advisor.journal.log import Journal
from advisor.journal.recorder import Keeper
from advisor.journal.resume import begin_recording
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from tests.laws.support import reply

TODAY = date(2026, 3, 14)
SAID = {
    "vehicle": "car", "wheel-position": "drive", "sidewall": "P215/60R16 95H", "tube": "1", "retread": "1",
    "dot-code": "2319", "found-pressure": "30 psi", "set-pressure": "35 psi", "run-low": "no", "demounted": "yes",
    "sealant": "no", "findings": "none", "tread-depth": "6/32", "self-supporting": "no", "earlier-repairs": "no",
    "injury-depth": "through", "injury-zone": "crown", "injury-size": "4 mm", "injury-angle": "10 deg",
    "inside-signs": "none", "more-injuries": "no",
}  # fmt: skip


@functools.cache
def judge() -> Judge:
    """The judge of the default rules."""
    return Judge(load_rule_set(find_rule_set("us-road")))


def _whole_talk() -> tuple[str, ...]:
    """What is typed from the first question to the verdict, whatever order the rules ask in."""
    consultation, lines = Consultation(judge(), TODAY, None, True), list[str]()
    while (ask := consultation.ask) is not None and len(lines) < 60:
        lines.append(reply(SAID, ask.question))
        say(consultation, lines[-1])
    return tuple(lines)


TALK = _whole_talk()


class Clock:
    """A clock that goes on by a second each time it is looked at."""

    def __init__(self) -> None:
        self.at = datetime(2026, 3, 14, 9, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        """The time now."""
        self.at += timedelta(seconds=1)
        return self.at


def journal_in(folder: Path) -> Journal:
    """A journal with a clock of its own."""
    return Journal(folder, Clock())


def talk(
    journal: Journal, lines: Iterable[str] = TALK, keeper: Keeper | None = None, end: bool = True
) -> tuple[Consultation, Keeper]:
    """Carries a new consultation on with typed lines, kept in the journal."""
    keeper = keeper or begin_recording(journal, judge().rules)
    consultation = Consultation(judge(), TODAY)
    for line in lines:
        if said_aside(keeper, consultation, line) is None:
            say(consultation, line)
        kept(keeper, consultation)
    if end and consultation.ask is None:
        keeper.end()
    return consultation, keeper


def checked(folder: Path) -> Checked:
    """What a check of a folder's journal finds."""
    db = sqlite3.connect(folder / FILE_NAME, isolation_level=None)
    try:
        return verify(db)
    finally:
        db.close()
