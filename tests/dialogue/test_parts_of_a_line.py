"""A line with a part that is not understood: the others count or are shown back, that one is heard by itself."""

from __future__ import annotations

import pytest

from advisor.dialogue.session import Consultation
from advisor.dialogue.talk_commands import say
from advisor.model.case import CANT_TELL
from advisor.model.ruleset import Verdict
from tests.dialogue.test_never_milder import reaches, standing
from tests.dialogue.test_several_in_one_line import answer, asked, stands, typed
from tests.laws.ledger import TODAY, judge_of

pytestmark = pytest.mark.free_order

PRINT = "205/55R16 91V, passenger, radial, tubeless, first tread, car, rear, not made to run without air"
GAUGES = "dot 1123, 30/33 psi, not soft, 6/32"
LOOKED = "off the rim, no sealant, no old repairs"
BEFORE = (PRINT, GAUGES, LOOKED)
INJURY = ("injury-size", "injury-angle", "injury-zone", "injury-depth")


def shown_back(consultation: Consultation) -> dict[str, str]:
    """What waits to be confirmed and was said outright."""
    assert consultation.pending is not None
    return {one.key[0]: str(one.answer) for one in consultation.pending.answers}


def test_words_of_other_prompts_count_at_once_in_a_line_that_holds_nothing_else() -> None:
    consultation, said = typed(*BEFORE)
    names = ("vehicle", "wheel-position", "self-supporting", "demounted", "sealant", "earlier-repairs")
    assert stands(consultation, names) == ["car", "drive", "no", "yes", "no", "no"], said
    assert "not counted yet" not in said


@pytest.mark.parametrize(
    "line",
    [
        "6 mm 0° round crown through, thats the only one",
        "6 mm 0° round crown through, that's the only hole",
        "none, 6 mm 0° round crown through, only one",
        "6 mm, its round, 0 degrees, crown, through, no other holes",
        "through, crown, 6mm, straight, round hole, just the one",
    ],
)
def test_that_it_is_the_only_one_touches_nothing_else_and_is_the_last(line: str) -> None:
    consultation, said = typed(*BEFORE, line)
    assert "not counted" not in said
    assert answer(consultation, "injury-size") in ("6 mm", "6mm"), said
    assert [answer(consultation, name).replace(" ", "") for name in INJURY[1:]] in (
        [angle, "crown", "through"] for angle in ("0°", "0deg", "0degrees")
    ), said
    assert answer(consultation, "more-injuries") == "no" and ("injury-length", 0) in consultation.case.skipped


@pytest.mark.parametrize("line", ["none, crown", "nothing, crown", "nope, crown", "none of these, crown"])
def test_none_at_the_head_of_a_line_is_for_the_findings_that_are_asked(line: str) -> None:
    consultation, said = typed(*BEFORE, line)
    assert asked(typed(*BEFORE)[0])[0] == "findings"
    assert stands(consultation, ("findings", "injury-zone", "inside-signs")) == ["none", "crown", ""], said


@pytest.mark.parametrize("rest", ["nail hole 6mm went clean thru", "a nail wobbled in, 6 mm wide"])
def test_none_stays_where_the_rest_is_shown_back(rest: str) -> None:
    consultation, said = typed(*BEFORE, f"nothing, {rest}")
    assert shown_back(consultation)["findings"] == "none", said


@pytest.mark.parametrize(
    "rest",
    ["but a bulge", "except a bulge", "well a bit of rust on a cord", "maybe a bulge", "bulge maybe", "cord showing?"],
)
def test_none_does_not_stand_alone_where_the_rest_may_take_it_back(rest: str) -> None:
    consultation, said = typed(*BEFORE, f"none, {rest}", "yes")
    assert answer(consultation, "findings") != "none", said


