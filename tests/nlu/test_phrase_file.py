"""phrases.yaml: a maintainer teaches words without touching code; two answers that claim one phrase are named."""

import pytest

from advisor.loader.phrase_file import spelled_out
from advisor.loader.ruleset_loader import load_rule_set
from advisor.model.problems import Problems
from advisor.nlu.pipeline import Listener
from tests.whole_rules import whole_copy


@pytest.fixture
def folder(tmp_path):
    return whole_copy(tmp_path / "us-road")


def changed(folder, old, new):
    path = folder / "phrases.yaml"
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    return load_rule_set(folder)


def heard(rules, text):
    return {one.key[0]: one.written for one in Listener(rules).hear(text).understood}


def test_a_new_phrase_works(folder):
    assert heard(load_rule_set(folder), "it has a wobblegong, tubeless") == {"tube": "tubeless"}
    rules = changed(folder, "bubble, goose egg", "bubble, wobblegong, goose egg")
    assert heard(rules, "it has a wobblegong, tubeless")["findings"] == {"present": ["bulge"], "absent": []}


def test_a_new_word_of_a_class_works_in_every_frame(folder):
    rules = changed(folder, "  liner: [liner,", "  liner: [liner, wobblegong,")
    for said in ("wobblegong creased", "creased wobblegong", "creases all over the wobblegong"):
        assert heard(rules, said)["findings"] == {"present": ["run-flat-signs"], "absent": []}


def test_another_word_of_a_choice_works_too(folder):
    path = folder / "questions.yaml"
    text = path.read_text(encoding="utf-8")
    path.write_text(
        text.replace("also: [passenger car, sedan,", "also: [passenger car, town runabout, sedan,", 1), "utf-8"
    )
    assert heard(load_rule_set(folder), "town runabout, nail in the crown")["vehicle"] == "car"


def test_a_phrase_that_two_answers_claim_is_named_with_both_places(folder):
    with pytest.raises(Problems) as raised:
        changed(folder, "bubble, goose egg", "bubble, blue liner, goose egg")
    (problem,) = raised.value.problems
    assert problem.id == "phrase-twice"
    assert '"blue liner"' in problem.found and "findings: bulge" in problem.found + str(problem.see)
    assert problem.see[0][0].file.endswith("phrases.yaml")


@pytest.mark.parametrize(
    ("old", "new", "problem"),
    [
        ("  wheel-position:\n    steer: [axle", "  wheel-posture:\n    steer: [axle", "unknown-name"),
        ("@liner & @creased", "@lining & @creased", "unknown-name"),
        ("    not liner-split:", "    not liner-slit:", "unknown-choice"),
        ("    bias: [bias,", "    biased: [bias,", "unknown-choice"),
        ("  beside: [near", "  besides: [near", "unknown-word"),
        ("spellings:\n", "speling:\n", "unknown-key"),
    ],
)
def test_misfits_are_problems_with_a_place(folder, old, new, problem):
    with pytest.raises(Problems) as raised:
        changed(folder, old, new)
    assert problem in {each.id for each in raised.value.problems}
    assert all(each.place.file.endswith("phrases.yaml") for each in raised.value.problems)


def test_a_rule_set_without_phrases_still_judges(folder):
    (folder / "phrases.yaml").unlink()
    rules = load_rule_set(folder)
    assert heard(rules, "drive axle, 275/70R22.5") == {"wheel-position": "drive", "sidewall": "275/70R22.5"}


def test_alternatives_in_a_line_stand_for_every_choice_of_words():
    assert spelled_out("cord|cords is|- showing") == (
        "cord is showing",
        "cord showing",
        "cords is showing",
        "cords showing",
    )
    assert spelled_out("can_see|see cord") == ("can see cord", "see cord")
    assert spelled_out("Run-Flat signs") == ("run flat signs",)
