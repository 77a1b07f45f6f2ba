"""Every reason says how firm it stands and who says so; what is not derived here has a source that exists."""

from __future__ import annotations

import pytest
from hypothesis import assume, given

from advisor.engine.judgement_types import Judgement, Reason
from advisor.model.problems import Problems
from advisor.model.ruleset import STANDINGS, Basis
from tests.laws.cases import cases, few
from tests.laws.support import CaseData, answered, base, changed, judged, rules
from tests.trees.boundary_table import Row, boundary_rows

OWN = "derived"


def unfounded(reason: Reason) -> str:
    """What a reason lacks, or an empty text."""
    basis = reason.basis
    if basis.standing not in STANDINGS:
        return f"{reason.ruling} without a standing"
    if basis.standing != OWN and not basis.sources:
        return f"{reason.ruling} without a source"
    unknown = [source for source in basis.sources if source not in rules().sources]
    if unknown:
        return f"{reason.ruling} with unknown sources {unknown}"
    if reason.limit is not None and reason.figure is None:
        return f"{reason.ruling} with a limit and no figure"
    if "{" in reason.says or "}" in reason.says or not reason.says:
        return f"{reason.ruling} says {reason.says!r}"
    return ""


def faults(judgement: Judgement) -> list[str]:
    """Everything that the reasons of a judgement lack."""
    own = [reason for injury in judgement.injuries for reason in injury.reasons]
    return [found for reason in (*judgement.reasons, *own) if (found := unfounded(reason))]


@pytest.mark.parametrize("row", boundary_rows()[::3], ids=lambda row: row.case)
def test_every_reason_of_a_boundary_case_is_founded(row: Row) -> None:
    got = judged(row.data)
    assert not faults(got)
    assert got.deciding or got.missing


@few(80)
@given(cases())
def test_every_reason_of_any_case_is_founded(case: CaseData) -> None:
    try:
        got = judged(case)
    except Problems:
        assume(False)
        return
    assert not faults(got)


def test_a_verdict_against_repair_always_has_a_reason_that_brings_it() -> None:
    for row in boundary_rows():
        got = judged(row.data)
        assert got.deciding or got.missing, row.case
        if got.deciding:
            assert all(reason.verdict == got.verdict for reason in got.deciding)


def test_every_limit_in_the_json_answer_carries_its_figure_and_source() -> None:
    answer = answered(changed(base("medium-truck"), {"injuries[0].injury-size": "12 mm"}))
    (limit,) = [r["limit"] for r in answer["reasons"] if r["ruling"] == "too-large-truck"]
    assert (limit["id"], limit["value"], limit["unit"]) == ("nail-hole-size-truck", 10, "mm")
    assert limit["standing"] == "published"
    assert limit["source"]
    assert limit["clause"]


def test_inches_are_held_against_the_printed_inches() -> None:
    answer = answered(changed(base("medium-truck"), {"injuries[0].injury-size": "1/2 in"}))
    (limit,) = [r["limit"] for r in answer["reasons"] if r["ruling"] == "too-large-truck"]
    assert (limit["value"], limit["unit"]) == (0.375, "in")


def test_an_unfounded_reason_is_found() -> None:
    good = judged(base("passenger")).reasons[0]
    assert not unfounded(good)

    def with_basis(basis: Basis) -> Reason:
        return Reason(good.ruling, good.node, good.question, good.key, None, "", "it is so", basis)

    assert unfounded(with_basis(Basis("", (), "")))
    assert unfounded(with_basis(Basis("published", (), "x")))
    assert unfounded(with_basis(Basis("published", ("hearsay",), "x")))
    assert not unfounded(with_basis(Basis(OWN, (), "")))


def test_the_wheel_servicing_rule_is_no_law_for_a_car() -> None:
    """1910.177 leaves out automobiles, and pickups and vans on automobile or LT tires: there it is good practice."""
    low = {"answers.found-pressure": "28 psi", "answers.set-pressure": "35 psi", "answers.demounted": "no"}
    for tire, standing in (
        ("passenger", "common practice"),
        ("light-truck", "common practice"),
        ("medium-truck", "published"),
    ):
        answer = answered(changed(base(tire), low))
        (reason,) = (each for each in answer["reasons"] if each["question"] == "set-pressure")
        assert (answer["verdict"], reason["standing"]) == ("hold", standing)
        told = rules().endings[answer["ending"]].tell_driver
        assert told.startswith("The tire was driven with too little air, or found with so little") and (
            "No federal rule" in told
        ) == (tire != "medium-truck")


def test_cord_that_shows_in_a_car_tire_rests_on_a_rule_for_cars_too() -> None:
    for finding in ("exposed-cord", "separation"):
        answer = answered(changed(base("passenger"), {"answers.findings": [finding]}))
        assert "illinois-car" in answer["reasons"][0]["source"]
