"""A figure or a sentence may begin with a digit: nothing is taken before Enter, whatever the prompt."""

from __future__ import annotations

import pytest

from tests.tui.driving import NAIL_HOLE, Screen, drive

SENTENCES = (
    "16 mm hole through the crown of a trailer tire", "3/8", "2 nails in the crown", "7 o'clock, near the bead",
    "1 1/4 in cut in the sidewall",
)  # fmt: skip


@pytest.mark.parametrize(
    "until", ["vehicle", "wheel-position", "run-low", "injury-depth", "injury-zone", "more-injuries"]
)
@pytest.mark.parametrize("text", SENTENCES)
def test_a_line_that_begins_with_a_digit_is_typed_whole(until: str, text: str) -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(NAIL_HOLE, until=until)
        before = screen.desk.consultation.case
        await screen.press(*("space" if sign == " " else sign for sign in text))
        assert screen.line == text
        assert screen.asked == until
        assert screen.desk.consultation.case == before

    drive(steps)


def test_a_correction_that_begins_with_a_digit_confirms_nothing() -> None:
    async def steps(screen: Screen) -> None:
        await screen.type("16 mm hole in the crown of a truck tire")
        assert screen.asked == "understood"
        await screen.press(*"12 mm, not 16".replace(" ", "_"))
        assert screen.desk.consultation.pending is not None
        assert not screen.desk.consultation.case.injuries
        screen.app.talk_screen.line.value = "12 mm, not 16"
        await screen.press("enter")
        assert screen.asked == "understood"
        assert not screen.desk.consultation.case.injuries
        shown = [str(one.answer) for one in screen.desk.consultation.pending.answers if one.key[0] == "injury-size"]
        assert shown == ["12 mm"]

    drive(steps)


@pytest.mark.parametrize("pasted", ["16 mm", "2 nails", "1\n"])
def test_a_paste_takes_nothing_by_itself(pasted: str) -> None:
    async def steps(screen: Screen) -> None:
        await screen.paste(pasted)
        assert screen.asked == "vehicle"
        assert screen.line == pasted.strip()

    drive(steps)
