"""A thing and its state in any order, and what is only hinted at, through `advisor hear`."""

import pytest

from tests.nlu.test_said_and_not_said import atoms, hear_all

RULES = ("us-road", "uk-road")
FINDINGS = {"exposed-cord", "separation", "liner-split"}


def said_of(heard, rules="us-road"):
    return [(atoms(each), atoms(each["proposed"])) for each in hear_all(heard, rules)]


@pytest.mark.parametrize("rules", RULES)
@pytest.mark.parametrize(
    ("said", "gives"),
    [
        ("liner stained", "run-flat-signs=present"),
        ("stained liner", "run-flat-signs=present"),
        ("the liner looks badly stained", "run-flat-signs=present"),
        ("stains all over the liner", "run-flat-signs=present"),
        ("cord is showing", "exposed-cord=present"),
        ("i can see the wires", "exposed-cord=present"),
        ("the bead's torn", "bead-damage=present"),
        ("torn bead", "bead-damage=present"),
        ("tread's lifting", "separation=present"),
        ("lifting tread", "separation=present"),
    ],
)
def test_a_thing_and_its_state_count_in_any_order(rules, said, gives):
    ((outright, _),) = said_of([said], rules)
    assert gives in outright


@pytest.mark.parametrize("rules", RULES)
@pytest.mark.parametrize(
    ("said", "gives"),
    [
        ("nail in the crown, straight", "injury-angle=0 deg"),
        ("nail in the crown, went all the way in", "injury-depth=through"),
        ("front left, nail in the crown", "wheel-position=steer"),
        ("bead wire is a bit rough", "bead-damage=present"),
        ("off a caravan", "vehicle=trailer"),
        ("diesel all over it", "fluid-damage=present"),
        ("beads are intact", "bead-damage=absent"),
        ("no dust in it", "run-flat-signs=absent"),
        ("this one's at 21", "found-pressure=21 psi"),
        ("lawn tractor front tire", "wheel-position=steer"),
        ("no tag, it's a 22.5 though", "tire-class=medium-truck"),
        ("nail in the crown, air hissing out", "injury-depth=through"),
        ("grey powder in the bottom", "run-flat-signs=present"),
        ("broke it down and had a look", "demounted=yes"),
        ("nobody moved it since", "run-low=no"),
        ("horse trailer, rear", "wheel-position=trailer"),
        ("not a mark on it bar the nail", "findings=none"),
        ("pops when i flex it", "cord-ripple=present"),
        ("popping noise out of the wall", "cord-ripple=present"),
        ("it crackles when you bend the sidewall", "cord-ripple=present"),
        ("nail in the crown. sidewall soft", "run-flat-signs=present"),
        ("looked it over inside, nothing found", "findings=none"),
        ("off, looked over inside, one old patch", "demounted=yes"),
        ("bit of perish on the wall, but shallow", "injury-depth=rubber-only"),
        ("liner ok, slight bit of scorch in the wall, only shallow", "injury-depth=rubber-only"),
    ],
)
def test_what_is_only_hinted_at_is_proposed_and_never_an_answer(rules, said, gives):
    ((outright, proposed),) = said_of([said], rules)
    assert gives in proposed
    assert gives not in outright


def test_a_proposal_is_asked_back_with_its_words():
    (heard,) = hear_all(["beads are intact"])
    assert [ask for ask in heard["asks_back"] if "beads are intact" in ask["why"]]


def test_a_worse_hint_beside_it_takes_a_helpful_answer_back():
    ((outright, proposed),) = said_of(["never driven flat, but he came home on it a mile"])
    assert "run-low=no" not in outright
    assert "run-low=no" in proposed


@pytest.mark.parametrize(
    ("said", "injuries"),
    [
        ("nail in the crown 6 mm. nail in the shoulder 5 mm", 2),
        ("one in the crown 5 mm, one in the shoulder 6 mm", 2),
        ("two cuts in the shoulder, and a bolt hole in the centre", 3),
        ("hole in the crown, cleaned out to 6 mm", 1),
        ("hole in the crown 3 mm, came from a 1 inch roofing nail", 1),
        ("hole in the crown 3 mm, 20 mm from a nail", 2),
        ("hole in the crown 3 mm, and from a nail in the shoulder", 2),
        ("2 holes. one 3/16 in the crown, other 1/4 in the shoulder", 2),
    ],
)
def test_what_is_told_otherwise_begins_another_injury(said, injuries):
    (heard,) = hear_all([said])
    assert max(len(heard["injuries"]), len(heard["proposed"]["injuries"])) == injuries