def test_the_number_of_the_list_at_the_head_of_a_line_is_for_what_is_asked() -> None:
    before = ("205/55R16 91V, passenger, radial, tubeless",)
    assert asked(typed(*before)[0])[0] == "retread"
    consultation, said = typed(*before, "1, 25/32 psi, not soft, 6/32")
    names = ("retread", "found-pressure", "set-pressure", "run-low", "tread-depth")
    assert stands(consultation, names) == ["no", "25 psi", "32 psi", "no", "6/32 in"], said
    consultation, said = typed(*before, "1, tread bald nearly 1.5mm, car, rear")
    assert shown_back(consultation)["retread"] == "no" and "tread-depth" not in shown_back(consultation)


@pytest.mark.parametrize("rest", ["or maybe 2", "no 2", "actually 2", "nearly", "i think", "says the driver"])
def test_a_number_that_is_taken_back_is_not_taken(rest: str) -> None:
    consultation, said = typed("205/55R16 91V, passenger, radial, tubeless", f"1, {rest}")
    assert answer(consultation, "retread") == "", said
    assert consultation.pending is None or "retread" not in shown_back(consultation), said


def test_yes_ahead_of_what_it_says_is_for_what_is_asked() -> None:
    before = (PRINT, GAUGES, "6 mm 0° round crown through")
    assert asked(typed(*before)[0])[0] == "demounted"
    consultation, said = typed(*before, "yes its off, no sealant, no old repairs")
    names = ("demounted", "sealant", "earlier-repairs")
    assert stands(consultation, names) == ["yes", "no", "no"], said
    consultation, said = typed(*before, "yes its off, no sealant, none, no old repairs")  # none of two lists
    assert "Not understood, kept as a note: none." in said


@pytest.mark.parametrize(
    ("line", "figure"),
    [
        ("6 mm, maybe more, crown", 6), ("6 mm, 14 mm inside, crown", 14), ("crown, 6 mm, opens to 14", 14),
        ("crown, 9 mm, or 11", 11), ("6 mm, on the surface it is, crown", 6), 
        ("6 mm, the driver reckons, crown", 6), ("6 mm, last week it was, crown", 6),
    ],
)  # fmt: skip
def test_a_figure_that_the_rest_of_the_line_may_alter_is_not_taken_as_it_stands(line: str, figure: int) -> None:
    consultation, said = typed(*BEFORE, "none", line, "yes")
    found = consultation.case.get("injuries", ("injury-size", 0))
    assert found is None or found is CANT_TELL or not found.exact or found.low >= figure > 6, said


def test_words_that_nobody_knows_are_kept_and_stand_on_the_card() -> None:
    lines = (*BEFORE, "none, crown, 5 mm, through, 0 deg, round, only one, gribbled along one edge", "yes", "none")
    consultation, said = typed(*lines)
    assert any("gribbled" in note for note in consultation.notes), said
    if consultation.card().verdict is Verdict.REPAIR:
        assert "gribbled" in consultation.card().short.do_now[0]


def test_what_is_said_to_be_bad_by_one_part_is_never_lost() -> None:
    for bad in ("there is a bulge in the sidewall", "somebody put slime in it", "driven flat for a mile"):
        consultation, said = typed(PRINT, f"dot 1123, 30/33 psi, 6/32, {bad}", "yes")
        assert consultation.pending is None
        found = [answer(consultation, name) for name in ("findings", "sealant", "run-low")]
        assert "yes" in found or "bulge" in found or any("slime" in note for note in consultation.notes), said


@pytest.mark.parametrize("word", ["round hole", "its round", "it's round", "round too", "both are round"])
def test_round_in_any_words_leaves_the_length_out(word: str) -> None:
    before = (*BEFORE, "none, 6 mm 0° crown through, only one")
    assert "injury-length" in asked(typed(*before)[0])
    consultation, said = typed(*before, word)
    assert ("injury-length", 0) in consultation.case.skipped, said
    consultation, said = typed(*before, f"{word}, none inside")
    assert ("injury-length", 0) in consultation.case.skipped
    assert answer(consultation, "inside-signs") == "none", said


