"""A recorded consultation opened again from the casings: for its work, or as a new one with its answers."""

from __future__ import annotations

import asyncio
import sqlite3
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import pytest

from advisor.cli import main
from advisor.journal.data_folder import FILE_NAME
from advisor.tui.app import AdvisorApp
from advisor.tui.recording import ScreenRecording
from tests.tui.driving import NAIL_HOLE, Screen


async def window(folder: Path, answers: dict[str, str], key: str = "") -> list[str]:
    """Answers to the verdict, names the tire there; or opens the latest record by a key. Gives what stands answered."""
    app = AdvisorApp(record=lambda: ScreenRecording(folder, datetime.now, False, {}))
    async with app.run_test(size=(110, 40)) as pilot:
        screen = Screen(app, pilot)
        for _ in range(400):
            if app.talk_screen.desk is not None and app.talk_screen.desk.recorder:
                break
            await pilot.pause(0.02)
        if key:
            await screen.press("ctrl+r")
            await pilot.pause()
            await screen.press("enter")
            await pilot.pause()
            await screen.press(key)
            await pilot.pause()
        else:
            await screen.answer(answers)
            desk = screen.desk
            desk.keep()
            desk.pick_row(len(desk.prompt.rows) - 1)
            desk.text = "T42, AB 123, drive left outer"
            desk.enter()
            desk.keep()
        answered = [f"{name}: {answer}" for _, name, answer, _ in screen.desk.consultation.answered]
    assert app.beside.recording is not None
    app.beside.recording.close()
    return answered


def consultations(folder: Path) -> list[tuple[str, ...]]:
    """Casing, plate and verdict of each."""
    with sqlite3.connect(folder / FILE_NAME) as db:
        return list(db.execute("SELECT casing, plate, verdict FROM consultation ORDER BY number"))


@pytest.fixture
def folder(tmp_path: Path) -> Iterator[Path]:
    asyncio.run(window(tmp_path, NAIL_HOLE))
    assert consultations(tmp_path) == [("T42", "AB 123", "repair")]
    yield tmp_path
    assert main(["casings", "--verify", "--data", str(tmp_path)]) == 0


def test_a_record_is_opened_again_for_its_work(folder: Path) -> None:
    answered = asyncio.run(window(folder, {}, "f5"))
    assert "the vehicle: Car" in answered
    assert len(consultations(folder)) == 1


def test_its_answers_begin_a_new_consultation(folder: Path) -> None:
    answered = asyncio.run(window(folder, {}, "f6"))
    assert "the vehicle: Car" in answered
    assert [row[2] for row in consultations(folder)] == ["repair", "repair"]
