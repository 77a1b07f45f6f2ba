"""What a line says counts as it was meant, or is shown for what it may mean; nothing of it is lost or turned round."""

from __future__ import annotations

import pytest

from tests.dialogue.test_plainly_said import stands, talk

pytestmark = pytest.mark.free_order

TRUCK = (
    "steer tire, 295/75R22.5 144/141L load range G, tubeless, 110 set 98 found, 11/32 all across, truck",
    "original tread, not run soft", "not a run flat", "nail, 1/4 in, 10 deg, right through", "crown, round hole",
)  # fmt: skip
CAR = (
    "225/65R17 102H car, tubeless, 2322",
    "28 psi found, should be 33 psi, 7/32, not run low, drive axle, first tread",
)


def maybe(said: str) -> str:
    return said.partition("I may have heard")[2]


@pytest.mark.parametrize(
    ("rules", "line", "tread", "width"),
    [
        ("uk-road", "van 215/65R16C 109/107T, 54 should be, 50 found, 5mm, kerb cut in sidewall 30 mm", "5 mm", ""),
        ("de-road", "car, 225/45R17 91W, 0.3 bar found, 2.5 should be, 6mm, nail 3mm crown", "6 mm", "3 mm"),
        ("us-road", "car 225/45R17 91W, 6mm, nail 3mm crown", "6 mm", "3 mm"),
    ],
)
def test_a_bare_figure_ahead_of_an_injury_with_its_own_is_the_treads(
    rules: str, line: str, tread: str, width: str
) -> None:
    consultation, said = talk(line, rules=rules)
    assert f"the tread depth: {tread} - from" in maybe(said), said
    assert f"width: {tread}" not in said and f"{tread}: of what?" not in said
    assert (f"the injury's width: {width}" in maybe(said)) == bool(width), said
    assert consultation.pending is not None and not stands(consultation, "tread-depth")
    number = maybe(said).partition(". the tread depth")[0].rpartition(" ")[2]
    consultation, said = talk(line, f"take {number}", "yes", rules=rules)
    assert stands(consultation, "tread-depth") == tread, said


@pytest.mark.parametrize(
    "line",
    [
        "54 should be, 50 found, hole in the crown, 5 mm, cut in sidewall 30 mm",
        "54 should be, 50 found, hole in the crown, 5 mm",
    ],
)
def test_a_bare_figure_behind_an_injury_stays_its_width(line: str) -> None:
    consultation, said = talk(line, rules="uk-road")
    width = consultation.case.injuries[0].get("injury-size") if consultation.case.injuries else None
    assert "injury's width: 5 mm" in said or str(width) == "5 mm", said
    assert "the tread depth" not in said


def test_all_across_is_of_the_tread_and_asks_for_no_width() -> None:
    consultation, said = talk(TRUCK[0])
    assert stands(consultation, "tread-depth") == "11/32 in" and "injury's width" not in said, said


def test_one_none_beside_denials_by_name_is_of_the_findings_alone() -> None:
    consultation, said = talk(*TRUCK, "off the wheel, all looked at, none, no earlier repairs, no sealant, no more")
    assert stands(consultation, "findings") == "none" and consultation.pending is None, said
    assert "inside-signs" not in consultation.case.injuries[0]
    assert consultation.ask is not None and consultation.ask.key[0] == "inside-signs"


def test_all_looked_at_and_none_alone_is_of_each_list() -> None:
    consultation, said = talk(*TRUCK, "off, all looked at, none")
    assert str(consultation.case.injuries[0]["inside-signs"]) == "none", said


def test_a_line_into_an_open_confirmation_says_nothing_two_ways() -> None:
    line = "off the wheel, all looked at, none, no earlier repairs, no sealant, no more"
    consultation, said = talk(*TRUCK[:4], "crown, wider hole, blorp", line)
    assert "earlier repairs: No, none" in said and "earlier repairs: can't tell" not in said, said
    assert "kept as a note: none" in said
    consultation, said = talk(*TRUCK[:4], "crown, wider hole, blorp", line, "yes")
    assert stands(consultation, "earlier-repairs") == "no", said


def test_what_a_doubt_opens_again_is_no_more_among_what_yes_counts() -> None:
    _, said = talk(CAR[0], "tread 7/32, 28 psi found, should be 33 psi, blorp", "tread maybe 2/32")
    now = said.rpartition("Understood, not counted yet")[2]
    assert "But they leave a doubt. With yes it counts as the tread depth" in now, said
    assert 'the tread depth: 7/32 in - from "tread 7/32"; what may have been heard leaves it open' in now
    assert "the tread depth" not in now.partition("With yes these count")[2]


@pytest.mark.parametrize("line", ["not a run flat", "its not a run flat", "not a runflat"])
def test_not_a_run_flat_answers_the_question_for_that(line: str) -> None:
    consultation, said = talk(*CAR, line)
    assert consultation.pending is None and stands(consultation, "self-supporting") == "no", said
    assert "(stands: No)" not in said


