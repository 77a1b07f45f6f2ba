"""Several questions of a prompt in one line, settled and what is left for the record, why now: in plain lines."""

from __future__ import annotations

from collections.abc import Iterable

import pytest
from msgspec.structs import replace

from advisor.console.session_lines import converse
from advisor.dialogue.session import Consultation
from advisor.dialogue.talk_commands import say
from advisor.loader.kept_cases import with_older_answers
from tests.laws.ledger import TODAY, judge_of

pytestmark = pytest.mark.free_order

CAR_PRINT = "P215/65R16 96H TUBELESS, first tread, dot 2319, not run flat"
PRESSURES = "30/33, not soft, 9/32 in"
INJURY = "5 mm round 10° crown through"
LOOKED = "off, all looked at, none"


def typed(*lines: str, rules: str = "us-road", older: bool = False) -> tuple[Consultation, str]:
    """The consultation after some lines, and all that was said on one line.

    `older`: as talks that are older than a question count there, that is answered ahead of them.
    """
    consultation = Consultation(judge_of(rules), TODAY)
    begun = with_older_answers(consultation.case, consultation.judge.rules) if older else consultation.case
    consultation.become(replace(consultation.state, saved=replace(consultation.saved, case=begun)))
    said = converse(consultation, iter(lines), lambda text: None)
    return consultation, " ".join(" ".join(said).split())


def asked(consultation: Consultation) -> list[str]:
    """The questions put now, by id."""
    ask = consultation.ask
    return [each.key[0] for each in (ask, *ask.beside)] if ask else []


def answer(consultation: Consultation, name: str) -> str:
    """An answer as it stands; empty for none."""
    question = consultation.judge.rules.questions[name]
    found = consultation.case.get(question.over, (name, -1 if question.over == "tire" else 0))
    return "" if found is None else str(found)


def stands(consultation: Consultation, names: Iterable[str]) -> list[str]:
    """Several answers as they stand."""
    return [answer(consultation, name) for name in names]


def test_one_line_fills_the_print_and_what_stands_beside_it_and_reads_each_back() -> None:
    consultation, said = typed(CAR_PRINT)
    names = ("sidewall", "retread", "dot-code", "self-supporting")
    assert stands(consultation, names) == ["P215/65R16 96H TUBELESS", "no", "2319", "no"]
    assert "Noted: New, recapped or regrooved: No, the first tread" in said
    assert "Noted: Made to run without air: No" in said
    assert "found-pressure" in asked(consultation)


@pytest.mark.parametrize(
    "line",
    [
        "30/33",
        "30/33 psi",
        "found 30 psi, 33 psi",
        "30, should be 33 psi",
        "30 of 33 psi",
        "30 psi found, 33 set",
        "30 found 33 set",
        "33 set 30 found",
    ],
)
def test_both_pressures_in_one_line(line: str) -> None:
    consultation, _ = typed(CAR_PRINT, line)
    assert [float(consultation.case.answers[name].low) for name in ("found-pressure", "set-pressure")] == [30, 33]


def test_what_the_line_does_not_say_is_asked_next() -> None:
    consultation, _ = typed(CAR_PRINT, "30/33")
    assert asked(consultation)[:2] == ["run-low", "tread-depth"]


def test_a_line_for_the_injury() -> None:
    consultation, said = typed(CAR_PRINT, PRESSURES, INJURY)
    names = ("injury-size", "injury-angle", "injury-zone", "injury-depth")
    assert stands(consultation, names) == ["5 mm", "10°", "crown", "through"]
    assert ("injury-length", 0) in consultation.case.skipped
    assert "Noted: Injury 1: the injury's angle: 10°" in said


def test_an_injury_that_is_not_said_to_be_round_is_asked_for_its_length() -> None:
    consultation, _ = typed(CAR_PRINT, PRESSURES, "5 mm 10° crown through")
    assert asked(consultation)[0] == "injury-length"


