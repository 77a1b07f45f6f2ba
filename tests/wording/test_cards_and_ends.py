"""Cards that do not contradict themselves, and restrictions that reach the end of the work and the driver."""

from __future__ import annotations

import pytest

from advisor.console.verdict_lines import verdict_lines
from advisor.dialogue.talk_commands import say
from advisor.report.html import report_page
from advisor.wording.blocks import texts_of
from advisor.wording.verdict_card import told_to_driver
from advisor.work.record_model import report_of
from advisor.work.record_text import report_blocks
from tests.work.test_work import at_work, said, to_step
from tests.work.work_support import TIRE, judge_of, judged

CAR = {
    "vehicle": "car",
    "sidewall": "205/55R16 91V TUBELESS",
    "found-pressure": "32 psi",
    "set-pressure": "33 psi",
}
STEER = {"wheel-position": "steer", "tread-depth": "3/32 in"}
RESTRICTION = "Restriction: Not on the steer axle, now or after any repair."


def card(tire: dict[str, str], *injuries: dict[str, str]) -> str:
    judgement = judged(tire, *injuries)
    return " ".join(" ".join(verdict_lines(judgement, judge_of())).split())


def test_hold_lets_no_air_in_and_says_nothing_else() -> None:
    text = card({"run-low": '"yes"', "sealant": '"yes"'})
    assert text.startswith("HOLD") and "hidden cord damage" in text
    assert "Inflate it" not in text and "Inflate in" not in text


def test_a_cars_sidewall_scrap_does_not_ask_whether_it_may_be_repaired() -> None:
    text = card(CAR, {"injury-zone": "sidewall"})
    assert text.startswith("SCRAP") and "may be repaired" not in text and "Send the tire" not in text


def test_a_run_flat_scrap_lists_no_dual_matching() -> None:
    text = card({"findings": "[run-flat-signs]"})
    assert text.startswith("SCRAP") and "dual pair" not in text and "Match the pair" not in text
    assert "zipper signs" in text and "line of blast" in text, "what fits stays"


@pytest.mark.parametrize("zone", ["crown", "sidewall"])
def test_a_spot_repair_is_told_as_it_stands(zone: str) -> None:
    """The crown's rests on common practice alone, the sidewall's on the army manual's figure."""
    cut = {"injury-depth": "rubber-only", "injury-zone": zone, "cut-depth": "1/32 in"}
    (told,) = told_to_driver(judged({}, cut), judge_of())
    assert "published" not in told and "common practice" in told
    assert ("army's tire manual" in told) is (zone == "sidewall")


def test_a_restriction_is_said_again_where_the_wheel_goes_on() -> None:
    assert "not-steer-axle" in judged(STEER).restrictions
    consultation = at_work(STEER)
    for step in ("mount", "inflate", "return"):
        to_step(consultation, step)
        assert RESTRICTION in said(say(consultation, "work")), step
    assert RESTRICTION in said(say(consultation, "steps"))


def test_a_restriction_stands_at_the_last_steps_and_on_the_tear_off() -> None:
    report = report_of(judged(STEER), judge_of())
    said_at = [line.says for line in report.steps if RESTRICTION in line.restrictions]
    assert any("fit the wheel" in text.lower() for text in said_at) and len(said_at) >= 3
    for text in ("\n".join(texts_of(report_blocks(report))), report_page([report])):
        tail = text[max(text.rfind("FOR THE DRIVER"), text.rfind("For the driver")) :]
        assert "What limits its use" in tail and "front (steer) wheel" in tail
        assert text.count("Not on the steer axle") >= 4


def test_a_referral_says_it_at_its_last_step() -> None:
    judgement = judged({**STEER, "tread-depth": TIRE["tread-depth"]}, {"injury-size": "11 mm"})
    plan = judge_of().methods.plan(judgement)
    assert str(judgement.verdict) == "refer" and "not-steer-axle" in plan[-1].restrictions
