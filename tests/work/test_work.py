"""Walking through the work: ticks, notes, timers, findings that change the case; first the machine, then the lines."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from fractions import Fraction

import pytest
from msgspec.structs import replace

from advisor.dialogue.event_sink import said_aside
from advisor.dialogue.session import Consultation
from advisor.dialogue.talk_commands import say
from advisor.loader.case_file import read_case, split_cases
from advisor.wording.messages import Message
from advisor.work.plan import stages_of
from advisor.work.progress import BEGUN, Timer, Work, key_of, time_left_in_words, work_data, work_from
from tests.work.work_support import TODAY, case_text, judge_of, judged

START = datetime(2026, 3, 14, 8)


@dataclass
class Clock:
    """A clock that goes on only when it is told to."""

    time: datetime = field(default=START)

    def __call__(self) -> datetime:
        return self.time

    def on(self, minutes: float) -> None:
        self.time += timedelta(minutes=minutes)


def at_work(
    tire: dict[str, str] | None = None,
    *injuries: dict[str, str],
    clock: Clock | None = None,
    rules: str = "us-road",
) -> Consultation:
    """A consultation whose questions are all answered."""
    judge = judge_of(rules)
    (text,) = split_cases(case_text(tire, *injuries), "case.yaml")
    consultation = Consultation(judge, TODAY, clock)
    case = read_case(text, judge.rules, TODAY)
    for index, answers in enumerate((case.answers, *case.injuries), -1):
        for name, answer in answers.items():
            consultation.change((name, index))
            consultation.take(answer)
    assert consultation.ask is None, consultation.ask
    return consultation


def said(messages: list[Message]) -> str:
    return " ".join(" ".join(line.split()) for message in messages for line in message.texts)


def to_step(consultation: Consultation, step: str) -> None:
    """Ticks up to a step."""
    plan = consultation.judge.methods.plan(consultation.judgement)
    assert step in {planned.step.id for planned in plan}
    while plan[place := consultation.work.current(plan) or 0].step.id != step:
        early = plan[place].step.waits_from or plan[place].step.measures
        assert said(say(consultation, "tick early" if early else "tick"))
        assert consultation.work.current(plan) != place


# The machine


def test_ticks_go_in_order_and_come_off() -> None:
    plan = judge_of().methods.plan(judged())
    work = Work()
    open_ = [(place, planned) for place, planned in enumerate(plan) if not planned.shown]
    assert work.current(plan) == open_[0][0] and not work.begun
    for place, planned in open_:
        assert work.current(plan) == place
        work = work.ticked(key_of(planned), START + timedelta(minutes=place), planned.method.id)
    assert work.current(plan) is None
    first = key_of(open_[0][1])
    assert work.ticked(first, START + timedelta(hours=5)).tick_of(first) == work.tick_of(first), "the first time stays"
    assert work.unticked().current(plan) == len(plan) - 1
    assert Work().unticked() == Work()


@pytest.mark.parametrize(
    ("after", "left"), [(-1, "5 min"), (0, "5 min"), (0.5, "4 min 30 s"), (4.99, "1 s"), (5, "over"), (600, "over")]
)
def test_a_timer_tells_what_is_left(after: float, left: str) -> None:
    timer = Timer(("dry", 0), START, Fraction(5))
    assert time_left_in_words(timer.left(START + timedelta(minutes=after))) == left
    assert timer.over(START + timedelta(minutes=after)) is (left == "over")


def test_a_timer_begun_again_starts_anew() -> None:
    work = Work().timed(("dry", 0), START, Fraction(5)).timed(("dry", 1), START, Fraction(5))
    again = work.timed(("dry", 0), START + timedelta(minutes=3), Fraction(5))
    assert len(again.timers) == 2 and again.timer_of(("dry", 0)).started == START + timedelta(minutes=3)  # type: ignore[union-attr]
    with pytest.raises(ValueError, match="more than 0"):
        work.timed(("dry", 0), START, Fraction(0))


# The lines


def test_every_step_in_turn_and_the_end() -> None:
    clock = Clock()
    consultation = at_work(clock=clock)
    steps = len(consultation.judge.methods.plan(consultation.judgement))
    shown = [planned.step.id for planned in consultation.judge.methods.plan(consultation.judgement) if planned.shown]
    assert shown == ["make-clear", "deflate", "demount", "inspect", "object-out", "probe"]
    assert f"Step 2 of {steps} - Gauge the pair" in said(say(consultation, "work"))
    for _ in range(steps - len(shown)):
        clock.on(1)
        last = said(say(consultation, "tick early"))
    assert f"All {steps} steps are done." in last
    log = said(say(consultation, "work log"))
    assert f"{steps - len(shown)} steps ticked" in log and "gauge pair, 08:01" in log
    assert "Step" in said(say(consultation, "untick"))
    assert f"Step {steps} of {steps}" in said(say(consultation, "work"))


def test_no_step_shows_a_name_in_braces_or_not_known() -> None:
    for injury in ({}, {"injury-angle": "30 deg"}, {"injury-depth": "rubber-only"}):
        consultation = at_work({}, injury)
        for planned in consultation.judge.methods.plan(consultation.judgement):
            assert "{" not in planned.says and "not known" not in planned.says, planned.says


def test_the_timer_goes_on_while_something_else_is_read() -> None:
    clock = Clock()
    consultation = at_work({"shop-temperature": "22 C", "humidity": "50 %"}, clock=clock)
    assert "does not wait" in said(say(consultation, "timer"))
    to_step(consultation, "cement-liner")
    assert "Timer set (let it dry): 5 min from 08:00, over at 08:05:00." in said(say(consultation, "tick"))
    clock.on(2)
    assert "does not" not in said(say(consultation, "why")) and "Inner liner" in said(
        say(consultation, "what is a liner")
    )
    clock.on(1)
    assert "2 min left" in said(say(consultation, "timer"))
    clock.on(3)
    assert "are over. Look for yourself before you go on." in said(say(consultation, "work"))
    assert "Timer" not in said(say(consultation, "tick")), "a step that is done has no timer any more"


def test_a_tick_before_the_time_is_up_is_possible_only_by_saying_so() -> None:
    clock = Clock()
    consultation = at_work(clock=clock)
    to_step(consultation, "cement-liner")
    say(consultation, "tick")
    clock.on(1)
    ticks = consultation.work.ticks
    told = said(say(consultation, "tick"))
    assert "Not ticked: let it dry. 4 min of 5 min left, until 08:05:00." in told and "say so: tick early" in told
    assert "Not ticked: let it dry." in said(say(consultation, "tick 18-30"))
    assert consultation.work.ticks == ticks
    assert "let it dry (ticked 4 min before its 5 min were over)" in said(say(consultation, "tick early"))
    report = said(say(consultation, "report full"))
    assert "done 2026-03-14 08:01 (ticked 4 min before its 5 min were over)" in report
    assert work_from(work_data(consultation.work)) == consultation.work


def test_a_wait_that_is_over_is_ticked_without_more_words() -> None:
    clock = Clock()
    consultation = at_work(clock=clock)
    to_step(consultation, "cement-liner")
    say(consultation, "tick")
    clock.on(5)
    assert "before its" not in said(say(consultation, "tick"))
    assert consultation.work.ticks[-1].key == ("dry", 0) and not consultation.work.ticks[-1].said


def test_a_coat_unticked_takes_its_timer_away() -> None:
    consultation = at_work(clock=Clock())
    to_step(consultation, "cement-liner")
    say(consultation, "tick")
    assert consultation.work.timers
    say(consultation, "untick")
    assert not consultation.work.timers
    assert "Timer set" in said(say(consultation, "tick"))


def test_waits_without_a_figure_ask_for_the_minutes_and_remember_them_for_the_day() -> None:
    clock = Clock()
    consultation = at_work(clock=clock)
    to_step(consultation, "seal-over-buff")
    asks = "How long is not published: as long as the repair material's instructions say"
    assert asks in said(say(consultation, "tick"))
    assert "Timer set (let the sealer dry): 10 min" in said(say(consultation, "timer 10"))
    to_step(consultation, "dry-sealer")
    assert "Not ticked: let the sealer dry. 10 min of 10 min left" in said(say(consultation, "tick"))
    clock.on(10)
    say(consultation, "tick")
    to_step(consultation, "leak-check")
    assert "Tick to begin the wait; once it is over, tick again." in said(say(consultation, "work"))
    assert asks in said(say(consultation, "tick"))
    assert "leak check (ticked without a timed wait)" in said(say(consultation, "tick early"))
    say(consultation, "start over")
    assert ("minutes", "10") in [(each.field, each.text) for each in consultation.state.of_day]


def test_the_air_measured_on_the_way_is_said_as_the_wait_begins() -> None:
    consultation = at_work({"shop-temperature": "20 C", "humidity": "65 %", "liner-temperature": "15 C"}, clock=Clock())
    to_step(consultation, "cement-liner")
    told = said(say(consultation, "tick"))
    assert "Timer set" in told and "Caution: A casing colder than the shop air may be wet" in told
    bare = at_work(clock=Clock())
    to_step(bare, "cement-liner")
    assert "Not measured: the air's temperature, the air's humidity" in said(say(bare, "tick"))


# The plan in stages


def test_several_steps_are_ticked_at_once() -> None:
    consultation = at_work(clock=Clock())
    assert "Step 2 comes before; for all of them type tick 2-12." in said(say(consultation, "tick 9-12"))
    assert not consultation.work.ticks
    told = said(say(consultation, "tick 1-8"))
    assert "Done at 08:00: gauge the pair, mark the injury" in told and "Step 9 of" in told
    assert len(consultation.work.ticks) == 2, "what the answers show is not ticked a second time"
    assert "Ticked already. The step in hand is 9." in said(say(consultation, "tick 8"))
    assert "The plan has steps 1 to" in said(say(consultation, "tick 9-400"))


def test_what_was_done_before_the_verdict_is_shown_as_such() -> None:
    consultation = at_work()
    report = said(say(consultation, "report full"))
    assert "(common practice, no rule behind it) - done before the verdict, as the answers show" in report
    for question, step in (("demounted", "demount"), ("findings", "inspect")):
        doubtful = judged({question: "cant-tell"})
        shown = {planned.step.id for planned in judge_of().methods.plan(doubtful) if planned.shown}
        assert step not in shown, "what can't be told shows nothing"


def test_a_caution_stands_in_full_where_it_first_matters() -> None:
    consultation = at_work()
    plan = consultation.judge.methods.plan(consultation.judgement)
    full = dict.fromkeys((name for planned in plan for name in planned.cautions), 0)
    for place, planned in enumerate(plan):
        told = said(say(consultation, f"step {place + 1}"))
        for name in planned.cautions:
            words = " ".join(consultation.judge.caution_in_words(name, consultation.judgement).split())
            if not planned.shown:
                full[name] += words in told
                assert words in told or f"{consultation.judge.rules.cautions[name].hazard}" in told, name
    at_open_steps = {name for planned in plan if not planned.shown for name in planned.cautions}
    assert at_open_steps and all(full[name] == 1 for name in at_open_steps)


def test_the_steps_stand_under_their_stages() -> None:
    plan = judge_of().methods.plan(judged())
    assert [stage.heading for stage in stages_of(plan)] == [
        *("inspect and prepare", "clean", "drill and trim", "measure again", "buff", "dust", "cement"),
        *("cement and dry", "place and stitch", "seal", "trim and look", "mount and inflate", "leak test"),
        *("fit the wheel", "record"),
    ]
    assert "Stage 2 of 15, clean." in said(say(at_work(), "step 9"))


def test_a_figure_says_on_which_side_it_counts() -> None:
    consultation = at_work()
    assert "at most 1200 rpm - fastest turning of the burr" in said(say(consultation, "step 10"))


def test_two_injuries_are_both_buffed_before_one_is_cemented() -> None:
    far = [{"clock": '"2:00"', "offset": "0 mm"}, {"clock": '"8:00"', "offset": "0 mm", "injury-angle": "30 deg"}]
    plan = judge_of().methods.plan(judged({"unit-length": "40 mm", "unit-width": "40 mm"}, *far))
    last_buffed = max(place for place, planned in enumerate(plan) if planned.step.id == "buff")
    first_coat = min(place for place, planned in enumerate(plan) if planned.step.id == "cement-liner")
    assert last_buffed < first_coat
    for injury in (0, 1):
        own = [planned.step.id for planned in plan if planned.injury == injury]
        alone = judge_of().rules.methods[("one-piece", "two-piece")[injury]].steps
        assert own == [step.id for step in alone if step.id in own], "each injury keeps its own order"


def test_without_a_clock_nothing_is_timed() -> None:
    consultation = at_work()
    to_step(consultation, "dry")
    assert "There is no clock here. Wait 5 min" in said(say(consultation, "timer"))
    assert not consultation.work.timers and all(tick.at is None for tick in consultation.work.ticks)


def test_the_air_is_asked_for_where_it_counts() -> None:
    consultation = at_work()
    to_step(consultation, "dry")
    lacking = "Not measured: the air's temperature, the air's humidity and the liner's temperature."
    assert lacking in said(say(consultation, "work"))
    assert "the air is" not in said(say(consultation, "work"))
    assert "by the same method" in said(say(consultation, "found shop temperature 8 C"))
    assert "cold (8 °C)" in said(say(consultation, "work"))


def test_another_step_can_be_read() -> None:
    consultation = at_work()
    assert "type tick; several at once: tick 1-8" in said(say(consultation, "work"))
    say(consultation, "tick")
    told = said(say(consultation, "step 10"))
    count = len(judge_of().methods.plan(consultation.judgement))
    assert f"Step 10 of {count}" in told and "Not the step in hand; type work for the one in hand." in told
    assert "Done already, as the answers show." in said(say(consultation, "Step 1"))
    assert "Ticked already" in said(say(consultation, "step 2"))
    assert len(consultation.work.ticks) == 1
    assert f"There is no step 99; the plan has steps 1 to {count}." in said(say(consultation, "step 99"))
    assert "Questions are still open" in said(say(Consultation(judge_of(), TODAY), "step 3"))


def test_a_unit_without_a_chart_is_asked_for_at_its_step() -> None:
    consultation = at_work()
    to_step(consultation, "outline")
    told = said(say(consultation, "work"))
    assert "Not measured: the new unit's length along the tire and the new unit's width across the tire." in told
    say(consultation, "found unit length 90 mm")
    assert "the unit measures 90 mm along by 75 mm across" in said(say(consultation, "found unit width 75 mm"))
    assert "Not measured" not in said(say(consultation, "work"))
    shop = at_work(rules="demo-shop")
    to_step(shop, "outline")
    assert "Not measured" not in said(say(shop, "work")), "the chart gives it"


def test_every_example_that_a_step_gives_is_understood() -> None:
    for injury in ({}, {"injury-angle": "30 deg"}, {"injury-depth": "rubber-only"}):
        consultation = at_work({}, injury)
        for planned in consultation.judge.methods.plan(consultation.judgement):
            for name in planned.step.asks:
                question = consultation.judge.rules.questions[name]
                line = f"found {name.replace('-', ' ')} {question.shown_as}"
                assert question.shown_as, name
                messages = say(consultation, line)
                assert not any(message.kind == "complaint" for message in messages), (line, said(messages))
                assert str(consultation.judgement.verdict) == "repair", line


def test_two_injuries_share_what_is_done_once() -> None:
    far = [{"clock": '"2:00"', "offset": "0 mm"}, {"clock": '"8:00"', "offset": "0 mm", "injury-angle": "30 deg"}]
    plan = judge_of().methods.plan(judged({"unit-length": "40 mm", "unit-width": "40 mm"}, *far))
    keys = [key_of(planned) for planned in plan]
    assert len(keys) == len(set(keys))
    ids = [planned.step.id for planned in plan]
    for once in ("make-clear", "deflate", "demount", "inflate", "leak-check", "return"):
        assert ids.count(once) == 1
    assert ids.index("demount") < ids.index("buff") and ids.index("inflate") > len(ids) - 1 - ids[::-1].index("buff")
    assert {planned.method.id for planned in plan if planned.injury == 1} == {"two-piece"}


# Measured and written down on the way


def test_the_width_after_drilling_is_measured_before_the_step_is_ticked() -> None:
    consultation = at_work(clock=Clock())
    to_step(consultation, "measure-again-truck")
    ticks = consultation.work.ticks
    told = said(say(consultation, "tick"))
    assert "Not ticked: measure again. Type the injury's width as it is now" in told
    assert consultation.work.ticks == ticks
    told = said(say(consultation, "7 mm"))
    assert "Noted: " not in told and "It stays REPAIR" in told and "Done at 08:00: measure again" in told
    assert str(consultation.case.get("injuries", ("injury-size", 0))) == "7 mm"
    assert "injury's width, measured again: 7 mm" in said(say(consultation, "report"))


def test_a_wider_hole_at_that_step_is_judged_again_and_not_ticked() -> None:
    consultation = at_work()
    to_step(consultation, "measure-again-truck")
    ticks = consultation.work.ticks
    assert "with what was found it is REFER" in said(say(consultation, "11 mm"))
    assert consultation.work.ticks == ticks
    other = at_work()
    to_step(other, "measure-again-truck")
    assert "(ticked without measuring the injury's width again)" in said(say(other, "tick anyway"))


@pytest.mark.parametrize(
    ("step", "line", "told"),
    [
        ("outline", "unit T2 40 mm", "The unit's name and size: T2 40 mm"),
        ("outline", "unit batch B4711", "The unit's batch: B4711"),
        ("outline", "unit use by 2027-05", "The unit's use-by date: 2027-05"),
        ("outline", "unit use by 03/2026", "The unit's use-by date: 03/2026"),
        ("outline", "unit use by 02/2026", "02/2026, which is past; expected material in date. Take another"),
        ("outline", "unit use by 2026-03-13", "which is past"),
        ("outline", "unit use by soon", "expected a month or a day, such as 2027-05"),
        ("outline", "unit batch", "The unit's batch is what? Such as: unit batch B4711."),
        ("drill-inside-truck", "burr width 6 mm", "The burr's width: 6 mm"),
        ("drill-inside-truck", "burr width six", "The burr's width: "),
        ("fit-wheel", "torque 600 Nm", "The nuts' torque: 600 Nm"),
        ("fit-wheel", "torque tight", "expected a figure with Nm or lb-ft"),
    ],
)
def test_what_is_written_down_at_a_step(step: str, line: str, told: str) -> None:
    consultation = at_work(clock=Clock())
    to_step(consultation, step)
    messages = say(consultation, line)
    assert told in said(messages)
    if any(message.kind == "complaint" for message in messages):
        assert {each.field for each in consultation.work.readings} <= {BEGUN}, "what is refused is not kept"
    else:
        assert line.endswith(consultation.work.readings[-1].text)
    assert work_from(work_data(consultation.work)) == consultation.work


def test_the_next_tire_of_the_day_is_offered_unit_and_cement_and_takes_them_as_said_alone() -> None:
    clock = Clock()
    consultation = at_work(clock=clock)
    to_step(consultation, "outline")
    assert "To write down, type: unit T2 40 mm, unit batch B4711," in said(say(consultation, "work"))
    for line in ("unit T9", "unit batch A1", "unit use by 2026-03"):
        say(consultation, line)
    to_step(consultation, "cement-channel")
    say(consultation, "cement batch C9, use by 2026-03")
    readings = consultation.work.readings
    following = at_work(clock=clock)
    following.become(replace(following.state, of_day=readings))
    other = at_work({}, {"injury-angle": "35 deg"}, clock=clock)
    other.become(replace(other.state, of_day=readings))
    assert other.judgement.method != following.judgement.method
    to_step(other, "outline")
    assert "Same as before" not in said(say(other, "work"))
    assert "Nothing of before is offered" in said(say(other, "same"))
    assert not other.work.readings, "a unit of another method is none of this one"
    to_step(following, "outline")
    told = said(say(following, "work"))
    assert "Same as before? Type same to write down: the unit's name and size T9, the unit's batch A1" in told
    assert "To write down, type: unit T2 40 mm" in told
    here = following.state
    for ticks in ("tick", "tick 13-18"):
        following.become(here)
        assert "Not written down: unit's name and size, unit's batch" in said(say(following, ticks))
        assert not [each for each in following.work.readings if each.text], "a tick writes nothing down"
    following.become(here)
    say(following, "same batch")
    assert [each.text for each in following.work.readings] == ["A1"]
    say(following, "same as before")
    assert sorted(each.text for each in following.work.readings) == ["2026-03", "A1", "T9"]
    to_step(following, "cement-channel")
    told = said(say(following, "work"))
    assert "Type same to write down: the cement's batch C9, the cement's use-by date 2026-03" in told
    say(following, "same")
    assert {"C9", "2026-03"} <= {each.text for each in following.work.readings}
    clock.on(60 * 24 * 30)
    later = at_work(clock=clock)
    later.become(replace(later.state, of_day=readings))
    to_step(later, "cement-channel")
    say(later, "same")
    assert "2026-03" not in [each.text for each in later.work.readings], "what is out of date is not offered"


# Findings


@pytest.mark.parametrize(
    ("tire", "text", "verdict", "says"),
    [
        ({}, "found 9 mm", "repair", "by the same method"),
        ({}, "found 11 mm", "refer", "Stop the work here. It was REPAIR; with what was found it is REFER."),
        ({}, "found width 7/16 in", "refer", "Stop the work here"),
        ({}, "found angle 30 degrees", "repair", "the method changes: One-piece"),
        ({}, "found rust", "refer", "Stop the work here"),
        ({}, "found loose cord", "refer", "Stop the work here"),
        ({}, "found exposed cord", "scrap", "Stop the work here"),
        ({}, "Found: injury's width is 11 mm", "refer", "Stop the work here"),
        ({}, "found injury 1: rust", "refer", "Stop the work here"),
        ({}, "found size can't tell", "hold", "Stop the work here"),
        ({}, "found cord cut", "refer", "Stop the work here"),
        ({}, "found the cords are cut", "refer", "Stop the work here"),
        ({}, "found rusty cord", "refer", "Stop the work here"),
        ({}, "found wider: 7/16 in", "refer", "Stop the work here"),
        ({}, "found the hole is larger now, 11 mm", "refer", "Stop the work here"),
        ({}, "found it is 11 mm across after drilling", "refer", "Stop the work here"),
        ({}, "found no rust", "repair", "by the same method"),
    ],
)
def test_a_finding_judges_the_case_again(tire: dict[str, str], text: str, verdict: str, says: str) -> None:
    consultation = at_work(tire)
    to_step(consultation, "drill-outside")
    ticks = consultation.work.ticks
    messages = say(consultation, text)
    assert str(consultation.judgement.verdict) == verdict, said(messages)
    assert says in said(messages)
    assert consultation.work.ticks == ticks, "what was done stays done"
    assert consultation.work.notes[-1].text.startswith("found ")
    assert any(message.card for message in messages) is (verdict != "repair")


def test_scrap_at_the_drilling_step_of_a_car_tire() -> None:
    car = {"vehicle": "car", "sidewall": "205/55R16 91V TUBELESS", "found-pressure": "32 psi", "set-pressure": "33 psi"}
    consultation = at_work(car, {"injury-size": "5 mm"})
    to_step(consultation, "drill-outside")
    messages = say(consultation, "found 7 mm")
    assert str(consultation.judgement.verdict) == "scrap"
    assert "It was REPAIR; with what was found it is SCRAP." in said(messages)
    assert "what to do with this tire" in said(say(consultation, "tick"))
    report = said(say(consultation, "report"))
    assert "(until now: 5 mm)" in report and "done before the verdict or the method changed: 3 steps" in report
    assert "[x] Mark the injury outside" in said(say(consultation, "report full"))


def test_the_example_that_a_step_prints_is_taken_as_printed() -> None:
    consultation = at_work()
    to_step(consultation, "dry")
    printed = said(say(consultation, "work")).partition("for instance: ")[2].partition(" Tick")[0].removesuffix(".")
    assert printed == "found shop temperature 8 C, humidity 65 %, liner temperature 15 C"
    for line in (printed, printed.replace(", ", ", found "), printed.removeprefix("found ")):
        messages = say(consultation, line)
        assert [message.kind for message in messages].count("noted") == 3, said(messages)
        assert said(messages).count("It stays REPAIR") == 1
    assert "Not measured" not in said(say(consultation, "work"))


def test_several_found_in_one_line() -> None:
    consultation = at_work()
    told = said(say(consultation, "found 9 mm, rust and loose cord"))
    assert told.count("Stop the work here") == 1 and "REFER" in told
    assert consultation.case.get("injuries", ("inside-signs", 0)).present == {"rust", "loose-cord"}  # type: ignore[union-attr]
    assert str(consultation.case.get("injuries", ("injury-size", 0))) == "9 mm"
    before = consultation.case
    assert "Not understood" in said(say(consultation, "found 10 mm, gold"))
    assert consultation.case == before, "all of a line, or nothing of it"


def test_a_finding_taken_back_stays_in_the_log_as_such() -> None:
    consultation = at_work(clock=Clock())
    assert "Nothing found at the work" in said(say(consultation, "take back"))
    to_step(consultation, "drill-outside")
    before, ticks = consultation.case, consultation.work.ticks
    say(consultation, "found rust")
    assert str(consultation.judgement.verdict) == "refer"
    assert "It was REFER; now it is REPAIR." in said(say(consultation, "take back"))
    assert consultation.case == before and consultation.work.ticks == ticks
    log = said(say(consultation, "work log"))
    assert "note, 08:00: found injury 1" in log and "note, 08:00: taken back: found injury 1" in log
    say(consultation, "found humidity 65 %")
    say(consultation, "take back")
    assert consultation.case == before, "what had no answer has none again"


def test_what_was_found_before_is_kept() -> None:
    consultation = at_work()
    say(consultation, "found rust")
    say(consultation, "found loose cord")
    answer = consultation.case.get("injuries", ("inside-signs", 0))
    assert answer is not None and {"rust", "loose-cord"} == set(answer.present)  # type: ignore[union-attr]


@pytest.mark.parametrize(
    "text", ["found gold", "found 2", "found", "found injury 9 rust", "found 90000 mm", "found none"]
)
def test_a_finding_that_fits_nothing_changes_nothing(text: str) -> None:
    consultation = at_work()
    before = consultation.case
    messages = say(consultation, text)
    assert messages and consultation.case == before and consultation.ask is None


@pytest.mark.parametrize(
    ("injury", "text"),
    [({"injury-depth": "rubber-only", "injury-angle": ""}, "found depth through"), ({}, "found a second hole")],
)
def test_a_finding_that_opens_questions(injury: dict[str, str], text: str) -> None:
    consultation = at_work({}, injury)
    messages = say(consultation, text)
    assert consultation.ask is not None
    assert "questions are open again" in said(messages)
    assert "Questions are still open" in said(say(consultation, "work"))


def test_what_reads_otherwise_is_said() -> None:
    consultation = at_work({}, {"injury-size": "4 mm"}, rules="demo-shop")
    to_step(consultation, "buff")
    told = said(say(consultation, "found 6 mm"))
    assert "Reads otherwise now - mark the outline: " in told and "Demo unit T2 (invented), 95 mm along" in told
    assert "That step is ticked. See whether it has to be done again." in told
    assert "Reads otherwise now - buff" not in told


def test_a_timer_of_ones_own_and_off() -> None:
    clock = Clock()
    consultation = at_work(clock=clock)
    assert "no timer runs" in said(say(consultation, "timer"))
    assert "Timer set (gauge the pair): 12.5 min from 08:00" in said(say(consultation, "timer 12.5 min"))
    clock.on(2.5)
    assert "10 min left" in said(say(consultation, "timer"))
    assert "The timer is off." in said(say(consultation, "timer off"))
    assert "No timer runs." in said(say(consultation, "timer off"))
    for wrong in ("timer 0", "timer 99999"):
        assert "more than 0 and at most 1440" in said(say(consultation, wrong))
    to_step(consultation, "dry")
    assert "less than the 5 min given here" in said(say(consultation, "timer 2"))
    assert consultation.work.timer_of(("dry", 0)).minutes == 5  # type: ignore[union-attr]


def test_each_figure_of_a_step_is_named_with_its_source() -> None:
    consultation = at_work()
    for planned in consultation.judge.methods.plan(consultation.judgement):
        told = said(say(consultation, "work"))
        for name in planned.step.figures:
            limit = consultation.judge.rules.limits.get(name)
            if limit is not None:
                assert planned.shown or f" - {limit.says}" in told, name
        if not planned.shown:
            say(consultation, "tick anyway")
    steps = said(say(consultation, "steps"))
    assert (
        "1200 rpm - fastest turning of the burr in the channel; Shop columns on tire repair (common practice" in steps
    )


def test_the_name_for_the_report() -> None:
    consultation = at_work()
    assert "Technician: ____" in said(say(consultation, "report"))
    assert said_aside(None, consultation, "technician  A.  Demo") is not None
    assert "Technician: A. Demo" in said(say(consultation, "report"))
    assert said_aside(None, consultation, "casing X") is None


def test_restrictions_stand_at_the_return_to_service() -> None:
    consultation = at_work({"wheel-position": "drive", "tread-depth": "3.5/32 in", "own-diameter": "41 in",
                            "pair-diameter": "40 in"})  # fmt: skip
    to_step(consultation, "return")
    assert "Restriction: Not in one dual pair" in said(say(consultation, "work"))


def test_notes() -> None:
    consultation = at_work(clock=Clock())
    assert "stand two" in said(say(consultation, "note  stand two"))
    assert consultation.work.notes[0].at == START and consultation.work.notes[0].key == ("gauge-pair", -1)
    assert any(message.kind == "complaint" for message in say(consultation, "note"))
    assert any(message.kind == "complaint" for message in say(consultation, "note " + "x" * 600))
    assert len(consultation.work.notes) == 1


def test_no_work_while_questions_are_open() -> None:
    consultation = Consultation(judge_of(), TODAY)
    assert "Questions are still open" in said(say(consultation, "work"))
    assert "Questions are still open" in said(say(consultation, "tick"))
    assert consultation.work == Work()


def test_no_work_without_a_method_and_preparing_for_a_referral() -> None:
    scrap = at_work({"findings": "[exposed-cord]"})
    assert "what to do with this tire" in said(say(scrap, "work"))
    refer = at_work({}, {"injury-size": "11 mm"})
    assert "Section repair" in said(say(refer, "work"))


def test_starting_over_clears_the_work() -> None:
    consultation = at_work(clock=Clock())
    say(consultation, "tick")
    say(consultation, "note x")
    say(consultation, "start over")
    assert consultation.work == Work()


# Picking a find


def test_a_find_by_its_letter() -> None:
    consultation = at_work()
    listed = said(say(consultation, "found"))
    assert "a the injury's width, with its figure" in listed and "f Rust" in listed and "i A bulge" in listed
    assert "the injury's width: 6.2 mm" in said(say(consultation, "found a 6.2 mm"))
    assert "Not understood" in said(say(consultation, "found a")), "a width without a figure is none"
    before = consultation.case
    assert "Not understood" in said(say(consultation, "found 11")), "a bare number names no find"
    assert consultation.case == before
    say(consultation, "found f, e")
    assert str(consultation.case.injuries[0]["inside-signs"]) == "loose-cord, rust"
    assert "f Rust (found already)" in said(say(consultation, "found"))


def test_a_find_by_its_letter_at_another_injury() -> None:
    places = ({"clock": '"3:00"', "offset": "0 mm"}, {"clock": '"6:00"', "offset": "0 mm"})
    consultation = at_work({"unit-length": "70 mm", "unit-width": "60 mm"}, *places)
    say(consultation, "found injury 2 f")
    first, second = (str(injury["inside-signs"]) for injury in consultation.case.injuries)
    assert (first, second) == ("none", "rust")


# What is typed at a step


def test_a_bare_figure_at_the_drilling_is_asked_back_and_taken_nowhere() -> None:
    consultation = at_work()
    to_step(consultation, "drill-inside-truck")
    before = consultation.state
    said_back = said(say(consultation, "11 mm"))
    assert "11 mm of what? Type: burr width 11 mm, or found 11 mm (the injury's width as it is now)." in said_back
    assert (consultation.case, consultation.work) == (before.case, before.work)
    assert "11 mm" in str(consultation.card().short.do_now[0])
    say(consultation, "burr width 11 mm")
    assert "11 mm" not in str(consultation.card().short.do_now[0])


def test_several_fields_in_one_line_as_the_step_prints_them() -> None:
    consultation = at_work()
    to_step(consultation, "outline")
    printed = "unit T2 40 mm, unit batch B4711, unit use by 2027-05"
    assert f"To write down, type: {printed}." in said(say(consultation, "work"))
    for line in (printed, "unit T2 40 mm, batch B4711, use by 2027-05"):
        noted = said(say(consultation, line))
        assert "size: T2 40 mm" in noted and "batch: B4711" in noted and "date: 2027-05" in noted
    refused = said(say(consultation, "unit batch C9, use by 2026-01"))
    assert "batch: C9" in refused and "2026-01, which is past" in refused
    readings = {each.field: each.text for each in consultation.work.readings}
    assert readings["unit-use-by"] == "2027-05" and readings["unit"] == "T2 40 mm"


def test_the_air_is_told_at_any_step() -> None:
    consultation = at_work()
    say(consultation, "shop temperature 8 C, humidity 65 %")
    assert consultation.pending is None and "8 C" in str(consultation.case.answers["shop-temperature"])


def test_with_two_injuries_each_tick_and_timer_says_which() -> None:
    tire = {"unit-length": "70 mm", "unit-width": "60 mm", "apart-along": "120 mm", "apart-across": "0 mm"}
    consultation = at_work(tire, {}, {"injury-size": "5 mm"}, clock=Clock())
    to_step(consultation, "vacuum")
    last = len(consultation.judge.methods.plan(consultation.judgement))
    noted = said(say(consultation, f"tick 24-{last}"))
    assert "take off the dust, injury 1, cement" in noted and "take off the dust, injury 2, cement" in noted
    assert "Timer set (let it dry, injury 1)" in noted and "Timer set (let it dry, injury 2)" in noted
    assert "Timer (dry, injury 2): 5 min left" in said(say(consultation, "timer"))
    plan = consultation.judge.methods.plan(consultation.judgement)
    order = [planned.step.id for planned in plan]
    last_buffed = max(place for place, name in enumerate(order) if name.startswith("buff"))
    assert last_buffed < order.index("cement-liner"), "both are buffed before either liner is cemented"
