"""What is written down at the steps: tests that fail, fields left empty, what is taken over, readings by bare words."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from advisor.dialogue.session import Consultation
from advisor.dialogue.talk_commands import say
from advisor.loader.case_file import read_case, split_cases
from advisor.work.progress import work_data, work_from
from tests.work.test_work import Clock, at_work, said, to_step
from tests.work.work_support import TODAY, case_text, judge_of


@pytest.mark.parametrize(
    "line",
    [
        "leak test bubbles",
        "leak test no bubbles but one at the valve leaks",
        "bubbles",
        "bubbles at the valve",
        "leaks",
        "found leak",
        "found bubbles at the bead",
        "no bubbles at the bead, leaks at the valve",
    ],
)
def test_a_failed_test_keeps_the_step_open_until_a_later_one_passes(line: str) -> None:
    consultation = at_work(clock=(clock := Clock()))
    to_step(consultation, "leak-check")
    say(consultation, "tick")
    case, ticks = consultation.case, consultation.work.ticks
    told = said(say(consultation, line))
    assert "FAILED" in told and "comes off again" in told and "stays open" in told
    assert (consultation.case, consultation.pending) == (case, None)
    for typed in ("tick", "tick early", "tick anyway", "tick 1-34"):
        say(consultation, "timer 1")
        clock.on(5)
        assert "are done" not in said(say(consultation, typed))
        assert consultation.work.ticks == ticks
    report = said(say(consultation, "report"))
    assert "FAILED, 08:00" in report and "not finished" in report
    assert work_from(work_data(consultation.work)) == consultation.work
    assert "FAILED" not in said(say(consultation, "no bubbles"))
    report = said(say(consultation, "report"))
    assert report.index("FAILED, 08:00") < report.rindex("leak test: no bubbles"), "both stand there, in order"
    say(consultation, "tick early")
    assert consultation.work.ticks[-1].key[0] == "leak-check"


def test_a_test_that_fails_after_its_tick_opens_the_step_again() -> None:
    consultation = at_work(clock=Clock())
    to_step(consultation, "leak-check")
    say(consultation, "tick")
    say(consultation, "tick early")
    assert consultation.work.ticks[-1].key[0] == "leak-check"
    assert "stays open" in said(say(consultation, "leak test bubbles"))
    assert "leak-check" not in [tick.key[0] for tick in consultation.work.ticks]


@pytest.mark.parametrize("line", ["can't tell", "not tight", "no bubbles, but not sure", "later", "no bubbles?"])
def test_a_test_that_says_neither_is_asked_back(line: str) -> None:
    consultation = at_work()
    to_step(consultation, "leak-check")
    assert any(message.kind == "complaint" for message in say(consultation, f"leak test {line}"))
    assert not [each for each in consultation.work.readings if each.field == "leak-test"]


def test_a_field_by_its_name_is_taken_while_a_sentence_waits_to_be_confirmed() -> None:
    consultation = at_work()
    to_step(consultation, "leak-check")
    say(consultation, "the nail stands in the shoulder")
    assert consultation.pending is not None
    assert "The leak test: no bubbles" in said(say(consultation, "leak test no bubbles"))


def test_what_is_a_find_stays_one_at_the_test() -> None:
    consultation = at_work()
    to_step(consultation, "leak-check")
    assert "Stop the work here" in said(say(consultation, "found rust"))
    for line in ("bubbles in the tread", "found bubble under the liner", "bulge"):
        assert "The leak test" not in said(say(consultation, line)), "a bulge is more than a leak"


def test_what_stays_empty_is_said_as_it_is_ticked_at_the_end_and_on_the_page() -> None:
    consultation = at_work(clock=Clock())
    to_step(consultation, "drill-inside-truck")
    assert "Not written down: burr's width." in said(say(consultation, "tick"))
    to_step(consultation, "outline")
    say(consultation, "unit batch B1")
    assert "Not written down: unit's name and size, unit's use-by date." in said(say(consultation, "tick"))
    while "are done" not in (told := said(say(consultation, "tick early"))):
        assert len(consultation.work.ticks) < 60
    empty = told[told.index("Not written down:") :]
    assert "burr's width, unit's name and size" in empty and "nuts' torque" in empty and "unit's batch" not in empty
    page = said(say(consultation, "report"))
    assert "not written down: burr's width, unit's name and size" in page


def test_a_wait_without_a_figure_begins_once_and_ends_by_a_tick() -> None:
    consultation = at_work(clock=(clock := Clock()))
    to_step(consultation, "leak-check")
    began = said(say(consultation, "tick"))
    assert "The wait begins (leak check)" in began
    assert all(way in began for way in ("tick again", "timer 10", "tick early"))
    clock.on(0.5)
    assert "less than a minute ago" in said(say(consultation, "tick"))
    clock.on(6.5)
    happened = "(ticked 7 min after its wait began; how long it has to be was not said)"
    assert f"leak check {happened}" in said(say(consultation, "tick"))
    report = said(say(consultation, "report full"))
    assert happened in report and "min, as the repair material's instructions" not in report


def test_the_tick_that_begins_a_wait_does_not_end_it() -> None:
    consultation = at_work(clock=(clock := Clock()))
    to_step(consultation, "seal-over-buff")
    place = len(consultation.work.ticks)
    told = said(say(consultation, "tick 23-26"))
    assert "The wait begins (let the sealer dry)" in told and "Not ticked: let the sealer dry" in told
    assert told.count("The wait begins") == 1 and len(consultation.work.ticks) == place + 3
    clock.on(12)
    assert "ticked 12 min after its wait began" in said(say(consultation, "tick"))


def test_minutes_of_the_tire_before_are_offered_and_time_no_wait_of_this_one() -> None:
    consultation = at_work(clock=Clock())
    to_step(consultation, "seal-over-buff")
    say(consultation, "tick")
    say(consultation, "timer 10")
    say(consultation, "start over")
    following = at_work(clock=Clock())
    following.become(replace(following.state, of_day=consultation.state.of_day))
    to_step(following, "seal-over-buff")
    told = said(say(following, "work"))
    assert "Same as before? The one before waited 10 min; the same here: timer 10." in told
    assert "the same here: timer 10" in said(say(following, "tick"))
    assert not following.work.timer_of(("dry-sealer", 0))
    assert "10 min from 08:00" in said(say(following, "timer 10"))


def test_a_timer_of_ones_own_stands_in_no_ticks_way() -> None:
    consultation = at_work(clock=Clock())
    say(consultation, "timer 1")
    assert "before its" not in said(say(consultation, "tick")) and not consultation.work.ticks[-1].said


@pytest.mark.free_order
def test_after_stop_at_a_question_that_may_be_left_out_finds_and_readings_leave_the_work_going() -> None:
    judge = judge_of()
    (text,) = split_cases(case_text(), "case.yaml")
    case = read_case(text, judge.rules, TODAY)
    consultation = Consultation(judge, TODAY, Clock())
    for index, answers in enumerate((case.answers, *case.injuries), -1):
        for name, answer in answers.items():
            consultation.change((name, index))
            consultation.take(answer)
    assert consultation.ask is not None and consultation.ask.optional
    say(consultation, "stop")
    to_step(consultation, "clean-liner")
    for line in ("found 7 mm", "take back", "shop temperature 18 C", "found angle 12 degrees", "humidity 60 %"):
        told = said(say(consultation, line))
        assert consultation.ask is None and "open again" not in told, line
    assert "Step 10" in said(say(consultation, "tick"))
    say(consultation, "found another hole")
    assert consultation.ask is not None, "what is needed is asked"


def test_the_number_in_the_sidewall_is_written_down_and_never_heard_as_a_temperature() -> None:
    consultation = at_work({"demounted": '"yes"'}, {"injury-size": "11 mm"})
    to_step(consultation, "write-history")
    assert "dot code" in said(say(consultation, "work"))
    say(consultation, "dot 1MA8B4C2323")
    assert consultation.pending is None and "shop-temperature" not in consultation.case.answers
    assert str(consultation.case.answers["dot-code"]) == "1MA8B4C2323"
    assert "1MA8B4C2323" in said(say(consultation, "report"))
    before = consultation.case
    for line in ("1MA8B4C2323", "tin 1MA8B4C2323", "number 9XY4C118F"):
        assert any(message.kind == "complaint" for message in say(consultation, line)), line
        assert (consultation.case, consultation.pending) == (before, None)


def test_a_bare_temperature_is_the_one_that_the_step_asks_for() -> None:
    consultation = at_work()
    to_step(consultation, "cement-channel")
    assert "8 C of what? Type: shop temperature 8 C, or liner temperature 8 C." in said(say(consultation, "8 C"))
    assert consultation.pending is None and "shop-temperature" not in consultation.case.answers
    say(consultation, "cement batch C118, cement use by 2027-05, shop temperature 8 C, humidity 65")
    assert {each.field: each.text for each in consultation.work.readings if each.key[0] == "cement-channel"} == {
        "cement-batch": "C118",
        "cement-use-by": "2027-05",
    }
    answers = consultation.case.answers
    assert (str(answers["shop-temperature"]), str(answers["humidity"])) == ("8 C", "65 %")


def test_a_bare_number_where_something_is_measured_says_what_is_lacking() -> None:
    consultation = at_work()
    to_step(consultation, "measure-again-truck")
    ticks = consultation.work.ticks
    assert "6 what? Type the unit with it, such as: 6 mm." in said(say(consultation, "6"))
    assert consultation.work.ticks == ticks


def test_a_field_by_the_end_of_its_name_where_the_step_has_one_such() -> None:
    consultation = at_work()
    to_step(consultation, "outline")
    assert "The unit's batch: b4711" in said(say(consultation, "batch b4711"))
    assert "use-by date: 2027-05" in said(say(consultation, "use by 2027-05"))


def test_a_referral_says_measured_again_only_where_it_was_and_which_history_is_not_written_down() -> None:
    consultation = at_work({}, {"injury-size": "11 mm"}, clock=Clock())
    to_step(consultation, "write-history")
    assert "Not written down: history." in said(say(consultation, "tick"))
    page = said(say(consultation, "report"))
    assert "measure again: before" not in page and "measure: before the verdict" in page
    assert "not written down: injury's distance from the bead, history" in page
    say(consultation, "history ran at 90 psi, one plug")
    page = said(say(consultation, "report"))
    assert "history: ran at 90 psi, one plug" in page and "bead, history" not in page


@pytest.mark.parametrize(
    ("step", "line", "noted"),
    [
        ("leak-check", "no bubbles, holds", "The leak test: no bubbles, holds"),
        ("leak-check", "new core in, no bubbles now", "The leak test: new core in, no bubbles now"),
        ("leak-check", "bubbles at the valve, changed the core", "bubbles at the valve, changed the core - FAILED"),
        ("inflate", "35 psi", "The pressure it was set to: 35 psi"),
        ("inflate", "set to 35 psi", "The pressure it was set to: 35 psi"),
        ("inflate", "bubbles at the bead", "The leak test: bubbles at the bead - FAILED"),
        ("inflate", "no bubbles", "leak check, takes that; 32, inflate, comes before it"),
        ("inflate", "35", "35 what? Type the unit with it, such as: 35 psi."),
        ("fit-wheel", "80 ft lb", "The nuts' torque: 80 ft lb"),
        ("fit-wheel", "wheel nuts 80 ft-lbs, crosswise", "The nuts' torque: 80 ft-lbs"),
        ("fit-wheel", "torqued to 110 Nm", "The nuts' torque: 110 Nm"),
        ("fit-wheel", "torqued to 110", "110 what? Type the unit with it, such as: 110 Nm."),
        ("outline", "batch no B4711", "The unit's batch: B4711"),
        ("outline", "lot B4711", "The unit's batch: B4711"),
        ("outline", "B4711", "B4711 of what? Type: unit B4711, or unit batch B4711."),
        ("outline", "exp 05/2027", "The unit's use-by date: 05/2027"),
        ("outline", "exp 05/2019", "which is past"),
        ("cement-channel", "C118", "The cement's batch: C118"),
        ("buff", "air 18 C", "The air's temperature: 18 C"),
        ("buff", "18 C", "18 C of what? Type: shop temperature 18 C, or liner temperature 18 C."),
    ],
)
def test_a_step_hears_its_own_reading(step: str, line: str, noted: str) -> None:
    consultation = at_work(clock=Clock())
    to_step(consultation, step)
    before = {key: answer for key, answer in consultation.case.answers.items() if key != "shop-temperature"}
    assert noted in said(say(consultation, line))
    assert consultation.pending is None and before.items() <= consultation.case.answers.items()


@pytest.mark.parametrize(
    ("step", "line"),
    [
        ("leak-check", "no bubbles, but a bulge in the sidewall"),
        ("leak-check", "holds, cord showing at the bead"),
        ("inflate", "35 psi, there is a bulge in the sidewall"),
        ("inflate", "35 psi and a zipper bulge"),
        ("fit-wheel", "110 Nm, cut in the sidewall"),
    ],
)
def test_bad_news_beside_a_reading_stops_the_work(step: str, line: str) -> None:
    consultation = at_work(clock=Clock())
    to_step(consultation, step)
    ticks = consultation.work.ticks
    told = said(say(consultation, line))
    assert consultation.pending is not None and "The work waits at step" in told
    assert "What was said last waits. The work waits at step" in said(say(consultation, "tick"))
    assert consultation.work.ticks == ticks
    assert "The work goes on at step" in said(say(consultation, "no"))


@pytest.mark.parametrize(
    "line", ["leak test tight for a minute then drops", "leak test no longer holds", "holds, barely"]
)
def test_a_test_that_passed_for_a_while_has_not_passed(line: str) -> None:
    consultation = at_work(clock=Clock())
    to_step(consultation, "leak-check")
    say(consultation, line)
    assert not [each for each in consultation.work.readings if each.field == "leak-test"]


def test_a_tick_with_a_remark_ticks_and_keeps_the_words() -> None:
    consultation = at_work(clock=Clock())
    to_step(consultation, "buff")
    told = said(say(consultation, "tick, came up nice and clean"))
    assert "Done at 08:00: buff the liner" in told
    assert consultation.work.notes[-1].text == "came up nice and clean" and consultation.work.notes[-1].key == (
        "buff",
        0,
    )
    to_step(consultation, "inflate")
    assert "inflate" in said(say(consultation, "tick, 35 psi"))
    assert consultation.work.ticks[-1].key[0] == "inflate" and consultation.work.readings[-1].text == "35 psi"


@pytest.mark.parametrize(
    "words",
    [
        "found rust",
        "some cord showing",
        "a bit loose at the edge",
        "not all of it",
        "ok?",
        "the liner's coming off",
        "came away in my hand",
        "dodgy but it will do",
    ],
)
def test_a_tick_with_words_that_may_tell_of_the_tire_ticks_nothing(words: str) -> None:
    consultation = at_work(clock=Clock())
    to_step(consultation, "buff")
    ticks = consultation.work.ticks
    assert "Not ticked:" in said(say(consultation, f"tick, {words}"))
    assert consultation.work.ticks == ticks


def test_a_tick_early_with_words_ticks_before_the_wait_is_over_and_keeps_them() -> None:
    consultation = at_work(clock=Clock())
    to_step(consultation, "dry")
    say(consultation, "tick")
    say(consultation, "tick early, dry to the touch")
    assert consultation.work.ticks[-1].key[0] == "dry"
    assert "dry to the touch" in [note.text for note in consultation.work.notes]


def test_same_and_what_is_otherwise_in_one_line() -> None:
    consultation = at_work(clock=Clock())
    to_step(consultation, "cement-liner")
    told = said(say(consultation, "same, cement batch C118"))
    assert "Nothing of before is offered" in told and "C118" in told


@pytest.mark.parametrize("line", ["set to 108 psi", "aired up to 108 psi", "inflated 108 psi"])
def test_a_reading_right_behind_the_tick_goes_to_the_step_that_was_ticked(line: str) -> None:
    consultation = at_work()
    to_step(consultation, "inflate")
    say(consultation, "tick")
    assert "108 psi" in said(say(consultation, line)) and consultation.pending is None
    (kept,) = (each for each in consultation.work.readings if each.field == "inflated-to")
    assert (kept.key[0], kept.text) == ("inflate", "108 psi")


def test_a_hole_drilled_wider_than_it_was_long_is_as_long_as_wide() -> None:
    consultation = at_work(None, {"injury-size": "4 mm", "injury-length": "5 mm"})
    to_step(consultation, "measure-again-truck")
    told = said(say(consultation, "6 mm"))
    answers = consultation.case.injuries[0]
    assert [str(answers[name]) for name in ("injury-size", "injury-length")] == ["6 mm", "6 mm"], told
    assert consultation.ask is None
