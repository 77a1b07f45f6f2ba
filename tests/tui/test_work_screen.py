"""The work on its own screen: ticks by Enter, notes, the timer while something else is read, findings that end it."""

from __future__ import annotations

import re
from datetime import date, timedelta

import pytest
from msgspec.structs import replace
from textual.widgets import Input

from advisor.dialogue.work_fields import as_written_down
from advisor.dialogue.work_steps import plan_of, step_in_hand
from advisor.tui.found_screen import FoundScreen
from advisor.tui.work_screen import WorkScreen
from advisor.work.progress import FieldReading
from tests.tui.driving import NAIL_HOLE, SIDEWALL, SMALL, WIDE, Screen, drive
from tests.work.work_support import judge_of


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
        assert "Step 5 of 33 - Mark the injury" in seen(screen) and "> 5 mark the injury" in seen(screen)
        assert "[x] 1 make the place safe" in seen(screen), "what the answers show is done"
        assert "[ ] trim and look (2)" in seen(screen)
        await screen.press("enter")
        assert "[x] inspect and prepare (7)" in seen(screen) and "Step 8 of" in seen(screen)
        await screen.press("enter")
        await screen.work_line("note stand [bold]two")
        assert "stand [bold]two" in seen(screen)
        await screen.work_line("untick")
        assert "Step 8 of" in seen(screen)
        await screen.press("pagedown", "escape")
        assert not isinstance(screen.app.screen, WorkScreen)
        assert len(screen.desk.consultation.work.ticks) == 1
        await screen.press("ctrl+t")
        assert "Step 8 of" in seen(screen), "what was done is still done"

    drive(steps, WIDE)


def test_the_word_goes_where_the_key_goes_and_the_measure_there_may_say_that_it_is_now() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(NAIL_HOLE, until="injury-depth")
        await screen.type("work")
        assert not isinstance(screen.app.screen, WorkScreen), "no work while questions are open"
        await screen.answer(NAIL_HOLE)
        await screen.type("work")
        assert "Step 5 of 33 - Mark the injury" in seen(screen)
        await screen.press("f4")
        assert "Step 8 of" in seen(screen), "the rest of the stage"
        await screen.work_line("tick 8-10")
        await screen.work_line("6 mm now")
        assert "Step 12 of" in seen(screen) and screen.desk.consultation.pending is None

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
            await screen.work_line("6 mm" if planned.step.measures else "tick")
        assert "Timer set (let it dry)" in seen(screen)
        assert "5 min left" in work.timers.lines[0].text
        time[0] = start + timedelta(minutes=2, seconds=15)
        await screen.work_line("what is a liner")
        assert "2 min 45 s left" in work.timers.lines[0].text
        time[0] = start + timedelta(minutes=9)
        work.show_timers()
        assert "are over" in work.timers.lines[0].text
        time[0] = start + timedelta(minutes=2)
        await screen.press("enter")
        assert "Not ticked: let it dry." in seen(screen) and "tick early" in seen(screen)
        await screen.work_line("tick early")
        assert "let it dry (ticked 3 min before its 5 min were over)" in seen(screen)

    drive(steps, SMALL)


def test_several_steps_by_their_numbers() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(NAIL_HOLE)
        await screen.press("ctrl+t")
        await screen.work_line("5-11")
        assert "[x] drill and trim (2)" in seen(screen) and "Not ticked: measure again." in seen(screen)
        await screen.work_line("6 mm")
        assert "Step 12 of" in seen(screen)

    drive(steps, WIDE)


def test_a_finding_that_ends_the_work_says_what_to_do_with_the_tire() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(NAIL_HOLE)
        await screen.press("ctrl+t", "enter")
        await screen.work_line("found 9 mm")
        assert isinstance(screen.app.screen, WorkScreen)
        assert str(screen.desk.consultation.judgement.verdict) == "scrap"
        assert "SCRAP: what to do with this tire" in seen(screen) and "Mark it SCRAP on both sidewalls" in seen(screen)
        ticks = screen.desk.consultation.work.ticks
        await screen.press("enter")
        assert "There is nothing to tick. Type report for the record." in seen(screen)
        assert screen.desk.consultation.work.ticks == ticks
        await screen.press("escape")
        assert "SCRAP" in screen.text() and "work" in screen.keys, "no dead end"
        await screen.press("ctrl+t")
        assert "SCRAP: what to do with this tire" in seen(screen)

    drive(steps, WIDE)