@pytest.mark.parametrize(
    ("word", "stands_as"), [("nope", "no"), ("nah", "no"), ("yep", "yes"), ("yup", "yes"), ("yeah", "yes")]
)
def test_everyday_words_for_yes_and_no(word: str, stands_as: str) -> None:
    consultation, _ = typed(PRINT, "dot 1123, 30/33 psi", word)
    assert answer(consultation, "run-low") == stands_as
    consultation, _ = typed(PRINT, "it had 30 psi and should have 33 psi in it, blorp", word)
    assert consultation.pending is None
    assert bool(answer(consultation, "found-pressure")) is (stands_as == "yes")


@pytest.mark.parametrize("words", ["wasnt soft", "wasn't driven soft", "it was not soft", "never soft"])
def test_a_denial_in_whatever_words(words: str) -> None:
    consultation, said = typed(PRINT, f"dot 1123, 30/33 psi, {words}, 6/32")
    assert answer(consultation, "run-low") == "no", said
    consultation, said = typed(PRINT, GAUGES, f"{words}, 6 mm, crown")
    assert stands(consultation, ("run-low", "found-pressure", "injury-zone")) == ["no", "30 psi", "crown"], said


@pytest.mark.parametrize("words", ["not retreaded", "never recapped", "not regrooved"])
def test_half_a_denial_is_shown_back_whole(words: str) -> None:
    consultation, said = typed("205/55R16 91V, passenger, radial, tubeless", f"{words}, 25/32 psi, not soft")
    assert answer(consultation, "retread") == "" and shown_back(consultation)["retread"] == "no", said
    assert (
        "New, recapped or regrooved: No, the first tread"
        in typed("205/55R16 91V, passenger, radial, tubeless", f"{words}, 25/32 psi, not soft", "yes")[1]
    )


def test_what_a_figure_is_of_is_taken_by_its_number_and_the_figure_stays_exact() -> None:
    consultation, said = typed(*BEFORE, "nothing, nail hole 6mm went clean thru")
    number = said.partition(". injury 1: the injury's width")[0].rpartition(" ")[2]
    consultation, said = typed(*BEFORE, "nothing, nail hole 6mm went clean thru", f"take {number}", "yes")
    assert answer(consultation, "injury-size").replace(" ", "") == "6mm", said
    consultation, said = typed(*BEFORE, "nothing, nail hole maybe 6mm went clean thru")
    number = said.partition(". injury 1: the injury's width")[0].rpartition(" ")[2]
    consultation, said = typed(*BEFORE, "nothing, nail hole maybe 6mm went clean thru", f"take {number}", "yes")
    assert answer(consultation, "injury-size").replace(" ", "") != "6mm", said


BULGE = (
    "295/75R22.5 trailer tire, a bulge on the sidewall half an inch high",
    "yes",
    "tubeless, recapped, 100/100 psi",
)
DROP = "drop injury 1"
BULGE_LOOKED = (*BULGE, "10/32, no mark", "no, not soft, dot 4020", "off the rim, no sealant, earlier repairs none")


@pytest.mark.parametrize("line", ["just the bulge, rest is fine", "only a bulge, nothing else", "just a bulge"])
def test_a_finding_can_be_said_to_be_all_there_is(line: str) -> None:
    consultation, said = typed(*BULGE_LOOKED, line)
    assert answer(consultation, "findings") == "bulge", said
    assert consultation.pending is None


@pytest.mark.parametrize(
    "line",
    ["no injury", "there is no injury just the bulge", "no hole, just the bulge", "theres no hole", "drop injury 1"],
)
def test_a_tire_without_an_injury_ends_with_what_was_found_and_never_in_repair(line: str) -> None:
    consultation, said = typed(*BULGE_LOOKED, "just the bulge", line)
    assert asked(typed(*BULGE_LOOKED, "just the bulge")[0])[0].startswith("injury"), said
    assert consultation.ask is None and consultation.card().verdict is Verdict.HOLD, said
    assert not any(consultation.case.injuries)
    consultation, said = typed(*BULGE_LOOKED, "just the bulge", line, "go on")
    assert asked(consultation)[0].startswith("injury")


