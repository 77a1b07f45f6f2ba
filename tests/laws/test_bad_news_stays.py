"""Damage that was said stays said: through lines for several questions, a second finding, and while a sentence waits.

Each consultation would end in REPAIR without its bad news, and never does with it.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from advisor.console.session_lines import converse
from advisor.dialogue.session import Consultation
from advisor.model.ruleset import Verdict
from tests.asking import asked_in_order
from tests.laws.ledger import TODAY, judge_of

pytestmark = pytest.mark.free_order

TOGETHER = (
    "275/70R22.5 148/145M LRH TUBELESS, first tread, dot 2319, not run flat",
    "104/110, not soft, 9/32 in",
    "off, all looked at, none",
    "6 mm round 10° crown through",
    "none, no",
    "truck, drive",
)
ONE_BY_ONE = (
    "truck", "drive", "275/70R22.5 148/145M LRH TUBELESS", "no", "2319", "104 psi", "110 psi", "no", "yes", "no",
    "none", "9/32", "no", "no", "through", "crown", "6 mm", "skip", "10", "none", "no",
)  # fmt: skip
FINDINGS, SIGNS = ONE_BY_ONE.index("none"), len(ONE_BY_ONE) - 2


@pytest.fixture
def in_order() -> Iterator[None]:
    asked_in_order(True)
    yield
    asked_in_order(False)


def ended(*lines: str) -> tuple[Consultation, str]:
    """The consultation after some lines, and all that was said, on one line."""
    consultation = Consultation(judge_of("us-road"), TODAY)
    said = converse(consultation, iter(lines), lambda text: None)
    return consultation, " ".join(" ".join(said).split())


def verdict(*lines: str) -> Verdict:
    """How the card reads after some lines."""
    return ended(*lines)[0].card().verdict


def in_place(place: int, said: str, *before: str) -> tuple[str, ...]:
    """The answers one by one, after a sentence, with another at one place."""
    return (*before, *ONE_BY_ONE[:place], said, *ONE_BY_ONE[place + 1 :])


def test_without_bad_news_both_end_in_repair(in_order: None) -> None:
    assert verdict(*ONE_BY_ONE) is Verdict.REPAIR
    asked_in_order(False)
    assert verdict(*TOGETHER) is Verdict.REPAIR


@pytest.mark.parametrize("bad", ["it has a bulge", "liner split", "rust in the injury", "plies coming apart"])
def test_none_in_a_line_for_several_questions_takes_nothing_back(bad: str) -> None:
    consultation, said = ended(bad, "yes", *TOGETHER)
    assert consultation.card().verdict is not Verdict.REPAIR, said


@pytest.mark.parametrize(
    ("bad", "second"),
    [("tread separation", "9"), ("tread separation", "12"), ("cord is showing", "liner split"), ("bead is torn", "9")],
)
def test_a_second_finding_comes_beside_the_first(bad: str, second: str, in_order: None) -> None:
    alone = verdict(*in_place(FINDINGS, "none", bad, "yes"))
    assert alone is verdict(*in_place(FINDINGS, second, bad, "yes")) is Verdict.SCRAP


@pytest.mark.parametrize("second", ["1", "2", "3"])
def test_a_second_sign_comes_beside_the_first(second: str, in_order: None) -> None:
    bad = ("plies coming apart around the hole", "yes")
    assert verdict(*in_place(SIGNS, second, *bad)) is verdict(*in_place(SIGNS, "none", *bad)) is Verdict.SCRAP