def test_off_and_none_where_the_findings_come_next_needs_no_yes() -> None:
    consultation, said = talk(
        *CAR, "not a run flat, no sealant, no old repairs", "5/32 in wide, crown, through, 5 deg, round"
    )
    assert consultation.ask is not None and consultation.ask.key[0] == "demounted"
    assert [each.key[0] for each in consultation.ask.beside][:1] == ["findings"]
    consultation, said = talk(
        *CAR, "not a run flat, no sealant, no old repairs", "5/32 in wide, crown, through, 5 deg, round", "off, none"
    )
    assert consultation.pending is None and stands(consultation, "findings") == "none", said
    assert stands(consultation, "demounted") == "yes"


def test_what_stands_so_already_is_not_shown_to_be_confirmed() -> None:
    consultation, said = talk(*CAR, "its a company car")
    assert "the vehicle: Car" not in said.rpartition("Understood")[2].partition("I may have")[2], said
    assert "commerce" not in said or consultation.pending is not None


def test_the_choice_that_takes_a_figure_says_what_it_will_note() -> None:
    before = ("54 should be, 50 found, 5mm, kerb cut in sidewall 30 mm",)
    consultation, _ = talk(*before, rules="uk-road")
    assert consultation.ask is not None
    says = consultation.ask.question.choices[-1].says
    consultation, said = talk(*before, "3", rules="uk-road")
    assert stands(consultation, "tread-depth") == "5 mm", said
    assert "the tread depth: 5 mm" in says and "can't tell" not in says


NAIL = ("28 psi found, should be 33 psi, tread 7/32, not run low, drive axle, first tread", "not a run flat")
ASKED_OFF = (CAR[0], *NAIL, "nail in the crown, right through", "5/32, round, 5 deg")


@pytest.mark.parametrize("one", ["only the one", "just the one"])
def test_only_the_one_behind_denials_is_shown_for_what_it_may_mean_and_waits(one: str) -> None:
    line = f"off, nothing found, no old repairs, liner fine, {one}"
    consultation, said = talk(*ASKED_OFF, line)
    assert consultation.pending is not None and "demounted" not in consultation.case.answers, said
    sure = f'be sure of it: "{one}" may mean an exception to what is denied'
    assert f'earlier repairs: No, none - from "no old repairs"; {sure}' in said
    assert f'further injuries: No, that was the last one - from "{one}"; {sure}' in said
    assert "nothing found" in maybe(said) and '"liner fine"' in maybe(said)
    consultation, said = talk(*ASKED_OFF, line, "yes")
    assert [stands(consultation, name) for name in ("demounted", "earlier-repairs", "findings")] == ["yes", "no", ""]
    assert str(consultation.case.injuries[0]["more-injuries"]) == "no", said
    consultation, said = talk(*ASKED_OFF, line, "no, one old repair")
    assert stands(consultation, "earlier-repairs") != "no", said


@pytest.mark.parametrize("line", ["off, no bulge, only the one", "no damage, just the one", "off, none, only the one"])
def test_only_the_one_behind_any_denial_counts_nothing_by_itself(line: str) -> None:
    consultation, said = talk(*ASKED_OFF, line)
    assert "more-injuries" not in consultation.case.injuries[0], said
    assert consultation.pending is not None and line.split(", ")[-2].removeprefix("no ") in said.casefold(), said


@pytest.mark.parametrize("line", ["off, no old repairs, yes one", "off, no old repairs, one more"])
def test_a_yes_behind_a_denial_still_stops_the_line(line: str) -> None:
    consultation, said = talk(*ASKED_OFF, line)
    assert consultation.pending is None and "nothing of the line is taken" in said, said


@pytest.mark.parametrize(
    ("line", "found"),
    [
        ("off the wheel, nothing else found, no more injuries", "nothing else found"),
        ("off the wheel, nothing found, no more injuries", "nothing found"),
    ],
)
def test_that_nothing_was_found_is_said_to_be_left_for_its_question(line: str, found: str) -> None:
    consultation, said = talk(*ASKED_OFF, line)
    assert stands(consultation, "demounted") == "yes" and not stands(consultation, "findings"), said
    assert f'Not counted: what the inspection found: none - perhaps: "{found}"' in said
    assert any(found in note for note in consultation.notes)


@pytest.mark.parametrize("line", ["its off", "it's off", "its off, no goop"])
def test_its_off_says_that_the_tire_is(line: str) -> None:
    consultation, said = talk(*ASKED_OFF, line)
    assert stands(consultation, "demounted") == "yes" and consultation.pending is None, said
    assert stands(consultation, "sealant") == ("no" if "goop" in line else "")


def test_supposed_and_a_figure_is_what_it_should_have() -> None:
    consultation, said = talk(CAR[0], "28 found, supposed 33, 8/32, drive axle")
    assert (stands(consultation, "found-pressure"), stands(consultation, "set-pressure")) == ("28 psi", "33 psi"), said


def test_a_figure_and_the_word_for_it_are_one_answer() -> None:
    consultation, said = talk(*ASKED_OFF[:-1], "5/32, round", "0 straight, off")
    assert str(consultation.case.injuries[0]["injury-angle"]) == "0°", said
    assert stands(consultation, "demounted") == "yes"
    consultation, said = talk(*ASKED_OFF[:-1], "5/32, round", "20 straight, off")
    assert "injury-angle" not in consultation.case.injuries[0], said
