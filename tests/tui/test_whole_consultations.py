"""Whole consultations at the screen, each way of answering."""

from __future__ import annotations

import pytest
from textual.events import MouseScrollDown

from advisor.model.ruleset import Verdict
from tests.tui.driving import NAIL_HOLE, SIDEWALL, SMALL, WIDE, Screen, drive


@pytest.mark.parametrize(("by", "size"), [("digits", SMALL), ("arrows", SMALL), ("typing", WIDE)])
def test_a_nail_hole_in_the_crown_is_a_repair(by: str, size: tuple[int, int]) -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(NAIL_HOLE, by=by)
        assert screen.desk.consultation.judgement.verdict is Verdict.REPAIR
        text = screen.text()
        assert " REPAIR " in text
        assert text.index("REPAIR") < text.index("Do now")
        assert "Settled: REPAIR" in text

    drive(steps, size)


def test_the_whole_card_can_be_read_with_the_keyboard() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(SIDEWALL)
        seen = screen.text()
        assert all(wanted in seen for wanted in (" SCRAP ", "Do now", "Because", "Danger"))
        await screen.type("more")
        for _ in range(20):
            assert "Settled: SCRAP" in screen.text()
            await screen.press("pagedown")
            seen += screen.text()
        for wanted in ("(published)", "line of blast", "Where it stands", "digest", "The last word"):
            assert wanted in seen
        await screen.press("ctrl+home")
        assert " SCRAP " in screen.text()

    drive(steps)


def test_several_findings_are_marked_with_space() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(NAIL_HOLE, until="findings")
        await screen.press("down", "space", "down", "down", "space", "space", "up", "space")
        assert "[x]  1" in screen.text()
        assert "[x]  2" in screen.text()
        assert "[ ]  3" in screen.text()
        await screen.press("enter")
        assert screen.desk.consultation.case.answers["findings"].present == {"exposed-cord", "bulge"}

    drive(steps)


def test_marks_are_never_dropped_by_none_or_by_typing() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(NAIL_HOLE, until="findings")
        await screen.press("down", "space")
        await screen.press(*["down"] * 12, "enter")
        assert screen.asked == "findings"
        assert "marks above" in screen.complaint
        await screen.type("none")
        assert screen.asked == "findings"
        assert screen.line == "none"
        await screen.press(*["backspace"] * 4)
        await screen.type("2")
        assert screen.desk.consultation.case.answers["findings"].present == {"exposed-cord", "bulge"}

    drive(steps)


def test_every_question_that_has_choices_offers_cant_tell() -> None:
    async def steps(screen: Screen) -> None:
        said = []
        for _ in range(60):
            if not screen.asked:
                break
            rows = [row for row in screen.desk.prompt.rows if row.says.startswith("Can't tell")]
            assert rows, screen.asked
            said.append(screen.asked)
            screen.desk.pick_row(screen.desk.prompt.rows.index(rows[0]))
        assert len(said) > 8
        screen.app.talk_screen.show_desk()

    drive(steps)


def test_the_mouse_picks_choices_keys_and_earlier_answers() -> None:
    async def steps(screen: Screen) -> None:
        def row_of(words: str) -> int:
            return next(place for place, line in enumerate(screen.text().splitlines()) if words in line)

        await screen.pilot.click(offset=(8, row_of("Van or pickup")))
        await screen.pilot.pause()
        assert screen.asked == "wheel-position"
        await screen.pilot.click(offset=(95, row_of("So far") + 2))
        await screen.pilot.pause()
        assert screen.asked == "vehicle"
        row = row_of("Esc never mind")
        await screen.pilot.click(offset=(screen.text().splitlines()[row].index("Esc") + 1, row))
        await screen.pilot.pause()
        assert screen.asked == "wheel-position"
        await screen.press("f1")
        talk = screen.app.talk_screen.talk
        before = talk.top
        talk.post_message(MouseScrollDown(talk, 3, 3, 0, 1, 0, False, False, False))
        await screen.pilot.pause()
        assert talk.top > before

    drive(steps, WIDE)
