"""A bad value that counted and was set right to a milder one leaves a trace on the card of the repair."""

from __future__ import annotations

import pytest

from tests.laws.test_bad_news_stays import TOGETHER, ended

pytestmark = pytest.mark.free_order


def besides(*lines: str) -> str:
    return " ".join(map(str, ended(*TOGETHER, *lines)[0].card().short.do_now))


@pytest.mark.parametrize(
    ("bad", "milder", "trace"),
    [
        ("change injury's width to 14 mm", "change injury's width to 6 mm", "14 mm before, then 6 mm"),
        ("change injury's width to 30 mm", "change injury's width to 7 mm", "30 mm before, then 7 mm"),
        ("change injury's zone to shoulder", "change injury's zone to crown", "before, then Crown"),
        ("change injury's zone to sidewall", "change injury's zone to crown", "before, then Crown"),
        ("change injury's zone to bead", "change injury's zone to crown", "before, then Crown"),
        ("change tread depth 1/32", "change tread depth 9/32", "1/32 in before, then 9/32 in"),
        ("change tread depth 2/32", "change tread depth 8/32", "2/32 in before, then 8/32 in"),
        ("change driven soft or flat to yes", "change driven soft or flat to no", "a short way before, then No"),
        ("change pressure found to 10 psi", "change pressure found to 104 psi", "10 psi before, then 104 psi"),
        ("change what the inspection found to bulge", "change what the inspection found to none", "bulge"),
        ("change what the inspection found to cord showing", "change what the inspection found to none", "Cord"),
        ("change findings to separation", "change findings to none", "eparat"),
        ("change what the inspection found to liner split", "change what the inspection found to none", "liner"),
        ("change what the inspection found to bead torn", "change what the inspection found to none", "Bead"),
        ("change signs around the injury inside to rust", "change signs around the injury inside to none", "Rust"),
    ],
)
def test_a_milder_answer_leaves_a_trace_of_the_worse_one(bad: str, milder: str, trace: str) -> None:
    said = besides(bad, milder)
    assert "before, then" in said and trace in said, said


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("change injury's width to 5 mm", "change injury's width to 6 mm"),
        ("change tread depth 7/32", "change tread depth 9/32"),
        ("change demounted to no", "change demounted to yes"),
        ("change pressure found to can't tell", "change pressure found to 104 psi"),
    ],
)
def test_an_answer_that_is_no_milder_leaves_none(one: str, other: str) -> None:
    assert "before, then" not in besides(one, other)
