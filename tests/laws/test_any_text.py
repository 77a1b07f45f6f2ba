"""Nothing that stands in a case file makes the program fall over: it is a case, or it is Problems with a place."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.console.json_output import answer_of, answer_of_problems
from advisor.console.verdict_lines import verdict_lines
from advisor.loader.case_file import read_case, split_cases
from advisor.model.problems import Problems
from tests.laws.cases import cases, few, questions_over
from tests.laws.support import TODAY, CaseData, base, judge, rules

FILE = "case.json"


def put_through(text: str) -> tuple[int, int]:
    """How many cases of a text were judged and how many were problems; anything else is raised."""
    judged = problems = 0
    for case_text in split_cases(text, FILE):
        try:
            got = judge().judge(read_case(case_text, rules(), TODAY))
        except Problems as error:
            assert error.problems
            assert all(problem.place.file == FILE and str(problem) for problem in error.problems)
            json.dumps(answer_of_problems(error.problems, rules()))
            problems += 1
            continue
        json.dumps(answer_of(got, judge()))
        assert verdict_lines(got, judge(), FILE)
        judged += 1
    return judged, problems


KEYS = sorted({"rules", "today", "answers", "injuries", "present", "absent", "nonsense", ""}) + sorted(
    {key for over in ("tire", "injuries", "earlier-repairs") for key in questions_over(over)}
)
WORDS = (
    "yes",
    "none",
    "cant-tell",
    "steer",
    "9/32 in",
    "8-10 mm",
    "1/0 in",
    "about",
    "-1 mm",
    "9" * 90,
    "\x1b[2J",
)
scalars = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    st.text(max_size=12),
    st.sampled_from(WORDS),
    st.sampled_from(KEYS),
)
names = st.one_of(st.sampled_from(KEYS), st.text(max_size=5))
junk = st.recursive(
    scalars,
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(names, inner, max_size=4)),
    max_leaves=10,
)


@few(150)
@given(junk)
def test_any_json_in_place_of_a_case(data: Any) -> None:
    assert sum(put_through(json.dumps(data))) >= 1


@few(120)
@given(cases(), st.sampled_from(("answers", "injuries", "today")), st.sampled_from(KEYS), junk)
def test_any_json_in_place_of_an_answer(case: CaseData, where: str, key: str, data: Any) -> None:
    if where == "answers":
        case["answers"][key] = data
    elif where == "injuries":
        case["injuries"] = [*case["injuries"], {key: data}]
    else:
        case[where] = data
    put_through(json.dumps(case))


@few(150)
@given(st.one_of(st.text(), st.text(alphabet="[]{}:,&*!|>-'\"# \n\tansweriju1", max_size=60)))
def test_any_text_in_place_of_a_case(text: str) -> None:
    put_through(text)


@few(100)
@given(st.data())
def test_a_case_file_cut_or_spoiled_anywhere(data: st.DataObject) -> None:
    text = json.dumps(base("passenger"), indent=1)
    place = data.draw(st.integers(0, len(text)))
    spoiled = text[:place] + data.draw(st.text(max_size=3)) + text[place + data.draw(st.integers(0, 5)) :]
    put_through(spoiled)


ODD = ("", "\x00", "0", "-5 mm", "1e400", "½ in", "٣ mm", "0/0 in", "[/]", "\u202e", "9" * 2000)
ODD_ABOUT_INJURIES = (
    *ODD,
    "89.9 deg",
    "12:60",
    "-0:01",
    "0 mm",
    "0 deg",
    "1/3 in",
    "mm",
    "1000000000 mm",
    "= 5",
)


@pytest.mark.parametrize("key", list(questions_over("tire")))
def test_odd_scalars_as_every_answer(key: str) -> None:
    for value in ODD:
        case = base("medium-truck")
        case["answers"][key] = value
        put_through(json.dumps(case))


@pytest.mark.parametrize("key", list(questions_over("injuries")))
def test_odd_scalars_as_every_answer_about_an_injury(key: str) -> None:
    for value in ODD_ABOUT_INJURIES:
        case = base("passenger")
        case["injuries"][0][key] = value
        put_through(json.dumps(case))


def test_the_check_itself_counts_cases_and_problems() -> None:
    assert put_through(json.dumps(base("passenger"))) == (1, 0)
    assert put_through('{"answers": {"vehicel": "car"}}') == (0, 1)
