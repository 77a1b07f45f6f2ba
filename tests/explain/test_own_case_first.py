"""What this tire's own answers bring stands ahead of what holds of every tire; what is not known is not told as so."""

import pytest

from tests.explain.test_worse_reading import ask

#: How answers begin that give no leave.
NO_LEAVE = ("No", "Not by these rules", "Only", "Never")


def head(text: str) -> str:
    """The first lines of an answer, down to the first that is no verdict and no short no."""
    return "\n".join(text.splitlines()[:6])


@pytest.mark.parametrize(
    ("rules", "name", "question", "own"),
    [
        (
            "us-road",
            "set-pressure-above-the-print",
            "how many psi should go back in",
            "above the sidewall's own figure",
        ),
        ("us-road", "set-pressure-above-the-print", "what do I inflate it to", "above the sidewall's own figure"),
        ("us-road", "set-pressure-above-the-print", "should I worry about the 125", "above the sidewall's own figure"),
        ("us-road", "set-pressure-above-the-print", "how much air does it get", "above the sidewall's own figure"),
        ("us-road", "unit-smaller-than-the-opening", "does the patch cover the hole", "does not cover the opening"),
        ("us-road", "unit-smaller-than-the-opening", "which size patch do I need", "does not cover the opening"),
        ("us-road", "unit-smaller-than-the-opening", "will this unit do", "does not cover the opening"),
        ("us-road", "liner-at-the-dew-point", "should I start cementing", "Stop before you cement"),
        ("us-road", "liner-at-the-dew-point", "is it ok to put the patch on", "Stop before you cement"),
        ("us-road", "liner-at-the-dew-point", "can I warm the inside with a heat gun", "Stop before you cement"),
        ("us-road", "flat-on-the-truck", "driver says he'll just roll on", "Do not roll to the next stop"),
        ("uk-road", "ruling-too-old-for-front", "what do the police do if they see it", "immediate prohibition"),
        ("uk-road", "ruling-self-supporting", "may he run it home without air", "built and marked to run deflated"),
    ],
)
def test_its_own_caution_stands_first(rules, name, question, own):
    assert own in head(ask(rules, name, question)[1])


@pytest.mark.parametrize(
    ("rules", "name", "question"),
    [
        ("us-road", "liner-at-the-dew-point", "may I buff and glue it now"),
        ("us-road", "flat-on-the-truck", "the driver wants to roll to the depot, may he?"),
        ("uk-road", "ruling-self-supporting", "can i mend it"),
        ("uk-road", "ruling-bead-damage", "may I repair it"),
        ("uk-road", "ruling-bead-damage", "can I splice the bead wire"),
        ("uk-road", "ruling-run-flat-signs", "can I pump it up to have a look"),
    ],
)
def test_who_asks_for_leave_is_given_a_plain_answer(rules, name, question):
    lines = ask(rules, name, question)[1].splitlines()
    assert any(line.startswith(NO_LEAVE) for line in lines[:2])


def test_a_held_step_is_not_given_leave_beside_a_verdict_that_repairs():
    lines = ask("us-road", "liner-at-the-dew-point", "is it ok to put the patch on")[1].splitlines()
    assert lines[0].startswith("No, not as it stands")


def test_a_term_is_explained_ahead_of_this_tires_own_caution():
    lines = ask("us-road", "liner-at-the-dew-point", "what is a dew point")[1].splitlines()
    assert lines[0].startswith("Dew point")


@pytest.mark.parametrize("question", ["can it go on the drive axle instead", "would it be alright on the trailer"])
def test_a_wheel_that_is_not_barred_is_said_to_be_none_and_the_rest_stays(question):
    text = ask("uk-road", "ruling-too-old-for-front", question)[1]
    assert text.startswith("As far as the wheel goes, yes")
    assert "REFER" in text and "Not on the front steered axle" in text


def test_the_front_axle_stays_barred():
    text = ask("uk-road", "ruling-too-old-for-front", "can it run on the front for a week")[1]
    assert text.startswith("Not by these rules")


@pytest.mark.parametrize("question", ["what do I tell the customer", "write me two lines for the owner"])
@pytest.mark.parametrize("rules", ["us-road", "uk-road"])
def test_what_cannot_be_told_is_not_told_as_so(rules, question):
    text = ask(rules, "cant-tell-sealant", question)[1]
    assert "Not known for certain: sealant inside" in text
    assert "There is sealant" not in text


def test_what_is_certain_is_told_without_a_doubt():
    assert "Not known" not in ask("uk-road", "ruling-sealant-inside", "what do I tell the customer")[1]
