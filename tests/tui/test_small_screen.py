"""At 80x24: what was heard, what was taken and how to find out an answer are read without paging."""

from __future__ import annotations

import pytest

from advisor.dialogue.confirm_choices import takeable
from advisor.tui.prompt_bar import hint_at
from advisor.wording.verdict_card import question_in_words
from tests.tui.driving import NAIL_HOLE, SIDEWALL, SMALL, WIDE, Screen, drive
from tests.tui.scenes import ON_THE_WHEEL, RAN_LOW, REFERRED, TRUCK

pytestmark = pytest.mark.free_order
#: First lines as they were typed, long ones among them.
FIRST_LINES = (
    "11R22.5 load range G radial tubless drive truck outer dual, nail in the crown",
    "225/65R17 car front, cut in the sidewal from a kerb, about 15mm, cords showing",
    "205/55R16 91V passenger, rear axle of a car i think, radial tubless, new tread, dot 1123",
    "295/75R22.5 trailer tyre, theres a bulge on the sidewall half an inch high, blorp",
)
PAGING = "more: PgDn"


@pytest.mark.parametrize("line", FIRST_LINES)
def test_all_that_a_read_back_reads_back_is_in_sight(line: str) -> None:
    async def steps(screen: Screen) -> None:
        await screen.type(line)
        text = screen.text()
        assert "Is that what you said?" in text and "1 Yes" in text and PAGING not in text
        waits = screen.desk.consultation.pending
        assert waits is not None
        for number in range(1, len(waits.answers) + len(waits.proposed) + 1):
            assert f" {number}. " in " ".join(text.split()), number
        assert "not 2 takes number 2 out" in text and "How:" not in text.partition("╭")[2]

    drive(steps, SMALL)


def test_a_long_read_back_is_whole_on_the_smallest_screen() -> None:
    async def steps(screen: Screen) -> None:
        await screen.type(f"{FIRST_LINES[0]}, 6 mm wide, straight in, right through, no sealant")
        text = screen.text()
        said = " ".join(text.split())
        assert "Understood, not counted yet: 1. " in said and " 10. " in said and PAGING not in text

    drive(steps, (60, 20))


def test_all_that_was_taken_of_a_line_stands_above_the_next_question() -> None:
    async def steps(screen: Screen) -> None:
        await screen.type("11R22.5 load range G tubeless radial, first tread, not run flat, dot 2322")
        if screen.desk.consultation.pending is not None:
            await screen.type("yes")
        before = set(screen.desk.consultation.case.answers)
        await screen.type("95/105 psi, not soft, 14/32 in")
        taken = set(screen.desk.consultation.case.answers) - before
        said = screen.text().partition("╭")[0]
        assert len(taken) > 2
        assert said.count("·") == len(taken) - 1 and all(each in said for each in ("95 psi", "105 psi", "14/32 in"))

    drive(steps, SMALL)


def test_the_frame_has_no_empty_rows_while_what_was_taken_has_no_room() -> None:
    async def steps(screen: Screen) -> None:
        await screen.type("P215/65R16 96H, car")
        assert screen.asked == "tube"
        text = screen.text()
        asked = text.partition("╭")[2].partition("╰")[0].splitlines()
        assert all(line.strip("│┃ ") for line in asked[1:])
        assert "> P215/65R16 96H, car" in text and "the load on a single wheel: 710 kg" in text

    drive(steps, SMALL)


def test_a_name_longer_than_its_column_takes_what_a_short_answer_leaves_at_the_side() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(NAIL_HOLE, until="earlier-repairs")
        lines = [line.rstrip("│ ") for line in screen.text().splitlines()]
        for row in ("pressure it should have  33 psi", "new, recapped or regrooved  No", "made to run without air  No"):
            assert any(line.endswith(row) for line in lines), row

    drive(steps, WIDE)


def test_how_to_find_it_out_is_cut_last_and_f3_shows_the_rest() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(NAIL_HOLE, until="demounted")
        assert "before you take" in screen.text() and "anything apart." in screen.text()
        await screen.answer(NAIL_HOLE, until="findings")
        assert "… F3" in screen.text() and "blunt probe" not in screen.text()
        await screen.press("f3")
        assert "blunt probe" in screen.text()
        await screen.press("escape")
        assert "0 None of these" in screen.text()

    drive(steps, SMALL)


@pytest.mark.parametrize("size", [SMALL, WIDE])
def test_no_number_frightens_at_first_and_none_jumps(size: tuple[int, int]) -> None:
    async def steps(screen: Screen) -> None:
        assert "more" not in screen.desk.panel_title
        told: list[str] = []
        for line in (
            "275/70R22.5 148/145M LRH TUBELESS, first tread, dot 2319, not run flat",
            "104/110, not soft, 9/32 in",
            "off, all looked at, none",
            "6 mm round 10° crown through",
        ):
            await screen.type(line)
            assert not screen.complaint
            told.append(screen.desk.panel_title)
        counts = [int(each.split(" · about ")[1].split()[0]) for each in told if "about" in each]
        assert counts and max(counts) <= 6 and counts == sorted(counts, reverse=True), told
        assert screen.app.talk_screen.panel.lines[0].text.strip()[0].isupper(), "no number stands ahead of a question"

    drive(steps, size)


