"""Not knowing never counts for repair; what is settled stays so; the verdict is one of those still possible."""

from __future__ import annotations

import random
import re
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from advisor.model.problems import Problems
from advisor.model.ruleset import Verdict
from tests.laws.cases import CANT_TELL, cases, few
from tests.laws.support import NAIL_HOLE, CaseData, base, changed, judged
from tests.laws.unknown import NOT_NEEDED, answered_paths, at, completed, let_off, put
from tests.trees.boundary_table import Row, boundary_rows

ROWS = boundary_rows()
EVERY = 10
_EXACT = re.compile(r"(-?[\d.]+) (mm|cm|in|psi|kPa|bar|deg)")


def unknown_of(case: CaseData) -> list[tuple[str, CaseData]]:
    """The case with each answer said to be unknown, and with each needed one taken out."""
    found = []
    for path in answered_paths(case):
        if at(case, path) != CANT_TELL:
            found.append((f"{path} unknown", put(case, path, CANT_TELL)))
        if path[-1] not in NOT_NEEDED:
            found.append((f"{path} taken out", put(case, path, None)))
    return found


@pytest.mark.parametrize("row", ROWS[::EVERY], ids=lambda row: row.case)
def test_not_knowing_one_answer_of_a_boundary_case_never_helps(row: Row) -> None:
    known = judged(row.data).verdict
    for what, case in unknown_of(row.data):
        got = judged(case).verdict
        assert not let_off(known, got), f"{what}: {got} instead of {known}"


@few(60)
@given(cases(), st.randoms(use_true_random=False))
def test_not_knowing_one_answer_never_helps(case: CaseData, dice: random.Random) -> None:
    try:
        known = judged(case).verdict
        what, less = dice.choice(unknown_of(case))
        got = judged(less).verdict
    except Problems:
        assume(False)
        return
    assert not let_off(known, got), f"{what}: {got} instead of {known}"


def lost_restrictions(case: CaseData, less: CaseData) -> set[str]:
    """Restrictions that not knowing takes away from a tire that may still go back to service."""
    known, got = judged(case), judged(less)
    if got.verdict > Verdict.REFER:
        return set()
    return set(known.restrictions) - set(got.restrictions)


RESTRICTED = [row for row in ROWS if row.restrictions]


@pytest.mark.parametrize("row", RESTRICTED[:: len(RESTRICTED) // 12], ids=lambda row: row.case)
def test_not_knowing_one_answer_never_means_fewer_restrictions(row: Row) -> None:
    for what, case in unknown_of(row.data):
        assert not lost_restrictions(row.data, case), what


def widened(given: Any, dice: random.Random) -> Any:
    """A range around an exact measure, or None where there is none."""
    match = _EXACT.fullmatch(given) if isinstance(given, str) else None
    if not match or float(match[1]) <= 0:
        return None
    figure = float(match[1])
    low, high = figure * dice.choice((1, 0.9, 0.6)), figure * dice.choice((1.02, 1.2, 1.5))
    return f"{low:.6f} to {high:.6f} {match[2]}"


@few(60)
@given(cases(), st.randoms(use_true_random=False))
def test_a_range_in_place_of_a_measure_never_helps(case: CaseData, dice: random.Random) -> None:
    measures = [(path, wide) for path in answered_paths(case) if (wide := widened(at(case, path), dice))]
    assume(measures)
    path, wide = dice.choice(measures)
    try:
        known, got = judged(case).verdict, judged(put(case, path, wide)).verdict
    except Problems:
        assume(False)
        return
    assert not let_off(known, got), f"{path} {wide}: {got} instead of {known}"


@pytest.mark.parametrize("row", ROWS[::EVERY], ids=lambda row: row.case)
def test_a_range_in_a_boundary_case_never_helps(row: Row) -> None:
    dice = random.Random(row.case)
    known = judged(row.data).verdict
    for path in answered_paths(row.data):
        wide = widened(at(row.data, path), dice)
        if wide is None:
            continue
        try:
            got = judged(put(row.data, path, wide)).verdict
        except Problems:
            continue
        assert not let_off(known, got), f"{path} {wide}: {got} instead of {known}"


@few(80)
@given(cases())
def test_the_verdict_is_possible_and_settled_means_just_one_is(case: CaseData) -> None:
    try:
        got = judged(case)
    except Problems:
        assume(False)
        return
    assert got.verdict in got.could_end
    assert got.settled == (len(got.could_end) == 1)
    assert list(got.could_end) == sorted(set(got.could_end))
    if got.verdict is Verdict.REPAIR:
        assert not got.missing
        assert got.method
        assert got.ending


@few(80)
@given(st.data())
def test_what_is_answered_later_ends_in_a_verdict_that_was_possible(data: st.DataObject) -> None:
    case = data.draw(cases(most=4))
    try:
        before = judged(case)
        whole = completed(data.draw, case)
        after = judged(whole)
    except Problems:
        assume(False)
        return
    if before.settled:
        assert after.verdict == before.verdict, whole
    assert after.verdict in before.could_end, whole


def test_a_print_that_contradicts_the_class_answered_is_doubt_and_holds() -> None:
    """Settled speaks of answers still missing; one that contradicts an earlier one puts that one in doubt."""
    case = changed(base("passenger"), {"injuries[0].injury-zone": "shoulder", "injuries[1]": dict(NAIL_HOLE)})
    before = judged(case)
    assert (before.verdict, before.settled) == (Verdict.SCRAP, True)
    assert ("sidewall", -1) in before.missing
    after = judged(changed(case, {"answers.sidewall": "275/70R22.5 148/145M"}))
    assert after.verdict is Verdict.HOLD
    assert {("sidewall", -1), ("tire-class", -1)} <= set(after.measure_again)
