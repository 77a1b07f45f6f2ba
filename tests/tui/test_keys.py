"""What the keys do, and that only those that work now are shown."""

from __future__ import annotations

import json
from datetime import datetime
from pathlib import Path

import pytest

from advisor.cli import main
from advisor.commands.consult import report_page_of
from advisor.tui.export_text import default_name, result_text, save
from advisor.tui.keymap import KEYS, SPARED
from advisor.tui.prompt_bar import Refused
from tests.tui.driving import NAIL_HOLE, SIDEWALL, SMALL, WIDE, Screen, drive


def test_back_and_change_keep_every_other_answer() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(NAIL_HOLE, until="tube")
        await screen.press("f5")
        assert screen.asked == "sidewall"
        assert "Answered before: P215/65R16 96H" in screen.text()
        await screen.press("enter")
        assert screen.asked == "tube"
        await screen.press("f4", "1", "enter")
        assert screen.asked == "vehicle"
        await screen.press("escape")
        assert screen.asked == "tube"
        await screen.press("f4", "down", "enter", "4", "enter")
        assert str(screen.desk.consultation.case.answers["vehicle"]) == "bus"
        assert len(screen.desk.consultation.case.answers) >= 3
        assert screen.asked != "vehicle"

    drive(steps)


def test_answers_that_do_not_count_now_are_marked_at_the_side() -> None:
    async def steps(screen: Screen) -> None:
        scrape = {"injury-depth": "rubber-only", "injury-zone": "sidewall", "cut-depth": "1/32 in"}
        await screen.answer({**NAIL_HOLE, **scrape}, until="inside-signs")
        await screen.type("change injury depth")
        await screen.type("through")
        assert "x not counted" in screen.text()

    drive(steps, WIDE)


def test_a_repair_that_was_described_stays_until_it_is_dropped_by_name() -> None:
    async def steps(screen: Screen) -> None:
        repaired = {"earlier-repairs": "yes", "repair-sound": "no", "more-repairs": "no"}
        await screen.answer({**NAIL_HOLE, **repaired}, until="injury-depth")
        await screen.type("change earlier repairs")
        await screen.type("no")
        assert "drop repair 1" in screen.complaint
        assert len(screen.desk.consultation.case.repairs) == 1
        await screen.press("escape", "escape")
        await screen.type("drop repair 1")
        await screen.type("change earlier repairs")
        await screen.type("no")
        assert not screen.complaint
        assert screen.desk.consultation.case.repairs == ()

    drive(steps, WIDE)


def test_the_line_typed_so_far_survives_every_aside() -> None:
    async def steps(screen: Screen) -> None:
        await screen.press("1", "enter", *"stee")
        for key in ("f2", "f3", "f1", "f7"):
            await screen.press(key)
            assert screen.line == "stee"
        for key in ("f4", "f6", "f8", "f9", "ctrl+q"):
            await screen.press(key)
            await screen.press("escape")
            assert screen.line == "stee", key
        await screen.press("r", "enter")
        assert screen.asked == "sidewall"

    drive(steps)


def test_marks_survive_why() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(NAIL_HOLE, until="findings")
        await screen.press("down", "space", "f2")
        assert screen.desk.marked == {"exposed-cord"}
        await screen.press("f6", "escape", "enter")
        assert screen.desk.consultation.case.answers["findings"].present == {"exposed-cord"}

    drive(steps)


def test_why_and_why_ask_and_words() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(SIDEWALL)
        await screen.press("f2")
        assert "SCRAP" in screen.text()
        assert "The rulings that bring it" in screen.text()
        await screen.type("why 1")
        assert "You answered" in screen.text()
        await screen.press("f5", "f3")
        assert screen.asked
        await screen.press("f6")
        await screen.type("bead")
        assert "Bead:" in screen.text()

    drive(steps, WIDE)


def test_starting_over_asks_first() -> None:
    async def steps(screen: Screen) -> None:
        await screen.press("1", "enter", "f9")
        await screen.type("no")
        assert screen.desk.answered
        await screen.press("f9", "1", "enter")
        assert not screen.desk.answered
        assert screen.asked == "vehicle"

    drive(steps)