def test_a_referral_is_prepared_and_says_what_goes_with_the_tire() -> None:
    truck = {**NAIL_HOLE, "vehicle": "truck", "sidewall": "275/70R22.5 148/145M TUBELESS", "found-pressure": "100",
             "set-pressure": "110", "load-range": "H"}  # fmt: skip

    async def steps(screen: Screen) -> None:
        await screen.answer(truck)
        await screen.press("ctrl+t", "enter", "enter", "enter")
        await screen.work_line("found 11 mm")
        assert str(screen.desk.consultation.judgement.verdict) == "refer"
        assert "Step" in seen(screen) and "Section repair" in seen(screen)
        assert "REFER: what to do with this tire" in seen(screen) and "What the next shop needs" in seen(screen)
        assert "injury 1: the injury's width - 11 mm" in seen(screen)
        assert "injury 1: where the injury is, by the clock - not measured" in seen(screen)
        done = len(screen.desk.consultation.work.ticks)
        await screen.press("enter")
        assert len(screen.desk.consultation.work.ticks) == done + 1, "Enter ticks the preparing too"

    drive(steps, WIDE)


def test_one_key_makes_the_report_at_the_verdict_and_at_the_work() -> None:
    made: list[str] = []

    def make(record: str) -> tuple[str, ...]:
        made.append(record)
        return (f"Opened and saved: {record}",)

    async def steps(screen: Screen) -> None:
        await screen.answer(NAIL_HOLE, until="injury-depth")
        assert "report" not in screen.keys
        await screen.answer(NAIL_HOLE)
        consultation = screen.desk.consultation
        await screen.press("f12")
        assert "Nothing is kept here" in screen.text() and not made
        consultation.make_page = make
        consultation.become(replace(consultation.state, kept_as="260314-1"))
        await screen.press("f12")
        assert made == ["260314-1"] and "Opened and saved: 260314-1" in screen.text()
        await screen.press("ctrl+t", "f12")
        assert made == ["260314-1"] * 2 and "Opened and saved" in seen(screen)

    drive(steps, WIDE)


def test_what_turned_up_is_picked_from_a_list() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(NAIL_HOLE)
        await screen.press("ctrl+t")
        await screen.press("enter", "f3")
        finds = screen.app.screen
        assert isinstance(finds, FoundScreen)
        await screen.press("a", "enter")
        work = screen.app.screen
        assert isinstance(work, WorkScreen) and work.line.value == "found injury-size "
        work.line.insert_text_at_cursor("5.5 mm")
        await screen.press("enter")
        assert "5.5 mm" in str(screen.desk.consultation.case.injuries[0])
        await screen.press("f3")
        await screen.press("f", "space", "i", "space", "escape")
        assert "rust" not in str(screen.desk.consultation.case.injuries[0]), "left, nothing is taken"
        await screen.press("f3")
        await screen.press("f", "space", "g", "space", "enter")
        assert "rust, separation" in str(screen.desk.consultation.case.injuries[0]["inside-signs"])
        assert str(screen.desk.consultation.judgement.verdict) == "scrap"
        assert "take back" in work.keys.text and "tick stage" not in work.keys.text
        await screen.press("f6", "f6")
        assert str(screen.desk.consultation.judgement.verdict) == "repair"

    drive(steps, SMALL)


def test_a_stage_by_one_key_and_every_key_shown_does_something() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(NAIL_HOLE)
        await screen.press("ctrl+t")
        await screen.press("f4", "f4")
        assert "Step 9 of" in seen(screen), "inspected, then cleaned"
        for key, comes in (("f1", "Keys that work now"), ("f2", "What was said for it"), ("f7", "steps ticked")):
            await screen.press(key)
            assert comes in seen(screen), key
        await screen.press("f5")
        assert "Step 8 of" in seen(screen)

    drive(steps, SMALL)


@pytest.mark.parametrize("key", ["enter", "f4"])
def test_what_was_written_down_before_is_offered_in_the_line_and_taken_by_no_key(key: str) -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(NAIL_HOLE)
        consultation = screen.desk.consultation
        kept = FieldReading(("cement-channel", 0), "cement-batch", "C118", None)
        consultation.become(replace(consultation.state, of_day=(kept,)))
        await screen.press("ctrl+t")
        while (planned := step_in_hand(consultation)) is not None and planned.step.id != "cement-channel":
            await screen.work_line("tick anyway")
        line = screen.app.screen.query_one("#work-line", Input)
        assert line.placeholder.startswith("Enter ticks the step, or type same for C118, cement batch C118")
        assert "Type same to write down: the cement's batch C118. A tick alone writes none of it." in seen(screen)
        before = consultation.state
        await screen.press(key)
        assert len(consultation.work.ticks) > len(before.work.ticks)
        assert "C118" not in [each.text for each in consultation.work.readings]
        consultation.become(before)
        await screen.work_line("same")
        reading = consultation.work.reading_of(("cement-channel", 0), "cement-batch")
        assert reading is not None and reading.text == "C118" and consultation.work.ticks == before.work.ticks

    drive(steps, SMALL)


