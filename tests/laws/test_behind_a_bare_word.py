"""What stands behind a yes or no is never lost: it leaves the word as it is, takes it back, or is on the card first."""

from __future__ import annotations

import pytest

from advisor.model.ruleset import Verdict
from tests.laws.talking import TRUCK, said_where_asked

pytestmark = pytest.mark.free_order

PLAIN = "Work through the steps"


@pytest.mark.parametrize(
    ("question", "said"),
    [
        ("more-injuries", "no, well a small one in the side"),
        ("more-injuries", "no, except for a nick by the bead"),
        ("more-injuries", "no, but there's a screw in the shoulder"),
        ("more-injuries", "nope, apart from the gash"),
        ("more-injuries", "no, not counting the slit on the wall"),
        ("demounted", "yes, well one bead's still on"),
        ("demounted", "yes, apart from the inside bead"),
        ("demounted", "yes, nearly"),
        ("demounted", "yes but only one side"),
        ("earlier-repairs", "no, just the one"),
        ("earlier-repairs", "no, only one"),
        ("earlier-repairs", "no more than one"),
        ("earlier-repairs", "no, well one years ago"),
        ("sealant", "no, only the can from the boot"),
    ],
)
def test_a_word_that_is_taken_back_is_shown_back_as_the_contrary(question: str, said: str) -> None:
    assert said_where_asked(TRUCK, question, said).card().verdict is not Verdict.REPAIR


@pytest.mark.parametrize("said", ["no, only down the road", "no, well a mile or so", "no, just onto the trailer"])
def test_a_short_way_is_driven_soft(said: str) -> None:
    assert str(said_where_asked(TRUCK, "run-low", said).case.answers["run-low"]) == "yes"


def test_what_is_said_of_a_further_injury_is_of_that_one() -> None:
    case = said_where_asked(TRUCK, "more-injuries", "no, but there's a screw in the shoulder").case
    assert [str(each.get("injury-zone")) for each in case.injuries] == ["crown", "shoulder"]


def test_what_is_told_beside_a_word_taken_back_goes_with_it() -> None:
    notes = " ".join(said_where_asked(TRUCK, "demounted", "yes, well one bead is on and torn").notes)
    assert "torn" in notes


@pytest.mark.parametrize(
    ("question", "said"),
    [
        ("more-injuries", "no, just the one"),
        ("more-injuries", "no, nothing else on it"),
        ("demounted", "yes, both beads"),
        ("demounted", "yes, well and truly"),
        ("earlier-repairs", "no, well looked after"),
        ("earlier-repairs", "no, first time"),
        ("run-low", "no, only pumped up"),
        ("sealant", "no, only air"),
        ("findings", "nothing, just the nail hole"),
    ],
)
def test_what_leaves_a_word_as_it_is_leaves_no_notice(question: str, said: str) -> None:
    card = said_where_asked(TRUCK, question, said).card()
    assert card.verdict is Verdict.REPAIR and str(card.short.do_now[0]).startswith(PLAIN)


@pytest.mark.parametrize("said", ["6 mm and up", "from 6 mm", "6 mm+", "6 mm or so and growing", "not less than 6 mm"])
def test_the_least_that_a_width_is_does_not_count_and_is_said_first(said: str) -> None:
    consultation = said_where_asked(TRUCK, "injury-size", said)
    assert f'"{said}"' in str(consultation.card().short.do_now[0])


@pytest.mark.parametrize("said", ["9/32 or less", "up to 9/32", "9/32 at best"])
def test_the_most_that_a_tread_is_does_not_count_either(said: str) -> None:
    assert said in str(said_where_asked(TRUCK, "tread-depth", said).card().short.do_now[0])


@pytest.mark.parametrize(("question", "said"), [("injury-size", "6 mm at most"), ("tread-depth", "at least 9/32")])
def test_the_worst_that_a_figure_may_be_counts(question: str, said: str) -> None:
    assert str(said_where_asked(TRUCK, question, said).card().short.do_now[0]).startswith(PLAIN)


@pytest.mark.parametrize(
    ("said", "quoted"),
    [("off, couldn't really see in, lamp's dead", "couldn't really see in"), ("off, a tad floppy", "a tad floppy")],
)
def test_a_notice_quotes_the_clause_and_not_the_words_alone(said: str, quoted: str) -> None:
    assert quoted in str(said_where_asked(TRUCK, "demounted", said).card().short.do_now[0])


@pytest.mark.parametrize(
    ("question", "said"),
    [
        ("injury-depth", "through, I didn't actually probe it"),
        ("demounted", "off, we didn't actually see the inside"),
        ("demounted", "off, it is actually still on"),
        ("demounted", "off, make that not"),
        ("found-pressure", "104 psi, 110 psi, not driven flat by him"),
        ("injury-size", "6 mm, give or take a lot"),
        ("injury-size", "6 mm that I can see"),
        ("findings", "none, in a manner of speaking"),
    ],
)
def test_a_clause_that_nothing_came_of_is_said_first(question: str, said: str) -> None:
    consultation = said_where_asked(TRUCK, question, said)
    first, last = str(consultation.card().short.do_now[0]), said.rpartition(", ")[2]
    assert consultation.card().verdict is not Verdict.REPAIR or last in first, first


@pytest.mark.parametrize(
    "said", ["tick, went like a dream", "tick, no bother", "tick, no wires came out", "tick, all smooth"]
)
def test_a_tick_that_went_well_leaves_no_notice(said: str) -> None:
    first = str(said_where_asked(TRUCK, "work", said).card().short.do_now[0])
    assert first.startswith(PLAIN)