def test_leaving_asks_once_when_something_is_answered() -> None:
    async def nothing_answered(screen: Screen) -> None:
        await screen.press("ctrl+q")

    assert drive(nothing_answered).return_value == 0

    async def answered(screen: Screen) -> None:
        await screen.press("1", "enter", "ctrl+q")
        assert screen.app.return_value is None
        assert "Leave now?" in screen.text()
        await screen.press("2", "enter")
        await screen.type("quit")
        await screen.press("ctrl+q")

    assert drive(answered).return_value == 0


def test_a_settled_verdict_can_be_taken_early() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(SIDEWALL, until="injury-size")
        rows = [row.says for row in screen.desk.prompt.rows]
        assert any(says.startswith("Stop here: SCRAP") for says in rows)
        await screen.press("up", "enter")
        assert not screen.asked
        assert " SCRAP " in screen.text()
        await screen.type("go on")
        assert screen.asked

    drive(steps)


def test_a_whole_sentence_is_shown_back_and_confirmed() -> None:
    async def steps(screen: Screen) -> None:
        await screen.type("steer tire off a truck, nail in the crown, blorp")
        assert screen.asked == "understood"
        await screen.press("1", "enter")
        assert screen.desk.answered

    drive(steps)


@pytest.mark.parametrize("size", [SMALL, WIDE, (60, 18)])
def test_only_keys_that_work_are_shown(size: tuple[int, int]) -> None:
    async def steps(screen: Screen) -> None:
        assert "F5" not in screen.keys
        assert "F4" not in screen.keys
        assert "Esc" not in screen.keys
        assert "F1 help" in screen.text()
        await screen.press("1", "enter")
        for key in KEYS:
            shown = f"{key.written} {key.label}" in screen.keys
            assert shown is screen.app.talk_screen.can(key.id), key.id
            left_to_palette = key.id in SPARED and "^P all" in screen.text()
            assert not shown or f"{key.written} {key.label}" in screen.text() or left_to_palette
        await screen.press("f4")
        assert "Esc never mind" in screen.text()
        assert "F2" not in screen.keys
        before = screen.text()
        await screen.press("f2")
        assert screen.text() == before

    drive(steps, size)


def test_every_key_stands_in_help_and_in_the_palette() -> None:
    async def steps(screen: Screen) -> None:
        await screen.press("1", "enter", "1", "enter")
        labels = {command.title for command in screen.app.get_system_commands(screen.app.screen)}
        for key in KEYS:
            if key.id != "cancel":
                assert (key.label in labels) is screen.app.talk_screen.can(key.id), key.id
        assert {"help", "why", "change", "light/dark"} <= labels
        assert not {"Screenshot", "Maximize", "Keys"} & labels
        await screen.press("f1")
        others = [key for key in KEYS if key.id != "cancel"]  # Esc works once the help is there to be left
        assert all(screen.app.talk_screen.can(key.id) is (key.says in _words(screen)) for key in others)
        await screen.press("ctrl+p")
        assert len(screen.app.screen_stack) == 2
        await screen.press("ctrl+q")
        assert screen.app.return_value is None
        await screen.press("escape")
        assert len(screen.app.screen_stack) == 1

    drive(steps, WIDE)


def _words(screen: Screen) -> str:
    return "\n".join(para.text for turn in screen.desk.transcript.turns for para in turn)


def test_every_key_has_an_id_and_a_sentence() -> None:
    assert len({key.id for key in KEYS}) == len(KEYS)
    assert len({key.key for key in KEYS}) == len(KEYS)
    assert all(key.says.endswith(".") and key.label for key in KEYS)


def test_saving_asks_for_a_name_and_never_writes_over(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)

    async def steps(screen: Screen) -> None:
        screen.desk.now = lambda: datetime(2026, 3, 14, 9, 5)
        await screen.answer(SIDEWALL)
        await screen.press("f8")
        assert screen.line == "advisor-2026-03-14-0905.txt"
        await screen.press("enter")
        assert "Saved as" in screen.text()
        await screen.press("f8", "enter")
        assert "is there already" in screen.complaint
        assert screen.line == "advisor-2026-03-14-0905.txt"
        await screen.press("escape")
        assert not screen.complaint

    drive(steps)
    text = (tmp_path / "advisor-2026-03-14-0905.txt").read_text(encoding="utf-8")
    assert text.startswith("SCRAP: ")
    assert "What was answered" in text
    assert "the vehicle: Car" in text


