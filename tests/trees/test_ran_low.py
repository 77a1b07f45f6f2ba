"""A tire that ran low, or may have: what is asked, what stands first, and that yes, can't tell and no are in order."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from advisor.console.verdict_lines import verdict_lines
from advisor.dialogue.session import Consultation
from advisor.dialogue.talk_commands import say
from advisor.engine.evaluator import Judge
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.work.record_model import report_of
from tests.laws.support import base, changed, judge, judged, older_reply, say_through

FLAT = {"answers.found-pressure": "0 psi", "answers.set-pressure": "100 psi", "answers.run-low": "yes"}
NONE = {"answers.run-low-inside": ["none"]}
TALK = [
    "truck", "drive", "275/70R22.5 148/145M", "tubeless", "1", "skip", "0", "100", "yes", "yes", "no", None, "none",
    "9/32", "no", "no", "through", "crown", "6 mm", "skip", "0", "none", "no",
]  # fmt: skip


def first_to_do(changes: dict[str, Any], tire: str = "medium-truck") -> str:
    got = judged(changed(base(tire), changes))
    lines = verdict_lines(got, judge())
    begin = lines.index("Do now:") + 1
    end = next(n for n in range(begin + 1, len(lines)) if lines[n].startswith("  - ") or not lines[n])
    first = " ".join(line.strip() for line in lines[begin:end]).removeprefix("- ")
    assert report_of(got, judge()).do_now[0] == first
    return first


def test_the_first_line_to_do_says_that_it_ran_low_and_how_it_is_filled() -> None:
    first = first_to_do({**FLAT, **NONE})
    assert first.startswith("It ran low: past") and "cage alone" in first.partition(".")[0]
    named = ("bead-set-advice", "bead-set-before-cage", "zipper-check-pressure", "bead-seat-stop", "control-distance")
    for figure in (*(str(judge().rules.limits[limit].figures[0]) for limit in named), "cage"):
        assert figure in first
    assert first_to_do({}) == "Work through the steps in order."


def test_what_was_not_gone_over_stands_first() -> None:
    assert "nobody said that its inside was gone over" in first_to_do(FLAT)
    assert first_to_do({**FLAT, "answers.run-low": "cant-tell", "answers.found-pressure": "100 psi"}).startswith(
        "It may have run low"
    )


@pytest.mark.parametrize("tire", ["passenger", "light-truck", "medium-truck"])
@pytest.mark.parametrize("inside", [None, ["none"], ["stain"], "cant-tell", {"absent": ["stain"]}])
@pytest.mark.parametrize("demounted", ["yes", "no"])
def test_yes_cant_tell_and_no_are_in_order(tire: str, inside: Any, demounted: str) -> None:
    for name, milder, worst in (("run-low", "no", "yes"), ("found-pressure", "35 psi", "0 psi")):
        case = changed(base(tire), {"answers.demounted": demounted, "answers.set-pressure": "35 psi"})
        case["answers"] |= {"found-pressure": "35 psi"} | ({} if inside is None else {"run-low-inside": inside})
        verdicts = [judged(changed(case, {f"answers.{name}": said})).verdict for said in (milder, "cant-tell", worst)]
        assert verdicts == sorted(verdicts), name


def talked(inside: str) -> Consultation:
    consultation = Consultation(Judge(load_rule_set(find_rule_set("us-road"))), date(2026, 3, 14))
    at = TALK.index(None)
    say_through(consultation, TALK[:at])
    ask = consultation.ask
    while ask is not None and ask.question.older_cases:
        say(consultation, older_reply(ask.question))
        ask = consultation.ask
    assert ask is not None and ask.key[0] == "run-low-inside"
    say_through(consultation, [inside, *TALK[at + 1 :]])
    assert consultation.ask is None or consultation.ask.optional
    return consultation


@pytest.mark.parametrize(
    ("inside", "verdict", "caution"),
    [
        ("none", "repair", "run-low-fill"),
        ("can't tell", "hold", "run-low-not-gone-over"),
        ("2", "scrap", "run-low-signs"),
    ],
)
def test_in_a_consultation_it_is_asked_and_its_none_is_said(inside: str, verdict: str, caution: str) -> None:
    got = talked(inside).judgement
    assert (str(got.verdict), caution in got.cautions) == (verdict, True)


def test_a_low_pressure_beside_not_driven_is_questioned_at_once() -> None:
    consultation = Consultation(Judge(load_rule_set(find_rule_set("us-road"))), date(2026, 3, 14))
    for text in [*TALK[:6], "62", "100"]:
        say(consultation, text)
    said = [line for message in say(consultation, "no") for line in message.texts]
    assert any(line.startswith("Look again: Found at 62 %") for line in said), said


def test_what_does_not_go_together_is_questioned_at_once() -> None:
    consultation = Consultation(Judge(load_rule_set(find_rule_set("us-road"))), date(2026, 3, 14))
    say(consultation, "van")
    assert any("A trailer axle" in line for message in say(consultation, "trailer axle") for line in message.texts)
    said = [line for message in say(consultation, "11R22.5 144/142L LRG") for line in message.texts]
    assert any("seldom sits on this kind of vehicle" in line for line in said), said


def test_a_print_of_nothing_is_not_taken_as_one() -> None:
    consultation = Consultation(Judge(load_rule_set(find_rule_set("us-road"))), date(2026, 3, 14))
    for text in ("truck", "drive"):
        say(consultation, text)
    said = [line for message in say(consultation, "7") for line in message.texts]
    assert any(line.startswith('Found "7", in which neither size nor load') for line in said), said
    assert "sidewall" not in consultation.case.answers
