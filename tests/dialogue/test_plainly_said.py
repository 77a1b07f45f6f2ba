"""What a sentence says plainly counts without a yes; what is in doubt is asked, and what was said can be taken back."""

from __future__ import annotations

import pytest

from advisor.dialogue.session import Consultation
from advisor.dialogue.talk_commands import say
from advisor.model.case import Choice
from tests.laws.ledger import TODAY, judge_of

pytestmark = pytest.mark.free_order

TRUCK = "drive axle of a box truck, 275/70R22.5 load range H tubeless, tread 9/32"


def talk(*lines: str, rules: str = "us-road") -> tuple[Consultation, str]:
    consultation = Consultation(judge_of(rules), TODAY)
    said = [message for line in lines for message in say(consultation, line)]
    return consultation, " ".join(" ".join(text.split()) for message in said for text in message.texts)


def stands(consultation: Consultation, name: str) -> str:
    return str(consultation.case.answers.get(name, ""))


@pytest.mark.parametrize(
    "line",
    [
        TRUCK,
        "11r22.5 steer tyre on a semi, load H, radial, tubeless, first tread, dot 1024",
        "nail right through the crown, 6 mm, straight in",
        "rear left of a car, 205/55R16 91V, tubeless",
    ],
)
def test_a_plain_sentence_counts_at_once(line: str) -> None:
    consultation, said = talk(line)
    assert consultation.pending is None and "not counted" not in said, said
    assert consultation.saved.order


def test_how_one_of_much_is_set_right_is_said() -> None:
    consultation, said = talk(TRUCK, "change tread depth 5/32")
    assert "To set one right type change and its name" in said
    assert stands(consultation, "tread-depth") == "5/32 in"


@pytest.mark.parametrize(
    ("line", "waits"),
    [
        (f"{TRUCK}, blorp", "blorp"),
        (f"{TRUCK}, I think it was driven soft", "driven soft or flat"),
        ("truck, front left, 11R22.5, tubeless, tread 6/32", "mostly means that"),
        ("tubeless, 100 psi, should be 100, n", ""),
    ],
)
def test_what_is_in_doubt_or_left_over_is_asked(line: str, waits: str) -> None:
    consultation, said = talk(line)
    assert consultation.pending is not None and not consultation.case.answers, said
    assert waits in said


@pytest.mark.parametrize("yes", ["yup thats what the sidewall says", "that's what i measured", "yes its what it says"])
def test_a_yes_that_says_by_what_it_goes_is_one(yes: str) -> None:
    consultation, said = talk("truck, front left, 11R22.5, tubeless, tread 6/32", yes)
    assert consultation.pending is None and stands(consultation, "tread-depth") == "6/32 in", said


@pytest.mark.parametrize(
    "no", ["thats what the driver said", "that's what it was before", "no thats what the sidewall says"]
)
def test_what_goes_by_somebody_elses_word_is_no_yes(no: str) -> None:
    consultation, _ = talk("truck, front left, 11R22.5, tubeless, tread 6/32", no)
    assert not stands(consultation, "tread-depth")


def test_what_alters_an_answer_is_asked() -> None:
    consultation, said = talk(TRUCK, "the tread is 12/32 and it is retreaded")
    assert consultation.pending is not None and "until now: 9/32 in" in said
    assert stands(consultation, "tread-depth") == "9/32 in"


def test_what_is_touched_and_left_open_is_said() -> None:
    consultation, said = talk("tubeless, 100 psi, should be 100, its not been run flat")
    assert "Not counted: driven soft or flat" in said or consultation.pending is not None, said
    assert not stands(consultation, "run-low") and not stands(consultation, "self-supporting")


def test_what_changes_nothing_and_cannot_be_taken_is_left_for_its_question() -> None:
    consultation, said = talk("nail in the crown, right through, 6 mm wide, only one nail")
    assert consultation.pending is None and "more-injuries" not in consultation.case.injuries[0], said
    assert any("further injuries: No" in note for note in consultation.notes)


@pytest.mark.parametrize("word", ["yes", "yep", "ok", "correct"])
def test_a_yes_right_behind_it_is_no_answer_to_what_is_asked_next(word: str) -> None:
    consultation, _ = talk(TRUCK)
    after = consultation.case
    said = say(consultation, word)
    assert consultation.case == after and "Nothing waits here" in said[0].texts[0]


def test_said_once_more_it_answers() -> None:
    before = (TRUCK, "first tread, dot 1123, not a runflat", "it had 100 psi and should have 100 psi in it")
    consultation, said = talk(*before)
    assert consultation.ask is not None and consultation.ask.key[0] == "run-low", said
    consultation, said = talk(*before, "yes")
    assert not stands(consultation, "run-low"), said
    assert stands(talk(*before, "yes", "yes")[0], "run-low") == "yes"
    assert stands(talk(*before, "no")[0], "run-low") == "no"


