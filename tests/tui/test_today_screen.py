"""Today's tires on the screen: the list by a key and by a word, and from there into any of them."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from datetime import datetime
from pathlib import Path

from advisor.tui.app import AdvisorApp
from advisor.tui.recording import ScreenRecording
from advisor.tui.today_screen import TodayScreen
from advisor.tui.work_screen import WorkScreen
from tests.tui.driving import NAIL_HOLE, SIDEWALL, SMALL, Screen
from tests.tui.scenes import ON_THE_WHEEL


def kept_in(folder: Path, steps: Callable[[Screen], Awaitable[None]]) -> None:
    """Carries steps out on the screen, kept in a folder."""
    app = AdvisorApp(record=lambda: ScreenRecording(folder, datetime.now, False, {}))

    async def run() -> None:
        async with app.run_test(size=SMALL) as pilot:
            for _ in range(400):
                if app.talk_screen.desk is not None and app.talk_screen.desk.recorder:
                    break
                await pilot.pause(0.02)
            await steps(Screen(app, pilot))
        assert app.beside.recording is not None
        app.beside.recording.close()

    asyncio.run(run())


def listed(screen: Screen) -> str:
    today = screen.app.screen
    assert isinstance(today, TodayScreen), today
    return " ".join(" ".join(line.text.split()) for line in today.rows.lines)


def test_from_one_tire_into_another_by_keys_and_by_words(tmp_path: Path) -> None:
    async def steps(screen: Screen) -> None:
        await screen.type("casing T42")
        await screen.answer(NAIL_HOLE)
        screen.desk.keep()
        await screen.press("ctrl+t", "f4")
        assert len(screen.desk.consultation.work.ticks) == 1
        await screen.press("escape")
        await screen.type("start over")
        await screen.type("yes")
        await screen.type("casing T43")
        await screen.answer(NAIL_HOLE, until="found-pressure")
        screen.desk.keep()
        assert "today" in screen.keys
        await screen.press("ctrl+y")
        assert "1 casing T42, P215/65R16, drive, 6 mm crown - REPAIR" in listed(screen)
        assert "2 casing T43" in listed(screen) and "questions open, in hand" in listed(screen)
        await screen.press("1", "enter")
        await screen.pilot.pause()
        assert isinstance(screen.app.screen, WorkScreen), "its work was begun, so that is where it goes"
        assert len(screen.desk.consultation.work.ticks) == 1 and screen.desk.recorder.casing == "T42"
        await screen.press("ctrl+y", "down", "enter")
        await screen.pilot.pause()
        assert screen.asked == "found-pressure" and screen.app.screen is screen.app.talk_screen
        assert "T42" not in screen.text().replace("casing T43", "")
        await screen.type("today 1")
        assert not screen.asked and screen.desk.recorder.casing == "T42"
        await screen.press("ctrl+t")
        await screen.work_line("today 2")
        assert screen.asked == "found-pressure"

    kept_in(tmp_path, steps)

    async def again(screen: Screen) -> None:
        assert "today" in screen.keys, "where one is offered the others are a key away"
        await screen.press("ctrl+y", "1", "enter")
        await screen.pilot.pause()
        assert isinstance(screen.app.screen, WorkScreen) and not screen.desk.aside

    kept_in(tmp_path, again)


def test_a_tire_that_is_surely_scrap_says_so_though_a_sentence_waits(tmp_path: Path) -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(SIDEWALL)
        await screen.type("it has a bulge too")
        assert screen.desk.consultation.pending is not None
        screen.desk.keep()
        await screen.press("ctrl+y")
        assert "- SCRAP, in hand to be marked, set apart and never fitted again" in listed(screen)
        assert "questions open" not in listed(screen)

    kept_in(tmp_path, steps)


def test_a_repair_over_which_a_sentence_waits_is_open(tmp_path: Path) -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(NAIL_HOLE)
        await screen.type("it has a bulge too")
        screen.desk.keep()
        await screen.press("ctrl+y")
        assert "- questions open, in hand" in listed(screen) and "REPAIR" not in listed(screen)
        assert "a sentence waits to be confirmed" in listed(screen)

    kept_in(tmp_path, steps)


def test_a_tire_on_hold_is_not_said_to_be_sent_on(tmp_path: Path) -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(ON_THE_WHEEL)
        screen.desk.keep()
        await screen.press("ctrl+y")
        assert "- HOLD, in hand to be marked and set apart until what is open is settled" in listed(screen)
        assert "sent on" not in listed(screen)

    kept_in(tmp_path, steps)


def test_a_tire_is_named_at_the_card_in_the_words_that_offer_it(tmp_path: Path) -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(NAIL_HOLE)
        await screen.type("name it")
        assert "Casing or fleet number" in screen.text()
        await screen.press("escape")
        await screen.type("name it T42, AB12 CDE, rear left")
        assert screen.desk.recorder.casing == "T42" and not screen.desk.aside
        assert not screen.desk.consultation.notes, "nothing of it is taken for what was found"
        assert screen.desk.consultation.pending is None
        await screen.press("ctrl+y")
        assert "casing T42, AB12 CDE" in listed(screen)

    kept_in(tmp_path, steps)