def test_what_is_left_is_asked_with_what_comes_next_and_the_vehicle_with_the_gauges() -> None:
    consultation, _ = typed(CAR_PRINT)
    assert asked(consultation)[-2:] == ["vehicle", "wheel-position"]
    consultation, _ = typed(CAR_PRINT, PRESSURES, INJURY, "off, no sealant, findings none")
    assert asked(consultation)[:2] == ["earlier-repairs", "inside-signs"]


def test_none_answers_the_list_that_is_asked_though_others_in_the_line_could_be_none_too() -> None:
    consultation, _ = typed(CAR_PRINT, PRESSURES, INJURY, "off", "no", "none")
    assert stands(consultation, ("findings", "earlier-repairs")) == ["none", ""]


@pytest.mark.parametrize("line", ["30/33, 9", "30/33, 9, not soft"])
def test_a_bare_number_fills_nothing_that_it_was_not_asked_for(line: str) -> None:
    consultation, _ = typed(CAR_PRINT, line)
    assert answer(consultation, "tread-depth") == ""


def test_a_fraction_that_may_be_tread_or_pressures_is_asked_back() -> None:
    consultation, said = typed(CAR_PRINT, "9/32")
    assert "9/32 psi for pressures, 9/32 in for the tread" in said
    assert stands(consultation, ("found-pressure", "set-pressure", "tread-depth")) == ["", "", ""]


def test_a_word_that_may_be_two_answers_is_asked_back() -> None:
    consultation, said = typed(CAR_PRINT, "30/33, flat")
    assert "which could be" not in said or answer(consultation, "run-low") == ""
    consultation, said = typed(CAR_PRINT, "flat, 33 psi")
    assert "which could be the pressure found or driven soft or flat" in said
    assert stands(consultation, ("found-pressure", "run-low")) == ["", ""]


def test_cant_tell_belongs_to_what_is_named_with_it_and_is_never_no() -> None:
    consultation, _ = typed(CAR_PRINT, "30/33, driven soft or flat can't tell")
    assert answer(consultation, "run-low") == "can't tell"
    consultation, _ = typed(CAR_PRINT, "30/33, can't tell")
    assert answer(consultation, "run-low") == ""


def test_all_looked_at_none_says_each_item_of_the_list_but_not_that_the_tire_is_off() -> None:
    consultation, said = typed(CAR_PRINT, PRESSURES, INJURY, "all looked at, none")
    names = ("findings", "sealant", "earlier-repairs", "demounted")
    assert stands(consultation, names) == ["none", "no", "no", ""]
    assert "Noted: Sealant inside: No sealant" in said
    assert asked(consultation)[0] == "demounted"


def test_that_it_ran_low_is_looked_for_by_an_answer_of_its_own() -> None:
    consultation, _ = typed(CAR_PRINT, "20/33, soft, 9/32 in", INJURY, LOOKED)
    assert answer(consultation, "run-low-inside") == ""
    assert asked(consultation)[0] == "run-low-inside"


def test_a_line_that_is_none_is_taken_as_a_sentence() -> None:
    consultation, said = typed(CAR_PRINT, "it had 30 psi and should have 33 psi in it, blorp")
    assert "Understood, not counted yet" in said
    assert consultation.pending is not None


def test_nothing_lets_air_out_before_it_was_gauged() -> None:
    for rules in ("us-road", "uk-road", "de-road"):
        consultation = Consultation(judge_of(rules), TODAY)
        for _ in range(12):
            ask = consultation.ask
            if ask is None or ask.key[0] == "found-pressure":
                break
            assert not {"demounted", "injury-depth", "injury-size"} & set(asked(consultation)), rules
            say(consultation, "skip" if ask.optional else "can't tell")
        else:
            pytest.fail(f"{rules} never asks for the pressure")


def test_settled_brings_the_card_and_the_rest_is_offered() -> None:
    lines = (CAR_PRINT, PRESSURES, "6 mm round 10° sidewall through")
    consultation, said = typed(*lines)
    assert consultation.ask is None
    assert "SCRAP:" in said
    assert "more for a whole record: Enter, or stop" in said
    left = consultation.for_the_record
    assert left >= 5
    consultation, _ = typed(*lines, "")
    assert asked(consultation)
    assert consultation.judgement.settled
    consultation, _ = typed(*lines, "", "stop")
    assert consultation.ask is None
    assert consultation.for_the_record == 0