@pytest.mark.parametrize("word", ["drop it", "wrong", "drop all of it"])
def test_it_can_be_taken_back(word: str) -> None:
    consultation, said = talk(TRUCK, word)
    assert not consultation.case.answers and "Nothing of it counts" in said


@pytest.mark.parametrize(
    "line",
    ["the tread is wrong", "ok apart from the tread", "yes but the tread is more", "sorry, tread 5/32", "no, 5/32"],
)
def test_a_line_that_sets_it_right_opens_it_again(line: str) -> None:
    consultation, said = talk(TRUCK, line)
    assert consultation.pending is not None, said
    say(consultation, "yes")
    assert stands(consultation, "tread-depth") in ("", "5/32 in"), said
    assert stands(consultation, "wheel-position") == "drive"


NAIL = ("steer tire, 295/75R22.5 144/141L load range G, truck", "nail, 1/4 in, 10 deg, right through")


@pytest.mark.parametrize(
    "line", ["crown, round hole", "round hole, crown", "hole is in the crown", "crown, clean hole", "its in the crown"]
)
def test_the_next_answer_takes_none_back_that_it_says_nothing_of(line: str) -> None:
    consultation, said = talk(*NAIL, line)
    injury = consultation.case.injuries[0]
    assert consultation.pending is None and "not counted" not in said, said
    assert [str(injury[name]) for name in ("injury-size", "injury-zone", "injury-depth")] == [
        "1/4 in", "crown", "through"
    ]  # fmt: skip


@pytest.mark.parametrize(
    "line", ["crown, the hole is wider", "crown, bigger hole", "crown, not as wide", "crown, the angle is steeper"]
)
def test_the_next_answer_that_says_something_else_of_it_opens_it_again(line: str) -> None:
    consultation, said = talk(*NAIL, line)
    assert consultation.pending is not None and not consultation.case.injuries, said


@pytest.mark.parametrize("line", ["nein, 4 mm", "nee 4 mm", "korrektur 4 mm", "warte, ich meine Profil 4 mm"])
def test_what_sets_right_is_heard_in_the_words_of_the_rule_set(line: str) -> None:
    consultation, said = talk("Profil 5 mm, schlauchlos", line, rules="de-road")
    assert consultation.pending is not None and not consultation.case.answers, said


def test_all_of_them_is_taken_in_the_words_of_the_rule_set() -> None:
    before = ("tread 5 mm, perhaps a bulge", "alles")
    assert talk(*before)[0].pending is not None
    consultation, said = talk(*before, rules="de-road")
    assert consultation.pending is None and "bulge" in stands(consultation, "findings"), said


def test_once_something_else_was_typed_it_goes_back_by_name_only() -> None:
    consultation, _ = talk(TRUCK, "first tread", "drop it")
    assert consultation.case.answers["wheel-position"] == Choice("drive")


REAR = "LT265/70R17 load range E, pickup rear, tubeless, dot 3321"


@pytest.mark.parametrize("lines", [("take 6",), ("3",), ("yes, take 6",), ("take 6, first tread",), ("all",)])
def test_one_line_takes_a_number(lines: tuple[str, ...]) -> None:
    consultation, said = talk(REAR)
    number = said.partition(". the wheel position")[0].rpartition(" ")[2]
    lines = tuple(line.replace("6", number) for line in lines)
    for line in lines:
        say(consultation, line)
    if consultation.pending is not None:
        assert "first tread" in lines[0]
        say(consultation, "yes")
    assert stands(consultation, "wheel-position") == "drive" and stands(consultation, "tube") == "tubeless"


def test_numbers_taken_and_left_out_in_one_line_are_those_that_were_shown() -> None:
    line = "car, 100 psi, should be 100, might have been driven soft, blorp"
    consultation, said = talk(line)
    number = int(said.partition(". driven soft")[0].rpartition(" ")[2])
    say(consultation, f"not 1, take {number}")
    if consultation.pending is not None:
        say(consultation, "yes")
    assert stands(consultation, "run-low") == "yes" and "vehicle" not in consultation.case.answers


@pytest.mark.parametrize("line", ["take 6, 12/32", "not 6 mm, 7 mm"])
def test_a_figure_behind_a_number_is_none_to_take(line: str) -> None:
    consultation, _ = talk("hole in the crown, 6 mm wide, blorp")
    before = consultation.case
    say(consultation, line)
    assert consultation.case == before