@pytest.mark.parametrize("line", ["no hole, just a split in the liner", "no injury but it was driven flat"])
def test_what_is_said_beside_no_injury_and_does_not_stand_yet_is_no_end(line: str) -> None:
    consultation, said = typed(*BULGE_LOOKED, "just the bulge", line)
    assert consultation.ask is not None, said


def test_no_injury_takes_none_back_that_was_told() -> None:
    consultation, said = typed(*BULGE_LOOKED, "just the bulge", "6 mm", "no injury")
    assert answer(consultation, "injury-size") == "6 mm" and consultation.ask is not None, said


@pytest.mark.parametrize("line", ["yes rear", "yes, rear", "yep, rear", "yes, rear and dot 1123"])
def test_yes_with_an_answer_behind_it_counts_what_waits_and_the_answer(line: str) -> None:
    before = ("it is a 205/55R16 91V passenger tire of a car, radial tubeless, first tread", line)
    consultation, said = typed(*before)
    assert consultation.pending is None, said
    assert stands(consultation, ("wheel-position", "retread")) == ["drive", "no"], said


@pytest.mark.parametrize("line", ["yes, 40 psi", "yes but 20 psi", "yes, 12 found", "yes, maybe", "yes, if you say so"])
def test_a_figure_behind_a_yes_may_set_right_what_waits(line: str) -> None:
    consultation, said = typed(PRINT, "it had 30 psi and should have 33 psi in it", line)
    assert consultation.pending is not None and answer(consultation, "found-pressure") == "", said


@pytest.mark.parametrize("line", ["next tire", "new tire", "next tyre", "begin anew"])
def test_the_next_tire_begins_anew(line: str) -> None:
    consultation, _ = typed(*BEFORE, line)
    assert not consultation.case.answers and not consultation.notes


def test_an_answer_is_changed_to_one_that_is_about_so() -> None:
    before = (*BEFORE, "none, 6 mm 0° round crown through, only one")
    consultation, said = typed(*before, "change width about 5 mm")
    assert answer(consultation, "injury-size") == "about 5 mm", said


def test_a_bare_length_at_the_tires_questions_is_the_treads_only_by_name_or_in_32nds() -> None:
    line = "225/65R17 car, cut in the sidewall from a kerb, about 15mm, cords showing"
    consultation, said = typed(line, "yes")
    assert answer(consultation, "tread-depth") == "" and answer(consultation, "injury-zone") == "sidewall", said
    consultation, said = typed("205/55R16 91V, passenger, tubeless, 8/32, car")
    assert answer(consultation, "tread-depth") == "8/32 in", said
    consultation, said = typed("205/55R16 91V, passenger, tubeless, 8 mm, car", "yes")
    assert stands(consultation, ("tread-depth", "injury-size")) == ["", ""], said


def test_a_question_mark_within_a_line_does_not_take_the_print_with_it() -> None:
    line = "LT245/75R16 LR E sprinter van rear outer? dunno single, screw in the shoulder 5mm thru, dot 3521"
    consultation, said = typed(line, "yes")
    assert answer(consultation, "sidewall") == "LT245/75R16 LR E", said
    assert any("dunno single" in note for note in consultation.notes)


def test_a_length_that_may_be_left_out_is_asked_until_it_is_said() -> None:
    before = (*BEFORE, "none, 6 mm 0° crown through")
    consultation, said = typed(*before, "none inside, no more")
    assert ("injury-length", 0) not in consultation.case.skipped and asked(consultation) == ["injury-length"], said


def test_pressures_need_no_unit_with_a_stroke_where_the_print_is_not_asked() -> None:
    before = ("205/55R16 91V, passenger, radial, tubeless",)
    consultation, said = typed(*before, "first tread, 100/110, tread 12/32, never run soft")
    names = ("retread", "found-pressure", "set-pressure", "tread-depth", "run-low")
    assert stands(consultation, names) == ["no", "100 psi", "110 psi", "12/32 in", "no"], said


