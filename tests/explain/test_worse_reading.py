"""Questions that could be answered too mildly: what was washed out, and whether a rule is of another wheel."""

from functools import lru_cache
from pathlib import Path

import pytest

from advisor.dialogue.intents import told
from advisor.engine.evaluator import Judge
from advisor.loader.case_file import read_case, split_cases
from advisor.loader.kept_cases import with_older_answers
from advisor.loader.paths import find_rule_set
from advisor.loader.ruleset_loader import load_rule_set
from tests.dialogue.talk_cases import DAY

CASES = Path(__file__).parents[2] / "trees"


@lru_cache
def judge(rules):
    return Judge(load_rule_set(find_rule_set(rules)))


def ask(rules, name, *questions):
    """The answer to the last of some questions about a case that stands beside the rules."""
    by, text = judge(rules), (CASES / rules / "cases" / f"{name}.yaml").read_text(encoding="utf-8")
    case = read_case(next(split_cases(text.split("\nends:")[0] + "\n", name)), by.rules, DAY)
    case, found = with_older_answers(case, by.rules), None
    now = by.judge(case)
    for question in questions:
        found = told(by, case, now, question, before=found, asks=True)
    return found, "\n".join(found.texts)


@pytest.mark.parametrize(
    "question",
    [
        "what if he had used a sealant can and we washed it out",
        "can I fix it if the sealant is washed out first?",
        "may I repair it with the sealant out",
        "what if the slime is gone",
        "what if it had sealant but we cleaned it all out",
        "would it be okay once the sealant was removed?",
    ],
)
def test_a_breakdown_aid_that_was_washed_out_was_used_in_germany(question):
    found, text = ask("de-road", "placed-well-apart", question)
    assert "SCRAP" in text or found.kind == "complaint"
    assert "REPAIR:" not in text


@pytest.mark.parametrize("before", [(), ("how old may it be",), ("does age matter",)])
@pytest.mark.parametrize("name", ["ruling-too-old-for-front", "ruling-too-old-for-minibus"])
def test_whether_a_rule_is_of_a_vehicle_is_answered_from_the_rule(name, before):
    found, text = ask("uk-road", name, *before, "does this apply to a minibus")
    assert found.intent == "applies"
    assert "it may not run on a single wheel of a minibus" in text
    assert not text.startswith("No")


@pytest.mark.parametrize(
    ("name", "before", "question"),
    [
        ("ruling-too-old-for-front", "how old may it be", "does this apply to a van"),
        ("ruling-too-old-for-front", "does age matter", "does it apply on the rear axle"),
        ("ruling-too-old-for-minibus", "does age matter", "does that go for the rear wheels too"),
        ("ruling-too-old-for-minibus", "does age matter", "does that apply to a car or a van"),
    ],
)
def test_where_the_rule_says_nothing_of_it_that_is_no_no(name, before, question):
    found, text = ask("uk-road", name, before, question)
    assert found.kind == "complaint" or found.intent == "applies"
    assert not text.startswith("No:") and "No difference" not in text


def test_a_wheel_that_the_rule_names_is_told_with_it():
    _, text = ask("uk-road", "ruling-too-old-for-minibus", "how old may it be", "and does this apply on the front")
    assert "front steered axle" in text