def test_much_said_is_shown_in_one_paragraph_behind_what_is_in_doubt() -> None:
    _, said = talk("275/70r22.5 truck, front left, radial tubeless, original tread")
    assert said.index("the wheel position: Steer axle") < said.index("With yes these count too:")
    assert said.count(' - from "') == 1


def test_what_makes_it_worse_stands_first() -> None:
    _, said = talk("car tire 205/55R16 tubeless radial, cords showing, blorp")
    assert said.index("Cord or belt showing") < said.index("With yes these count too:")


TWO_NAILS = (
    "car, front axle", "225/45R17 91V, radial, tubeless, new, not a runflat", "26/33 psi, not soft, 5 mm",
    "off the rim, no sealant, no old repairs", "none", "none", "through, 3 mm, crown, straight, round, none inside",
    "yes", "through, 4 mm, crown, straight, round, none inside", "no more",
)  # fmt: skip


def test_two_nails_in_ten_lines_without_a_yes_to_what_was_said() -> None:
    consultation, said = talk(*TWO_NAILS, rules="uk-road")
    assert "not counted yet" not in said and consultation.ask is not None and consultation.ask.key[0] == "unit-length"
    assert [str(each["injury-size"]) for each in consultation.case.injuries] == ["3 mm", "4 mm"]


@pytest.mark.parametrize(
    "line",
    [
        "45mm, 45 wide",
        "45 x 45 mm",
        "unit is 45 x 45 mm",
        "units are 45mm round",
        "45 mm, width 45 mm",
        "45 long, 45 wide",
        "45 mm square",
    ],
)
def test_at_a_units_figures_wide_and_round_are_the_units(line: str) -> None:
    consultation, said = talk(*TWO_NAILS, line, rules="uk-road")
    assert [stands(consultation, name).replace(" ", "") for name in ("unit-length", "unit-width")] == ["45mm"] * 2, said
    assert [str(each["injury-size"]) for each in consultation.case.injuries] == ["3 mm", "4 mm"]


@pytest.mark.parametrize("line", ["injury 1 is 5 mm wide", "injury 1: width 5 mm", "injury 1 5 mm wide"])
def test_what_is_said_of_one_injury_by_its_number_is_that_ones(line: str) -> None:
    consultation, said = talk(*TWO_NAILS, line, rules="uk-road")
    assert "until now: 3 mm" in said and consultation.pending is not None
    say(consultation, "yes")
    assert [str(each["injury-size"]) for each in consultation.case.injuries] == ["5 mm", "4 mm"]


def test_not_off_yet_is_an_answer() -> None:
    consultation, said = talk(*TWO_NAILS[:3], "not off yet, 3 mm, crown", rules="uk-road")
    assert stands(consultation, "demounted") == "no", said


def test_what_one_doubt_brings_is_said_in_one_line() -> None:
    _, said = talk(*TWO_NAILS[:3], "not off yet, bulge on the sidewall, 1 inch high", rules="uk-road")
    assert said.count("in doubt (what the inspection found)") == 1 and "of the rules count" in said


@pytest.mark.parametrize(
    "line",
    [
        "295/75r22.5 drive truck, load G, radial tubless, dot 2223",
        "295/75R22.5 truck drive axle, load G, radial tubeless",
    ],
)
def test_what_stands_behind_the_print_is_no_part_of_it(line: str) -> None:
    consultation, said = talk(line)
    names = ("sidewall", "load-range", "vehicle", "wheel-position", "tube")
    assert [stands(consultation, name) for name in names] == ["295/75R22.5", "G", "truck", "drive", "tubeless"], said


@pytest.mark.parametrize("pair", ["95 psi of 110", "95 of 110 psi", "95 psi, should be 110", "95 psi wants 110"])
def test_a_pressure_out_of_another_is_both_and_alters_no_figure_beside_it(pair: str) -> None:
    consultation, said = talk(f"11R22.5 H, nail in the crown 4 mm, {pair}, tread 12/32 all round", "yes")
    assert (stands(consultation, "found-pressure"), stands(consultation, "set-pressure")) == ("95 psi", "110 psi"), said
    assert stands(consultation, "tread-depth") == "12/32 in" and "tread's width" not in said and "altered" not in said
    assert str(consultation.case.injuries[0]["injury-size"]) == "4 mm"


@pytest.mark.parametrize("pair", ["lost 20 psi of 33", "should be 20 psi of 33", "40 psi of 33"])
def test_a_pressure_lost_or_meant_out_of_another_was_not_found(pair: str) -> None:
    consultation, said = talk(f"195/65R15 car, {pair}, tread 6/32", "yes")
    assert not stands(consultation, "found-pressure") and "tread's width" not in said, said