@pytest.mark.parametrize(
    "line",
    [
        "no sealant, hole 9.9 mm, maybe more",
        "off the rim, hole 9.9 mm, maybe more, no old repairs",
        "hole 9.9 mm, or so",
    ],
)
def test_a_named_figure_that_may_be_more_leaves_the_answer_open(line: str) -> None:
    consultation = standing("us-road")
    consultation.change(("injury-size", 0))
    say(consultation, line)
    if consultation.pending:
        say(consultation, "yes")
    asked_again = consultation.ask is not None and consultation.ask.key == ("injury-size", 0)
    assert asked_again or reaches(consultation, "injury-size", 10.1)


def test_what_bears_the_name_of_what_is_asked_is_no_word_of_another_prompt() -> None:
    before = ("30/33 psi", "no, car, rear")
    assert asked(typed(*before, rules="uk-road")[0])[0] == "tread-depth"
    consultation, said = typed(*before, "tread 1.5 mm", rules="uk-road")
    assert stands(consultation, ("tread-depth", "injury-zone", "injury-size")) == ["1.5 mm", "", ""], said


REFUSED = "the gribbled thing is wobbly"


@pytest.mark.parametrize("word", ["no", "n", "nope", "yes", "y"])
def test_yes_or_no_right_behind_a_refused_line_says_first_what_it_answers(word: str) -> None:
    """Where a line was refused nothing waits to be dropped or kept, as it does behind one that is shown back."""
    before = (PRINT, GAUGES, "6 mm 0° round crown through", REFUSED)
    consultation, said = typed(*before, word)
    assert "demounted" in asked(consultation)[0] and not answer(consultation, "demounted"), said
    assert f"{word.capitalize()} would answer what is asked" in said and "type it once more" in said
    consultation, said = typed(*before, word, word)
    assert answer(consultation, "demounted") == ("yes" if word.startswith("y") else "no"), said


def test_none_of_a_list_behind_a_refused_line_is_typed_twice_as_well() -> None:
    assert asked(typed(*BEFORE)[0])[0] == "findings"
    assert answer(typed(*BEFORE, REFUSED, "no")[0], "findings") == ""
    assert answer(typed(*BEFORE, REFUSED, "no", "no")[0], "findings") == "none"


@pytest.mark.parametrize("between", [("gribbled",), (REFUSED, "no sealant, no old repairs")])
def test_a_slip_or_an_answer_between_lets_yes_and_no_count_at_once(between: tuple[str, ...]) -> None:
    before = (PRINT, GAUGES, "6 mm 0° round crown through")
    consultation, said = typed(*before, *between, "yes")
    assert answer(consultation, "demounted") == "yes", said


def first_line(question: str, line: str) -> tuple[bool, str]:
    """Whether a line typed where a question is put waits to be confirmed, and what the card of the repair says first.

    All else is answered as of a sound tire.
    """
    clean = {
        "sidewall": "275/70R22.5 148/145M LRH TUBELESS", "retread": "no", "dot-code": "2319", "self-supporting": "no",
        "found-pressure": "104 psi", "set-pressure": "110 psi", "run-low": "no", "tread-depth": "9/32 in",
        "demounted": "yes", "sealant": "no", "findings": "none", "earlier-repairs": "no", "injury-depth": "through",
        "injury-zone": "crown", "injury-size": "6 mm", "injury-angle": "10", "inside-signs": "none",
        "more-injuries": "no", "vehicle": "truck", "wheel-position": "drive",
    }  # fmt: skip
    consultation, waited, typed_it = Consultation(judge_of("us-road"), TODAY), False, False
    while (ask := consultation.ask) is not None:
        if not typed_it and question in asked(consultation):
            say(consultation, line)
            typed_it, waited = True, consultation.pending is not None
        elif ask.confirms:
            say(consultation, "yes")
        else:
            older = ask.question.older_cases
            say(consultation, clean.get(ask.key[0]) or (", ".join(older.counts_as) if older else "skip"))
    assert typed_it and consultation.card().verdict is Verdict.REPAIR, consultation.notes
    return waited, consultation.card().short.do_now[0]


