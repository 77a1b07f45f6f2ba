"""Rules edited while the consultation is open: what changed shows by itself, and what is typed stays."""

from __future__ import annotations

import asyncio
import os
import subprocess
import sys
from collections.abc import Awaitable, Callable
from pathlib import Path

from advisor.tui.app import AdvisorApp
from tests.tui.driving import NAIL_HOLE, SMALL, Screen
from tests.whole_rules import whole_copy

Steps = Callable[[Screen], Awaitable[None]]


def watching(folder: Path, steps: Steps) -> None:
    app = AdvisorApp(str(folder), watch=True)

    async def run() -> None:
        async with app.run_test(size=SMALL) as pilot:
            screen = Screen(app, pilot)
            await until(screen, lambda: app.talk_screen.desk is not None)
            await pilot.pause()
            await steps(screen)

    asyncio.run(run())


async def until(screen: Screen, holds: Callable[[], bool]) -> None:
    for _ in range(1000):
        if holds():
            return
        await screen.pilot.pause(0.01)
    raise AssertionError("it did not come")


def spoken(screen: Screen) -> str:
    return " ".join(" ".join(line.text for line in screen.desk.transcript.lines(200)[0]).split())


def tightened(path: Path) -> None:
    path.write_text(path.read_text().replace("value: [1/4 in, 6 mm]", "value: [3/16 in, 5 mm]", 1))


def test_an_edit_shows_by_itself_and_the_line_stays(tmp_path: Path) -> None:
    folder = whole_copy(tmp_path / "edit")

    async def steps(screen: Screen) -> None:
        await screen.press("3", "enter")
        screen.app.talk_screen.line.insert_text_at_cursor("half typ")
        tightened(folder / "limits.yaml")
        await until(screen, lambda: "nail-hole-size-light (1/4 in (6 mm) is now 3/16 in (5 mm))" in spoken(screen))
        assert screen.line == "half typ" and screen.asked == "wheel-position"
        limits = folder / "limits.yaml"
        good = limits.read_text()
        limits.write_text(good.replace("worse: above", "worse: abov", 1))
        await until(screen, lambda: "RULES AS SAVED" in screen.app.talk_screen.standing.text)
        assert "can't be used" in spoken(screen) and "edit/limits.yaml:" in screen.text()
        limits.write_text(good)
        await until(screen, lambda: "problems are mended" in spoken(screen))
        assert "RULES AS SAVED" not in screen.app.talk_screen.standing.text and screen.line == "half typ"

    watching(folder, steps)


def test_an_edit_waits_while_something_else_is_asked_for(tmp_path: Path) -> None:
    folder = whole_copy(tmp_path / "edit")

    async def steps(screen: Screen) -> None:
        await screen.press("3", "enter")
        await screen.press("f4")
        assert screen.desk.aside
        tightened(folder / "limits.yaml")
        await screen.pilot.pause(0.4)
        assert screen.desk.aside and "saved anew" not in spoken(screen)
        await screen.press("escape")
        await until(screen, lambda: "saved anew" in spoken(screen))

    watching(folder, steps)


def test_plain_lines_in_a_pipe_take_an_edit_over_before_the_next_line(tmp_path: Path) -> None:
    folder = whole_copy(tmp_path / "edit")
    command = [sys.executable, "-m", "advisor", "--plain", "--in-order", "--rules", str(folder), "--watch"]
    with subprocess.Popen(
        command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, env={**os.environ, "PYTHONUNBUFFERED": "1"}
    ) as talk:
        assert talk.stdin is not None and talk.stdout is not None
        talk.stdin.write("truck\n")
        talk.stdin.flush()
        read = ""
        while "Which wheel was it on?" not in read:
            read += talk.stdout.readline()
        tightened(folder / "limits.yaml")
        rest, _ = talk.communicate("drive\n", timeout=60)
    assert rest.index("limit changed: nail-hole-size-light") < rest.index("> drive")
    assert talk.returncode == 0


def test_the_work_closes_where_an_edit_leaves_none_to_do(tmp_path: Path) -> None:
    folder = whole_copy(tmp_path / "edit")

    async def steps(screen: Screen) -> None:
        await screen.answer(NAIL_HOLE)
        await screen.press("ctrl+t")
        assert screen.app.screen is not screen.app.talk_screen
        tightened(folder / "limits.yaml")  # 3/16 in, 5 mm: the hole of 6 mm is too large now
        await until(screen, lambda: screen.app.screen is screen.app.talk_screen)
        assert "is now SCRAP" in spoken(screen)

    watching(folder, steps)
