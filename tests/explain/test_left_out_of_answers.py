"""What an answer leaves out of a question, and how an answer to a question for leave begins."""

from __future__ import annotations

import io
import json
import sys
from pathlib import Path

import pytest

from advisor.cli import main
from tests.explain.test_newcomers_questions import ask

CASES = Path(__file__).parent.parent / "tables" / "question_cases"


def asked(question, case="car-nail", after=""):
    return ask({"rules": "us-road", "case": case, "after": after, "question": question})


@pytest.mark.parametrize(
    ("question", "word"),
    [
        ("how do i get a patch of oil out of my shirt", "shirt"),
        ("how do i patch my jeans", "jeans"),
        ("what is the tread on my sofa", "sofa"),
        ("how long does the glue dry on a poster", "poster"),
        ("can i repair the bulge in my wallpaper", "wallpaper"),
        ("may i plug the toaster", "toaster"),
        ("how do i juggle the patch", "juggle"),
    ],
)
def test_a_thing_that_nothing_speaks_of_is_named_and_not_answered_with_another(question, word):
    found = asked(question)
    assert found.kind == "complaint"
    assert f'"{word}"' in found.texts[0]
    assert len(found.texts) == 4


def test_an_answer_names_what_of_the_question_it_is_not_of():
    found = asked("how thick a nail may be for a gyroscope repair")
    assert found.kind == "complaint" or "gyroscope" in " ".join(found.texts)
    told = asked("can i put it on the steer axle with sprockets")
    assert told.kind == "complaint" or "sprockets" in " ".join(told.texts)


@pytest.mark.parametrize(
    ("question", "intent"),
    [
        ("which of my numbers matters most", "mattered"),
        ("whats the longest this repair will hold", "how-long-it-lasts"),
        ("how many miles did it run like that", "nobody-knows"),
        ("who can do a major repair", "other-shop"),
        ("why cant i do a big hole with a mushroom plug, they sell em", "why"),
        ("is it ok if i round it down to 6 mm", "alter-reading"),
        ("how do i know when the glue is ready", "how-to"),
        ("how much does a new drive tire weigh", "other-trade"),
    ],
)
def test_the_answer_that_is_of_more_of_the_question_goes_ahead(question, intent):
    assert asked(question).intent == intent


def test_what_was_supposed_stays_supposed_in_what_goes_on_from_it():
    found = asked("and on a pickup?", after="what if it was 8 mm")
    fields = {part["field"]: part["then"] for part in found.parts}
    assert fields["injury-size[0]"] == "8 mm" and fields["verdict"] == "SCRAP"


@pytest.mark.parametrize(("figure", "side"), [("24", "within the limit of 25°"), ("26", "outside the limit of 25°")])
def test_a_bare_figure_goes_on_with_the_limit_that_was_asked_about(figure, side):
    found = asked(f"and {figure}?", after="is 20 degrees ok for a one piece")
    assert side in " ".join(found.texts)


FOR_LEAVE = (
    "can i skip buffing the liner",
    "is it ok if i dont buff it",
    "may i leave out the cement",
    "can i skip the leak test",
    "can i skip the cage",
    "is it ok to air it up without the cage",
    "can i plug it anyway",
    "is it ok if i just plug it from outside",
    "can i just patch it and skip the stem",
    "may i use a tube in it anyway",
    "can i drive on it anyway",
    "is it ok if he drives home on it",
    "can i skip taking it off the rim",
    "do i have to measure the tread or can i skip it",
    "can i skip looking inside",
    "is it ok if i round it down to 6 mm",
    "can i just tick none and get on with it",
    "can i leave the nail in",
    "is it ok to leave it till monday",
    "can i sell it anyway",
    "is it ok to repair the sidewall",
    "can i repair the shoulder anyway",
    "may i use starting fluid to seat the beads",
    "is it ok to stand over it while it fills",
    "can i let it go to 60 psi to seat the bead",
    "may i put two patches over each other",
    "is it ok if the patches touch",
    "can i use super glue",
    "can i use expired cement",
    "is it ok to cut the patch down",
    "may i average the two readings",
    "can i use the highest tread reading",
    "can i drill it out bigger",
    "is it ok if i dont wait for the cement to dry",
    "can i dry the cement with a lighter",
    "can i do the repair without training",
    "can i put sealant in instead",
    "is it ok to pump it up and see",
    "can i repair it with the bulge",
    "can i skip the torque",
    "could i get away with no gloves",
    "can i fix it outdoors in the rain",
    "may i put it on the front axle anyway",
    "can i use petrol to clean it",
)
BEGINS = ("No", "Never", "Only", "As things stand: SCRAP", "As things stand: HOLD", "As things stand: REFER")


