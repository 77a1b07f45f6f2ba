"""A bare number that a list just shown may have been meant by is asked back; a slip leads to its figure."""

from __future__ import annotations

import pytest

from tests.dialogue.test_nothing_taken_otherwise import TRUCK
from tests.dialogue.test_plainly_said import talk

pytestmark = pytest.mark.free_order

LENGTH = (*TRUCK[:4], "crown", "off the wheel, no sealant, no earlier repairs, findings none, inside none, no more")
PRESSURE = ("225/65R17 102H car, tubeless, 2322", "7/32, not run low, drive axle, first tread, not a runflat", "yes")


def length(*lines: str) -> str:
    return str(talk(*LENGTH, *lines)[0].case.injuries[0].get("injury-length", ""))


def test_a_bare_number_of_a_list_is_no_length_until_it_is_typed_once_more() -> None:
    consultation, said = talk(*LENGTH, "1")
    assert consultation.ask is not None and consultation.ask.key[0] == "injury-length", said
    assert "injury-length" not in consultation.case.injuries[0]
    assert "Nothing waits here for a 1." in said and "1 mm. If that is meant, type it once more." in said
    assert length("1", "1") == "1 mm" and length("5/16") == "5/16 in" and length("1 mm") == "1 mm"


@pytest.mark.parametrize("number", ["1", "2"])
def test_behind_a_read_back_it_is_no_pressure_either(number: str) -> None:
    consultation, said = talk(*PRESSURE, number)
    assert consultation.ask is not None and consultation.ask.question.quantity == "pressure", said
    assert "found-pressure" not in consultation.case.answers and "type it once more" in said
    consultation, said = talk(*PRESSURE, number, number)
    assert str(consultation.case.answers["found-pressure"]) == f"{number} psi", said


def test_behind_a_single_answer_a_bare_number_is_the_measure() -> None:
    assert (
        "type it once more" not in talk(*LENGTH, "change width 1/4 in", "change length", "5", "change length", "2")[1]
    )


def test_a_bare_date_code_is_no_length() -> None:
    consultation, said = talk(*LENGTH, "2319")
    assert "2319 may be a date code" in said and "injury-length" not in consultation.case.injuries[0]
    consultation, said = talk(*LENGTH, "2319", "dot 2319")
    assert str(consultation.case.answers["dot-code"]) == "2319", said
    assert length("2319", "5/16") == "5/16 in"


@pytest.mark.parametrize("slip", ["2", "no", "a slip", "No, one of it was a slip"])
def test_a_slip_asks_for_the_figure_again(slip: str) -> None:
    consultation, said = talk(*LENGTH, "1 mm", slip)
    assert consultation.ask is not None and consultation.ask.key[0] == "injury-length", said
    assert "Asked again: injury 1: the injury's length" in said
    consultation, said = talk(*LENGTH, "1 mm", slip, "5/16")
    injury = consultation.case.injuries[0]
    assert str(injury["injury-length"]) == "5/16 in" and "length-checked" not in injury, said


@pytest.mark.parametrize("line", ["its round", "round", "change length leave it out", "change length round"])
def test_round_after_all_leaves_the_length_out(line: str) -> None:
    consultation, said = talk(*LENGTH, "1 mm", line)
    assert "length: left out" in said, said
    assert "injury-length" not in consultation.case.injuries[0] and ("injury-length", 0) in consultation.case.skipped
