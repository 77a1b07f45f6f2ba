"""The shortest reason, held against brute force."""

from itertools import combinations

import pytest

from advisor.dialogue.intents import told
from advisor.explain.sufficient_reason import answered_keys, only, short_reason
from advisor.explain.why import PAGE_LINES, lines_taken, why
from advisor.model.ruleset import Verdict
from advisor.wording.explanation import explain
from tests.dialogue.talk_cases import CASES, judge


def outcome(case, keys):
    there = judge().judge(only(case, keys, judge().rules))
    return there.verdict, there.ending


@pytest.mark.parametrize("name", CASES)
def test_the_set_alone_gives_the_verdict_and_nothing_can_be_left_out(name):
    case = CASES[name]
    now = judge().judge(case)
    keys = short_reason(judge(), case).keys
    assert outcome(case, keys) == (now.verdict, now.ending)
    for key in keys:
        assert outcome(case, [other for other in keys if other != key]) != (now.verdict, now.ending), key


@pytest.mark.parametrize("name", CASES)
def test_no_smaller_set_gives_the_verdict(name):
    """Every set of one answer fewer, over all answers of the case, where there are few enough to try them all."""
    case = CASES[name]
    now = judge().judge(case)
    keys = short_reason(judge(), case).keys
    every = answered_keys(case, judge().rules)
    if len(keys) > 3:
        pytest.skip("every answer counts here; the test above takes each out")
    for size in range(len(keys)):
        for some in combinations(every, size):
            there = judge().judge(only(case, some, judge().rules))
            settles = there.settled or not now.settled or now.verdict is not Verdict.SCRAP
            assert not ((there.verdict, there.ending) == (now.verdict, now.ending) and settles), some


def test_a_scrap_stands_whatever_the_other_answers_are():
    for name in ("cord", "cord and bulge", "car, large"):
        case = CASES[name]
        there = judge().judge(only(case, short_reason(judge(), case).keys, judge().rules))
        assert there.could_end == (Verdict.SCRAP,), name


def test_nothing_answered_needs_no_reason():
    from advisor.model.case import Case

    assert short_reason(judge(), Case()).keys == ()


@pytest.mark.parametrize("name", sorted(CASES))
def test_why_fits_on_one_page_and_each_step_opens(name):
    case = CASES[name]
    now = judge().judge(case)
    found = why(judge(), case, now)
    assert lines_taken(found.blocks) <= PAGE_LINES
    for number, reason in enumerate(explain(judge(), now).steps, 1):
        opened = told(judge(), case, now, f"why {number}")
        assert opened.kind == "why" and reason.says in opened.texts[0]
    assert told(judge(), case, now, "why 99").kind == "complaint"
    named = {part["question"] for part in told(judge(), case, now, "why answers").parts}
    assert named == {part["question"] for part in found.parts}