@pytest.mark.parametrize("case", ["car-nail", "pickup-flat", "steer-shoulder"])
def test_what_asks_for_leave_is_first_told_what_the_rules_say(capsys, monkeypatch, case):
    lines = "\n".join(FOR_LEAVE)
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(lines.encode())))
    main(("ask", str(CASES / f"{case}.yaml"), "-", "--json"))
    answers = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert len(answers) == len(FOR_LEAVE)
    loose = {each["question"]: each["says"] for each in answers if not each["says"].startswith(BEGINS)}
    # where it is told how it would stand with what was asked for, that comes first and is no repair
    told = [says.partition("\n")[0] for says in loose.values()]
    assert all("with all else as it is: " in first and "REPAIR" not in first for first in told), loose


@pytest.mark.parametrize(
    "question",
    ["any problem if i skip the buffing", "would it hurt to use a tube", "is there any harm in driving home on it"],
)
def test_whether_it_harms_is_never_told_with_a_no_ahead(question):
    assert asked(question).texts[0] == "It does matter: these rules give no leave for it."


@pytest.mark.parametrize("question", ["is the dust bad", "is blue rubber bad", "is it wrong to plug it"])
def test_whether_it_is_bad_is_never_told_with_a_no_ahead(question):
    assert not asked(question).texts[0].startswith("No")


@pytest.mark.parametrize(
    ("question", "two"),
    [
        ("crown or shoulder", "Crown or Shoulder"),
        ("shoulder or sidewall whats the difference", "Shoulder or Sidewall"),
        ("difference between bead and sidewall", "Bead or Sidewall"),
        ("plug or stem", "Plug only or Stem"),
        ("patch or boot", "Patch or Boot"),
        ("separation or bulge", "Separation or Bulge"),
        ("difference tubeless and tube type", "Tubeless or Tube-type"),
        ("bias vs radial", "Bias or Radial"),
        ("retread vs regroove", "Retread or Regrooved"),
        ("glue or cement whats the difference", "Cement or Glue"),
        ("dry rot or cracking", "Weather cracks or Dry rot"),
        ("bead or bead seat", "Bead or Bead seat"),
        ("is hold the same as scrap", "Hold or Scrap"),
        ("whats the difference between a one piece and two piece", "One-piece unit or Two-piece repair"),
    ],
)
def test_two_terms_are_told_apart(question, two):
    found = asked(question)
    assert (found.intent, found.texts[0]) == ("difference", f"{two}:")


TERMS = (
    *("tread", "rim", "rim flange", "bead seat", "belt edge", "valve stem", "dual", "DOT code", "run-flat", "overlap"),
    *("sound rubber", "out of service", "full-service shop", "gross vehicle weight rating", "CFR", "OSHA", "leak test"),
    *("dry rot", "cupping", "pressure sensor", "plug-patch", "glue", "cement", "crown", "shoulder", "sidewall", "bead"),
    *("angle", "size"),
)


@pytest.mark.parametrize("term", TERMS)
def test_each_term_of_the_trade_is_explained(term):
    found = asked(f"what is {term}")
    assert found.kind == "word" and ": " in found.texts[0]


@pytest.mark.parametrize("term", ["crown", "shoulder", "sidewall", "bead", "angle", "size"])
def test_these_terms_come_with_their_sketch(term):
    assert any("⠀" in text for text in asked(f"what is {term}").texts)


def test_what_no_ruling_touches_is_answered_without_the_law_of_the_ruling():
    found = asked("is there a law on how much it costs")
    assert found.intent == "cost" and not any(text.startswith("As things stand") for text in found.texts)
    other = asked("by law how long does the repair last")
    assert other.intent == "how-long-it-lasts" and other.texts[0].startswith("As things stand"), other.texts
