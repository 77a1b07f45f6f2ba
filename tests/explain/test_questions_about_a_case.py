"""Why not, what if, least change, how sure: each held against fresh judgements."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.dialogue.answer_lead import NEVER_SAFE
from advisor.dialogue.intents import told
from advisor.dialogue.question_order import first_of, free_with, narrows_most
from advisor.dialogue.still_open import why_order
from advisor.explain.confidence import how_sure
from advisor.explain.counterfactual import changed, what_if
from advisor.explain.least_change import CAUTION, STEPS, least_change, place_turns, turns
from advisor.explain.sensitivity import with_figure
from advisor.explain.why_not import why_not
from advisor.model.quantity import exactly
from advisor.model.ruleset import Verdict
from tests.dialogue.talk_cases import CASES, case_of, judge


def ask(name, question):
    case = CASES[name]
    return told(judge(), case, judge().judge(case), question)


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(sorted(CASES)), st.integers(0, 79), st.integers(1, 40))
def test_what_if_is_a_fresh_judgement_and_changes_nothing(name, degrees, size_mm):
    case = CASES[name]
    changes = [(("injury-angle", 0), exactly(degrees, "deg")), (("injury-size", 0), exactly(size_mm, "mm"))]
    before = judge().judge(case)
    found = what_if(judge(), case, before, changes)
    fresh = judge().judge(changed(case, changes, judge()))
    rows = {part["field"]: part for part in found.parts}
    assert rows["verdict"]["then"] == str(fresh.verdict).upper()
    assert (rows["ending"]["then"], rows["ending"]["now"]) == (fresh.ending, before.ending)
    assert rows["method"]["then"] == (fresh.method or "none")
    assert judge().judge(CASES[name]).ending == before.ending
    assert case is CASES[name]


@pytest.mark.parametrize(
    ("question", "ending"),
    [
        ("what if the angle were 30 degrees?", "repair-two-piece"),
        ("what if it was 12 mm", "refer-section"),
        ("what if there was cord showing", "scrap-damage"),
        ("What would 30 degrees change?", "repair-two-piece"),
        ("suppose it is in the shoulder", "refer-section"),
        ("what if it were on the steer axle", "repair-one-piece"),
        ("would 11 mm change anything?", "refer-section"),
    ],
)
def test_what_if_in_words(question, ending):
    found = ask("repair", question)
    rows = {part["field"]: part for part in found.parts}
    assert found.kind == "what-if"
    assert rows["ending"]["then"] == ending


def test_what_if_that_is_not_understood_says_so():
    assert ask("repair", "what if the moon were blue").kind == "complaint"


@pytest.mark.parametrize("name", CASES)
def test_every_turn_of_the_least_change_is_a_fresh_judgement(name):
    case = CASES[name]
    now = judge().judge(case)
    for turn in turns(judge(), case, now):
        assert (turn.there.verdict, turn.there.method) != (now.verdict, now.method)
        step = {"less": 0, "more": 0}.get(turn.at.split()[-1])
        if step == 0:
            there = judge().judge(with_figure(case, turn.key, turn.figure.low, turn.figure.unit, judge()))
            assert there.ending == turn.there.ending


def test_least_change_is_said_of_the_tire_with_its_caution():
    case = CASES["large"]
    found = least_change(judge(), case, judge().judge(case))
    text = " ".join(found.texts)
    assert "at 10 mm or less" in text and "Measured: 11 mm" in text and CAUTION in text
    for word in ("should answer", "try", "enter", "you could"):
        assert word not in text.replace(CAUTION, "")


def test_why_not_names_every_ruling_the_nearest_first():
    case = case_of({"findings": ["exposed-cord"], "tread-depth": "2/32 in"}, {"injury-size": "11 mm"})
    now = judge().judge(case)
    found = why_not(judge(), now, "repair")
    named = [part["ruling"] for part in found.parts]
    assert set(named) == {reason.ruling for reason in now.reasons if (reason.verdict or 0) > Verdict.REPAIR}
    ranks = [Verdict[part["verdict"].upper()] for part in found.parts]
    assert ranks == sorted(ranks)


def test_why_not_a_method_names_its_limit():
    found = ask("two-piece", "why not one-piece?")
    assert found.kind == "why-not"
    assert [part["question"] for part in found.parts] == ["injury-angle[0]"]
    assert found.parts[0]["limit"] == "one-piece-angle"


WAYS = (
    "why not repair?",
    "why can't I repair it",
    "why isn't it a repair",
    "why not scrap?",
    "why can't it be repaired?",
)


@pytest.mark.parametrize("question", WAYS)
def test_ways_to_ask_why_not(question):
    found = ask("large", question)
    assert found is not None and found.kind == "why-not"


def test_how_sure_says_what_a_doubt_decides():
    found = ask("doubtful size", "how sure are you?")
    (part,) = found.parts
    assert part["decides"] is True
    assert part["outcomes"] == ["repair (one-piece)", "refer (section-repair)"]
    assert "Measure again: this decides between" in " ".join(found.texts)


def test_a_verdict_that_stands_across_the_doubt_says_so():
    case = case_of(None, {"injury-size": "about 6 mm"})
    found = how_sure(judge(), case, judge().judge(case))
    assert "stands across this whole doubt" in " ".join(found.texts)
    for size in (Fraction(54, 10), Fraction(6), Fraction(66, 10)):
        assert judge().judge(with_figure(case, ("injury-size", 0), size, "mm", judge())).ending == "repair-one-piece"


@pytest.mark.parametrize("name", CASES)
def test_why_fits_on_a_page_of_eighty_columns(name):
    from advisor.console.session_lines import message_lines

    lines = message_lines(ask(name, "why?"))
    assert max(map(len, lines)) <= 80
    assert len(lines) <= 48


@pytest.mark.parametrize("question", ["what is a liner?", "what's a bead", "explain buff"])
def test_words_are_explained(question):
    assert ask("repair", question).kind == "word"


CROWDED = case_of(
    {
        "earlier-repairs": [
            {"sound": "yes", "clock": "7:30", "offset": "20 mm", "unit-length": "70 mm", "unit-width": "60 mm"}
        ],
        "sidewall": "275/70R22.5 148/145M",
        "unit-length": "90 mm",
        "unit-width": "75 mm",
    },
    {"clock": "7:00", "offset": "5 mm", "tread-width": "220 mm", "casing-thickness": "22 mm"},
)


def test_places_and_unit_sizes_are_tried_and_each_turn_is_a_fresh_judgement():
    now = judge().judge(CROWDED)
    found = place_turns(judge(), CROWDED, now)
    assert {"repair-clock", "clock", "offset", "repair-unit-length"} <= {turn.key[0] for turn in found}
    for turn in found:
        there = judge().judge(with_figure(CROWDED, turn.key, turn.figure.low, turn.figure.unit, judge()))
        assert (there.verdict, there.method) == (turn.there.verdict, turn.there.method)
        assert (there.verdict, there.method) != (now.verdict, now.method)
        over = judge().rules.questions[turn.key[0]].over
        here = CROWDED.get(over, turn.key).low
        step = STEPS[turn.figure.unit]
        if abs(turn.figure.low - here) < 180:
            nearer = turn.figure.low + (step if turn.figure.low < here else -step)
            before = judge().judge(with_figure(CROWDED, turn.key, nearer, turn.figure.unit, judge()))
            assert (before.verdict, before.method) == (now.verdict, now.method)


def test_no_place_turns_a_tire_with_nothing_to_keep_apart():
    assert place_turns(judge(), CASES["repair"], judge().judge(CASES["repair"])) == []


@pytest.mark.parametrize(
    ("question", "kind", "says"),
    [
        ("what could it still be?", "how-sure", "It ends as REPAIR"),
        ("How do I measure the angle?", "word", "protractor"),
        ("why do you ask about the angle?", "why", "one-piece"),
        ("why does the load range matter", "why", "limit"),
        ("which question narrows most?", "how-sure", "REPAIR"),
        ("why is that question first?", "why", "No question is open."),
    ],
)
def test_questions_about_the_questions(question, kind, says):
    found = ask("repair", question)
    assert found.kind == kind
    assert says in "\n".join(found.texts)


def test_the_order_is_explained_and_what_is_free_comes_by_what_it_narrows():
    case = case_of(without=("tube", "retread", "sealant"))
    now = judge().judge(case)
    told_of = why_order(judge(), case, now, ("tube", -1), in_order=True)
    assert "leave the order free" in told_of.texts[0] and "recapped" in told_of.texts[0]
    fixed = why_order(judge(), case, now, ("sealant", -1), in_order=True)
    assert "has its place by the rules" in fixed.texts[0]
    assert free_with(("tube", -1), judge(), now.missing) == (("tube", -1), ("retread", -1))
    best = narrows_most(judge(), case, now, (("tube", -1), ("retread", -1)))
    assert first_of(("tube", -1), judge(), case, now, now.missing) == (best.key if best else ("tube", -1))


@pytest.mark.parametrize("question", ["why was it rejected?", "why was this tire refused", "why rejected"])
def test_a_newcomer_asks_why_in_other_words(question):
    assert ask("repair", question) == ask("repair", "why")


def test_whose_rule_it_is_comes_ahead_of_why():
    whose, why = ask("repair", "who says so?"), ask("repair", "why")
    assert "wall chart" in whose.texts[1] and whose.texts[0] == "Whose it is:"
    assert whose.blocks[1:] == why.blocks


@pytest.mark.parametrize("question", ["is that the law", "law or habit?", "so is that legal or just your opinion"])
def test_law_or_habit_is_the_first_thing_said(question):
    found = ask("repair", question)
    assert found.texts[0] == "It is no law."
    assert "no law: the trade association's own text" in " ".join(found.texts)


@pytest.mark.parametrize(
    "question", ["is it safe?", "would that be safe", "can I drive safely with it?", "how safe is it"]
)
def test_nothing_is_ever_called_safe(question):
    found = ask("repair", question)
    assert found.texts[0] == NEVER_SAFE
    assert found.texts[1:] == ask("repair", "how sure").texts
