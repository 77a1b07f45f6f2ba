"""The input line: what is wrong stays in it with the reason beside it; nothing pasted does anything but stand there."""

from __future__ import annotations

import pytest

from advisor.dialogue.session import Consultation
from advisor.tui.presenter import Desk
from tests.tui.driving import NAIL_HOLE, SMALL, WIDE, Screen, drive

HOSTILE = "[/] [b [x] [@click=app.quit]go[/] \x1b[31m\x07 \u202e\u2066 \\[ {0} %s"


@pytest.mark.parametrize("size", [SMALL, WIDE])
def test_a_wrong_answer_stays_in_the_line(size: tuple[int, int]) -> None:
    async def steps(screen: Screen) -> None:
        await screen.press(*"frnt", "enter")
        assert screen.line == "frnt"
        assert 'Found "frnt"' in screen.complaint
        lines = screen.text().splitlines()
        at = next(place for place, line in enumerate(lines) if line.startswith("> frnt"))
        assert lines[at + 1].startswith("! Found")
        await screen.press(*["backspace"] * 4)
        await screen.type("car")
        assert not screen.complaint
        assert screen.asked == "wheel-position"

    drive(steps, size)


def test_a_digit_stands_at_its_row_and_only_enter_takes_it() -> None:
    async def steps(screen: Screen) -> None:
        await screen.press("2")
        assert (screen.asked, screen.line, screen.desk.at) == ("vehicle", "2", 1)
        await screen.press("backspace")
        assert screen.desk.at is None
        await screen.press("2", "enter")
        assert screen.asked == "wheel-position"
        assert str(screen.desk.consultation.case.answers["vehicle"]) == "van-or-pickup"

    drive(steps)


def test_what_is_typed_ahead_keeps_its_order() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(NAIL_HOLE, until="found-pressure")
        await screen.press(*"30", "enter", *"33", "enter", "down", "enter", "1", "enter")
        case = screen.desk.consultation.case
        assert (str(case.answers["found-pressure"]), str(case.answers["set-pressure"])) == ("30 psi", "33 psi")
        assert str(case.answers["run-low"]) == "no"

    drive(steps)


def test_ten_choices_or_more_are_typed_with_enter() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer({**NAIL_HOLE, "sidewall": "skip", "tire-class": "light-truck"}, until="load-range")
        await screen.press("1")
        assert screen.asked == "load-range"
        assert screen.line == "1"
        await screen.press("4", "enter")
        assert str(screen.desk.consultation.case.answers["load-range"]) == "SL"

    drive(steps)


def test_what_is_pasted_is_shown_by_name_and_refused_calmly() -> None:
    async def steps(screen: Screen) -> None:
        await screen.paste(HOSTILE + "\nsecond line\r\n")
        assert "\\x1b[31m" in screen.line
        assert "\\u202e" in screen.line
        assert screen.line.endswith("second line")
        await screen.press("enter")
        assert screen.complaint.startswith('Found "[/] [b [x] [@click=app.quit]go[/]')
        assert "[@click=app.quit]go[/]" in screen.text()
        assert screen.asked == "vehicle"

    drive(steps)


def test_a_million_characters_are_not_taken() -> None:
    async def steps(screen: Screen) -> None:
        await screen.press("x")
        await screen.paste("y" * 1_000_000)
        assert screen.line == "x"
        assert screen.complaint.startswith("1000000 characters pasted")

    drive(steps)


def test_hostile_text_as_an_answer_is_drawn_as_it_is() -> None:
    async def steps(screen: Screen) -> None:
        await screen.press("1", "enter", "1", "enter")
        await screen.paste("205/55R16 91V " + HOSTILE)
        await screen.press("enter")
        assert "[@click=app.quit]go[/]" in screen.text()
        await screen.press("f4")
        assert "[@click=app.quit]go[/]" in screen.text()
        await screen.press("escape", "f6")
        await screen.paste(HOSTILE)
        await screen.press("enter")
        assert "is not among the words" in screen.complaint

    drive(steps, WIDE)


def test_what_is_typed_next_takes_the_place_of_a_short_refusal() -> None:
    async def steps(screen: Screen) -> None:
        await screen.press(*"frnt", "enter", *"car", "enter")
        assert not screen.complaint
        assert screen.asked == "wheel-position"
        await screen.press(*"frnt", "enter", "2", "enter")
        assert (screen.line, screen.complaint, screen.asked) == ("", "", "sidewall")

    drive(steps)


def test_backspace_and_arrows_mend_a_refusal_and_up_brings_a_long_one_back() -> None:
    async def steps(screen: Screen) -> None:
        await screen.press(*"carr", "enter", "backspace", "enter")
        assert screen.asked == "wheel-position"
        await screen.press(*"nothing of this is an answer", "enter")
        assert "Typing takes its place, Up brings it back" in screen.complaint and "Esc empties" in screen.complaint
        await screen.press("x", "y")
        assert screen.line == "xy"
        await screen.press("up", "z")
        assert screen.line == "nothing of this is an answerz"
        await screen.press("enter", "escape", *"drve", "enter", "left", "i", "enter")
        assert screen.line == "drvie"
        await screen.press("left", *["backspace"] * 2, *"iv", "enter")
        assert screen.asked == "sidewall"

    drive(steps)


def test_an_error_inside_is_said_and_the_line_is_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(self: Consultation, text: str) -> None:
        raise KeyError("[/] gone wrong")

    async def steps(screen: Screen) -> None:
        monkeypatch.setattr(Consultation, "answer", broken)
        await screen.type("anything")
        assert "Something in the program went wrong" in screen.text()
        assert screen.line == "anything"
        monkeypatch.undo()
        await screen.press(*["backspace"] * 8)
        await screen.type("car")
        assert screen.asked == "wheel-position"

    drive(steps)


def test_an_error_while_a_word_is_explained_leaves_the_way_back(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(self: Desk) -> None:
        raise RuntimeError("no")

    async def steps(screen: Screen) -> None:
        monkeypatch.setattr(Desk, "word", broken)
        await screen.press("f6")
        assert "went wrong" in screen.text()
        await screen.press("1", "enter")
        assert screen.asked == "wheel-position"

    drive(steps)


def test_any_size_and_back_again() -> None:
    async def steps(screen: Screen) -> None:
        await screen.press("1", "enter")
        for size in ((20, 5), (1, 1), (200, 60), (110, 11), (80, 24)):
            await screen.pilot.resize_terminal(*size)
            await screen.pilot.pause()
            for key in ("f4", "down", "escape"):
                await screen.pilot.press(key)
            screen.text()
        await screen.type("steer")
        assert screen.asked == "sidewall"

    drive(steps)