def test_the_record_goes_on_to_its_end_without_the_card_again() -> None:
    lines = (CAR_PRINT, PRESSURES, "6 mm round 10° sidewall through", "", LOOKED, "none", "no", "car, rear")
    consultation, said = typed(*lines, older=True)
    assert not consultation.judgement.missing
    assert said.count("SCRAP: ") == said.count("Do now") == 2 or said.count("SCRAP:") <= 3


@pytest.mark.parametrize("line", ["why now", "why this now", "why is that now?", "why that order?"])
def test_why_now(line: str) -> None:
    _, said = typed(CAR_PRINT, line)
    assert "expected to settle most for the least effort" in said or "finished first" in said
    assert "In any order the same answers bring the same verdict" in said


def test_a_line_of_another_prompt_is_taken_where_it_can_be_no_other() -> None:
    consultation, said = typed(CAR_PRINT, PRESSURES, "car, rear", INJURY)
    assert stands(consultation, ("vehicle", "wheel-position", "injury-zone")) == ["car", "drive", "crown"]
    assert "Understood, not counted yet" not in said
    consultation, _ = typed("30/33")
    assert stands(consultation, ("found-pressure", "set-pressure")) == ["", ""]


@pytest.mark.parametrize(
    ("word", "noted"),
    [("truck", "The vehicle: Truck"), ("car", "The vehicle: Car"), ("steer", "The wheel position: Steer axle")],
)
def test_a_word_that_is_no_print_answers_the_one_question_that_it_can_be_of(word: str, noted: str) -> None:
    assert asked(typed()[0])[0] == "sidewall"
    consultation, said = typed(word)
    assert noted in said
    assert not answer(consultation, "sidewall")


@pytest.mark.parametrize("word", ["no", "yes", "clean", "none"])
def test_yes_and_no_in_whatever_words_are_said_only_to_what_was_asked(word: str) -> None:
    consultation, said = typed(word)
    assert "Not understood" in said
    assert not consultation.case.answers


@pytest.mark.parametrize(
    "words", ["rest can't tell", "the rest dk", "everything else unknown", "all the rest not sure"]
)
def test_what_a_line_does_not_say_can_all_be_said_not_to_be_told(words: str) -> None:
    consultation, _ = typed(CAR_PRINT, f"30/33, {words}")
    names = ("found-pressure", "run-low", "tread-depth", "vehicle")
    assert stands(consultation, names) == ["30 psi", "can't tell", "can't tell", "can't tell"]


def test_all_can_be_said_not_to_be_told_and_a_finding_named_stays() -> None:
    consultation, _ = typed(CAR_PRINT, PRESSURES, INJURY, "off, a bulge, rest can't tell")
    names = ("demounted", "findings", "sealant", "earlier-repairs")
    assert stands(consultation, names) == ["yes", "bulge", "can't tell", "can't tell"]


@pytest.mark.parametrize("words", ["dk", "no idea", "idk", "I don't know"])
def test_not_knowing_is_said_of_the_question_asked_however_short(words: str) -> None:
    consultation, _ = typed(CAR_PRINT, words)
    assert stands(consultation, ("found-pressure", "run-low")) == ["can't tell", ""]


def test_nothing_is_called_settled_while_what_is_asked_can_worsen_it() -> None:
    lines = (CAR_PRINT, "20/33, not soft, 9/32 in, car, drive", INJURY, f"{LOOKED}, no more")
    consultation, said = typed(*lines, older=True)
    assert asked(consultation) == ["run-low-inside"]
    assert "Settled" not in said
    assert "REPAIR so far; what is still asked can worsen it" in said


def test_the_part_of_a_line_that_is_not_understood_is_named_and_nothing_is_taken() -> None:
    consultation, said = typed(CAR_PRINT, PRESSURES, INJURY, "off, all looked at, none except the gizmo, no more")
    assert "Not understood, kept as a note: none, except, gizmo." in said
    assert stands(consultation, ("demounted", "findings", "sealant")) == ["", "", ""]


