"""The same book of what was said last, kept while the real screen is driven by keys, and read back from a journal."""

from __future__ import annotations

import io
import random
from collections.abc import Iterable
from contextlib import redirect_stdout
from datetime import UTC, datetime
from pathlib import Path

import pytest

from advisor.cli import main
from advisor.console.journal_lines import PlainRecording
from advisor.console.session_lines import converse
from advisor.dialogue.session import Consultation
from advisor.journal.log import Journal
from advisor.journal.queries import entries_of, state_after
from advisor.journal.resume import begin_recording
from advisor.tools.case_writer import case_text
from tests.laws.ledger import TODAY, Player, answers_of, judge_of, play, played
from tests.laws.talking import TRUCK, talked
from tests.longer import first
from tests.tui.driving import Screen, drive

STEPS = 30


async def typed(screen: Screen, player: Player, line: str) -> None:
    """One line of a player, by the keys that a technician would use for it."""
    word, _, rest = line.partition(" ")
    if word == "change" and rest.isdecimal():
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


@pytest.mark.parametrize("seed", first(2, range(12)))
def test_the_case_on_the_screen_is_what_was_said_last(seed: int) -> None:
    async def steps(screen: Screen) -> None:
        player = Player(screen.desk.consultation, 1000 + seed, STEPS, anew=0)
        for line in player.lines():
            await typed(screen, player, line)
        case = screen.desk.consultation.case
        assert not player.ledger.differs(case, screen.desk.consultation.judge.rules), "\n".join(player.typed)
        assert case.skipped == player.ledger.left, "\n".join(player.typed)
        assert {row[0] for row in screen.desk.consultation.answered} == set(answers_of(case))

    drive(steps, (120, 40))


def heard_of(
    consultation: Consultation, lines: Iterable[str], folder: Path, resume: bool = False, end: bool = False
) -> list[list[str]]:
    """What the plain face says to each line, kept in a folder; first what it says before any."""
    recording = PlainRecording(folder, lambda: datetime(2026, 3, 14, 9, 0, tzinfo=UTC), consultation)
    said: list[list[str]] = [[*recording.opening(iter(()), False, resume, {})]]
    talk = converse(consultation, lines, lambda _: said.append([]), recording.keeper)
    for line in talk:
        said[-1].append(line)
    list(recording.close() if end else recording.journal.close())
    return said


@pytest.mark.parametrize("rules", ["us-road", "uk-road", "de-road"])
@pytest.mark.parametrize("seed", first(3, range(12)))
def test_taken_up_in_the_middle_it_says_the_same_from_there_on(rules: str, seed: int, tmp_path: Path) -> None:
    """Stopped after any line and taken up from the journal: each line after says what it says without a stop."""
    lines = played(rules, seed).typed
    lines = lines[: lines.index("start over")] if "start over" in lines else lines
    whole = Consultation(judge_of(rules), TODAY)
    unbroken = heard_of(whole, lines, tmp_path / "whole")
    for stop in random.Random(seed).sample(range(1, len(lines)), 2):
        folder = tmp_path / f"stopped-{stop}"
        heard_of(Consultation(judge_of(rules), TODAY), lines[:stop], folder)
        taken_up = Consultation(judge_of(rules), TODAY)
        again = heard_of(taken_up, lines[stop:], folder, resume=True)
        assert "\n".join(again[0]).startswith("Taken up"), lines[:stop]
        assert again[1:-1] == unbroken[stop + 1 : -1], (stop, lines)
        assert taken_up.saved == whole.saved and taken_up.notes == whole.notes
        assert taken_up.judgement.verdict is whole.judgement.verdict
        assert (taken_up.answered, taken_up.left_out) == (whole.answered, whole.left_out)
        assert taken_up.pending == whole.pending


def test_a_record_of_another_laptop_that_is_imported_changes_no_case_of_ours(tmp_path: Path) -> None:
    ours, theirs = tmp_path / "ours", tmp_path / "theirs"
    lines = played("us-road", 3).typed[:20]
    consultation = Consultation(judge_of("us-road"), TODAY)
    heard_of(consultation, lines, ours)
    heard_of(Consultation(judge_of("us-road"), TODAY), [*played("us-road", 4).typed, "stop"], theirs, end=True)
    run(["casings", "--data", str(theirs), "--export", str(tmp_path / "theirs.jsonl")])
    run(["casings", "--data", str(ours), "--import", str(tmp_path / "theirs.jsonl")])
    taken_up = Consultation(judge_of("us-road"), TODAY)
    heard_of(taken_up, (), ours, resume=True)
    assert taken_up.saved == consultation.saved and taken_up.notes == consultation.notes


def run(words: list[str]) -> str:
    """What the program says to a command."""
    out = io.StringIO()
    with redirect_stdout(out):
        assert main(words) == 0
    return out.getvalue()


@pytest.mark.parametrize("question", ["what if the angle were 40 degrees", "why", "how sure", "why not repair"])
def test_a_question_about_a_case_file_changes_neither_file_nor_verdict(question: str, tmp_path: Path) -> None:
    case = tmp_path / "case.yaml"
    case.write_text(case_text(talked(TRUCK).consultation.case, judge_of("us-road").rules))
    before, verdict = case.read_bytes(), run(["decide", "--json", str(case)])
    assert run(["ask", str(case), question])
    assert case.read_bytes() == before and run(["decide", "--json", str(case)]) == verdict


@pytest.mark.parametrize("rules", ["us-road", "uk-road", "de-road"])
@pytest.mark.parametrize("seed", first(4, range(20)))
def test_what_a_journal_gives_back_is_what_was_said_last(rules: str, seed: int, tmp_path: Path) -> None:
    journal = Journal(tmp_path, lambda: datetime(2026, 3, 14, 9, 0, tzinfo=UTC))
    keeper = begin_recording(journal, judge_of(rules).rules)
    player = play(rules, 2000 + seed, recorder=keeper)
    journal.close()
    again = Journal(tmp_path, lambda: datetime(2026, 3, 14, 10, 0, tzinfo=UTC))
    assert again.db is not None
    saved = state_after(entries_of(again.db, keeper.consultation))
    assert not player.ledger.differs(saved.case, judge_of(rules).rules), "\n".join(player.typed)
    assert saved == player.consultation.saved
    again.close()
