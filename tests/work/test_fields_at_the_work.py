"""What is written down at the steps: tests that fail, fields left empty, what is taken over, readings by bare words."""

from __future__ import annotations

import pytest

from advisor.dialogue.talk_commands import say
from advisor.work.progress import work_data, work_from
from tests.work.test_work import Clock, at_work, said, to_step


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
    assert not consultation.work.readings


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