@pytest.mark.parametrize("lines", [("trailer",), (CAR_PRINT, "30/33, not soft, 9/32 in, trailer")])
def test_trailer_is_the_vehicle_and_its_wheel_is_not_asked(lines: tuple[str, ...]) -> None:
    consultation, _ = typed(*lines)
    assert answer(consultation, "vehicle") == "trailer"
    assert "wheel-position" not in asked(consultation)


def test_other_is_never_taken_for_one_of_several() -> None:
    consultation, _ = typed(CAR_PRINT, "30/33, not soft, 9/32 in, other")
    assert stands(consultation, ("vehicle", "wheel-position")) == ["", ""]


def test_a_figure_that_the_question_asked_can_hardly_have_goes_to_no_other() -> None:
    consultation, _ = typed(CAR_PRINT, "1,000 kPa")
    assert answer(consultation, "set-pressure") == ""


def test_flat_is_the_pressure_where_that_is_asked_and_whether_it_was_driven_so_is_still_asked() -> None:
    consultation, _ = typed(CAR_PRINT, "flat")
    assert [stands(consultation, ("found-pressure",)), answer(consultation, "run-low")] == [["0 psi"], ""]


def test_round_says_that_there_is_no_length_to_measure() -> None:
    consultation, _ = typed(CAR_PRINT, PRESSURES, "through, crown", "round", "6 mm")
    assert ("injury-length", 0) in consultation.case.skipped
    assert answer(consultation, "injury-size") == "6 mm"


def test_what_is_for_the_record_alone_is_never_put_first_among_what_is_left() -> None:
    consultation, _ = typed("P215/65R16 96H TUBELESS, first tread")
    assert asked(consultation)[0] == "self-supporting"
    assert "dot-code" in asked(consultation)
    consultation, _ = typed("P215/65R16 96H TUBELESS, first tread", "no")
    assert asked(consultation)[0] == "found-pressure"


def test_what_a_question_asks_for_is_told_by_its_bare_name_where_yes_is_worse() -> None:
    consultation, said = typed(CAR_PRINT, "6/65, driven soft, 9/32 in")
    assert stands(consultation, ("found-pressure", "set-pressure", "run-low")) == ["6 psi", "65 psi", "yes"], said


AT_THE_VERDICT = (CAR_PRINT, PRESSURES, "car, rear", INJURY, LOOKED, "none", "no")


@pytest.mark.parametrize(
    ("line", "name", "stands_as"),
    [
        ("change tread 3/32", "tread-depth", "3/32 in"),
        ("change the width to 9 mm", "injury-size", "9 mm"),
        ("change injury 1 angle 30 deg", "injury-angle", "30 deg"),
        ("change zone to shoulder", "injury-zone", "shoulder"),
        ("change wheel position to steer", "wheel-position", "steer"),
    ],
)
def test_an_answer_is_changed_by_words_of_its_name(line: str, name: str, stands_as: str) -> None:
    consultation, said = typed(*AT_THE_VERDICT, line)
    assert answer(consultation, name) == stands_as, said


def test_words_of_a_name_ask_that_question_again() -> None:
    assert asked(typed(*AT_THE_VERDICT, "change the size")[0])[0] == "injury-size"


@pytest.mark.parametrize(
    "line", ["change pressure", "change pressure to 12 psi", "change found 12 psi", "change injury"]
)
def test_words_of_several_names_change_nothing_and_name_each(line: str) -> None:
    before, _ = typed(*AT_THE_VERDICT)
    consultation, said = typed(*AT_THE_VERDICT, line)
    assert consultation.case == before.case
    assert "Several answers bear that name" in said
    assert said.rpartition("Several answers")[2].count("change ") >= 3


def test_nothing_is_changed_or_confirmed_while_a_sentence_waits() -> None:
    consultation, said = typed(CAR_PRINT, "it had 30 psi and should have 33 psi in it, blorp", "change 1 to yes")
    assert consultation.pending is not None
    assert "Something waits to be confirmed" in said


