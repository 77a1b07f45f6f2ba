"""Figures as people spell them in a question, and words that look like one and are none."""

import pytest

from advisor.dialogue.intents import told
from advisor.explain.spelled_figures import in_figures
from tests.dialogue.talk_cases import CASES, judge


@pytest.mark.parametrize(
    ("said", "written"),
    [
        ("say it opens up to 7 mil", "say it opens up to 7 mm"),
        ("and five sixteenths", "and 5/16 in"),
        ("what about twelve point seven millimeter", "what about 12.7 mm"),
        ("forty seven psi", "47 psi"),
        ("then ten", "then 10"),
        ("at ten past two", "at 2:10 o'clock"),
        ("at five past two", "at 2:05 o'clock"),
        ("how bout half two", "how bout 2:30 o'clock"),
        ("two nails and a screw", "two nails and a screw"),
        ("a quarter inch", "a quarter inch"),
        ("only four miles", "only four miles"),
        ("drove 3 miles", "drove 3 miles"),
    ],
)
def test_only_what_is_a_figure_is_written_as_one(said, written):
    assert in_figures(said) == written


@pytest.mark.parametrize(
    ("question", "verdict"),
    [
        ("same hole 5 mm but in the shoulder?", "REFER"),
        ("say it opens up to 4 or 12 mil", "REFER"),
        ("the caliper said 12 mm", "REFER"),
        ("the caliper said 5 mm", "REPAIR"),
        ("if it comes out at 5 mm with cord showing", "SCRAP"),
    ],
)
def test_a_figure_that_is_supposed_keeps_what_is_named_beside_it(question, verdict):
    found = told(judge(), CASES["repair"], judge().judge(CASES["repair"]), question, asks=True)
    compared = next(line for line in found.texts if line.startswith("verdict "))
    assert compared.rstrip(" *").endswith(verdict)


@pytest.mark.parametrize("question", ["can she drive home, only 4 miles", "who came up with 25 degrees", "is 94W fine"])
def test_a_figure_of_something_else_is_not_supposed_of_the_injury(question):
    found = told(judge(), CASES["repair"], judge().judge(CASES["repair"]), question, asks=True)
    assert found.intent != "what-if"
