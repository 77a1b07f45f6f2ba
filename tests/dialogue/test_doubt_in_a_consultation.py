"""What was not said outright, in a consultation: shown apart, not taken by a yes, and never lost as a doubt."""

from datetime import date

import pytest

from advisor.dialogue.intents import told
from advisor.dialogue.session import Consultation
from advisor.dialogue.talk_commands import say
from advisor.model.case import CANT_TELL, Choice, Choices
from tests.dialogue.talk_cases import case_of, judge

TIRE = ("car", "drive", "205/55R16 91V")
DOUBTFUL = "hole in the crown, 5-7 mm, straight in"


def talk(*lines):
    consultation = Consultation(judge(), date(2026, 3, 14))
    said = [message for line in lines for message in say(consultation, line)]
    return consultation, "\n".join(line for message in said for line in message.texts)


def size(consultation):
    return str(consultation.case.injuries[0]["injury-size"])


@pytest.mark.parametrize(
    "said",
    [
        "my boss measured 5, does that settle it",
        "hole is 5 mm",
        "driver says the hole is 5 mm",
        "would 5 mm be ok?",
        "the hole is 6 mm",
        "i think the hole is 5 mm",
    ],
)
def test_a_narrower_reading_over_a_doubtful_one_is_not_taken_by_a_yes(said):
    consultation, text = talk(*TIRE, DOUBTFUL, "yes", said, "yes")
    assert size(consultation) == "5-7 mm"
    assert "?" in said or "who measured it, and how?" in text


@pytest.mark.parametrize(
    "said", ["measured it again myself: hole is 5 mm", "scratch 5-7, the hole is 5 mm", "i re-measured, hole is 5 mm"]
)
def test_it_is_taken_once_the_doubt_is_taken_back_in_so_many_words(said):
    assert size(talk(*TIRE, DOUBTFUL, "yes", said, "yes")[0]) == "5 mm"


def test_a_worse_reading_over_a_doubtful_one_counts():
    assert size(talk(*TIRE, DOUBTFUL, "yes", "the hole is 9 mm", "yes")[0]) == "9 mm"


def test_answering_the_question_again_takes_the_doubt_back():
    consultation, _ = talk(*TIRE, DOUBTFUL, "yes")
    consultation.change(("injury-size", 0))
    say(consultation, "5 mm")
    assert size(consultation) == "5 mm"


def test_a_reading_that_could_not_be_told_is_not_told_by_a_yes():
    consultation, _ = talk(*TIRE, "hole in the crown, straight in", "yes")
    consultation.change(("injury-size", 0))
    say(consultation, "can't tell")
    for line in ("my boss says the hole is 4 mm", "yes", "the hole is 4 mm", "yes"):
        say(consultation, line)
    assert consultation.case.injuries[0]["injury-size"] is CANT_TELL


HEDGED = "probably no sealant, hopefully no bulge, maybe a recap, tubeless"


def test_what_may_have_been_heard_is_shown_apart_and_left_out_by_a_yes():
    consultation, text = talk(*TIRE, HEDGED)
    assert text.index("not counted yet:") < text.index("1. tubeless") < text.index("I may have heard, not counted:")
    say(consultation, "yes")
    assert consultation.case.answers["tube"] == Choice("tubeless")
    assert not {"sealant", "findings", "retread"} & set(consultation.case.answers)


def test_what_only_helps_is_not_taken_by_its_number_and_the_rest_is():
    consultation, text = talk(*TIRE, HEDGED)
    numbers = {
        name: line.strip().split(".")[0]
        for line in text.split("\n")
        for name in ("sealant", "recapped")
        if name in line and line.strip()[0].isdigit()
    }
    refused = say(consultation, f"take {numbers['sealant']}")[0]
    assert refused.kind == "complaint" and "Look yourself" in refused.texts[0]
    say(consultation, f"take {numbers['recapped']}")
    say(consultation, "yes")
    assert consultation.case.answers["retread"] == Choice("recapped")
    assert "sealant" not in consultation.case.answers


def test_a_hedged_figure_that_is_taken_keeps_its_doubt():
    consultation, text = talk(*TIRE, "hole in the crown, maybe 4 mm")
    number = next(line.strip().split(".")[0] for line in text.split("\n") if "width: 4 mm" in line)
    say(consultation, f"take {number}")
    say(consultation, "yes")
    assert size(consultation) == "about 4 mm"