def test_the_bar_beside_the_frame_has_no_line_of_its_own() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(NAIL_HOLE, until="findings")
        frame = screen.text().partition("╭")[2]
        assert "┃│" in frame and "││" not in frame

    drive(steps, (60, 20))


LOST = ("gribbled along one edge of it", "customer thinks wobbly", "its wonky too", "leave it out, both are round")


@pytest.mark.parametrize("answers", [TRUCK, RAN_LOW, REFERRED, ON_THE_WHEEL, SIDEWALL])
def test_what_was_not_understood_pushes_nothing_off_the_card_and_is_whole_behind_its_number(
    answers: dict[str, str],
) -> None:
    async def steps(screen: Screen) -> None:
        for line in LOST:
            screen.desk.text = line
            screen.desk.enter()
        screen.desk.text, screen.desk.complaint = "", ()
        screen.app.talk_screen.line.value = ""
        await screen.answer(answers)
        text = screen.text()
        lines = [line.strip("│ ") for line in text.splitlines()]
        first = next(place for place, line in enumerate(lines) if line.startswith("First"))
        now = next(place for place, line in enumerate(lines) if line.startswith("Do now"))
        assert "Not understood, so not counted: 4 lines" in lines[first]
        assert now - first <= 2 and now > first and "…" in lines[now - 1]
        assert PAGING not in text
        assert all(each in text for each in ("Because", "Danger", "By these rules", "Typed or said, and not counted"))
        card = screen.desk.consultation.card()
        assert card.short.do_now[0] == card.short.first
        assert all(line.partition(". ")[0].split()[-1] in text for line in card.short.do_now[1:])
        assert "say it again" not in text
        await screen.type(lines[now - 1].rpartition("… ")[2])
        assert "say it again" in " ".join(screen.text().split())

    drive(steps, SMALL)


def test_a_line_typed_at_the_card_and_not_understood_has_its_number_at_once() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(SIDEWALL)
        assert "Typed or said" not in screen.text()
        await screen.type(LOST[0])
        assert "Typed or said, and not counted" in screen.text() and LOST[0] in screen.text()

    drive(steps, SMALL)


@pytest.mark.parametrize("size", [(60, 20), SMALL, WIDE])
def test_what_can_be_typed_at_the_card_and_at_a_question_is_never_cut_off(size: tuple[int, int]) -> None:
    async def steps(screen: Screen) -> None:
        for asked in ("sidewall", "findings", "injury-zone", "injury-size", ""):
            await screen.answer(SIDEWALL, until=asked)
            shown = screen.app.talk_screen.line.placeholder
            whole = screen.desk.prompt.hint
            assert shown in screen.text() and len(shown) <= size[0] - 3
            kept = shown if shown in whole else shown.partition(",")[0]
            assert kept in whole and (whole == shown or whole.split(kept)[1][:1] in (",", ";", " "))
            assert not shown.endswith((":", "or type", "or", ","))
        assert hint_at("1 or 2; or set it right: no, the steer axle", 30) == "1 or 2"
        assert "stop ends" in shown and ("opens a part; why" in shown or size < SMALL)

    drive(steps, size)


def test_the_card_and_the_line_below_count_alike() -> None:
    async def steps(screen: Screen) -> None:
        for line in ("P215/65R16 96H, first tread, not run flat", "tubeless, dot 2319", "30/33, not soft, 9/32 in"):
            await screen.type(line)
        await screen.type("6 mm round 10° sidewall through")
        card, left = screen.desk.consultation.card(), screen.desk.consultation.for_the_record
        assert left == len(card.short.missing) > 0
        assert f"Enter: {left} more" in screen.text() and f"Open     {left} questions" in screen.text()

    drive(steps, SMALL)


def test_what_counts_with_yes_is_not_said_to_be_asked_back() -> None:
    async def steps(screen: Screen) -> None:
        await screen.type("P215/65R16 96H, rear axle")
        await screen.type("not 1, take 2, front left")
        text = " ".join(screen.text().replace("│", "").replace("┃", "").split())
        assert "the wheel position: Drive axle" in text and "be sure of it" in text
        assert "Asked back: the wheel position" not in text

    drive(steps, SMALL)


def test_under_british_rules_the_screen_says_tyre() -> None:
    async def steps(screen: Screen) -> None:
        await screen.type("gribbled along one edge of it")
        await screen.type("stop")
        first = screen.desk.consultation.card().short.first
        assert "bears on the tyre" in first and "tire" not in first

    drive(steps, SMALL, rules="uk-road")


def test_what_the_third_choice_adds_stands_in_the_frame_however_long_the_list_is() -> None:
    async def steps(screen: Screen) -> None:
        said = "camry rear left, 22 psi should be 35, nail thru in the crown, maybe rust inside it, 7/32 tread"
        await screen.type(f"{said}, somebody said tubeless")
        consultation = screen.desk.consultation
        assert consultation.pending is not None
        numbers = takeable(consultation.pending, consultation.judge.rules)
        assert numbers
        frame = " ".join(" ".join(line.text for line in screen.app.talk_screen.panel.lines).split())
        first = len(consultation.pending.answers) + 1
        for number in numbers:
            one = consultation.pending.proposed[number - first]
            assert question_in_words(one.key, consultation.judge.rules) in frame, "seen before it is said to be so"
        await screen.type(f"Yes, and number {numbers[0]} too" if len(numbers) == 1 else "3")
        assert consultation.pending is None

    drive(steps)
