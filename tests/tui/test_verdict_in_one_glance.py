"""The verdict on one small screen, its sections folded; the open question always in its frame."""

from __future__ import annotations

import pytest

from advisor.model.ruleset import Verdict
from advisor.tui.ask_panel import card_panel, section_rows
from advisor.tui.dialogs import TakeUp
from advisor.wording.verdict_card import OPEN_PARTS, Card, CardPart, ShortCard
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
            assert line.partition(". ")[0].split()[-1] in text

    drive(steps, SMALL)


LOW = {**NAIL_HOLE, "found-pressure": "24", "run-low-inside": "none"}
LOW_BY_RULES = {
    "us-road": LOW,
    "uk-road": {**LOW, "injury-size": "3 mm"},
    "de-road": {**LOW, "found-pressure": "1.7", "set-pressure": "2.4"},
}
#: What was typed in vain, more than a row of it.
IN_VAIN = (
    "not understood: camry golf civic tread over rust around",
    "typed and not understood: around hole none at all",
)


@pytest.mark.parametrize(
    ("rules", "answers", "sign"),
    [
        *((rules, answers, "REPAIR") for rules, answers in LOW_BY_RULES.items()),
        ("us-road", RAN_LOW, "REPAIR"),
        ("us-road", ON_THE_WHEEL, "HOLD"),
    ],
)
def test_what_decides_and_what_can_hurt_is_cut_nowhere_on_a_small_screen(
    rules: str, answers: dict[str, str], sign: str
) -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(answers)
        consultation = screen.desk.consultation
        for note in IN_VAIN:
            consultation.become(consultation.state.noting(note))
        screen.desk.settle()
        screen.app.talk_screen.show_desk()
        await screen.pilot.pause()
        rows = [line.strip("│ ┃") for line in screen.text().splitlines()]
        text = " ".join(" ".join(rows).split())
        assert f"{sign} " in text and "more: PgDn" not in text
        card = consultation.card()
        assert all(reason in text for reason in card.short.reasons[:2]), "a reason is shown with its limit"
        assert card.short.danger.partition(". ")[0] in text
        first = rows.index(next(row for row in rows if row.startswith("First")))
        do = next(place for place, row in enumerate(rows) if row.startswith("Do now"))
        assert do - first <= 2, "what was typed in vain pushes nothing out"
        for each in card.short.do_now[1:]:
            assert each.partition(". ")[0] in text
        cut = [row for row in rows if "…" in row]
        assert all(row.rpartition("… ")[2].isdigit() for row in cut), "a cut tells the key to the whole"
        assert "[+] By these rules" in text
        long = next((each for each in card.short.do_now[1:] if each not in text), "")
        await screen.type("cautions")
        if long:
            await screen.press("pageup", "pageup", "pageup")
            every = " ".join(" ".join(line.text for line in screen.app.talk_screen.panel.lines).split())
            assert long in every, "folded, and whole there"

    drive(steps, SMALL, rules=rules)


def test_questions_are_counted_apart_from_reasons_and_named_in_two_rows() -> None:
    again = tuple(f"earlier repair {number}: where the earlier repair sits, by the clock" for number in range(1, 9))
    short = ShortCard(
        "", ("it can't be told where it sits",), (), ("Find it out.",), again, (), "Keep out of the line."
    )
    parts = (CardPart("Reasons", ("one", "two"), "reasons"), CardPart(OPEN_PARTS[2], again, "reasons"))
    card = Card(Verdict.HOLD, "Nothing may be decided yet.", short, parts)
    rows = section_rows(card)
    assert rows[0].says == "All reasons, with sources (2, and 8 still open)"
    lines = [line.text for line in card_panel(card, rows, None, (), 76, 12)]
    assert any("8 things, first: earlier repair 1: where" in line for line in lines)
    assert len(lines) <= 12 and sum("by the clock" in line for line in lines) <= 2


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


@pytest.mark.parametrize("back", ["", "verdict"])
def test_behind_a_question_enter_or_its_word_brings_the_whole_card_back(back: str) -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(NAIL_HOLE)
        card, asked = screen.text(), screen.desk.consultation.saved
        for line in ("can i just plug it", "how do i measure the angle"):
            await screen.type(line)
            assert "Do now" not in screen.text() and "> Enter: the whole card" in screen.text()
            await screen.press("pagedown")
            await screen.type(back)
            assert screen.text() == card
        assert screen.desk.consultation.saved is asked

    drive(steps, SMALL)


def test_esc_says_what_it_does_beside_the_card_and_where_a_tire_is_offered() -> None:
    async def steps(screen: Screen) -> None:
        await screen.press("f1")
        assert "Esc never mind" in screen.keys or "Esc" not in screen.keys
        await screen.answer(NAIL_HOLE)
        await screen.type("can i just plug it")
        assert "Esc the card" in screen.keys
        await screen.press("escape")
        screen.desk.open(TakeUp("An unfinished consultation is there.", list, list))
        await screen.press("down")
        assert "Esc another tire" in screen.keys

    drive(steps, SMALL)


def test_a_few_lines_leave_the_card_its_room_and_the_work_leaves_it_whole() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(NAIL_HOLE)
        card = screen.text()
        await screen.type("today")
        text = screen.text()
        assert "no list of the day" in text and "Do now" in text and "Danger" in text and "6 [+]" in text
        await screen.press("ctrl+t")
        await screen.press("t", "i", "c", "k", "enter")
        await screen.press("escape")
        assert screen.text() == card

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


def test_no_name_is_cut_in_the_table_at_the_side() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(TRUCK)
        side = screen.app.talk_screen.side
        text = " ".join(" ".join(line.text for line in side.lines).split())
        assert "…" not in text and "what the inspection found" in text and "signs around the injury inside" in text

    drive(steps, WIDE)
