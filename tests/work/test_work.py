"""Walking through the work: ticks, notes, timers, findings that change the case; first the machine, then the lines."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from fractions import Fraction

import pytest

from advisor.dialogue.event_sink import said_aside
from advisor.dialogue.session import Consultation
from advisor.dialogue.talk_commands import say
from advisor.loader.case_file import read_case, split_cases
from advisor.wording.messages import Message
from advisor.work.progress import Timer, Work, key_of, time_left_in_words
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
    while plan[consultation.work.current(plan) or 0].step.id != step:
        assert said(say(consultation, "tick"))


# The machine


def test_ticks_go_in_order_and_come_off() -> None:
    plan = judge_of().methods.plan(judged())
    work = Work()
    assert work.current(plan) == 0 and not work.begun
    for place, planned in enumerate(plan):
        assert work.current(plan) == place
        work = work.ticked(key_of(planned), START + timedelta(minutes=place), planned.method.id)
    assert work.current(plan) is None
    first = key_of(plan[0])
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
    assert f"Step 1 of {steps}" in said(say(consultation, "work"))
    for _ in range(steps):
        clock.on(1)
        last = said(say(consultation, "tick"))
    assert f"All {steps} steps are done." in last
    log = said(say(consultation, "work log"))
    assert f"{steps} steps ticked" in log and "make clear, 08:01" in log
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
    to_step(consultation, "dry")
    assert "Timer set: 5 min from 08:00" in said(say(consultation, "timer"))
    clock.on(2)
    assert "does not" not in said(say(consultation, "why")) and "Inner liner" in said(
        say(consultation, "what is a liner")
    )
    clock.on(1)
    assert "2 min left" in said(say(consultation, "timer"))
    clock.on(3)
    assert "are over. Look whether it is dry." in said(say(consultation, "work"))
    assert "Timer" not in said(say(consultation, "tick")), "a step that is done has no timer any more"


def test_a_tick_before_the_time_is_up_says_so() -> None:
    clock = Clock()
    consultation = at_work(clock=clock)
    to_step(consultation, "dry")
    say(consultation, "timer")
    clock.on(1)
    assert "still had 4 min to go" in said(say(consultation, "tick"))


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
    say(consultation, "tick")
    told = said(say(consultation, "step 10"))
    count = len(judge_of().methods.plan(consultation.judgement))
    assert f"Step 10 of {count}" in told and "Not the step in hand; type work for the one in hand." in told
    assert "Ticked already" in said(say(consultation, "Step 1")) and "Type tick" in said(say(consultation, "step 2"))
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
    assert "no work to walk through" in said(say(consultation, "tick"))
    report = said(say(consultation, "report"))
    assert "[x] 1. " in report and "(until now: 5 mm)" in report


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
    assert "Timer set: 12.5 min from 08:00" in said(say(consultation, "timer 12.5 min"))
    clock.on(2.5)
    assert "10 min left" in said(say(consultation, "timer"))
    assert "The timer is off." in said(say(consultation, "timer off"))
    assert "No timer runs." in said(say(consultation, "timer off"))
    for wrong in ("timer 0", "timer 99999"):
        assert "more than 0 and at most 1440" in said(say(consultation, wrong))
    to_step(consultation, "dry")
    assert "less than the 5 min given here" in said(say(consultation, "timer 2"))


def test_each_figure_of_a_step_is_named_with_its_source() -> None:
    consultation = at_work()
    for planned in consultation.judge.methods.plan(consultation.judgement):
        told = said(say(consultation, "work"))
        for name in planned.step.figures:
            limit = consultation.judge.rules.limits.get(name)
            if limit is not None:
                assert f"{limit.says}" in told and f"({limit.basis.standing}" in told, name
        say(consultation, "tick")
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
    assert consultation.work.notes[0].at == START and consultation.work.notes[0].key == ("make-clear", -1)
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
    assert "no work to walk through" in said(say(scrap, "work"))
    refer = at_work({}, {"injury-size": "11 mm"})
    assert "Section repair" in said(say(refer, "work"))


def test_starting_over_clears_the_work() -> None:
    consultation = at_work(clock=Clock())
    say(consultation, "tick")
    say(consultation, "note x")
    say(consultation, "start over")
    assert consultation.work == Work()
