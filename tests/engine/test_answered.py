"""The tests `answered` and `unanswered`, and a caution beside what speaks for a repair, when it is in doubt."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.laws.support import base, changed
from tests.loader.test_overlay_rules import overlay
from tests.loader.test_terms import decided

RULING = """nodes:
  dot-code:
    rulings:
      - id: date-looked-for
        when: {{dot-code: {test}}}
        caution: worn-tread
        in-doubt: {doubt}
        because: the date was looked for
"""
ALLOWED = """nodes:
  cut-depth:
    rulings:
      - id: cut-allowed
        when: {cut-depth: {within: sidewall-cut-depth}}
        allows: repair
        caution: retread-date
        because: the cut is shallow
"""


@pytest.mark.parametrize(
    ("test", "doubt", "date", "shown"),
    [
        ("answered", "never", "2319", True),
        ("answered", "never", "cant-tell", True),
        ("answered", "never", None, False),
        ("unanswered", "same", "2319", False),
        ("unanswered", "same", "cant-tell", False),
        ("unanswered", "same", None, True),
    ],
)
def test_an_answer_counts_as_given_whatever_it_says(
    test: str, doubt: str, date: str | None, shown: bool, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    home = overlay(tmp_path, paths=RULING.format(test=test, doubt=doubt))
    case = changed(base("passenger"), {"answers.dot-code": date} if date else {})
    if date is None:
        case["answers"].pop("dot-code", None)
    answer = decided(home, case, capsys)
    assert ("worn-tread" in [each["id"] for each in answer["cautions"]]) is shown


def test_a_caution_beside_what_speaks_for_a_repair_stays_in_doubt(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    home = overlay(tmp_path, paths=ALLOWED)
    hurt = {"injuries[0].injury-depth": "rubber-only", "injuries[0].injury-zone": "sidewall"}
    said = {}
    for depth in ("1 mm", "1-9 mm", "9 mm"):
        answer = decided(home, changed(base("passenger"), {**hurt, "injuries[0].cut-depth": depth}), capsys)
        allowed = "cut-allowed" in [each["ruling"] for each in answer["reasons"]]
        said[depth] = allowed, "retread-date" in [each["id"] for each in answer["cautions"]]
    assert said == {"1 mm": (True, True), "1-9 mm": (False, True), "9 mm": (False, False)}
