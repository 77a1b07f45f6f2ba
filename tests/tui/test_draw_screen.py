"""The drawings at the screen: by a key while answering and at the verdict, and beside the verdict where it is wide."""

from __future__ import annotations

import pytest

from advisor.tui.drawings_screen import DrawScreen
from tests.tui.driving import NAIL_HOLE, SMALL, WIDE, Screen, drive
from tests.tui.scenes import SLANTED


def seen(screen: Screen) -> str:
    """All that the drawings' screen holds, on one line."""
    draw = screen.app.screen
    assert isinstance(draw, DrawScreen)
    return " ".join(" ".join(line.text.split()) for line in draw.view.lines)


def side(screen: Screen) -> str:
    """What stands beside the conversation, behind its title."""
    view = screen.app.talk_screen.side
    return " ".join(f"{view.border_title} {' '.join(line.text for line in view.lines)}".split())


@pytest.mark.parametrize("size", [SMALL, WIDE])
def test_while_the_tread_is_asked_the_key_shows_where_to_measure(size: tuple[int, int]) -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(NAIL_HOLE, until="findings")
        assert "^G draw" not in screen.keys, "nothing to draw yet"
        await screen.press("ctrl+g")
        assert not isinstance(screen.app.screen, DrawScreen)
        await screen.answer(NAIL_HOLE, until="tread-depth")
        assert "^G draw" in screen.keys
        screen.app.talk_screen.line.insert_text_at_cursor("9/3")
        await screen.press("ctrl+g")
        assert "Where to read the tread depth" in seen(screen) and "12:00, 4:00, 8:00" in seen(screen)
        width = screen.app.screen.size.width
        assert all(len(line.text) <= width for line in screen.app.screen.view.lines)  # type: ignore[attr-defined]
        await screen.press("escape")
        assert screen.line == "9/3" and screen.asked == "tread-depth", "nothing is lost by looking"

    drive(steps, size)


def test_at_the_verdict_the_key_shows_path_and_tread_in_either_unit() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(SLANTED)
        await screen.press("ctrl+g")
        assert "Cross-section at injury 1" in seen(screen) and "Inner end 50.1 mm" in seen(screen)
        await screen.press("pagedown", "u")
        assert "Inner end 1.97 in" in seen(screen)
        draw = screen.app.screen
        assert isinstance(draw, DrawScreen) and draw.view.top > 0, "the unit changes where one stands"
        await screen.press("u", "up", "ctrl+g")
        assert not isinstance(screen.app.screen, DrawScreen)

    drive(steps, (80, 12))


def test_beside_the_verdict_while_there_is_room() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(SLANTED, until="inside-signs")
        assert side(screen).startswith("So far"), "the answers, while a question is open"
        await screen.answer(SLANTED)
        assert side(screen).startswith("Drawings Cross-section at injury 1") and "Inner end 50.1 mm" in side(screen)
        await screen.press("f4")
        assert side(screen).startswith("So far")
        await screen.press("escape")
        assert side(screen).startswith("Drawings Cross-section")
        await screen.pilot.resize_terminal(80, 24)
        await screen.pilot.pause()
        assert not screen.app.talk_screen.side.display and "^G draw" in screen.keys

    drive(steps, WIDE)


def test_a_verdict_without_a_place_keeps_the_answers_beside_it() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(NAIL_HOLE)
        assert side(screen).startswith("So far") and "^G draw" not in screen.keys

    drive(steps, WIDE)


def test_a_clock_direction_can_be_typed_where_rows_are_numbered() -> None:
    """`1:30` begins with the number of a row; it is taken as a whole, and a lone number with Enter."""

    async def steps(screen: Screen) -> None:
        await screen.answer(SLANTED, until="lean")
        for sign in "1:30":
            await screen.press(sign if sign != ":" else "colon")
        assert (screen.asked, screen.line) == ("lean", "1:30")
        await screen.press("enter")
        lean = screen.desk.consultation.case.injuries[0]["lean"]
        assert str(lean) == "1:30" and screen.asked != "lean"
        screen.desk.change_key(("lean", 0))
        screen.app.talk_screen.show_desk()
        await screen.press("2", "enter")
        assert str(screen.desk.consultation.case.injuries[0]["lean"]) == "toward-centre"

    drive(steps, SMALL)
