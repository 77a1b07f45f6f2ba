"""What the run of a sentence tells with no label beside its figures, and what it sets right, through `advisor hear`."""

import pytest

from tests.nlu.test_hints import said_of
from tests.nlu.test_said_and_not_said import hear_all

US, UK = "us-road", "uk-road"


@pytest.mark.parametrize(
    ("rules", "said", "gives"),
    [
        (US, "20 psi when I got to it, needs 65", "found-pressure=20 psi; set-pressure=65 psi"),
        (US, "had thirty psi, wants eighty", "found-pressure=30 psi; set-pressure=80 psi"),
        (US, "it's a 110 psi tire, been running at 60", "found-pressure=60 psi; set-pressure=110 psi"),
        (US, "came in with 48 psi, 100 called for", "found-pressure=48 psi; set-pressure=100 psi"),
        (UK, "1.4 bar in it, wants 2.3", "found-pressure=1.4 bar; set-pressure=2.3 bar"),
        (US, "tread is 9/32 across the middle, 6/32 on the edge", "tread-depth=['9/32 in', '6/32 in']"),
        (UK, "5 mm all over bar one place at 2.1", "tread-depth=['5 mm', '2.1 mm']"),
        (UK, "had 6 mm all round new year, it's down to 3.1 now", "tread-depth=3.1 mm"),
        (US, "two holes 40 mm apart along the tread and 15 mm across", "apart-along=40 mm; apart-across=15 mm"),
        (US, "unit I'm using is 3 in along by 2 1/2 in across", "unit-length=3 in; unit-width=2 1/2 in"),
        (US, "cold 61 / spec 80", "found-pressure=61 psi; set-pressure=80 psi"),
        (US, "spec 110 / cold 96", "found-pressure=96 psi; set-pressure=110 psi"),
        (UK, "0.7 bar in a 2.4 tyre", "found-pressure=0.7 bar; set-pressure=2.4 bar"),
        (US, "22 found, 33 proper", "found-pressure=22 psi; set-pressure=33 psi"),
        (US, "68 on the gauge, fleet card 100", "found-pressure=68 psi; set-pressure=100 psi"),
        (UK, "found 2.1, sheet 8.5", "found-pressure=2.1 bar; set-pressure=8.5 bar"),
        (US, "unit 3302 drive 88 psi called for 100", "found-pressure=88 psi; set-pressure=100 psi"),
        (UK, "1.9 at the thinnest, 3 and 3.4 elsewhere", "tread-depth=['1.9 mm', '3 mm', '3.4 mm']"),
        (UK, "tread four point five all round but one bit 2 point 1", "tread-depth=['4.5 mm', '2.1 mm']"),
        (UK, "tread one point eight at the worst, 3 elsewhere", "tread-depth=['1.8 mm', '3 mm']"),
        (US, "tread was 10/32 new, now worn to 3", "tread-depth=3/32 in"),
        (US, "nail crown 4 mm x 15 deg", "injury-size=4 mm; injury-angle=15 deg"),
        (US, "lag screw crown 5/16 x 20 degrees", "injury-size=5/16 in; injury-angle=20 deg"),
        (US, "tape says 6 mm wide, 11 long", "injury-size=6 mm; injury-length=11 mm"),
        (US, "I measured 7 mm with the probe", "injury-size=7 mm"),
        (UK, "calipers show 5.5", "injury-size=5.5 mm"),
        (US, "is a half inch hole ok? mine's three eighths", "injury-size=3/8 in"),
        (UK, "can one in the wall be done? mine's in the crown, 4 mm", "injury-zone=crown; injury-size=4 mm"),
        (US, "sidewall slash, inch and a half long", "injury-length=1 1/2 in"),
        (US, "sidewall slash, two inches and a quarter long", "injury-length=2 1/4 in"),
        (US, "tack in the crown, a sixteenth", "injury-zone=crown; injury-size=1/16 in"),
        (US, "duals: mine's 39 1/2 across, the mate is 40", "own-diameter=39 1/2 in; pair-diameter=40 in"),
    ],
)
def test_figures_in_a_run_are_proposed(rules, said, gives):
    ((outright, proposed),) = said_of([said], rules)
    assert set(gives.split("; ")) <= outright | proposed


