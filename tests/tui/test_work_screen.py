"""The work on its own screen: ticks by Enter, notes, the timer while something else is read, findings that end it."""

from __future__ import annotations

from datetime import timedelta

from advisor.dialogue.work_commands import step_in_hand
from advisor.tui.work_screen import WorkScreen
from tests.tui.driving import NAIL_HOLE, SMALL, WIDE, Screen, drive


def seen(screen: Screen) -> str:
    """All that the work screen shows, on one line."""
    work = screen.app.screen
    assert isinstance(work, WorkScreen)
    lines = [*work.list.lines, *work.view.lines]
    return " ".join(" ".join(line.text.split()) for line in lines)


def test_from_the_verdict_and_back() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(NAIL_HOLE, until="injury-depth")
        await screen.press("ctrl+t")
        assert not isinstance(screen.app.screen, WorkScreen), "no work while questions are open"
        await screen.answer(NAIL_HOLE)
        assert "work" in screen.keys
        await screen.press("ctrl+t")
        assert "Step 1 of" in seen(screen) and "> make the place safe" in seen(screen)
        await screen.press("enter", "enter")
        assert "[x] make the place safe" in seen(screen) and "Step 3 of" in seen(screen)
        await screen.work_line("note stand [bold]two")
        assert "stand [bold]two" in seen(screen)
        await screen.work_line("untick")
        assert "Step 2 of" in seen(screen)
        await screen.press("pagedown", "escape")
        assert not isinstance(screen.app.screen, WorkScreen)
        assert len(screen.desk.consultation.work.ticks) == 1
        await screen.press("ctrl+t")
        assert "Step 2 of" in seen(screen), "what was done is still done"

    drive(steps, WIDE)


def test_the_timer_runs_on() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(NAIL_HOLE)
        consultation = screen.desk.consultation
        start = consultation.now()
        assert start is not None
        time = [start]
        consultation.clock = lambda: time[0]
        await screen.press("ctrl+t")
        work = screen.app.screen
        assert isinstance(work, WorkScreen)
        while (planned := step_in_hand(consultation)) and planned.step.id != "dry":
            await screen.press("enter")
        await screen.work_line("timer")
        assert "5 min left" in work.timers.lines[0].text
        time[0] = start + timedelta(minutes=2, seconds=15)
        await screen.work_line("what is a liner")
        assert "2 min 45 s left" in work.timers.lines[0].text
        time[0] = start + timedelta(minutes=9)
        work.show_timers()
        assert "are over" in work.timers.lines[0].text

    drive(steps, SMALL)


def test_a_finding_that_ends_the_work_goes_back_to_the_verdict() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(NAIL_HOLE)
        await screen.press("ctrl+t", "enter")
        await screen.work_line("found 9 mm")
        assert not isinstance(screen.app.screen, WorkScreen)
        assert str(screen.desk.consultation.judgement.verdict) == "scrap"
        assert "SCRAP" in screen.text()

    drive(steps, WIDE)