@pytest.mark.parametrize(
    ("case", "said", "name", "then"),
    [
        ({}, "maybe there's a bulge", "findings", lambda answer: not answer.complete and "bulge" not in answer.absent),
        ({}, "i think it was driven flat", "run-low", lambda answer: answer is CANT_TELL),
        ({}, "possibly sealant inside", "sealant", lambda answer: answer is CANT_TELL),
        ({}, "lumps on the sidewall though", "findings", lambda answer: "bulge" in answer.present),
        ({}, "wrinkles all round on the inside", "findings", lambda answer: "run-flat-signs" not in answer.absent),
        ({}, "goo in the bottom of it", "sealant", lambda answer: answer is CANT_TELL),
    ],
)
def test_a_worse_thing_said_in_doubt_opens_the_answer_that_stands(case, said, name, then):
    consultation, _ = talk("truck")
    consultation.resume(type(consultation.saved)(case_of(case)))
    for line in (said, "yes"):
        say(consultation, line)
    assert then(consultation.case.answers[name])


def test_a_helpful_thing_said_in_doubt_changes_nothing_that_stands():
    consultation, _ = talk("truck")
    consultation.resume(type(consultation.saved)(case_of({"findings": ["bulge"]})))
    for line in ("hopefully no bulge", "yes"):
        say(consultation, line)
    assert consultation.case.answers["findings"] == Choices(frozenset({"bulge"}))


def test_how_sure_names_what_was_said_in_doubt():
    _, text = talk(*TIRE, HEDGED, "yes", "my boss measured 5 mm, hole in the crown", "yes", "how sure")
    sure = text[text.rindex("Said in doubt") - 400 :]
    assert 'said with "probably"' in sure and "somebody's word" in sure


def test_what_if_another_vehicle_takes_the_print_with_it():
    car = case_of({"vehicle": "car", "sidewall": "205/55R16 91V"}, without=("tire-class", "load-range"))
    found = told(judge(), car, judge().judge(car), "what if it was a truck tire")
    assert any("205/55R16 91V speaks against that" in line for line in found.texts)
    assert not any("closes at most 6 mm" in line for line in found.texts[found.texts.index("Counts then:") :])
    assert (
        found.parts[0]["field"] == "vehicle"
        and {"field": "sidewall", "now": "205/55R16 91V", "then": None} in found.parts
    )
    van = told(judge(), car, judge().judge(car), "what if it was on a van")
    assert not any("speaks against" in line for line in van.texts)


def test_what_if_a_car_has_a_truck_tire_says_that_the_class_speaks_against_it():
    truck = case_of()
    found = told(judge(), truck, judge().judge(truck), "what if it was on a van")
    assert any("speaks against that (Van or pickup)" in line for line in found.texts)


@pytest.mark.parametrize("tail", [", could be 14", ", 14 inside", ", maybe 14"])
def test_a_bare_figure_that_goes_to_the_question_put_alters_the_one_ahead_too(tail):
    consultation, text = talk(*TIRE, "tubeless", "no", "skip", f"the hole is 5 mm{tail}", "yes")
    assert not any("injury-size" in injury for injury in consultation.case.injuries), text


def test_a_tail_is_refused_by_number_with_what_to_do():
    consultation, text = talk(*TIRE, "tubeless", "the hole is 5 mm, opens to 12", "take 1")
    assert "Say the figure by itself, as measured where it is worst, or can't tell." in text
    assert consultation.pending is not None and not consultation.pending.answers


def test_of_findings_that_may_have_been_heard_only_those_that_are_there_can_be_taken():
    consultation, _ = talk(*TIRE, "beads are intact, diesel all over it", "take 1", "yes")
    assert consultation.case.answers["findings"] == Choices(frozenset({"fluid-damage"}), frozenset())


def test_what_stands_and_yes_would_put_in_doubt_is_named_before_it() -> None:
    consultation, _ = talk(*TIRE, "hole in the crown, straight in, 5 mm wide", "yes")
    said = " ".join(str(each.blocks) for each in say(consultation, "well, it might be 8 mm wide"))
    counts = said.partition("With yes it counts as ")[2]
    say(consultation, "yes")
    assert f"width: {consultation.case.injuries[0]['injury-size']}" in counts and "8 mm" in counts