@pytest.mark.parametrize("line", ["205/55R16 91V TUBELESS new no", "205/55R16 91V TUBELESS new, not run flat"])
def test_what_stands_right_behind_the_print_and_answers_others_needs_no_comma(line: str) -> None:
    consultation, said = typed(line)
    names = ("sidewall", "retread", "self-supporting")
    assert stands(consultation, names) == ["205/55R16 91V TUBELESS", "no", "no"], said


@pytest.mark.parametrize("behind", ["no", "new blue", "not new", "nearly new", "old", "yes", "none", "new none"])
def test_what_else_stands_behind_the_print_answers_nothing_by_itself(behind: str) -> None:
    consultation, _ = typed(f"205/55R16 91V TUBELESS {behind}")
    assert stands(consultation, ("retread", "self-supporting", "tube")) == ["", "", ""]


def test_a_no_ahead_of_a_line_is_for_what_was_asked_and_a_bare_depth_is_the_treads() -> None:
    before = ("steer tire of a truck, hole thru the shoulder", "yes", "11R22.5, G, radial, tubeless, first tread")
    consultation, said = typed(*before, "no, 100/105, not soft, 8 mm")
    said_of = ("self-supporting", "found-pressure", "set-pressure", "run-low", "tread-depth")
    assert [answer(consultation, name) for name in said_of] == ["no", "100 psi", "105 psi", "no", "8 mm"], said
    consultation, said = typed(*before, "8 mm")
    assert "injury's width: 8 mm" not in said


LOOKED_AT = ("275/70R22.5 148/145M LRH TUBELESS new no", "104/110 10/32 front semi n")


@pytest.mark.parametrize(
    ("line", "found"),
    [
        ("y clean n, none", ["yes", "no", "none"]),
        ("n clean", ["no", "no", ""]),
        ("n bulge", ["", "", ""]),
        ("none n", ["", "", ""]),
        ("clean n none", ["", "", ""]),
    ],
)
def test_a_letter_ahead_of_a_line_is_said_to_what_was_asked_and_one_within_may_be_an_and(
    line: str, found: list[str]
) -> None:
    assert asked(typed(*LOOKED_AT)[0])[0] == "demounted"
    consultation, said = typed(*LOOKED_AT, line)
    assert stands(consultation, ("demounted", "sealant", "findings")) == found, said


@pytest.mark.parametrize(
    ("line", "found"),
    [
        ("through 10deg round none n", ["through", "none", "no"]),
        ("through, none n", ["", "", ""]),
        ("through none n 6mm", ["", "", ""]),
        ("6mm n 14mm through", ["", "", ""]),
        ("no 6mm through", ["", "", ""]),
    ],
)
def test_none_and_a_letter_end_a_line(line: str, found: list[str]) -> None:
    consultation, said = typed(*LOOKED_AT, "y clean n, none", line)
    assert stands(consultation, ("injury-depth", "inside-signs", "more-injuries")) == found, said


@pytest.mark.parametrize("line", ["round, dead centre, 2:00", "round, dead centre, rest can't tell", "dead centre"])
def test_dead_centre_is_no_distance_from_the_line_and_is_not_asked_again(line: str) -> None:
    """Said where the distance is asked, it is 0 mm, and the zone with it; none of it is dropped or can't be told."""
    consultation, _ = typed(
        "van, 205/55R16C 91V, offside rear", "tubeless", "new tread, dot 2421", "not made to run without air",
        "33 psi, should be 33 psi", "not driven soft", "5 mm tread", "off the wheel", "yes", "no sealant",
        "one old repair, sound", "nothing found", "hole right through", "3 mm wide", "no more holes",
        "no more repairs", "straight in", "6:00, 0 mm, 90 mm long, 80 mm wide", line, rules="uk-road",
    )  # fmt: skip
    found = {key[0]: answer for key, _, answer, _ in consultation.answered}
    assert found["offset"] == "0 mm" and found["injury-zone"].startswith("Crown")
    assert consultation.ask is not None and "offset" not in {
        ask.key[0] for ask in (consultation.ask, *consultation.ask.beside)
    }
