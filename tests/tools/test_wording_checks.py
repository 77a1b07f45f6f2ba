"""What the checks of wordings, words, standings and endings find: by lines that stand in a rule set's files."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.cli import main
from tests.tools.samples import edited

#: A line of an ending, the verdict of the ending that it is put in, and what the check has to make of it.
LINES = [
    ("Repair it from the inside.", "scrap-hole", True),
    ("The tire can be repaired.", "scrap-hole", True),
    ("These rules allow a repair.", "scrap-hole", True),
    ("Drive on to the depot.", "scrap-hole", True),
    ("It may go back on the road.", "scrap-hole", True),
    ("It can be driven on.", "hold-open", True),
    ("Inflate it and fit it.", "hold-open", True),
    ("Return it to service.", "hold-open", True),
    ("Put it with the scrap.", "hold-open", True),
    ("It has to be replaced.", "repair", True),
    ("Do not repair it.", "repair", True),
    ("Mark it so that nobody fits it again.", "repair", True),
    ("Do not repair it; it has to be replaced.", "scrap-hole", False),
    ("Do not inflate or return the tire to service until then.", "hold-open", False),
    ("Judge again if drilling shows more: a wider hole, cut cord, rust.", "repair", False),
    ("A full-service repair shop may be able to do a larger one and has to decide.", "hold-open", False),
    ("Before you mark it as scrap, measure it again.", "hold-open", False),
    ("The law may still let such a tire run, but it is not repaired.", "scrap-hole", False),
]
PARTS = ("headline", "tell-driver", "do-now", "tell-driver-by")


def ids_of(sample: str, folder: Path, capsys: pytest.CaptureFixture[str]) -> list[str]:
    """The ids of what `advisor check` prints of a sample."""
    main(["check", str(edited(sample, folder / "rules"))])
    return [line.split(": ")[1] for line in capsys.readouterr().err.splitlines() if line.startswith("rules/")]


@pytest.mark.parametrize(("line", "ending", "belied"), LINES)
@pytest.mark.parametrize("part", PARTS)
def test_a_line_that_belies_its_verdict_is_told(
    line: str, ending: str, belied: bool, part: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = f'"{line}"'
    value = {"do-now": f"[{text}]", "tell-driver-by": f"{{derived: {text}}}"}.get(part, text)
    assert ("belies-verdict" in ids_of(f"endings.yaml: {{{ending}/{part}: {value}}}", tmp_path, capsys)) == belied


@pytest.mark.parametrize(("verdict", "belied"), [("scrap", True), ("hold", True), ("repair", False)])
def test_a_line_that_a_caution_puts_first_is_held_to_its_verdict(
    verdict: str, belied: bool, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sample = f"cautions.yaml: {{cage/do-now: {{{verdict}: Inflate it in the cage.}}}}"
    assert ids_of(sample, tmp_path, capsys) == ["belies-verdict"] * belied


@pytest.mark.parametrize(
    ("sample", "named"),
    [
        ("questions.yaml: {size/why: 'It was {size}.'}", "{size}"),
        ("questions.yaml: {sealant/asks: 'Sealant, with {size}?'}", "{size}"),
        ("endings.yaml: {scrap-hole/headline: 'It is {size} wide.'}", "{size}"),
        ("endings.yaml: {scrap-hole/tell-driver: 'It is {limit} wide.'}", "{limit}"),
        ("cautions.yaml: {cage/says: 'In a cage {Largest hole}.'}", "{Largest hole}"),
        ("restrictions.yaml: {not-steer/says: 'Not in front with {size}.'}", "{size}"),
        ("paths.yaml: {nodes/sealant/cant-tell: {ending: hold-open, because: 'beyond {limit}'}}", "{limit}"),
        ("paths.yaml: {nodes/sealant/instead: 'look at {sealant}'}", "{sealant}"),
    ],
)
def test_a_name_that_nothing_fills_is_told_by_its_braces(
    sample: str, named: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    main(["check", str(edited(sample, tmp_path / "rules"))])
    said = capsys.readouterr().err
    assert f'nothing-to-fill: "{named}"' in said or f'nothing-to-fill: found "{named}"' in said


@pytest.mark.parametrize(
    ("kind", "read", "standing", "told"),
    [
        ("law", "first hand", "published", False),
        ("law", "second hand", "published", True),
        ("trade press", "first hand", "published", True),
        ("memory", "not seen", "published", True),
        ("derived", "first hand", "published", True),
        ("trade press", "second hand", "second-hand", False),
        ("law", "not seen", "second-hand", True),
        ("memory", "not seen", "common practice", True),
        ("memory", "not seen", "derived", True),
        ("memory", "not seen", "from memory", False),
    ],
)
def test_a_standing_is_held_to_its_source(
    kind: str, read: str, standing: str, told: bool, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sample = (
        f"sources.yaml: {{text: {{title: T, publisher: p, edition: e, kind: {kind}, read: {read}}}}}\n"
        f"cautions.yaml: {{cage/standing: {standing}, cage/source: text}}"
    )
    assert ids_of(sample, tmp_path, capsys) == ["standing-above-source"] * told
