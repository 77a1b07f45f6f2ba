"""What is taken back or admitted in the talk is supposed for a moment; a figure is never taken of something else."""

from __future__ import annotations

import pytest

from tests.explain.test_newcomers_questions import ask


def asked(question, case, rules="us-road"):
    return ask({"rules": rules, "case": case, "after": "", "question": question})


@pytest.mark.parametrize(
    ("question", "change"),
    [
        ("no wait it was 90 not 20", "the pressure found: 20 psi -> 90 psi"),
        ("sorry, other way round: 105 found, 20 set", "the pressure it should have: 105 psi -> 20 psi"),
        ("my bad, i flipped them", "the pressure found: 20 psi -> 105 psi"),
        ("he admits he drove a mile at zero", "driven soft or flat: No -> Yes"),
        ("oh there's a bulge too", "what the inspection found: none -> A bulge"),
        ("its half bald and the cord is showing", "Cord or belt showing"),
    ],
)
def test_a_correction_is_what_is_supposed(question, change):
    found = asked(question, "flat-on-the-truck")
    assert found.intent == "what-if" and any(change in text for text in found.texts)


@pytest.mark.parametrize(
    "question", ["sorry, what's the holdup", "no wait, is that law", "biggest on a car tire", "my bad, can i plug it"]
)
def test_what_only_begins_like_a_correction_supposes_nothing(question):
    assert asked(question, "flat-on-the-van").intent != "what-if"


def test_air_that_is_to_be_put_in_is_no_width():
    found = asked("ok if i air it up to 35 and see if it holds over lunch?", "cant-tell-demounted")
    assert found.intent == "top-up" and not any("width" in text for text in found.texts)


@pytest.mark.parametrize(
    ("question", "rules", "case", "change"),
    [
        ("what if it was 45", "uk-road", "limit-at-its-figure-run-low-share", "the pressure found: 44 psi -> 45 psi"),
        ("what if it leaned 10 less", "us-road", "way-on-slant-width-way-2", "injury's angle: 52.45 deg -> 42.45°"),
        ("what if the hole was 1 mm bigger", "us-road", "cant-tell-sealant", "injury's width: 3 mm -> 4 mm"),
    ],
)
def test_a_figure_is_supposed_of_what_it_can_be_of(question, rules, case, change):
    found = asked(question, case, rules)
    assert found.intent == "what-if" and any(change in text for text in found.texts), found.texts[:4]


@pytest.mark.parametrize(
    ("question", "rules", "case", "says"),
    [
        ("biggest it can be on a car tire?", "us-road", "cant-tell-injury-size", "Widest nail-hole injury"),
        ("how close may two be", "us-road", "taped-too-near", "Repair units must not touch"),
        ("whats the closest these two coulda been", "us-road", "apart-at-a-slant", "Repair units must not touch"),
        ("how long does the solution need before I stick the unit on", "uk-road", "taped-well-apart", "Drying time"),
        ("what is vulcanising fluid", "uk-road", "taped-well-apart", "Cement: "),
        ("what's the difference between a bulge and a dent", "us-road", "car-nail", "Bulge or Dent"),
        ("who do i call", "uk-road", "ruling-self-supporting", "tyre maker's policy"),
        ("does it have a patch behind it", "uk-road", "ruling-puncture-plug-only", "A plug with a patch behind it"),
        ("whats the slant do to it anyway", "us-road", "apart-at-a-slant", "slanting injury"),
        ("cant be over 1/8. just go with that?", "us-road", "cant-tell-injury-size", "No: a guess does not do"),
    ],
)
def test_the_answer_is_of_what_is_named(question, rules, case, says):
    found = asked(question, case, rules)
    assert found.kind != "complaint" and any(says in text for text in found.texts)
