"""Words behind a tick that speak against the repair never end in one without a word; harmless ones leave it plain."""

from __future__ import annotations

import pytest

from tests.laws.test_bad_news_stays import TOGETHER, ended, said_on_the_card_of_a_repair

pytestmark = pytest.mark.free_order

PLAIN = "Work through the steps"
BEGUN = (*TOGETHER, "work", "tick", "tick")


def ticks(*lines: str) -> int:
    return len(ended(*lines)[0].work.ticks)


@pytest.mark.parametrize(
    "said", ["eleven across", "the seven fitted it", "roomier now", "thrice as long", "it doubled"]
)
def test_a_figure_in_words_or_a_larger_hole_is_asked_back(said: str) -> None:
    _, told = ended(*BEGUN, f"tick, {said}")
    assert "may be a reading" in told and ticks(*BEGUN, f"tick, {said}") == ticks(*BEGUN)
    assert said in said_on_the_card_of_a_repair(*BEGUN, f"tick, {said}")


@pytest.mark.parametrize("said", ["all orange", "turned flaky", "runs sideways", "went black on me", "it flexes"])
def test_what_came_to_light_stops_the_tick_and_stands_first(said: str) -> None:
    assert ticks(*BEGUN, f"tick, {said}") == ticks(*BEGUN)
    assert said in said_on_the_card_of_a_repair(*BEGUN, f"tick, {said}")


@pytest.mark.parametrize("said", ["next week", "mostly", "skipping it", "most of that", "after lunch", "left it out"])
def test_a_step_not_done_stays_open_and_is_said_to(said: str) -> None:
    _, told = ended(*BEGUN, f"tick, {said}")
    assert "the step is not done" in told and ticks(*BEGUN, f"tick, {said}") == ticks(*BEGUN)


@pytest.mark.parametrize("said", ["overshot", "the bit grabbed", "if you insist", "with my key", "something rang"])
def test_any_other_words_stand_first_and_in_the_record(said: str) -> None:
    consultation, _ = ended(*BEGUN, f"tick, {said}")
    assert said in [note.text for note in consultation.work.notes]
    assert said in said_on_the_card_of_a_repair(*BEGUN, f"tick, {said}")


@pytest.mark.parametrize(
    "said", ["done", "nice and dry", "both coats", "with the gauge", "RH", "came up lovely", "thanks"]
)
def test_harmless_words_leave_a_plain_tick(said: str) -> None:
    assert ticks(*TOGETHER, "work", f"tick, {said}") == ticks(*TOGETHER, "work", "tick")
    assert said_on_the_card_of_a_repair(*TOGETHER, "work", f"tick, {said}").startswith(PLAIN)


@pytest.mark.parametrize("said", ["it's doubled", "came up orange", "done, thrice as long"])
def test_the_same_without_a_tick_stands_first_too(said: str) -> None:
    assert not said_on_the_card_of_a_repair(*BEGUN, said).startswith(PLAIN)


@pytest.mark.parametrize("said", ["yup, nah", "okay, nope", "correct, no", "no - yes", "yes and no"])
def test_yes_and_no_in_one_breath_is_neither(said: str) -> None:
    begun = ("nail hole in the crown, about 6 mm, maybe through",)
    waits, _ = ended(*begun)
    consultation, told = ended(*begun, said)
    assert waits.pending is not None and consultation.pending == waits.pending and "says yes and no" in told
    assert consultation.case == waits.case and consultation.notes == waits.notes


@pytest.mark.parametrize(
    "tail",
    ["no light in here", "forgot my lamp", "eyes shut", "still on the truck", "by torch on my phone", "in haste"],
)
def test_how_badly_it_was_looked_at_stands_first(tail: str) -> None:
    lines = (*TOGETHER[:2], f"{TOGETHER[2]}, {tail}", *TOGETHER[3:])
    consultation, told = ended(*lines, *["yes"] * 2)
    assert not str(consultation.card().short.do_now[0]).startswith(PLAIN), told


@pytest.mark.parametrize(
    "tail", [", judging by the screw", ", had no gauge", ", by eye", " and more", ", same as the nail"]
)
def test_how_badly_it_was_measured_stands_first(tail: str) -> None:
    lines = (*TOGETHER[:3], f"6 mm{tail}", "10°", "crown", "through", *TOGETHER[4:])
    consultation, told = ended(*lines)
    assert not str(consultation.card().short.do_now[0]).startswith(PLAIN), told
