"""No what-if is answered of a part of its figures; what is told ahead of "now what" is supposed, not passed over."""

from __future__ import annotations

import pytest

from advisor.cli import main

NEAR = "trees/us-road/cases/taped-too-near.yaml"


def asked(capsys: pytest.CaptureFixture[str], case: str, *questions: str) -> str:
    """What is said of the last question of several, with what is refused."""
    for question in questions:
        main(["ask", case, question, "--rules", "us-road"])
        found = capsys.readouterr()
    return " ".join(f"{found.out} {found.err}".split())


@pytest.mark.parametrize(
    ("question", "lost"),
    [
        ("what if the patch were 44 by 28", "44"),
        ("what if the unit were 65 by 28", "65"),
        ("what if the unit was 62 mm by 28 mm", "28"),
        ("what if it were 10 with the tread at 4 mm", "10"),
    ],
)
def test_a_figure_that_nothing_was_made_of_leaves_no_verdict(
    question: str, lost: str, capsys: pytest.CaptureFixture[str]
) -> None:
    said = asked(capsys, NEAR, question)
    assert f"not clear what is meant by {lost}" in said and "REPAIR" not in said


@pytest.mark.parametrize(
    "question",
    [
        "what if unit length 45 mm, unit width 30 mm?",
        "what if the units were 30 by 30",
        "suppose I took a smaller unit, 42 by 26",
        "what if he drove 3 miles on it flat",
        "what if the hole were 4 or 7 mm",
        "what if the tread were 2/32 in",
    ],
)
def test_what_is_heard_whole_is_answered(question: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert "not clear what is meant" not in asked(capsys, NEAR, question)


@pytest.mark.parametrize("said", ["black dust inside, now what", "there's a bulge on the side, what now"])
def test_a_find_ahead_of_now_what_is_supposed(said: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert "SCRAP *" in asked(capsys, "trees/us-road/cases/cant-tell-run-low.yaml", said)


@pytest.mark.parametrize("said", ["now what", "ok so now what", "what now?"])
def test_now_what_by_itself_asks_what_to_do(said: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert "Do now:" in asked(capsys, "trees/us-road/cases/cant-tell-run-low.yaml", said)
