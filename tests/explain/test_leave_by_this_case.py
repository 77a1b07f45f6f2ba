"""Whether something may be done begins with no, yes or only if as the rules have it for this tire, in any wording."""

from __future__ import annotations

import pytest

from tests.explain.test_newcomers_questions import ask

BARRED = (
    *(("us-road", name) for name in ("car-side-cut", "drive-hole", "pickup-flat", "steer-shoulder", "two-nails")),
    *(("us-road", f"cant-tell-{name}") for name in ("sealant", "demounted", "repair-sound", "tread-depth")),
    ("us-road", "flat-on-the-truck"),
    ("uk-road", "uk-car-shoulder"),
    ("uk-road", "uk-van-sidewall"),
)
LEAVE = (
    "can i patch it",
    "could we repair it ourselves",
    "let me fix it",
    "let me use a bigger patch",
    "if i clean it well can i fix it",
    "if the boss signs could i repair it",
    "could i do it with two units",
    "may i fill it with cement",
    "if i got hold of a bigger stem could i do it here",
    "am i allowed to fix this",
    "the boss wants to know if we could patch it",
)


@pytest.mark.parametrize(("rules", "case"), BARRED)
@pytest.mark.parametrize("question", LEAVE)
def test_no_leave_is_given_by_implication_for_a_barred_tire(rules, case, question):
    found = ask({"rules": rules, "case": case, "after": "", "question": question})
    assert found.kind == "complaint" or any(text.startswith(("No:", "No,", "No.", "Not ")) for text in found.texts[:2])


@pytest.mark.parametrize("question", ["could you let me put a combi unit in it", "may i use a one piece unit"])
def test_the_method_laid_down_is_said_ahead_of_another_one(question):
    row = {"rules": "us-road", "case": "way-on-slant-width-way-2", "after": "", "question": question}
    assert any(text.startswith("No: the method laid down here is Two-piece") for text in ask(row).texts[:2])


@pytest.mark.parametrize("question", ["may i repair it", "could we fix this ourselves", "let me mend it"])
def test_what_may_be_repaired_is_told_yes_and_by_which_way_alone(question):
    found = ask({"rules": "us-road", "case": "car-nail", "after": "", "question": question})
    assert found.texts[0].startswith("Yes, by these rules and only") and found.texts[1].startswith("REPAIR")


def test_what_is_left_out_of_a_supposition_is_named_ahead_of_its_verdict():
    question = "suppose it was leaning 30 degrees and the gyroscope spun"
    found = ask({"rules": "us-road", "case": "car-nail", "after": "", "question": question})
    assert found.intent == "what-if" and "gyroscope" in found.texts[0]
    assert found.texts[1].startswith("So this answers only the part that follows")
