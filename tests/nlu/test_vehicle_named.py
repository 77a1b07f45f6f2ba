"""A word that only says which vehicle it is leaves the vehicle said outright, through `advisor hear`."""

import pytest

from tests.nlu.test_said_and_not_said import hear_all

RULES = ("us-road", "uk-road")


@pytest.mark.parametrize("rules", RULES)
@pytest.mark.parametrize(
    ("said", "vehicle"),
    [
        ("zubrak truck", "truck"),
        ("a zubrak tractor unit", "truck"),
        ("zubrak kestrel van", "van-or-pickup"),
        ("old white van", "van-or-pickup"),
        ("big dump truck, steer axle", "truck"),
    ],
)
def test_a_name_or_a_color_ahead_of_a_vehicle(said, vehicle, rules):
    (heard,) = hear_all([said], rules)
    assert heard["answers"].get("vehicle") == vehicle
    assert not heard["not_understood"]


@pytest.mark.parametrize("rules", RULES)
@pytest.mark.parametrize("said", ["fork truck", "toy truck", "not a truck", "isnt truck"])
def test_what_makes_another_thing_of_it_or_denies_it_is_no_name(said, rules):
    (heard,) = hear_all([said], rules)
    assert "vehicle" not in heard["answers"]


@pytest.mark.parametrize("rules", RULES)
@pytest.mark.parametrize("said", ["bulged van tire", "riped truck tire", "seperated truck tire"])
def test_what_is_bad_or_nearly_so_is_never_taken_for_a_name(said, rules):
    (heard,) = hear_all([said], rules)
    told = heard["not_understood"] or heard["proposed"]["answers"].get("findings") or heard["answers"].get("findings")
    assert told, heard
