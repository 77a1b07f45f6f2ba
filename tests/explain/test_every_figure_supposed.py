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


@pytest.mark.parametrize(
    ("question", "length", "width"),
    [
        ("what if the unit were 45 mm along and 30 mm across", "45 mm", "30 mm"),
        ("what if the units were 30 mm across by 44 mm along", "44 mm", "30 mm"),
        ("what if the units were 1.5 in wide and 30 mm long", "30 mm", "1.5 in"),
        ("suppose I used a smaller patch, 39 by 18", "39 mm", "18 mm"),
        ("what if the unit was 62 mm by 28 mm", "62 mm", "28 mm"),
    ],
)
def test_both_sides_of_a_unit_are_its_own_and_no_injurys(
    question: str, length: str, width: str, capsys: pytest.CaptureFixture[str]
) -> None:
    said = asked(capsys, NEAR, question)
    assert f"unit's length along the tire: 50 mm -> {length}" in said
    assert f"unit's width across the tire: 50 mm -> {width}" in said
    assert "injury's width: 3 mm ->" not in said


def test_sides_of_a_unit_that_are_not_told_apart_are_taken_the_worse_way(capsys: pytest.CaptureFixture[str]) -> None:
    for question in ("what if the patch were 60 by 30", "what if the patch were 30 by 60"):
        said = asked(capsys, NEAR, question)
        assert "It would be REPAIR" not in said and "length along the tire: 50 mm -> 60 mm" in said
