"""The verdict on one small screen, its sections folded; the open question always in its frame."""

from __future__ import annotations

import pytest

from tests.tui.driving import NAIL_HOLE, SIDEWALL, SMALL, WIDE, Screen, drive
from tests.tui.scenes import ON_THE_WHEEL, RAN_LOW, REFERRED, TRUCK

SECTIONS = ("All reasons, with sources", "Cautions for this tire", "Cautions for the work, always", "By these rules")


@pytest.mark.parametrize(
    ("answers", "sign"),
    [(TRUCK, "REPAIR"), (RAN_LOW, "REPAIR"), (REFERRED, "REFER"), (ON_THE_WHEEL, "HOLD"), (SIDEWALL, "SCRAP")],
)
def test_verdict_reasons_limits_danger_and_the_keys_to_the_rest_fit_80x24(answers: dict[str, str], sign: str) -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(answers)
        text = screen.text()
        assert f" {sign} " in text
        assert "more: PgDn" not in text
        wanted = ["Do now", "Because", "Danger", "[+] Tell the driver", *SECTIONS]
        wanted += ["Limits   Not on the steer axle"] if answers in (TRUCK, RAN_LOW, ON_THE_WHEEL) else []
        wanted += ["Method"] if sign in ("REPAIR", "REFER") else []
        assert not [each for each in wanted if each not in text]
        for line in screen.desk.consultation.card().short.do_now:
            assert line.split()[-1] in text

    drive(steps, SMALL)


def test_a_section_opens_and_folds_by_its_number_by_an_arrow_and_by_a_word() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(SIDEWALL)
        assert "(published)" not in screen.text()
        await screen.type("1")
        assert "[-] All reasons" in screen.text() and "(published)" in screen.text()
        await screen.type("1")
        assert "(published)" not in screen.text()
        await screen.press("down", "enter")
        assert "[-] Cautions for this tire" in screen.text()
        await screen.press("space")
        assert "[-]" not in screen.text()
        await screen.type("driver")
        assert "Where it stands" in screen.text()

    drive(steps, SMALL)


def test_a_section_opens_by_a_click() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(SIDEWALL)
        row = next(place for place, line in enumerate(screen.text().splitlines()) if "All reasons" in line)
        await screen.pilot.click(offset=(12, row))
        await screen.pilot.pause()
        assert "(published)" in screen.text()

    drive(steps, SMALL)


def test_a_large_screen_has_open_what_it_has_room_for() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(SIDEWALL)
        assert "[-] All reasons" in screen.text() and "(published)" in screen.text()
        assert "more: PgDn" not in screen.text()

    drive(steps, WIDE)


def test_why_is_read_with_the_verdict_in_sight_and_esc_brings_the_card_back() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(SIDEWALL)
        await screen.press("f2")
        text = screen.text()
        assert "The rulings that bring it" in text and " SCRAP " in text and "[+]" not in text
        await screen.press("escape")
        assert "[+] Tell the driver" in screen.text()

    drive(steps, SMALL)


@pytest.mark.parametrize("size", [(60, 20), SMALL, WIDE, (200, 60)])
def test_the_open_question_is_in_sight_whatever_was_said(size: tuple[int, int]) -> None:
    async def steps(screen: Screen) -> None:
        for asked, words in (("findings", "What did you find"), ("injury-zone", "Where in the tire is it?")):
            await screen.answer(NAIL_HOLE, until=asked)
            assert words in screen.text()
            await screen.press("f1")
            assert words in screen.text()
            await screen.press("escape")
            assert words in screen.text()
        assert "injury 1 · about 4 more" in screen.text()
        assert "or all of it in one" in screen.text()

    drive(steps, size)


@pytest.mark.parametrize(
    ("asked", "words"),
    [("injury-zone", "sidewall"), ("injury-depth", "rubber only"), ("injury-size", "── width ──")],
)
def test_a_sketch_stands_beside_the_question_at_80_columns(asked: str, words: str) -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(NAIL_HOLE, until=asked)
        assert words in screen.text().partition("╭")[2]

    drive(steps, SMALL)


def test_all_that_was_answered_is_a_table_in_groups_with_what_was_left_out() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(NAIL_HOLE, until="injury-size")
        await screen.press("f4")
        text = screen.text()
        assert "left out" in text or "more: PgDn" in text
        lines = [" ".join(line.strip("│┃ ").split()) for line in text.splitlines()]
        assert "> 1 vehicle Car" in lines or "1 vehicle Car" in lines
        assert lines.index("tire") < lines.index("inspection")

    drive(steps, (80, 32))