@pytest.mark.parametrize(
    ("line", "figure"),
    [
        ("195/65R15 car, blorp, 20 psi", "20 psi"),
        ("195/65R15 car, blorp, maybe 20 psi", "about 20 psi"),
        ("195/65R15 car, blorp, 20 psi topped up", "about 20 psi"),
    ],
)
def test_a_pressure_of_which_it_is_only_open_which_it_is_is_taken_as_it_was_said(line: str, figure: str) -> None:
    consultation, said = talk(line, "3")
    assert stands(consultation, "found-pressure") == figure, said


@pytest.mark.parametrize("words", ["never run flat", "was not run flat", "wasn't run flat"])
def test_that_it_was_never_run_flat_tells_nothing_of_how_it_is_made(words: str) -> None:
    consultation, said = talk(f"195/65R15 car, {words}")
    assert not stands(consultation, "self-supporting") and "driven soft or flat: No" in said, said


@pytest.mark.parametrize("line", ["its a car tire", "its a car tire, l h drive", "car, h, tubeless"])
def test_a_letter_by_itself_is_no_load_range_without_a_print(line: str) -> None:
    consultation, said = talk(line, "yes")
    assert not stands(consultation, "load-range") and "load range: " not in said, said


@pytest.mark.parametrize("line", ["11R22.5 H truck", "11R22.5, H, truck", "truck, load range H"])
def test_a_letter_beside_the_print_or_its_name_is_the_load_range(line: str) -> None:
    _, said = talk(line)
    assert "load range that the print gives: H" in said or "load range: H" in said, said


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ("tubeless, first tread, 3419, not a runflat", "3419"),
        ("tubeless, first tread, 2222, no", "2222"),
        ("tubeless, first tread, date 1123", "1123"),
        ("tubeless, never recapped, 3419", "3419"),
        ("tubeless, first tread, 9919", ""),
        ("tubeless, first tread, 5419", ""),
    ],
)
def test_a_week_and_a_year_beside_other_words_of_the_print_is_the_date_code(line: str, code: str) -> None:
    consultation, said = talk("11R22.5 H, truck tractor, steer", line)
    assert stands(consultation, "dot-code") == code or f"the date code: {code} - from" in said, said


def test_never_recapped_is_neither_recapped_nor_never_soft() -> None:
    consultation, said = talk("11R22.5 H, truck tractor, steer", "tubeless, never recapped, DOT 3419", "yes")
    assert (stands(consultation, "retread"), stands(consultation, "run-low")) == ("no", ""), said


@pytest.mark.parametrize("line", ["all looked at, none", "looked all over, nothing"])
def test_all_looked_at_and_none_answers_that_nothing_is_there_of_running_low(line: str) -> None:
    low = "225/45R17 car, nail in the crown, 3 mm, 26 of 33 psi, tread 5 mm, off, no old repairs, no sealant"
    consultation, said = talk(low, "tubeless, first tread, DOT 2222, not run-flat", line, rules="uk-road")
    assert stands(consultation, "run-low-inside") == "none", said


ASKED_OF = "tubeless, perhaps a bulge"


@pytest.mark.parametrize(
    "line",
    ["yes, that's it", "yep, spot on", "yes boss", "aye that's right", "yeah go on", "correct", "y",
     "ok mate, carry on", "right, that is what i said", "yes, all good, thanks"],
)  # fmt: skip
def test_a_yes_in_peoples_words_is_a_yes(line: str) -> None:
    consultation, said = talk(ASKED_OF, line)
    assert consultation.pending is None and stands(consultation, "tube") == "tubeless", said
    assert not any("not understood" in note for note in consultation.notes)


@pytest.mark.parametrize("line", ["ja, das stimmt so", "genau, danke", "stimmt"])
def test_a_yes_is_heard_in_the_words_of_the_rule_set(line: str) -> None:
    consultation, said = talk("schlauchlos, vielleicht 2 bar", line, rules="de-road")
    assert consultation.pending is None and stands(consultation, "tube") == "tubeless", said
    assert not any("not understood" in note for note in consultation.notes)


@pytest.mark.parametrize("rest", ["and customer paces about", "and it's got a wobble to it", "the thing shimmies"])
def test_what_nothing_is_made_of_behind_a_yes_is_kept(rest: str) -> None:
    consultation, said = talk(ASKED_OF, f"yes {rest}")
    assert stands(consultation, "tube") == "tubeless", said
    assert any(rest in note for note in consultation.notes) and rest in said


@pytest.mark.parametrize(
    "line", ["yes but it shimmies", "yes?", "yes, except the wobble", "yes not really", "yes i think"]
)
def test_what_may_take_a_yes_back_is_none(line: str) -> None:
    consultation, said = talk(ASKED_OF, line)
    assert consultation.pending is not None and not stands(consultation, "tube"), said
