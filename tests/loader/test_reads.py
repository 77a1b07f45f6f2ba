"""A value says which question its function reads in place of the one that the program knows: in YAML alone."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from advisor.cli import main
from tests.laws.support import NAIL_HOLE, base, changed
from tests.loader.test_formerly import edited, put, renamed, told
from tests.tools.samples import edited as sample

DAY = ("--today", "2026-03-14")
FED = {"clock": "clock-place", "tread-depth": "tread-left"}
_READS = {"clock": ("nearest-repair", "joint-cover"), "tread-depth": ("lowest-tread",)}


def fed(folder: Path) -> Path:
    """A copy of the shipped rules in which questions bear other ids, which values name in their reads."""
    renamed(folder, FED, formerly=False)
    path = folder / "values.yaml"
    text = path.read_text(encoding="utf-8")
    for known, values in _READS.items():
        for value in values:
            line = f"  function: {value}\n"
            text = text.replace(line, f"{line}  reads: {{{known}: {FED[known]}}}\n")
        assert f"reads: {{{known}: " in text
    path.write_text(text, encoding="utf-8")
    return folder


def test_a_question_with_an_id_of_its_own_is_read_as_before(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = fed(tmp_path / "us-road")
    two = changed(
        base("passenger"), {"injuries[0].more-injuries": "yes", "injuries[1]": {**NAIL_HOLE, "clock": "3:05"}}
    )
    worn = changed(base("passenger"), {"answers.tread-depth": "2/32 in"})
    for case in (base("passenger"), two, worn):
        before = put(tmp_path, "before.json", json.dumps(case))
        text = json.dumps(case)
        for known, name in FED.items():
            text = text.replace(f'"{known}"', f'"{name}"')
        after = put(tmp_path, "after.json", text)
        one = told(capsys, "decide", before, "--rules", "us-road", "--json", *DAY)
        other = told(capsys, "decide", after, "--rules", str(folder), "--json", *DAY)
        for known, name in FED.items():
            other = re.sub(rf"(?<![\w-]){name}(?![\w-])", known, other)
        old, new = json.loads(one), json.loads(other)
        assert {k: v for k, v in old.items() if k != "rules"} == {k: v for k, v in new.items() if k != "rules"}


def test_the_rules_with_questions_fed_in_pass_every_check(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = fed(tmp_path / "us-road")
    (folder / "cases").rename(tmp_path / "cases")
    assert "nothing found" in told(capsys, "check", str(folder))


SIZE = "values.yaml: {widest-opening: {about: injuries, function: widest-opening, name: widest, reads: {READS}}}"
#: The questions put in the place of the one measure of the small rule set.
ASKED = {
    "across": "about: injuries, of: length, unit: mm, plausible: 0-90 mm, worse: above",
    "along": "about: injuries, of: length, unit: mm, plausible: 0-90 mm, worse: above",
    "warm": "about: injuries, of: temperature, unit: C, plausible: 0-90 C, no-order: none",
    "old": "about: earlier-repairs, of: length, unit: mm, plausible: 0-90 mm, no-order: none",
}
QUESTIONS = "".join(
    f"    {name}: {{name: {name}, asks: Measure it., kind: measure, {keys}, why: It counts.}}\n"
    for name, keys in ASKED.items()
)
LENGTH = f"""
questions.yaml:
    size: ~
{QUESTIONS}"""
REST = """
methods.yaml: {plug/when: {widest-opening: {within: largest-hole}}}
paths.yaml:
    parts/injury/nodes/across: {ask: across, cant-tell: hold-open}
    parts/injury/nodes/along: {ask: along, cant-tell: hold-open}
    nodes/size/ask: ~
    nodes/size/cant-tell: ~
    nodes/size/rulings/hole-too-wide/when: {widest-opening: {beyond: largest-hole}}
"""


def rules_with(reads: str, folder: Path) -> str:
    return str(sample(LENGTH + REST + SIZE.replace("READS", reads), folder))


def test_two_questions_are_fed_in_and_each_counts(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = rules_with("injury-size: across, injury-length: along", tmp_path / "rules")
    tire = 'answers: {findings: [none], sealant: "no"}\n'
    for across, along, verdict in (("3 mm", "4 mm", "repair"), ("3 mm", "9 mm", "scrap"), ("9 mm", "3 mm", "scrap")):
        case = put(tmp_path, "case.yaml", f"{tire}injuries: [{{across: {across}, along: {along}}}]\n")
        assert json.loads(told(capsys, "decide", case, "--rules", folder, "--json", *DAY))["verdict"] == verdict
    case = put(tmp_path, "case.yaml", f"{tire}injuries: [{{across: 3 mm, along: cant-tell}}]\n")
    assert json.loads(told(capsys, "decide", case, "--rules", folder, "--json", *DAY))["verdict"] == "hold"
    case = put(tmp_path, "case.yaml", f"{tire}injuries: [{{across: 3 mm, along: 5-9 mm}}]\n")
    judged = json.loads(told(capsys, "decide", case, "--rules", folder, "--json", *DAY))
    assert judged["verdict"] == "hold" and judged["measure_again"] == ["along[0]"]


@pytest.mark.parametrize(
    ("reads", "problem", "said"),
    [
        ("injury-size: across", "missing-input", '"injury-length", which is not there'),
        ("injury-size: across, injury-lenght: along", "unknown-input", '"injury-lenght" in reads of widest-opening'),
        ("injury-size: across, injury-length: aling", "unknown-name", "nearest   along"),
        ("injury-size: across, injury-length: warm", "unfit-input", "which is of the kind measure (temperature)"),
        ("injury-size: across, injury-length: findings", "unfit-input", "which is of the kind choices"),
        ("injury-size: across, injury-length: old", "unfit-input", "asked or worked out for the earlier repair"),
        ("injury-size: across, injury-length: widest-opening", "unfit-input", "which is a worked-out value"),
    ],
)
def test_what_a_value_says_that_it_reads_is_held_to_its_function(
    reads: str, problem: str, said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["check", rules_with(reads, tmp_path / "rules")]) == 2
    found = capsys.readouterr().err
    assert f": {problem}: " in found and said in found and "rules/values.yaml:" in found


def test_values_that_read_each_other_are_a_problem_with_a_place(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = renamed(tmp_path / "us-road", {})
    edited(folder, "values.yaml", "  function: pressure-share\n", "  function: ran-low\n")
    assert main(["check", str(folder)]) == 2
    found = capsys.readouterr().err
    assert "reads-itself: a value that reads itself: pressure-share -> pressure-share" in found
    assert "us-road/values.yaml:" in found
