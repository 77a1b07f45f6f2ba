"""At the work nothing bad is kept as a name, lost with a refused reading, or read as something of the tire.

It stands first on the card of the repair.
"""

from __future__ import annotations

import pytest

from tests.laws.test_bad_news_stays import TOGETHER, ended, said_on_the_card_of_a_repair

pytestmark = pytest.mark.free_order

PLAIN = "Work through the steps"


def first(said: str) -> str:
    return said_on_the_card_of_a_repair(*TOGETHER, "work", said)


@pytest.mark.parametrize(
    "said",
    [
        "unit X12 out of date",
        "unit X12 is too small",
        "unit X12 has no date on it",
        "unit X12 wont stick",
        "unit X12 lifted",
        "unit batch B4711 expired in 2023",
        "unit batch B4711 wrong size",
        "cement batch 12 past its date",
        "unit batch B47 lifting at one edge",
        "unit batch B47 dropped in the dust",
        "unit won't stick, keeps lifting at the edge",
        "unit T2 was used before",
        "unit T2, torn at the corner",
        "cement batch C9 dried out",
        "cement batch C9, gone hard",
        "unit no good",
        "unit 40 mm does not cover it",
    ],
)
def test_what_is_told_behind_a_name_is_no_part_of_it(said: str) -> None:
    consultation, told = ended(*TOGETHER, "work", said)
    assert not first(said).startswith(PLAIN), told
    readings = [each.text for each in consultation.work.readings]
    assert all(len(each.split()) < 3 for each in readings), readings


@pytest.mark.parametrize(
    ("said", "kept"),
    [
        ("unit B4711", "B4711"),
        ("unit T2 40 mm", "T2 40 mm"),
        ("unit 40 x 60 mm", "40 x 60 mm"),
        ("unit batch 77-A", "77-A"),
        ("unit X12, 45 mm", "X12, 45 mm"),
        ("unit combi", "combi"),
    ],
)
def test_a_name_is_kept_whole(said: str, kept: str) -> None:
    consultation, told = ended(*TOGETHER, "work", said)
    assert [each.text for each in consultation.work.readings] == [kept], told
    assert first(said).startswith(PLAIN)


@pytest.mark.parametrize(
    "said",
    [
        "torque 60 Nm, stud is bent",
        "torque 60 Nm, nut is stripped",
        "torque 600 Nm but one nut is loose",
        "torque about right",
        "torque 600 Nm, threads gone",
        "cement use by 2023-05",
        "unit use by 2023-05",
        "unit use by 2027-05 but opened long ago",
        "inflated to 110 psi, valve is leaking",
        "inflated to 110 psi and dropping",
    ],
)
def test_a_refused_reading_is_not_lost(said: str) -> None:
    assert not first(said).startswith(PLAIN), ended(*TOGETHER, "work", said)[1]


def test_a_refused_date_ends_with_one_that_is_taken() -> None:
    lines = (*TOGETHER, "work", "cement use by 2023-05", "cement use by 2027-05")
    assert said_on_the_card_of_a_repair(*lines).startswith(PLAIN)


@pytest.mark.parametrize(
    "said",
    [
        "still leaking",
        "it leaks",
        "leaking",
        "losing air at the bead",
        "bubbles at the valve",
        "its still leaking",
        "tick 1-8 but its still leaking",
        "tick, it leaks",
        "leaks at the valve",
        "hissing at the bead",
        "it leaks, do i do it again?",
        "air is leaking out",
        "leak at the repair",
        "work, still leaking",
        "it is losing air",
    ],
)
def test_a_leak_at_the_work_is_of_the_leak_test_and_of_no_pressure(said: str) -> None:
    consultation, told = ended(*TOGETHER, "work", said)
    assert consultation.work.not_passed and consultation.case == ended(*TOGETHER)[0].case, told
    assert "which did not pass" in str(consultation.card().short.do_now[0]) and not consultation.work.ticks


def test_a_later_test_that_passes_takes_it_from_the_card() -> None:
    lines = (*TOGETHER, "work", "it leaks", "leak test no bubbles")
    assert said_on_the_card_of_a_repair(*lines).startswith(PLAIN)


def test_what_is_told_behind_a_technicians_name_stands_on_the_card() -> None:
    assert "Noted, not counted" in said_on_the_card_of_a_repair(*TOGETHER, "technician trainee, not trained")


@pytest.mark.parametrize(
    "said", ["seven now", "grew a bit", "had to take the wider burr", "runs sideways", "five across"]
)
def test_a_tick_with_another_size_ticks_nothing_and_stands_on_the_card(said: str) -> None:
    consultation, told = ended(*TOGETHER, "work", f"tick, {said}")
    assert not consultation.work.ticks and "Not ticked" in told
    assert said in str(consultation.card().short.do_now[0])


@pytest.mark.parametrize("said", ["skipped that", "in the morning, later", "most of it", "nearly", "tried to"])
def test_a_tick_of_what_is_not_done_ticks_nothing(said: str) -> None:
    consultation, told = ended(*TOGETHER, "work", f"tick, {said}")
    assert not consultation.work.ticks and "Not ticked" in told


@pytest.mark.parametrize("said", ["came up purple", "bit crumbly", "it flexes", "struck something", "smells odd"])
def test_what_a_tick_tells_that_is_not_plainly_well_stands_first(said: str) -> None:
    consultation, told = ended(*TOGETHER, "work", f"tick, {said}")
    assert said in str(consultation.card().short.do_now[0]), told


@pytest.mark.parametrize("said", ["done", "nice and clean", "two coats", "all good, dry now"])
def test_a_tick_with_words_that_it_went_well_is_one(said: str) -> None:
    assert said_on_the_card_of_a_repair(*TOGETHER, "work", f"tick, {said}").startswith(PLAIN)


@pytest.mark.parametrize("said", ["yes no", "yeah, nah", "ok nope", "aye... no", "yep - no"])
def test_a_yes_and_a_no_in_one_breath_is_neither(said: str) -> None:
    waits = "maybe it was driven flat"
    consultation, told = ended(*TOGETHER[:1], waits, said)
    assert consultation.pending is not None and consultation.case == ended(*TOGETHER[:1], waits)[0].case, told
