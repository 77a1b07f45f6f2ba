"""What the run of a sentence tells with no label beside its figures, and what it sets right, through `advisor hear`."""

import pytest

from tests.nlu.test_hints import said_of

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