def test_a_line_that_leads_out_of_the_work_leads_back_to_its_step() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(NAIL_HOLE)
        await screen.press("ctrl+t", "enter", "enter")
        consultation = screen.desk.consultation
        place = consultation.work.current(plan_of(consultation))
        assert place is not None
        at = f"step {place + 1}, {plan_of(consultation)[place].step.title}"
        await screen.work_line("3 mm left")
        assert consultation.pending is not None and not isinstance(screen.app.screen, WorkScreen)
        assert f"The work waits at {at}, and goes on there" in " ".join(screen.text().split())
        await screen.type("2")
        assert isinstance(screen.app.screen, WorkScreen) and f"Step {place + 1} of" in seen(screen)

    drive(steps, SMALL)


def test_escape_goes_from_the_log_back_to_the_step() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(NAIL_HOLE)
        await screen.press("ctrl+t")
        for key, comes in (("f7", "steps ticked"), ("f1", "Keys that work now"), ("f2", "What was said for it")):
            await screen.press(key)
            assert comes in seen(screen)
            await screen.press("escape")
            assert isinstance(screen.app.screen, WorkScreen) and comes not in seen(screen)
        await screen.press("escape")
        assert not isinstance(screen.app.screen, WorkScreen)

    drive(steps, SMALL)


@pytest.mark.parametrize("way", ["f9", "start over"])
def test_another_tire_from_the_work_is_asked_first_and_ends_at_its_own_card(way: str) -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(NAIL_HOLE)
        await screen.type("say it plain, whats the cheapest way")
        assert screen.complaint and screen.line.startswith("say it plain")
        await screen.press("ctrl+t", "enter")
        await screen.work_line("3 mm left")
        await screen.press("2", "enter")
        assert isinstance(screen.app.screen, WorkScreen) and not screen.line
        await (screen.press("f9") if way == "f9" else screen.work_line(way))
        await screen.pilot.pause()
        assert not isinstance(screen.app.screen, WorkScreen) and "Start over?" in screen.text()
        await screen.press("1", "enter")
        assert not screen.line and not screen.desk.consultation.work.begun and screen.asked
        await screen.answer(SIDEWALL)
        await screen.pilot.pause()
        assert not isinstance(screen.app.screen, WorkScreen), "the card comes, whatever the tire before was at"
        assert "SCRAP" in screen.text() and "Do now" in screen.text()

    drive(steps, SMALL)


@pytest.mark.parametrize("line", ["may i plug it on the wheel", "note nail was from the yard", "today", "help"])
def test_what_the_program_says_is_spelled_as_the_rules_spell(line: str) -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer({**NAIL_HOLE, "injury-size": "3 mm"})
        await screen.type(line)
        said = " ".join(line.text for line in screen.app.talk_screen.talk.lines)
        assert not re.search(r"\btires?\b", said, re.I), said

    drive(steps, SMALL, rules="uk-road")


def test_a_tyre_is_handed_on_as_one() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer({**NAIL_HOLE, "injury-size": "9 mm"})
        await screen.press("ctrl+t")
        assert "what to do with this tyre" in seen(screen) and not re.search(r"\btires?\b", seen(screen))

    drive(steps, SMALL, rules="uk-road")


def test_a_car_is_worked_on_as_a_car() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(NAIL_HOLE)
        consultation = screen.desk.consultation
        says = " ".join(planned.says for planned in plan_of(consultation))
        assert "as for a truck" not in says and "of a pair" not in says
        await screen.press("ctrl+t")
        typed = {}
        while (planned := step_in_hand(consultation)) is not None:
            line = screen.app.screen.query_one("#work-line", Input)
            typed[planned.step.id] = line.placeholder
            ticked = len(consultation.work.ticks)
            for tick in ("tick", "tick anyway"):
                if len(consultation.work.ticks) == ticked:
                    await screen.work_line(tick)
        assert typed["inflate"].endswith("inflated to 33 psi") and typed["fit-wheel"].endswith("torque 80 lb-ft")

    drive(steps, SMALL)


@pytest.mark.parametrize("rules", ["us-road", "uk-road", "de-road"])
def test_examples_by_vehicle_are_of_vehicles_there_are_and_are_taken(rules: str) -> None:
    judge = judge_of(rules)
    vehicles = {choice.id for choice in judge.rules.questions["vehicle"].choices}
    fields = [each for method in judge.rules.methods.values() for step in method.steps for each in step.fields]
    fields = [each for each in fields if each.example_by]
    assert fields
    for each in fields:
        assert set(each.example_by) <= vehicles
        assert [as_written_down(each, text, date.today()) for text in each.example_by.values()]
