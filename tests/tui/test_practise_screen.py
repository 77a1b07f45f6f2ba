"""Practice on the full screen: tires by keys alone, nothing in the journal, nothing typed lost, all sizes."""

from __future__ import annotations

import asyncio
import os
import pty
import select
import subprocess
import sys
import time
from datetime import datetime
from pathlib import Path

import pytest

from advisor.practise.learned import read_record
from advisor.practise.sitting import Sitting
from advisor.tui.app import AdvisorApp
from advisor.tui.practise_screen import PracticePage, PractiseScreen
from advisor.tui.recording import ScreenRecording
from tests.tui.driving import SMALL, WIDE, svg_text
from tests.tui.practice_scenes import (
    LEARNER,
    LOOKS,
    PICTURES,
    SCENES,
    Learner,
    drive,
    picture,
    sitting,
    wide_first,
)

ANSWER_WORDS = ("SCRAP", "REPAIR", "The rules'", "theirs", "Why, and whose", "turns it", "repair area")
NAIL_OWN = ("repair it", "nothing speaks", "6 mm", "a standard", "One-piece", "no restriction", "sure")


async def say(learner: Learner, *own: str) -> None:
    """Says an own verdict field by field; a figure is typed, all else is picked with the arrows."""
    for each in own:
        await (learner.type(each) if each[0].isdigit() else learner.pick(each))


def test_a_tire_from_order_to_feedback_by_keys_alone_with_the_right_verdict() -> None:
    async def steps(learner: Learner) -> None:
        await learner.press("enter")
        assert "The driver says" in learner.text()
        await learner.look(*LOOKS)
        await learner.press("f4")
        await say(learner, *NAIL_OWN)
        said = learner.text()
        assert learner.desk.now is not None and learner.desk.now.grade is not None
        assert not learner.desk.now.grade.unsafe
        assert "REPAIR" in said and "Yours" in said and "The rules'" in said
        assert "UNSAFE" not in said
        await learner.press("enter")
        assert "tire 2 of 2" in learner.text()

    drive(steps, WIDE)


def test_the_wrong_verdict_stands_out_by_words_and_a_near_twin_follows() -> None:
    async def steps(learner: Learner) -> None:
        await learner.press("enter")
        await learner.look(*LOOKS)
        await learner.press("f4")
        await say(learner, *NAIL_OWN)
        assert "WRONG TO THE" in learner.text() and "unsafe side" in learner.text()
        await learner.press("f6")
        said = learner.text()
        assert "near twin" in said and "Look again" in said
        assert learner.desk.now is not None and not learner.desk.now.job.looked

    drive(steps, SMALL, make=wide_first)


def test_nothing_of_the_answer_shows_before_all_was_said() -> None:
    async def steps(learner: Learner) -> None:
        await learner.press("enter")
        await learner.look(*LOOKS)
        await learner.press("ctrl+g")
        assert not [word for word in ANSWER_WORDS if word in learner.text()]
        assert "crown" not in learner.text() and "Cross-section" in learner.text()
        await learner.press("escape", "f4")
        for each in NAIL_OWN[:-1]:
            await say(learner, each)
            assert not [word for word in ANSWER_WORDS if word in learner.text()], each

    drive(steps, WIDE, make=wide_first)


def test_a_fact_stays_in_sight_and_comes_only_when_it_is_looked_at() -> None:
    async def steps(learner: Learner) -> None:
        await learner.press("enter")
        assert "the pressure found" not in learner.text()
        await learner.look("gauge")
        assert "the pressure found" in learner.text() and " 2 min " in learner.text()
        await learner.press("f4")
        assert "the pressure found" in learner.text()

    drive(steps)


