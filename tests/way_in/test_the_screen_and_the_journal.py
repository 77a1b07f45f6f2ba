"""The same book of what was said last, kept while the real screen is driven by keys, and read back from a journal."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest
from screens.driving import Screen, drive

from advisor.record.journal import Journal
from advisor.record.reading import entries_of, state_after
from advisor.record.sessions import begin

from .ledger import Player, answers_of, judge_of, play

STEPS = 30


async def typed(screen: Screen, player: Player, line: str) -> None:
    """One line of a player, by the keys that a technician would use for it."""
    word, _, rest = line.partition(" ")
    if word == "change":
        await screen.press("f4", *rest, "enter")
    elif line == "back":
        await screen.press("f5")
    elif line in ("skip", "leave it out") and any(row.means == "skip" for row in screen.desk.prompt.rows):
        at = -1 if screen.desk.at is None else screen.desk.at
        row = screen.place_of("skip")
        await screen.press(*(["down"] * (row - at) if row > at else ["up"] * (at - row)), "enter")
    else:
        screen.app.talk_screen.line.value = ""
        await screen.type(line)
    if screen.desk.complaint:
        player.heard.append("Not understood")
        await screen.press("escape")
    if screen.desk.aside:
        await screen.press("escape")


@pytest.mark.parametrize("seed", range(5))
def test_the_case_on_the_screen_is_what_was_said_last(seed: int) -> None:
    async def steps(screen: Screen) -> None:
        player = Player(screen.desk.consultation, 1000 + seed, STEPS, anew=0)
        for line in player.lines():
            await typed(screen, player, line)
        case = screen.desk.consultation.case
        assert not player.ledger.differs(case, screen.desk.consultation.judge.rules), "\n".join(player.typed)
        assert {row[0] for row in screen.desk.consultation.answered} == set(answers_of(case))

    drive(steps, (120, 40))


@pytest.mark.parametrize("rules", ["us-road", "uk-road"])
@pytest.mark.parametrize("seed", range(8))
def test_what_a_journal_gives_back_is_what_was_said_last(rules: str, seed: int, tmp_path: Path) -> None:
    journal = Journal(tmp_path, lambda: datetime(2026, 3, 14, 9, 0, tzinfo=UTC))
    keeper = begin(journal, judge_of(rules).rules)
    player = play(rules, 2000 + seed, recorder=keeper)
    journal.close()
    again = Journal(tmp_path, lambda: datetime(2026, 3, 14, 10, 0, tzinfo=UTC))
    assert again.db is not None
    saved = state_after(entries_of(again.db, keeper.consultation))
    assert not player.ledger.differs(saved.case, judge_of(rules).rules), "\n".join(player.typed)
    assert saved == player.consultation.saved
    again.close()
