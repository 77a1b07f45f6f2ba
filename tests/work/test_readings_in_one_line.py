"""Readings of the work in one line, without their names: each goes to its own step, none to an answer on the tire."""

from __future__ import annotations

import pytest

from advisor.dialogue.session import Consultation
from advisor.dialogue.talk_commands import say
from tests.work.test_work import Clock, at_work, said, to_step

TORQUE, SET, LEAK = ("fit-wheel", "torque"), ("inflate", "inflated-to"), ("leak-check", "leak-test")


def at(step: str) -> Consultation:
    consultation = at_work(clock=Clock())
    to_step(consultation, step)
    return consultation


def written(consultation: Consultation) -> dict[tuple[str, str], str]:
    return {(each.key[0], each.field): each.text for each in consultation.work.readings if each.text}


@pytest.mark.parametrize("step", ["match-rim", "inflate", "leak-check", "fit-wheel"])
@pytest.mark.parametrize(
    ("line", "kept"),
    [
        ("95 psi, no bubbles, new core, 80 ft lb", {SET: "95 psi", LEAK: "no bubbles, new core", TORQUE: "80 ft lb"}),
        ("80 ft lb, 95 psi", {SET: "95 psi", TORQUE: "80 ft lb"}),
        ("inflated to 95 psi and no leaks; 600 Nm", {SET: "95 psi", LEAK: "no leaks", TORQUE: "600 Nm"}),
    ],
)
def test_each_reading_goes_to_its_own_step_and_is_said_back(
    step: str, line: str, kept: dict[tuple[str, str], str]
) -> None:
    consultation = at(step)
    case = consultation.case
    told = said(say(consultation, line))
    assert written(consultation) == kept
    assert all(text in told for text in kept.values())
    assert (consultation.case, consultation.pending) == (case, None)
    assert step == "fit-wheel" or "for step 36, fit the wheel" in told


def test_one_reading_of_another_step_is_told_where_it_belongs_or_asked_back() -> None:
    consultation = at("outline")
    assert "The nuts' torque: 80 ft lb" in said(say(consultation, "80 ft lb"))
    told = said(say(consultation, "93 psi"))
    assert "93 psi of what?" in told and "inflated to 93 psi" in told and "pressure found 93 psi" in told
    assert consultation.pending is None and SET not in written(consultation)
    assert "the pressure found: 93 psi" in said(say(consultation, "pressure found 93 psi")), "named, it is the answer"


@pytest.mark.parametrize("line", ["95 psi, 80 ft lb, blah foo", "80 ft lb, blah foo"])
def test_what_is_not_understood_beside_readings_is_said(line: str) -> None:
    consultation = at("fit-wheel")
    assert 'Not understood: "blah foo"' in said(say(consultation, line))
    assert written(consultation)[TORQUE] == "80 ft lb"


@pytest.mark.parametrize("line", ["80 ft lb, 93 psi, bulge in the sidewall", "93 psi, it ran flat, 80 ft lb"])
def test_bad_news_beside_readings_is_shown_back(line: str) -> None:
    consultation = at("fit-wheel")
    case = consultation.case
    say(consultation, line)
    assert consultation.pending is not None
    say(consultation, "yes")
    assert consultation.case != case and consultation.case.answers["found-pressure"] == case.answers["found-pressure"]


def test_a_test_passed_counts_only_once_a_pressure_is_set_and_one_that_failed_at_once() -> None:
    consultation = at("match-rim")
    assert "no pressure is set" in said(say(consultation, "no bubbles, 80 ft lb"))
    assert written(consultation) == {TORQUE: "80 ft lb"}
    assert "FAILED" in said(say(at("leak-check"), "bubbles at the bead, 93 psi"))


@pytest.mark.parametrize("line", ["6 mm now", "it's 6 mm", "now 6 mm", "still 6 mm", "the hole is 6 mm wide now"])
def test_what_is_measured_again_may_say_that_it_is_so_now(line: str) -> None:
    consultation = at("measure-again-truck")
    told = said(say(consultation, line))
    assert "Done at 08:00: measure again" in told and consultation.pending is None
    assert consultation.work.notes[-1].text == "found injury 1: the injury's width: 6 mm"


def test_the_leak_test_claims_no_pressure_that_was_not_written_down() -> None:
    consultation = at("match-rim")
    told = said(say(consultation, "tick 1-37"))
    assert "Not written down: pressure it was set to" in told and "just set" not in told
    lacks = "Step 32, inflate, has no pressure written down: type inflated to 110 psi."
    assert lacks in told and lacks in said(say(consultation, "work"))
    say(consultation, "108 psi")
    assert "no pressure written down" not in said(say(consultation, "work"))
