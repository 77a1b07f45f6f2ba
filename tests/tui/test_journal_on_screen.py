"""The journal at the screen: kept answer by answer, offered again after the window was closed the hard way."""

from __future__ import annotations

import asyncio
import sqlite3
import time
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path

from advisor.journal.data_folder import FILE_NAME
from advisor.tui.app import AdvisorApp
from advisor.tui.recording import ScreenRecording


async def _window(folder: Path, typed: tuple[str, ...], close: bool, about: Mapping[str, str]) -> list[str]:
    """Opens a window, types lines, and closes the journal or not; gives what the conversation says."""
    app = AdvisorApp(record=lambda: ScreenRecording(folder, datetime.now, False, about))
    async with app.run_test(size=(100, 40)) as pilot:
        for _ in range(400):
            if app.beside.recording is not None and app.talk_screen.desk is not None and app.talk_screen.desk.recorder:
                break
            await pilot.pause(0.02)
        desk = app.talk_screen.desk
        assert desk is not None
        for line in typed:
            app.talk_screen.line.insert_text_at_cursor(line)
            await pilot.press("enter")
        await pilot.pause()
        said = [str(line) for line in desk.transcript.lines(90)[0]]
        answered = [f"{name}: {answer}" for _, name, answer, _ in desk.consultation.answered]
    assert app.beside.recording is not None and app.beside.recording.journal is not None
    if close:
        app.beside.recording.close()
    else:
        app.beside.recording.journal.claims.close()
    return [*said, *answered]


def test_what_is_answered_on_the_screen_is_offered_again(tmp_path: Path) -> None:
    asyncio.run(_window(tmp_path, ("car", "drive", "note rim bent"), False, {"casing": "T42"}))
    with sqlite3.connect(tmp_path / FILE_NAME) as db:
        kinds = [row[0] for row in db.execute("SELECT kind FROM entry ORDER BY seq")]
        assert kinds == ["begin", "casing", "answer", "answer", "note"]
    said = asyncio.run(_window(tmp_path, ("yes", "P215/65R16 96H"), True, {}))
    assert "the vehicle: Car" in said and "what the sidewall says: P215/65R16 96H" in said
    with sqlite3.connect(tmp_path / FILE_NAME) as db:
        assert db.execute("SELECT count(*) FROM consultation").fetchone()[0] == 1
    said = asyncio.run(_window(tmp_path, ("no", "truck"), True, {}))
    assert [line for line in said if line.startswith("the vehicle")] == ["the vehicle: Truck or truck tractor"]


def test_an_answer_given_before_the_journal_is_open_waits_for_it_and_is_no_answer_to_an_offer(tmp_path: Path) -> None:
    asyncio.run(_window(tmp_path, ("car", "drive"), False, {}))

    def slowly() -> ScreenRecording:
        time.sleep(0.6)
        return ScreenRecording(tmp_path, datetime.now, False, {})

    app = AdvisorApp(record=slowly)

    async def run() -> None:
        async with app.run_test(size=(100, 40)) as pilot:
            while app.talk_screen.desk is None:
                await pilot.pause(0.01)
            assert app.beside.recording is None
            app.talk_screen.line.insert_text_at_cursor("truck")
            app.talk_screen.take_enter()
            assert app.beside.recording is not None and app.beside.recording.journal is not None
            db = app.beside.recording.journal.db
            assert db is not None
            [row] = db.execute("SELECT body FROM entry WHERE kind = 'answer' ORDER BY seq DESC LIMIT 1").fetchall()
            assert "truck" in row[0]
            desk = app.talk_screen.desk
            assert [answer for _, _, answer, _ in desk.consultation.answered] == ["Truck or truck tractor"]
            assert "unfinished" in " ".join(str(line) for line in desk.transcript.lines(90)[0])

    asyncio.run(run())
