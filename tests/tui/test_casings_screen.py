"""The screen of casings: search as you type, the keyboard alone, a casing's page, and its way into a consultation."""

from __future__ import annotations

import asyncio
import os
import pty
import re
import select
import subprocess
import sys
import time
from datetime import datetime
from html import unescape
from pathlib import Path

import pytest

from advisor.tui.app import AdvisorApp
from advisor.tui.casings_app import CasingsApp
from advisor.tui.casings_screen import CasingPage, CasingsScreen
from advisor.tui.recording import ScreenRecording
from tests.tui.casing_scenes import CASING, COUNT, PICTURES, SCENES, drive, fleet_in, picture

_LINES = re.compile(r'<text class="[^"]*" x="([\d.]+)"[^>]*?clip-path="url\(#[^"]*-line-(\d+)\)">(.*?)</text>', re.S)


@pytest.fixture(scope="module")
def fleet(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An invented fleet's journal."""
    return fleet_in(tmp_path_factory.mktemp("fleet"))


def words(svg: str) -> str:
    """The words of a picture, line by line, without what changes with the rules."""
    rows: dict[int, list[tuple[float, str]]] = {}
    for x, row, text in _LINES.findall(svg):
        rows.setdefault(int(row), []).append((float(x), unescape(text).replace("\xa0", " ")))
    text = "\n".join("".join(piece for _, piece in sorted(rows[row])).rstrip() for row in sorted(rows))
    return re.sub(r"\b[0-9a-f]{16}\b", "DIGEST", re.sub(r"edition \d{4}-\d\d-\d\d", "EDITION", text))


@pytest.mark.parametrize("name", SCENES)
def test_the_screen_is_as_pictured(fleet: Path, name: str) -> None:
    kept = (PICTURES / f"{name}.svg").read_text(encoding="utf-8")
    assert words(picture(fleet, name)) == words(kept), "if meant: python -m tests.tui.casing_scenes, then look"


def test_every_picture_has_its_scene() -> None:
    assert {file.stem for file in PICTURES.glob("*.svg")} == set(SCENES)


def _found(fleet: Path, *keys: str) -> list[str]:
    found: list[str] = []
    drive(fleet, (80, 24), keys, lambda app: found.extend(row.casing for row in app.casings.found))
    return found


def test_it_finds_as_you_type(fleet: Path) -> None:
    assert len(_found(fleet)) == COUNT
    some = _found(fleet, f"'{CASING[:5]}'")
    assert CASING in some
    assert set(_found(fleet, f"'{CASING}'")) == {CASING}
    assert len(_found(fleet, f"'{CASING}'", "escape")) == COUNT
    assert _found(fleet, "'zzz'") == []


def test_moving_opening_reading_and_going_back_by_keys_alone(fleet: Path) -> None:
    def page(app: CasingsApp) -> None:
        assert isinstance(app.screen, CasingPage)
        assert app.screen.view.top > 0
        assert app.screen.chosen.id == app.casings.found[2].id

    drive(fleet, (80, 24), ("down", "down", "down", "up", "enter", "pagedown"), page)

    def back(app: CasingsApp) -> None:
        assert isinstance(app.screen, CasingsScreen) and app.casings.at == 2

    drive(fleet, (80, 24), ("down", "down", "enter", "end", "escape"), back)
    assert drive(fleet, (80, 24), ("escape",), lambda app: None).return_value == 0
    drive(fleet, (80, 24), ("pagedown", "pageup", "up", "up"), lambda app: None)


def test_a_page_fits_any_width(fleet: Path) -> None:
    for width in (30, 60, 200):

        def look(app: CasingsApp, width: int = width) -> None:
            assert max(len(line.text) for line in app.screen.view.lines) <= width  # type: ignore[attr-defined]

        drive(fleet, (width, 20), (f"'{CASING}'", "enter"), look)


def test_from_a_consultation_and_back_with_the_casing_taken(fleet: Path, tmp_path: Path) -> None:
    folder = fleet_in(tmp_path / "data")
    app = AdvisorApp(record=lambda: ScreenRecording(folder, datetime.now, False, {}))

    async def run() -> None:
        async with app.run_test(size=(80, 24)) as pilot:
            for _ in range(500):
                if app.beside.recording is not None and app.talk_screen.desk and app.talk_screen.desk.recorder:
                    break
                await pilot.pause(0.02)
            await pilot.press("ctrl+r")
            await pilot.pause()
            assert isinstance(app.screen, CasingsScreen)
            app.screen.line.insert_text_at_cursor(CASING)
            await pilot.pause()
            await pilot.press("enter")
            await pilot.pause()
            assert isinstance(app.screen, CasingPage)
            await pilot.press("f4")
            await pilot.pause()
            assert app.screen is app.talk_screen
            desk = app.talk_screen.desk
            assert desk is not None and desk.recorder is not None and desk.recorder.casing == CASING
            assert desk.consultation.state.proposed
            app.talk_screen.line.insert_text_at_cursor("casings")
            await pilot.press("enter")
            await pilot.pause()
            await pilot.pause()
            assert isinstance(app.screen, CasingsScreen)
            await pilot.press("escape")
            await pilot.pause()
            assert app.screen is app.talk_screen

    asyncio.run(run())
    assert app.beside.recording is not None
    app.beside.recording.close()


def test_without_a_journal_it_says_so() -> None:
    app = AdvisorApp()

    async def run() -> None:
        async with app.run_test(size=(80, 24)) as pilot:
            for _ in range(500):
                if app.talk_screen.desk is not None:
                    break
                await pilot.pause(0.02)
            assert "^R casings" not in app.talk_screen.keys.text
            app.talk_screen.line.insert_text_at_cursor("casings")
            await pilot.press("enter")
            assert "Nothing is kept" in app.talk_screen.complaint.text

    asyncio.run(run())


def test_on_a_terminal_it_is_a_screen_and_in_a_pipe_lines(fleet: Path) -> None:
    command = [sys.executable, "-m", "advisor", "casings", "--data", str(fleet)]
    piped = subprocess.run(command, capture_output=True, text=True, timeout=60)
    assert len(piped.stdout.splitlines()) == 51 and "\x1b" not in piped.stdout
    child, end = pty.fork()
    if child == 0:
        os.environ["TERM"] = "xterm"
        os.execv(command[0], command)
    said, began = b"", time.monotonic()
    while b"Recorded casings" not in said:
        assert time.monotonic() - began < 30, said
        if select.select([end], [], [], 0.2)[0]:
            said += os.read(end, 65536)
    os.write(end, b"\x11")
    assert os.waitpid(child, 0)[1] == 0