def test_three_sizes_of_three_nails_are_proposed_in_turn():
    (heard,) = hear_all(["three nails in the crown, sizes 1/8, 3/16 and 1/4"])
    assert [each.get("injury-size") for each in heard["proposed"]["injuries"]] == ["1/8 in", "3/16 in", "1/4 in"]


@pytest.mark.parametrize(
    ("said", "gives"),
    [
        ("60 lbs in it w/ 105 spec", {"found-pressure=60 psi", "set-pressure=105 psi"}),
        ("rated 9,350 pounds", {"rated-weight=9350 lb"}),
        ("0424 on the DOT", {"dot-code=0424"}),
        ("cut in the crown 12 mm long 3 mm wide near the edge", {"injury-size=3 mm", "injury-length=12 mm"}),
        ("gash in the sidewall 2 in long 3/8 wide don't know how deep", {"injury-size=3/8 in", "injury-length=2 in"}),
        ("seven and six and five thirty seconds", {"tread-depth=['7/32 in', '6/32 in', '5/32 in']"}),
    ],
)
def test_a_figure_belongs_to_the_word_beside_it(said, gives):
    ((outright, proposed),) = said_of([said])
    assert gives <= outright | proposed


@pytest.mark.parametrize(
    ("said", "gives"),
    [
        ("he runs them round the suburbs", "urban-service=yes"),
        ("parked up, going nowhere till it's fixed", "next-stop=no"),
    ],
)
def test_what_only_the_us_rules_ask_is_proposed(said, gives):
    ((outright, proposed),) = said_of([said])
    assert gives in proposed - outright


def test_what_no_other_is_said_of_is_not_denied():
    ((outright, proposed),) = said_of(["no other repairs than the one vulc section in the shoulder"])
    assert "earlier-repairs=no" not in outright | proposed


def test_a_pressure_with_a_point_is_in_bar():
    ((outright, proposed),) = said_of(["7.2 in it and it wants 8.5"], "uk-road")
    assert {"found-pressure=7.2 bar", "set-pressure=8.5 bar"} <= outright | proposed


def test_both_measures_of_an_old_unit_are_proposed_longer_first():
    (heard,) = hear_all(["old unit measures 100 by 130"])
    assert heard["proposed"]["answers"]["earlier-repairs"] == [{"unit-length": "130 mm", "unit-width": "100 mm"}]


@pytest.mark.parametrize(
    ("said", "gives", "never"),
    [
        ("pressure was 4 psi i mean 14", "found-pressure=14 psi", "found-pressure=4 psi"),
        ("it had 4 psi, 14 not 4", "found-pressure=14 psi", "found-pressure=4 psi"),
        ("found 12 psi, fourteen i mean", "found-pressure=14 psi", "found-pressure=12 psi"),
        ("it was 8 psi, scrap that, 1", "found-pressure=1 psi", "found-pressure=8 psi"),
    ],
)
def test_a_correction_is_what_is_proposed(said, gives, never):
    ((outright, proposed),) = said_of([said])
    assert gives in proposed
    assert never not in outright | proposed


@pytest.mark.parametrize(
    "said", ["2.1 bar, was 0.3 bar when it came in", "it's at 2.1 bar now, was 0.3 bar when it came in"]
)
def test_what_it_came_in_with_is_found_and_the_lower_is_kept(said):
    ((outright, proposed),) = said_of([said])
    assert "found-pressure=0.3 bar" in proposed
    assert "set-pressure=2.1 bar" in proposed
    assert not any("pressure" in each for each in outright)


def test_of_two_pressures_found_neither_is_lost():
    ((outright, proposed),) = said_of(["found 30 psi, 12 psi"])
    assert "found-pressure=12 to 30 psi" in proposed - outright


def test_how_far_injuries_lie_apart_is_no_size():
    (heard,) = hear_all(["holes are 14 inches apart along the tread and 2 across"])
    apart = {name: written for name, written in heard["proposed"]["answers"].items() if name.startswith("apart")}
    assert apart == {"apart-along": "14 in", "apart-across": "2 in"}
    assert not any("injury-size" in each for each in (*heard["injuries"], *heard["proposed"]["injuries"]))