@pytest.mark.parametrize(
    ("question", "line"),
    [
        ("injury-size", "6mm."),
        ("injury-size", "6mm., crown, through."),
        ("injury-size", "6 mm. round"),
        ("sealant", "no sealant."),
        ("findings", "nothing found, all good"),
        ("tread-depth", "9/32 all round"),
        ("tread-depth", "not soft, 9/32 all the way round."),
        ("demounted", "it is off the wheel and I looked all over, nothing found"),
        ("findings", "I looked all over, nothing found"),
    ],
)
def test_what_is_plainly_harmless_behind_a_good_answer_counts_at_once(question: str, line: str) -> None:
    assert first_line(question, line) == (False, "Work through the steps in order.")


@pytest.mark.parametrize(
    ("question", "line"), [("sealant", "no patches, no plugs"), ("inside-signs", "no rust, liner fine, cords fine")]
)
def test_what_is_denied_twice_or_said_to_be_sound_counts_at_once(question: str, line: str) -> None:
    assert first_line(question, line) == (False, "Work through the steps in order.")


@pytest.mark.parametrize(
    ("question", "line", "word"),
    [
        ("sealant", "no patches, no plugs but one", "but one"),
        ("inside-signs", "cords not fine", "cords"),
        ("inside-signs", "cords fine, one of the cords gribbled", "cords"),
        ("inside-signs", "no rust, could have been wet, liner fine, cords fine", "wet"),
        ("inside-signs", "all good except the liner, cords ok, none", "except the liner"),
        ("tread-depth", "9/32 all round but one spot", "spot"),
        ("demounted", "I haven't looked all over, nothing found", "haven't looked"),
    ],
)
def test_what_only_looks_harmless_stands_on_the_card(question: str, line: str, word: str) -> None:
    assert word in first_line(question, line)[1]


def test_what_could_have_been_run_flat_is_looked_for_inside() -> None:
    line = "no rust, could have been run flat, liner fine, cords fine"
    consultation, said = typed(*BEFORE, "none", "6 mm 0° round crown through", line, "yes")
    assert consultation.case.answers["run-low"] is CANT_TELL, said


@pytest.mark.parametrize(
    ("rules", "line", "depth"),
    [
        ("us-road", "two nails in the crown, 3 mm and 4 mm, tubeless, tread 5 mm", "5 mm"),
        ("uk-road", "two nails in the crown, 3 mm and 4 mm, tubeless, tread 5 mm", "5 mm"),
        ("uk-road", "tubeless, 3 mm and 4 mm, tread 5 mm", "5 mm"),
        ("uk-road", "tubeless, tread 3 mm, 4 mm, 5 mm", "3 mm, 4 mm, 5 mm"),
    ],
)
def test_figures_ahead_of_the_one_that_is_named_are_not_of_the_tread(rules: str, line: str, depth: str) -> None:
    consultation = Consultation(judge_of(rules), TODAY)
    told = [text for message in say(consultation, line) for text in message.texts]
    assert any(f"tread depth: {depth}" in " ".join(text.split()) for text in told), told
    assert depth != "5 mm" or any("3 mm: of what?" in " ".join(text.split()) for text in told), told


def test_how_far_two_lie_apart_alters_nothing_that_is_said_of_them() -> None:
    consultation = Consultation(judge_of("uk-road"), TODAY)
    say(consultation, "two holes in the crown, 3 mm wide each, 120 mm apart, tread 5 mm")
    say(consultation, "yes")
    assert [str(each["injury-zone"]) for each in consultation.case.injuries] == ["crown", "crown"]
    assert not any("altered" in note for note in consultation.notes)