def test_escape_asks_before_a_tire_in_hand_is_thrown_away_and_loses_nothing() -> None:
    async def steps(learner: Learner) -> None:
        await learner.press("enter")
        await learner.look("gauge")
        await learner.press(*"out", "escape")
        assert "Leave this tire?" in learner.text()
        await learner.press("enter")
        assert learner.app.practice.complaint.text
        await learner.press("2", "enter")
        assert learner.app.practice.line.value == "out" and "the pressure found" in learner.text()
        await learner.press("escape", "escape")
        assert learner.app.practice.line.value == "out"
        await learner.press("escape", "1", "enter")

    assert drive(steps).return_value == 0


def test_back_has_ready_what_was_taken_back() -> None:
    async def steps(learner: Learner) -> None:
        await learner.press("enter", "f4")
        await say(learner, *NAIL_OWN[:5])
        await learner.press("f5", "f5", "f5")
        assert learner.app.practice.line.value == "6 mm"
        await learner.press("enter")
        assert learner.desk.row is not None and learner.desk.row.says == "a standard"
        await learner.press("enter")
        assert learner.desk.row is not None and learner.desk.row.says.startswith("One-piece")
        await learner.press("enter", "down", "down", "space", "f5", "enter")
        assert not learner.desk.marked
        await learner.press("down", "down", "space", "enter", "f5")
        assert learner.desk.marked == {"2"}

    drive(steps)


def test_what_can_not_be_read_stays_in_the_line() -> None:
    async def steps(learner: Learner) -> None:
        await learner.press("enter")
        await learner.type("sniff at it")
        assert learner.app.practice.line.value == "sniff at it"
        assert "expected a number from 1" in learner.app.practice.complaint.text

    drive(steps)


def test_enter_alone_gives_no_verdict() -> None:
    async def steps(learner: Learner) -> None:
        await learner.press("enter", "f4", "enter")
        assert learner.desk.now is not None and not learner.desk.now.job.own.verdict
        assert "Pick a row" in learner.app.practice.complaint.text

    drive(steps)


def test_what_was_learned_is_a_table_and_kept_under_the_name(tmp_path: Path) -> None:
    async def steps(learner: Learner) -> None:
        await learner.press("enter", "f4")
        await say(learner, *NAIL_OWN)
        await learner.press("f7")
        said = learner.text()
        assert isinstance(learner.app.screen, PracticePage)
        assert "Ruling or limit" in said and f"kept under {LEARNER}" in said and "ruling/" in said
        await learner.press("escape", "escape")

    drive(steps, make=lambda: sitting(tmp_path))
    assert len(read_record(tmp_path, LEARNER).attempts) == 1
    assert [path.name for path in tmp_path.iterdir()] == ["practice"]


def test_where_nothing_can_be_kept_it_says_so_and_the_verdict_waits(tmp_path: Path) -> None:
    (tmp_path / "practice").write_text("no folder", encoding="utf-8")

    async def steps(learner: Learner) -> None:
        await learner.press("enter", "f4")
        await say(learner, *NAIL_OWN)
        assert learner.app.practice.complaint.text
        assert learner.desk.field == "sure" and not learner.desk.sitting.attempts

    drive(steps, make=lambda: sitting(tmp_path))


@pytest.mark.parametrize("size", [(60, 20), SMALL, (200, 60)])
def test_every_screen_says_that_it_is_practice_and_fits(size: tuple[int, int]) -> None:
    async def steps(learner: Learner) -> None:
        async def look() -> None:
            lines = learner.text().splitlines()
            assert "Practice" in lines[0]
            assert len(lines) <= size[1] and max(map(len, lines)) <= size[0]

        await look()
        for keys in (("enter",), ("f1",), ("escape",), ("ctrl+g",), ("escape",), ("f7",), ("escape",), ("f4",)):
            await learner.press(*keys)
            await look()
        for each in NAIL_OWN:
            await say(learner, each)
            await look()
        for keys in (("pagedown",), ("ctrl+g",), ("escape",), ("enter",), ("escape",)):
            await learner.press(*keys)
            if learner.app.is_running:
                await look()

    drive(steps, size)