@pytest.mark.parametrize(
    ("said", "gives", "no_longer"),
    [
        ("found 28 psi, sorry, 38 psi", "found-pressure=38 psi", "found-pressure=28 psi"),
        ("the neighbour had 95 psi, this one's 30", "found-pressure=30 psi", "found-pressure=95 psi"),
        ("the other drive has 11/32 but this one's at 6", "tread-depth=6/32 in", "tread-depth=11/32 in"),
        ("two holes, 3 mm center and 5 mm on the edge", "injury-size=3 mm", "tread-depth=['3 mm', '5 mm']"),
        ("drive tire. no wait, it's the steer", "wheel-position=steer", "wheel-position=drive"),
        ("the steer is fine, it's the drive one that went flat", "wheel-position=drive", "wheel-position=steer"),
        ("the bus is ok, it's the trailer that's flat", "vehicle=trailer", "vehicle=bus"),
        ("I thought it was in the crown but it's in the shoulder", "injury-zone=shoulder", "injury-zone=crown"),
        ("hole was 5 mm, then I drilled it, now it's 8 mm", "injury-size=8 mm", "injury-size=5 mm"),
    ],
)
def test_what_is_set_right_is_proposed_and_the_old_is_gone(said, gives, no_longer):
    ((outright, proposed),) = said_of([said])
    assert gives in proposed - outright
    assert no_longer not in outright | proposed


@pytest.mark.parametrize(
    "said",
    [
        "felt for bulges and ripples, found none",
        "looked for separation, bulges and ripples, none of that",
        "checked for cord showing, bulges or ripples, there were none of those",
    ],
)
def test_a_list_that_none_of_those_ends_is_never_there(said):
    ((outright, proposed),) = said_of([said])
    assert "bulge=absent" in proposed - outright
    assert not any(each.endswith("=present") for each in outright | proposed)


@pytest.mark.parametrize(
    "said",
    ["what if it had 20 psi and wants 65?", "the limit is 38 psi, sorry, 28 psi?", "does it want 65 if it had 20?"],
)
def test_a_question_tells_no_figure(said):
    ((outright, proposed),) = said_of([said])
    assert not any("pressure" in each for each in outright | proposed)


@pytest.mark.parametrize(
    ("said", "asked"),
    [
        ("is a 9 mm hole ok, it's in the crown", "injury-size=9 mm"),
        ("it's in the crown, would 9 mm still pass?", "injury-size=9 mm"),
        ("can we plug one in the sidewall, mine is 4 mm", "injury-zone=sidewall"),
        ("what if it's in the sidewall, it's 4 mm", "injury-size=4 mm"),
        ("if it was in the sidewall, there's a bulge, it's 4 mm", "bulge=present"),
    ],
)
def test_what_is_asked_or_supposed_is_not_told_by_what_stands_beside_it(said, asked):
    ((outright, proposed),) = said_of([said])
    assert asked not in outright | proposed


@pytest.mark.parametrize(
    "said",
    [
        "cut in the crown, a gash like that takes a section repair",
        "I'd put a patch on it, tack in the crown",
        "we'd normally fit a combi patch to that, 3/16 crown",
        "you could plug that, 3 mm in the crown",
    ],
)
def test_a_repair_that_could_be_done_is_no_earlier_one(said):
    ((outright, proposed),) = said_of([said])
    assert not any(each.startswith(("earlier-repairs", "kind=", "sound=")) for each in outright | proposed)


@pytest.mark.parametrize(
    "said",
    [
        "right front is a 225/50R17, I have the left one here",
        "the rears are 255/35R19, this is off the front",
        "front pair are 11R22.5, the one on the stand is a rear",
    ],
)
def test_another_wheels_size_is_never_taken(said):
    ((outright, proposed),) = said_of([said])
    assert not any(each.startswith("sidewall=") and each != "sidewall=cant-tell" for each in outright)
    assert any(each.startswith("sidewall=") for each in proposed)


@pytest.mark.parametrize(
    "said",
    [
        "soapy water no bubbles",
        "in the tank no bubbles in the water",
        "haven't broken the bead",
        "never broke the beads",
    ],
)
def test_what_was_tried_denies_no_damage(said):
    ((outright, proposed),) = said_of([said])
    assert not {"bulge=absent", "bead-damage=absent"} & (outright | proposed)


@pytest.mark.parametrize(
    ("said", "gives"),
    [
        ("bead seat torn", "bead-damage=present"),
        ("bubble on the wall by the valve", "bulge=present"),
        ("rust round the hole and on the rim", "rust=present"),
        ("nobody saw it, it has an old plug", "puncture-plug-only=present"),
        ("diesel got splashed on the sidewall", "fluid-damage=present"),
        ("bead good on the serial side, the other side is chafed", "bead-damage=present"),
        ("bead fine one side, other side kinked", "bead-damage=present"),
    ],
)
def test_bad_news_beside_such_words_stays(said, gives):
    ((outright, proposed),) = said_of([said])
    assert gives in outright | proposed


def test_sizes_behind_a_colon_are_those_of_each_injury():
    (heard,) = hear_all(["three nails all in the crown: 1/8, 3/16, and 1/4"])
    assert [each.get("injury-zone") for each in heard["injuries"]] == ["crown"] * 3
    assert [each.get("injury-size") for each in heard["proposed"]["injuries"]] == ["1/8 in", "3/16 in", "1/4 in"]