def test_a_place_on_the_tread_makes_no_figure_a_depth():
    (heard,) = hear_all(["two holes, first one dead center of the tread 4mm, second one in the edge of the tread 6mm"])
    assert "tread-depth" not in heard["answers"] | heard["proposed"]["answers"]
    assert [each.get("injury-size") for each in heard["proposed"]["injuries"]] == ["4 mm", "6 mm"]


@pytest.mark.parametrize(
    ("said", "gives"),
    [
        ("chord is showing", "exposed-cord=present"),
        ("bubble on the sidewalk", "bulge=present"),
        ("beat is torn", "bead-damage=present"),
        ("shoulda had 35", "set-pressure=35 psi"),
    ],
)
def test_what_dictation_writes_is_set_right_beside_a_word_that_tells(said, gives):
    ((outright, proposed),) = said_of([said])
    assert gives in outright | proposed


@pytest.mark.parametrize("said", ["sidewall soft", "nail in the crown, soft wall", "the sidewalls feel floppy"])
def test_the_sidewall_that_is_soft_is_no_place_of_an_injury(said):
    ((outright, proposed),) = said_of([said])
    assert not [each for each in outright | proposed if each.endswith("=sidewall")]


@pytest.mark.parametrize("said", ["popped the bead", "popped it off the rim with the machine"])
def test_what_was_popped_off_does_not_pop(said):
    ((outright, proposed),) = said_of([said])
    assert not [each for each in outright | proposed if "cord-ripple" in each or "soft-spots" in each]


@pytest.mark.parametrize("said", ["does sealant matter", "do patches count", "would rust inside hurt"])
def test_what_is_asked_by_does_it_matter_is_no_answer(said):
    ((outright, _),) = said_of([said])
    assert not outright


@pytest.mark.parametrize(
    ("said", "many"),
    [
        ("nail in the tread and a cut in the sidewall, rubber only", 2),
        ("screw, and a gash in the shoulder", 2),
        ("nail in it and a hole in the crown", 1),
    ],
)
def test_a_cut_named_behind_a_nail_is_an_injury_of_its_own(said, many):
    (heard,) = hear_all([said], "us-road")
    assert len(heard["injuries"]) == many


@pytest.mark.parametrize(
    "said", ["not one cord is whole", "no wire without rust", "no cord in there isn't rusty", "never repaired properly"]
)
def test_that_none_of_it_is_well_denies_nothing(said):
    ((outright, _),) = said_of([said])
    assert not [each for each in outright if each.endswith(("=absent", "=no", "=none"))]


@pytest.mark.parametrize("said", ["parked on the sidewalk", "struck a chord", "beat that", "got it in the mail"])
def test_what_stands_alone_is_left_as_dictated(said):
    ((outright, proposed),) = said_of([said])
    assert not outright | proposed


@pytest.mark.parametrize("said", ["hole is 1 1/8 mm", "hole is 3/7 mm", "tread 1 1/8 mm", "hole 2 5/9"])
def test_an_odd_fraction_is_asked_back(said):
    (heard,) = hear_all([said])
    assert heard["asks_back"] or heard["not_understood"]
    assert not any("injury-size" in each for each in heard["injuries"])


@pytest.mark.parametrize("said", ["previous repair isn't leaking", "tube isn't leaking", "belts not damaged"])
def test_what_is_denied_of_a_part_denies_no_part(said):
    ((outright, proposed),) = said_of([said])
    assert not {"earlier-repairs=no", "tube=tubeless", "findings=none"} & (outright | proposed)


@pytest.mark.parametrize(
    ("said", "zones"),
    [
        ("two nails one in the center rib the other in the shoulder both clear through", ["crown", "shoulder"]),
        ("two screws one crown one shoulder", ["crown", "shoulder"]),
        ("two holes one in the crown 4 mm and the other in the sidewall 6 mm", ["crown", "sidewall"]),
        ("two nails the first in the crown the second on the shoulder", ["crown", "shoulder"]),
    ],
)
def test_one_of_several_begins_with_no_comma(said, zones):
    (heard,) = hear_all([said])
    assert [each.get("injury-zone") for each in heard["injuries"]] == zones


