"""What makes a rule set impossible to use is a problem with its place; the cause stands ahead of what comes of it."""

from __future__ import annotations

import re
from pathlib import Path
from shutil import copytree

import pytest

from advisor.cli import main
from advisor.loader.ruleset_loader import trees_folder
from advisor.model.exit_code import ExitCode

#: A file, a pattern in it, what is put in its place; None takes the file out.
Break = tuple[str, str, str | None]


def first_problem(folder: Path, capsys: pytest.CaptureFixture[str], command: str = "check") -> str:
    words = [command, str(folder)] if command == "check" else [command, "us-road", str(folder)]
    assert main(words) == ExitCode.BAD_INPUT
    said = capsys.readouterr().err
    assert "fault of the program" not in said
    return said.splitlines()[0]


def broken(folder: Path, one: Break) -> Path:
    rules, (file, pattern, text) = folder / "us-road", one
    for name in ("us-road", "common"):
        copytree(trees_folder() / name, folder / name)
    path = rules / file
    if text is None:
        path.unlink()
    else:
        before = path.read_text(encoding="utf-8") if path.exists() else ""
        after = re.sub(pattern, text, before, count=1, flags=re.M)
        assert after != before
        path.write_text(after, encoding="utf-8")
    return rules


BREAKS = {
    "a limit without a figure": (("limits.yaml", r"value: \[4920 lb, 2232 kg\]", "value: []"), r"limits.*missing-key"),
    "a later figure that is none": (
        ("limits.yaml", r"value: \[4920 lb, 2232 kg\]", r"\g<0>\n  from: {2027-01-01: {value: []}}"),
        r"limits.*missing-key",
    ),
    "no part": (("paths.yaml", r"(?s)\A.*\Z", "parts: {}\n"), r"paths\.yaml:1:8: missing-key"),
    "a way back": (("paths.yaml", "- go: tread-depth$", "- go: findings"), r"paths\.yaml:\d+:\d+: question-loop"),
    "a headline that says nothing": (("endings.yaml", "headline: .*", 'headline: ""'), r"endings.*missing-key"),
    "a list of words that is not there": (
        ("intents.yaml", r"\Z", 'zz: {said: ["!@nothing x"]}\n'),
        r'intents\.yaml:1:1: unknown-name: "@nothing"',
    ),
    "an answer's list of words": (
        ("answers.yaml", r"\Z", 'zz: {said: ["a/@nothing"], limits: [tread-floor]}\n'),
        r'answers\.yaml:\d+:1: unknown-name: "@nothing"',
    ),
    "an anchor": (("terms.yaml", "^heavy-vehicle:", "heavy-vehicle: &a"), r"terms\.yaml:\d+:16: no-anchor"),
    "a list as terms": (("terms.yaml", r"(?s)\A.*\Z", "- a\n- b\n"), r"terms\.yaml:1:1: no-entries: a list"),
    "no endings": (("endings.yaml", "", None), r"endings\.yaml:1:1: no-file"),
    "no sources": (("sources.yaml", "", None), r"sources\.yaml:1:1: no-file"),
}


@pytest.mark.parametrize("name", BREAKS)
def test_the_first_problem_told_is_the_cause(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    one, told = BREAKS[name]
    rules = broken(tmp_path, one)
    for command in ("check", "compare"):
        assert re.match(rf"us-road/{told}", first_problem(rules, capsys, command)), name


def test_a_way_back_is_told_as_a_circle(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rules = broken(
        tmp_path, ("paths.yaml", "^      demounted:\n        ask: demounted\n", r"\g<0>        next: run-low\n")
    )
    told = first_problem(rules, capsys)
    assert re.search(
        r"question-loop: a way on from demounted back to run-low: .*demounted -> run-low|run-low -> ", told
    )
    line = int(told.split(":")[1])
    assert "run-low" in (rules / "paths.yaml").read_text(encoding="utf-8").splitlines()[line - 1]


def test_an_overlay_that_changes_what_a_question_is(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    shop = tmp_path / "shop"
    shop.mkdir()
    (shop / "about.yaml").write_text("id: shop\ntitle: Shop\nedition: 2026-11-29\nbuilds-on: us-road\n")
    (shop / "questions.yaml").write_text("run-low: {kind: measure, of: length, unit: mm, plausible: 0-9 mm}\n")
    assert re.match(r"shop/questions\.yaml:1:\d+: changed-meaning", first_problem(shop, capsys))