def test_from_a_consultation_and_back_with_the_line_the_answers_and_the_journal_as_they_were(tmp_path: Path) -> None:
    app = AdvisorApp(record=lambda: ScreenRecording(tmp_path, datetime.now, False, {}), practise=sitting)

    async def run() -> None:
        async with app.run_test(size=SMALL) as pilot:
            for _ in range(500):
                if app.beside.recording is not None and app.talk_screen.desk and app.talk_screen.desk.recorder:
                    break
                await pilot.pause(0.02)
            assert "^L practise" in app.talk_screen.keys.text
            await pilot.press("1", "enter")
            desk = app.talk_screen.desk
            assert desk is not None
            case, asked = desk.consultation.case, desk.consultation.ask
            await pilot.press("2")
            before = _kept(tmp_path)
            await pilot.press("ctrl+l")
            await app.workers.wait_for_complete()
            assert isinstance(app.screen, PractiseScreen)
            await pilot.press("enter")
            await app.workers.wait_for_complete()
            await pilot.press("4", "enter", "f4", "4", "enter", "escape", "1", "enter")
            await pilot.pause()
            assert app.screen is app.talk_screen
            assert desk.consultation.case == case and desk.consultation.ask == asked
            assert app.talk_screen.line.value == "2"
            assert _kept(tmp_path) == before

    asyncio.run(run())
    assert app.beside.recording is not None
    app.beside.recording.close()


def _kept(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()}


def test_rules_that_can_not_be_practised_lead_back_with_a_word(tmp_path: Path) -> None:
    def broken() -> Sitting:
        raise ValueError("no such rules")

    app = AdvisorApp(practise=broken)

    async def run() -> None:
        async with app.run_test(size=SMALL) as pilot:
            for _ in range(500):
                if app.talk_screen.desk is not None:
                    break
                await pilot.pause(0.02)
            await pilot.press("ctrl+l")
            await app.workers.wait_for_complete()
            await pilot.pause()
            assert app.screen is app.talk_screen
            assert "no such rules" in app.talk_screen.complaint.text

    asyncio.run(run())


def test_a_start_of_the_consultation_loads_nothing_of_practice() -> None:
    code = "import sys, advisor.commands.consult, advisor.tui.app, advisor.tui.startup; print(*sys.modules)"
    loaded = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.split()
    assert not [name for name in loaded if "practise" in name]


def test_on_a_terminal_it_is_a_screen_and_with_plain_lines() -> None:
    command = [sys.executable, "-m", "advisor", "practise", "--rules", "uk-road", "--theme", "size", "--seed", "7"]
    assert _on_a_terminal(command, b"the first tire", b"\x11")
    assert not _on_a_terminal([*command, "--plain"], b"or decide", b"quit\r").count(b"\x1b[?1049h")


def _on_a_terminal(command: list[str], until: bytes, keys: bytes) -> bytes:
    """What a command shows on a terminal up to some words; then keys are typed, and it ends well."""
    child, end = pty.fork()
    if child == 0:
        os.environ["TERM"] = "xterm"
        os.execv(command[0], command)
    said, began, typed = b"", time.monotonic(), False
    while True:
        assert time.monotonic() - began < 60, said
        if select.select([end], [], [], 0.2)[0]:
            try:
                said += os.read(end, 65536)
            except OSError:
                break
        if until in said and not typed:
            os.write(end, keys)
            typed = True
        if os.waitpid(child, os.WNOHANG)[0]:
            break
    return said


@pytest.mark.parametrize("name", SCENES)
def test_the_words_stand_where_the_picture_has_them(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("NO_COLOR", raising=False)
    if SCENES[name].no_colour:
        monkeypatch.setenv("NO_COLOR", "1")
    kept = svg_text((PICTURES / f"{name}.svg").read_text(encoding="utf-8"))
    again = "if that was meant: python -m tests.tui.practice_scenes, then look at it"
    assert svg_text(picture(name)) == kept, again