@pytest.mark.parametrize(
    "said",
    [
        "cut in the tread rubber 4/32 deep, no steel",
        "nothing inside round the hole, no rust, no separation, no torn liner, no loose cords",
        "around the nail inside no rust no loose cord no separation",
    ],
)
def test_what_may_be_denied_of_the_injury_alone_is_no_finding_absent(said):
    ((outright, proposed),) = said_of([said])
    assert not any(each.endswith("=absent") for each in outright if each.partition("=")[0] in FINDINGS)
    assert any(each.endswith("=absent") for each in proposed)


def test_a_point_behind_a_unit_ends_nothing_where_the_figure_goes_on():
    ((outright, _),) = said_of(["hole is 2 in. from center toward the serial side"])
    assert "offset=2 in" in outright


def test_the_clock_of_an_earlier_repair_is_no_injurys():
    (heard,) = hear_all(["previous mushroom repair is sound, nail hole kind, sits at 7 o'clock"])
    assert heard["answers"]["earlier-repairs"][0]["clock"] == "7:00"
    assert not heard["injuries"]


@pytest.mark.parametrize("rules", RULES)
@pytest.mark.parametrize(
    ("said", "gives"),
    [
        ("driven about 30 km at 0 bar", "run-low=yes"),
        ("ran 3 miles at zero psi", "run-low=yes"),
        ("was driven at zero psi", "run-low=yes"),
        ("never driven at 0 psi", "run-low=no"),
    ],
)
def test_driven_with_no_pressure_is_driven_flat(rules, said, gives):
    ((outright, _),) = said_of([said], rules)
    assert gives in outright


def test_a_units_sides_beside_holes_that_each_have_a_figure_are_no_fault():
    ((answers, proposed),) = said_of(["patches 45 by 45 mm, two holes, 15 across, 3 mm each"])
    assert not any("45" in each for each in (*answers, *proposed))


@pytest.mark.parametrize(
    ("said", "plain"),
    [
        ("2019 zorvex, tread 6/32", True),
        ("tread 6/32 on a 2015 zorvex", True),
        ("tread 6/32, 2019 crackd", False),
        ("tread 6/32, 2019 cracked", False),
        ("tread 6/32, 2019", False),
    ],
)
def test_a_year_with_the_name_of_a_vehicle_alters_no_figure(said, plain):
    (heard,) = hear_all([said])
    ((outright, proposed),) = said_of([said])
    assert "tread-depth=6/32 in" in (outright if plain else proposed)
    assert said.split()[0] in heard["not_understood"] or not said.startswith("2019")


@pytest.mark.parametrize(
    ("said", "never"),
    [
        ("soaped it up, no bubbles", "bulge=absent"),
        ("pulled the screw, 3/16 hole, no bubbles", "bulge=absent"),
        ("wall's got a gouge out of it but no steel", "exposed-cord=absent"),
        ("the other front has a bulge, this one's clean", "bulge=present"),
        ("fronts are at 6/32, this is a rear", "tread-depth=6/32 in"),
        ("front wheel drive car, nail in the crown", "wheel-position=drive"),
        ("depth gauge 11", "found-pressure=11 psi"),
    ],
)
def test_what_may_be_of_the_injury_or_of_another_tire_is_never_said_outright(said, never):
    ((outright, _),) = said_of([said])
    assert never not in outright


@pytest.mark.parametrize(
    ("said", "gives"),
    [
        ("if it was in the sidewall I'd bin it, but it's in the crown", "injury-zone=crown"),
        ("sealant's in there but it's the stuff from the factory", "sealant=factory-layer"),
        ("customer drives a semi but this one's off her sedan", "vehicle=car"),
        ("dot's worn off, can't read it", "dot-code=cant-tell"),
        ("two holes in the crown, through", "injury-depth=through"),
        ("trailer, front axle nearside wheel", "wheel-position=trailer"),
        ("4 mm on the outers, 6 in the middle", "tread-depth=['4 mm', '6 mm']"),
        ("half ton, 215/70 R15C 109/107S", "sidewall=215/70R15C 109/107S"),
    ],
)
def test_what_is_set_against_what_stands_ahead_is_told(said, gives):
    ((outright, proposed),) = said_of([said])
    assert gives in outright | proposed
