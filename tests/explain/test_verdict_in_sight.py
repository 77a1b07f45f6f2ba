"""Whoever asks about an act is told first how the tire stands and no, yes or only if, whatever else answers."""

from __future__ import annotations

import pytest

from advisor.dialogue.answer_lead import IS_HARM, NEVER_SAFE
from advisor.model.ruleset import Verdict
from advisor.wording.blocks import texts_of
from advisor.wording.messages import headline
from tests.explain.test_newcomers_questions import TREES, ask, case, judge

ACTS = (
    "no cage in my van. just stand back?",
    "is it against the law to stick a mushroom plug in it anyway?",
    "can i just plug it",
    "so it's fine then?",
    "we good?",
    "is that ok",
    "its tiny, patch it and go?",
    "can't i just glue it",
    "could i stick a tube in",
    "top it up and send him off?",
    "is it illegal to drive on this",
    "can she run on it till friday",
    "ok to put it back on the van?",
    "what if i just tube it",
    "boss says plug it",
    "customer wants me to just plug it",
    "good enough to run?",
    "mind if i put a string in",
    "any harm in airing it up to look",
    "fit it on the back?",
    "throw a bit of glue in there, good?",
    "could we inflate it without the cage",
    "is it safe to drive",
    "is it ok to skip the buffing",
    "if i drill it bigger can i fix it",
    "just go with that?",
    "reckon it'd pass if i patched it",
    "let him drive home on it",
    "does it hurt to leave it till monday",
    "so 6 mm's allowed then?",
    "my brother in law sews these up, fine?",
    "could it go on the trailer axle",
    "i was gonna chuck a boot behind it",
    "chance of saving her?",
    "so its a go?",
    "fixable?",
)
SAYS_IT = ("No", "Not ", "Only ", "Yes", "As far as the wheel", IS_HARM, NEVER_SAFE)
KEPT = [
    (rules, path.stem)
    for rules in ("us-road", "uk-road", "de-road")
    for path in sorted((TREES / rules / "cases").glob("*.yaml"))
]
#: Each case is asked every so many of the acts, and its neighbors the others.
EVERY = 6


@pytest.mark.parametrize("place", range(len(KEPT)), ids=["-".join(each) for each in KEPT])
def test_how_it_stands_and_no_or_yes_go_ahead_of_every_answer_about_an_act(place):
    rules, name = KEPT[place]
    now = judge(rules).judge(case(rules, name))
    for act in ACTS[place % EVERY :: EVERY]:
        found = ask({"rules": rules, "case": name, "after": "", "question": act})
        heads = list(texts_of(found.blocks[:3]))
        assert found.intent == "what-if" or any(each.startswith(SAYS_IT) for each in heads), (act, heads)
        if now.verdict is not Verdict.REPAIR:
            assert any(headline(now, judge(rules)) in each for each in heads), (act, heads)
            assert not any(each.startswith("Yes") for each in heads), (act, heads)


def test_to_stand_back_is_never_enough_and_is_told_so_first():
    row = {"rules": "us-road", "case": "apart-at-a-slant", "after": "", "question": ACTS[0]}
    assert ask(row).texts[0].startswith("No: to stand back is not enough")


@pytest.mark.parametrize(("rules", "name"), [("uk-road", "ruling-too-large"), ("us-road", "flat-on-the-truck")])
def test_whether_it_is_law_comes_behind_how_it_stands(rules, name):
    found = ask({"rules": rules, "case": name, "after": "", "question": ACTS[1]})
    assert found.texts[0].startswith("As things stand: ") and any(each.startswith("No") for each in found.texts[:3])


@pytest.mark.parametrize("asked", ["how long can a cut be before it's a fail", "how big may a hole be"])
@pytest.mark.parametrize(("rules", "name"), [("uk-road", "ruling-reaches-cord"), ("us-road", "flat-on-the-truck")])
def test_a_limit_is_never_told_without_how_this_tire_stands(rules, name, asked):
    found = ask({"rules": rules, "case": name, "after": "", "question": asked})
    assert any(headline(judge(rules).judge(case(rules, name)), judge(rules)) in each for each in found.texts)
