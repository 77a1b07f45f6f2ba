"""Doubt about crown or shoulder counts as shoulder, however it comes about."""

from __future__ import annotations

from typing import Any

import pytest

from advisor.model.ruleset import Verdict
from tests.laws.support import base, changed, judged

#: In the crown outside, near its border; the inner end lies some 35 mm to one side or the other.
SLANTING = {
    "injuries[0].injury-angle": "60 deg",
    "injuries[0].casing-thickness": "20 mm",
}
TAPED = {
    "passenger": {"injuries[0].offset": "45 mm", "injuries[0].tread-width": "180 mm"},
    "light-truck": {"injuries[0].offset": "45 mm", "injuries[0].tread-width": "180 mm"},
    "medium-truck": {"injuries[0].offset": "70 mm", "injuries[0].tread-width": "220 mm"},
}
AGAINST = {"passenger": Verdict.SCRAP, "light-truck": Verdict.SCRAP, "medium-truck": Verdict.REFER}


def slanting(tire: str, said: bool, **more: Any) -> dict[str, Any]:
    """The changes for a slanting injury near the crown's border; `said`: it was also called crown."""
    changes = {**SLANTING, **TAPED[tire], **{f"injuries[0].{key}": value for key, value in more.items()}}
    return changes if said else {**changes, "injuries[0].injury-zone": None}


@pytest.mark.parametrize("said", [True, False], ids=["called crown", "by the tape"])
@pytest.mark.parametrize("tire", TAPED)
@pytest.mark.parametrize("lean", ["toward-shoulder", "cant-tell"])
def test_an_inner_end_in_the_shoulder_or_perhaps_there_is_not_repaired(tire: str, said: bool, lean: str) -> None:
    assert judged(changed(base(tire), slanting(tire, said, lean=lean))).verdict == AGAINST[tire]


@pytest.mark.parametrize("said", [True, False], ids=["called crown", "by the tape"])
@pytest.mark.parametrize("tire", TAPED)
def test_an_inner_end_that_leans_along_the_tread_stays_in_the_crown(tire: str, said: bool) -> None:
    got = judged(changed(base(tire), slanting(tire, said, lean="along-tread")))
    assert (got.verdict, got.method) == (Verdict.REPAIR, "two-piece")


@pytest.mark.parametrize("said", [True, False], ids=["called crown", "by the tape"])
@pytest.mark.parametrize("tire", TAPED)
def test_a_lean_that_was_not_answered_does_not_count_for_repair(tire: str, said: bool) -> None:
    got = judged(changed(base(tire), slanting(tire, said)))
    assert got.verdict >= Verdict.REFER, "the inner end may lie in the shoulder"
    assert Verdict.REPAIR not in got.could_end or not got.settled


@pytest.mark.parametrize("tire", TAPED)
@pytest.mark.parametrize("unknown", ["injury-zone", "offset", "tread-width", "casing-thickness"])
def test_a_place_that_cannot_be_told_is_not_repaired(tire: str, unknown: str) -> None:
    more = {"lean": "toward-shoulder", unknown: "cant-tell"}
    got = judged(changed(base(tire), slanting(tire, unknown == "injury-zone", **more)))
    assert got.verdict >= Verdict.REFER


@pytest.mark.parametrize("tire", TAPED)
def test_a_range_of_offsets_across_the_border_counts_as_shoulder(tire: str) -> None:
    border = {"passenger": "50-54 mm", "light-truck": "50-54 mm", "medium-truck": "70-74 mm"}[tire]
    changes = {**TAPED[tire], "injuries[0].offset": border, "injuries[0].injury-zone": None}
    assert judged(changed(base(tire), changes)).verdict == AGAINST[tire]


@pytest.mark.parametrize("tire", TAPED)
def test_every_repair_says_what_speaks_for_it(tire: str) -> None:
    got = judged(base(tire))
    assert got.verdict is Verdict.REPAIR
    assert all(any(reason.injury == index for reason in got.deciding) for index in range(len(got.injuries)))
