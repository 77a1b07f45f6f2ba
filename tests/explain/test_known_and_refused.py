"""Questions of the shop floor that the rules can answer: each with what its answer has to say, and what it may not."""

import pytest

from advisor.dialogue.intents import told
from tests.dialogue.talk_cases import CASES, case_of, judge
from tests.explain.test_worse_reading import ask as ask_beside

PAIR = case_of({"own-diameter": "950 mm", "pair-diameter": "953 mm"})


def ask(case, *questions):
    found = None
    for question in questions:
        found = told(judge(), case, judge().judge(case), question, before=found, asks=True)
    return found, "\n".join(found.texts)


@pytest.mark.parametrize(
    ("question", "says"),
    [
        ("why is it on hold", "It is not HOLD"),
        ("wat do i write on the tire so noone uses it", "write scrap and why"),
        ("how do I mesure the liner temp", "contact or infrared thermometer"),
        ("could I just run a few more psi in the small one to even it out", "No"),
        ("which of the two goes on the outside?", "The larger of the two goes outside"),
        ("can I peel the old patch and put one big one over both", "No"),
        ("are those plugs banned then", "Barred as a repair"),
        ("is it ok to plug it, or are plugs banned", "Barred as a repair"),
        ("may I do just one hole and leave the other", "No: a tire goes by its worst injury"),
        ("can I fix it anyway if I wipe just around the hole", "No: not with sealant in it"),
    ],
)
def test_the_answer_is_of_what_was_asked(question, says):
    _, text = ask(CASES["repair"], question)
    assert says in text


@pytest.mark.parametrize(
    ("rules", "name", "question", "says"),
    [
        ("uk-road", "taped-well-apart", "how wide is the bit of tread I can mend in", "the band for minor repairs"),
        ("uk-road", "ruling-too-old-for-front", "how old is it exactly", "10.12 years"),
        ("de-road", "placed-well-apart", "how large may a hole be in germany", "6 mm"),
        ("uk-road", "ruling-sealant-inside", "how large may a hole be in germany", "another country"),
        ("de-road", "placed-well-apart", "can I fix it anyway if I wipe just around the hole", "SCRAP"),
    ],
)
def test_it_is_told_of_this_case_by_its_own_rules(rules, name, question, says):
    _, text = ask_beside(rules, name, question)
    assert says in text


def test_a_size_of_patches_is_both_sides_of_the_unit_and_no_hole():
    found, text = ask_beside("de-road", "placed-well-apart", "what if smaller patches, 35 mm")
    assert {part["field"]: part["then"] for part in found.parts}.items() >= {
        "unit-length": "35 mm",
        "unit-width": "35 mm",
    }.items()
    assert "outside the limit" not in text


def test_a_bare_figure_goes_on_in_the_unit_before():
    found, _ = ask(PAIR, "what if the other one were 955 mm", "and 962?")
    assert (found.subject, found.parts[0]["then"]) == ("pair-diameter", "962 mm")


@pytest.mark.parametrize("question", ["what if there was a second hole of 12 mm", "what if the other hole was 4 mm"])
def test_one_more_injury_that_is_supposed_is_judged(question):
    found, text = ask(CASES["repair"], question)
    rows = {part["field"]: part["then"] for part in found.parts}
    assert rows["verdict"] != "REPAIR"
    assert "The verdict is the same either way" not in text


def test_is_it_law_is_of_the_ruling_behind_a_text_on_habit():
    _, of_it = ask(CASES["repair"], "does it hold air", "is it law")
    _, of_that = ask(CASES["repair"], "does it hold air", "is that law")
    assert "nail hole in the crown" in of_it
    assert "holds air" in of_that
