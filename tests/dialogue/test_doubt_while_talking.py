"""In a consultation "can't tell" counts as in a case file: doubt, never something that was merely left out."""

from datetime import date

import pytest

from advisor.dialogue.session import Consultation
from advisor.dialogue.talk_commands import say
from advisor.engine.evaluator import Judge
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.case import CANT_TELL
from advisor.model.ruleset import Verdict
from tests.laws.support import older_reply

ANSWERS = {
    "vehicle": "car", "wheel-position": "rear wheels", "sidewall": "205/55R16 91V", "tube": "tubeless", "retread": "1",
    "dot-code": "skip", "found-pressure": "31 psi", "set-pressure": "32 psi", "run-low": "no", "demounted": "yes",
    "sealant": "no", "findings": "none", "tread-depth": "7/32", "self-supporting": "no", "earlier-repairs": "no",
    "injury-depth": "through", "injury-zone": "skip", "offset": "44 mm", "tread-width": "170 mm", "injury-size": "5 mm",
    "injury-length": "skip", "injury-angle": "20 deg", "inside-signs": "none", "more-injuries": "no",
}  # fmt: skip


def talked(**changed: str) -> Consultation:
    """A consultation answered to its end; names with underscores for the ids' hyphens."""
    answers = ANSWERS | {name.replace("_", "-"): text for name, text in changed.items()}
    judge = Judge(load_rule_set(find_rule_set("us-road")))
    consultation = Consultation(judge, date(2026, 3, 14))
    for _ in range(40):
        ask = consultation.ask
        if ask is None:
            return consultation
        say(consultation, answers.get(ask.key[0]) or older_reply(ask.question))
    raise AssertionError("the questions do not end")


@pytest.mark.parametrize("thickness", ["can't tell", "no idea"])
def test_a_thickness_that_cant_be_told_is_doubt_about_the_inner_end(thickness: str) -> None:
    """The outer end lies just inside the crown and the hole leans: the inner end may lie in the shoulder."""
    consultation = talked(casing_thickness=thickness)
    assert consultation.case.injuries[0]["casing-thickness"] is CANT_TELL
    assert consultation.judgement.verdict is Verdict.SCRAP
    assert not consultation.judgement.settled


def test_a_thickness_left_out_on_purpose_brings_a_caution() -> None:
    """The case format never needs it; that the inner end is not known is said all the same."""
    judgement = talked(casing_thickness="skip").judgement
    assert judgement.verdict is Verdict.REPAIR
    assert "inner-end-not-worked-out" in judgement.cautions