def test_the_name_s_ending_says_what_is_saved_and_a_saved_case_is_judged_alike(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)

    async def steps(screen: Screen) -> None:
        screen.desk.page_of = report_page_of
        await screen.answer(SIDEWALL)
        await screen.press("f8")
        assert ".json" in screen.text() and ".html" in screen.text()
        for name in ("one.json", "one.html"):
            screen.app.talk_screen.line.value = name
            await screen.press("enter")
            assert "Saved as" in screen.text()
            await screen.press("f8")

    drive(steps)
    assert "<!DOCTYPE html>" in (tmp_path / "one.html").read_text(encoding="utf-8")
    capsys.readouterr()
    assert main(["decide", "one.json", "--json"]) == 0
    judged = json.loads(capsys.readouterr().out)
    assert (judged["verdict"], judged["settled"], judged["problems"]) == ("scrap", True, [])


def test_beginning_anew_says_what_becomes_of_the_answers() -> None:
    async def steps(screen: Screen) -> None:
        await screen.press("1", "enter", "f9")
        text = " ".join(screen.text().replace("│", " ").split())
        assert "all answers given so far are gone for good" in text

    drive(steps)


@pytest.mark.parametrize("name", ["no/such/folder/x.txt", ".", "a\0b", "~nobody-here/x", "x" * 400])
def test_a_file_that_cannot_be_written_is_said(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    with pytest.raises(Refused, match="Type another name"):
        save(Path(name), "text")


def test_the_result_goes_to_the_clipboard_and_says_so() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(SIDEWALL)
        await screen.press("f7")
        assert screen.app.clipboard.startswith("SCRAP: ")
        assert "Sent to the terminal's clipboard" in screen.text()
        assert result_text(screen.desk.consultation).startswith(screen.app.clipboard)

    drive(steps)


def test_the_default_name_tells_when() -> None:
    assert default_name(datetime(2026, 11, 5, 7, 8)) == "advisor-2026-11-05-0708.txt"


@pytest.mark.parametrize("size", [(60, 20), SMALL])
def test_on_a_low_screen_the_keys_take_one_row_that_ends_with_all_of_them(size: tuple[int, int]) -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(SIDEWALL)
        rows = [line for line in screen.text().splitlines() if "F1 help" in line or "^Q quit" in line]
        assert len(rows) == 1
        assert rows[0].rstrip().endswith("^P all  ^Q quit")
        assert "^T work" in rows[0] and "F4 change" in rows[0]
        assert "F7 copy" not in rows[0] and screen.app.talk_screen.can("copy")

    drive(steps, size)


@pytest.mark.parametrize("key", ["f9", "f8", "f1", "f2", "ctrl+y"])
def test_a_refused_line_is_typed_over_whatever_key_came_between(key: str) -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(SIDEWALL)
        await screen.type("say it plain, whats the cheapest way")
        assert screen.complaint
        await screen.press(key)
        if screen.desk.aside:
            await screen.press("2" if key == "f9" else "x")
            assert screen.line == ("2" if key == "f9" else "x"), "what an aside proposes is typed over"
            await screen.press("escape")
        await screen.press("w", "h", "y")
        assert screen.line == "why"

    drive(steps)


def test_a_question_behind_a_part_s_digit_is_the_question_alone() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(SIDEWALL)
        await screen.type("7can i just plug it")
        assert screen.complaint, "no such part"
        await screen.press("escape")
        await screen.type("2can i just plug it")
        assert not screen.complaint and "A plug from outside" in screen.text()
        assert not screen.desk.consultation.pending, "nothing of it was taken as a sentence"

    drive(steps)


def test_nothing_is_saved_into_the_program_s_own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Path, "home", lambda: tmp_path)
    monkeypatch.chdir(Path(__file__).resolve().parents[2])

    async def steps(screen: Screen) -> None:
        await screen.answer(SIDEWALL)
        await screen.press("f8")
        assert "It goes into" in screen.text() and tmp_path.name in screen.text()
        await screen.press("t", ".", "t", "x", "t", "enter")
        assert "Saved as" in screen.text()

    drive(steps)
    assert (tmp_path / "t.txt").read_text(encoding="utf-8").startswith("SCRAP: ")
