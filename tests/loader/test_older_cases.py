"""`older-cases` on a question: proofs from before it stand as they are; nobody who decides is spared the question."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest

from advisor.cli import main

PACKAGE = Path(__file__).resolve().parents[2] / "advisor"
QUESTION = """
smell:
  name: smell inside
  asks: Does the inside smell of fuel?
  kind: choice
  choices: {"yes": "Yes", "no": "No"}
  worse-order: ["no", "yes"]
  why: What has soaked into the rubber keeps cement from holding.
  older-cases: {counts-as: "no", because: nobody had been asked to smell it}
"""
NODE = """
      smell:
        ask: smell
        cant-tell: hold-measure-again
        rulings:
          - {id: smells, when: {smell: {is: "yes"}}, ending: hold-measure-again, because: it smells of fuel,
             standing: invented for the demo, source: nothing-read, clause: none}
"""
CASE = """
answers: {demounted: 'yes', findings: [none], repair-material: 'yes'}
injuries: [{injury-zone: crown, injury-size: 2 mm}]
"""


def with_question(folder: Path, question: str = QUESTION, before: str = "  injury:\n") -> Path:
    """New rules with one question more, asked of the tire after all others, or before a node."""
    assert main(["new", str(folder)]) == 0
    for file, more in (("questions.yaml", question), ("paths.yaml", "")):
        text = (folder / file).read_text()
        if file == "paths.yaml":
            last = text.index(before)
            text = text[:last] + NODE.lstrip("\n") + text[last:]
        (folder / file).write_text(text + more)
    return folder


def test_kept_cases_stand_and_one_that_answers_it_counts_as_it_says(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = with_question(tmp_path / "ours")
    answered = CASE.replace("findings", "smell: 'yes', findings")
    (folder / "cases" / "smells.yaml").write_text(answered + "ends: {verdict: hold}\n")
    assert main(["check", str(folder)]) == 0, capsys.readouterr().err
    without = re.sub("  older-cases: .*\n", "", (folder / "questions.yaml").read_text())
    (folder / "questions.yaml").write_text(without)
    capsys.readouterr()
    assert main(["check", str(folder)]) == 1
    assert "small-hole.yaml" in capsys.readouterr().err


def test_a_case_that_somebody_decides_by_is_never_spared_the_question(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = with_question(tmp_path / "ours")
    (tmp_path / "case.yaml").write_text(CASE)
    capsys.readouterr()
    assert main(["decide", str(tmp_path / "case.yaml"), "--rules", str(folder), "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["verdict"] == "hold" and answer["missing"] == ["smell"]
    assert main(["decide", str(folder / "cases" / "small-hole.yaml"), "--rules", str(folder), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["verdict"] == "hold"
    command = [sys.executable, "-m", "advisor", "--plain", "--in-order", "--no-journal", "--rules", str(folder)]
    typed = "yes\nnone\nyes\nno\ncrown\n2 mm\n"
    done = subprocess.run(command, input=typed, capture_output=True, text=True, timeout=60, check=True)
    assert "Does the inside smell of fuel?" in done.stdout


def test_only_what_proves_and_plays_names_it() -> None:
    """The engine, a consultation, a case file and the journal have no way to an answer that nobody gave."""
    named = {
        path.relative_to(PACKAGE).as_posix()
        for path in PACKAGE.rglob("*.py")
        if re.search(r"older_(cases|answer)|read_kept", path.read_text(encoding="utf-8"))
    }
    declares = {"model/ruleset.py", "loader/rule_file_schema.py", "loader/build.py"}
    proves = {"loader/kept_cases.py", "tools/case_ends.py", "tools/diff/kept.py", "commands/check_coverage.py"}
    assert named == declares | proves | {"console/replaying.py", "practise/own_cases.py"}


@pytest.mark.parametrize(
    ("says", "problem"),
    [
        ('{counts-as: "perhaps", because: b}', "bad-answer"),
        ('{counts-as: ["no", "yes"], because: b}', ""),
        ('{counts-as: "no"}', "missing-key"),
        ("{because: b}", "missing-key"),
    ],
)
def test_what_makes_no_sense_there_is_told_with_its_place(
    says: str, problem: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    old = '{counts-as: "no", because: nobody had been asked to smell it}'
    folder = with_question(tmp_path / "ours", QUESTION.replace(old, says))
    capsys.readouterr()
    assert main(["check", str(folder)]) == 2
    assert re.search(rf"ours/questions.yaml:\d+:\d+: {problem}", capsys.readouterr().err)


def test_a_transcript_from_before_has_it_typed_and_then_keeps_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    old, folder = tmp_path / "old", tmp_path / "ours"
    assert main(["new", str(old)]) == 0
    with_question(folder, before="      repair-material:\n")
    head = f"A hole\nA tire lies there.\nrules: {old}\ntoday: 2026-03-14\nInvented for the demo: all of it.\n\n"
    talk = tmp_path / "talk.txt"
    talk.write_text(head + "".join(f"> {text}\n" for text in ("yes", "none", "yes", "change 3", "yes")))
    assert main(["replay", "--write", str(talk)]) == 0
    before = talk.read_text()
    assert "REFER" in before
    assert main(["replay", str(talk), "--rules", str(folder)]) == 1
    assert main(["replay", "--write", str(talk), "--rules", str(folder)]) == 0
    kept = talk.read_text()
    assert "Does the inside smell of fuel?" in kept and kept.count("\n> ") == before.count("\n> ") + 1
    assert "REFER" in kept and "> change 4\n" in kept and "Not understood" not in kept
    assert main(["replay", str(talk), "--rules", str(folder)]) == 0
    capsys.readouterr()
