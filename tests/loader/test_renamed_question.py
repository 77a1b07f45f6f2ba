"""A question renamed in YAML: with its line of the registry all goes on as before, without it the loader says where."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from tests.laws.support import NAIL_HOLE, base, changed
from tests.trees.boundary_table import boundary_rows
from tests.whole_rules import whole_copy

#: What a text edit changes, file by file: the question itself, and wherever it is asked, tested or said.
RENAMED: dict[str, tuple[str, tuple[tuple[str, str], ...]]] = {
    "clock": (
        "clock-place",
        (
            ("questions", r"^clock(?=:)"),
            ("paths", r"(?<=ask: )clock$"),
            ("phrases", r"(?<=^  )clock(?=:)"),
            ("steps", r"(?<=\{)clock(?=: known)"),
            ("subjects", r"(?<=question: )clock$"),
        ),
    ),
    "tread-depth": (
        "tread-left",
        tuple(
            (file, r"(?<![\w-])tread-depth(?![\w-])")
            for file in ("questions", "paths", "phrases", "cautions", "terms", "steps", "subjects", "intents")
        ),
    ),
}
#: Runs the program with lines of its registry of inputs changed: {"old id": "new id"}.
RUN = """
import importlib.util, json, sys, types
import advisor.model
spec = importlib.util.find_spec("advisor.model.inputs")
source = spec.loader.get_source(spec.name)
for old, new in json.loads(sys.argv[1]).items():
    assert source.count(f'("{old}", ') == 1
    source = source.replace(f'("{old}", ', f'("{new}", ')
advisor.model.inputs = sys.modules[spec.name] = types.ModuleType(spec.name)
exec(compile(source, spec.origin, "exec"), vars(advisor.model.inputs))
from advisor.cli import main
from tests.whole_rules import whole_copy
sys.exit(main(sys.argv[2:]))
"""


def _rules(folder: Path, *questions: str) -> Path:
    """A copy of the shipped rules in which the questions bear their new names."""
    whole_copy(folder)
    for old in questions:
        new, places = RENAMED[old]
        for name, pattern in places:
            path = folder / f"{name}.yaml"
            text, count = re.subn(pattern, new, path.read_text(encoding="utf-8"), flags=re.M)
            assert count
            path.write_text(text, encoding="utf-8")
    return folder


def _run(
    words: list[str], tmp_path: Path, names: Mapping[str, str], typed: str = ""
) -> subprocess.CompletedProcess[str]:
    kept = {"ADVISOR_CACHE": str(tmp_path / f"kept{len(names)}"), "XDG_DATA_HOME": str(tmp_path)}
    return subprocess.run(
        [sys.executable, "-c", RUN, json.dumps(names), *words],
        input=typed,
        capture_output=True,
        text=True,
        env={**os.environ, **kept},
        check=False,
    )


def _renamed(part: Any, names: Mapping[str, str]) -> Any:
    if isinstance(part, Mapping):
        return {
            names.get(key, key): value if key == "earlier-repairs" else _renamed(value, names)
            for key, value in part.items()
        }
    return [_renamed(each, names) for each in part] if isinstance(part, list) else part


def _judged(cases: list[Any], rules: str, tmp_path: Path, names: Mapping[str, str]) -> list[dict[str, Any]]:
    """The answers to all cases, told by the old names; all but which rules they are by."""
    file = tmp_path / f"cases{len(names)}.jsonl"
    file.write_text("".join(json.dumps(each) + "\n" for each in cases), encoding="utf-8")
    ran = _run(["decide", str(file), "--json", "--rules", rules, "--today", "2026-03-14"], tmp_path, names)
    assert not ran.stderr, ran.stderr[:2000]
    told = ran.stdout
    for old, new in names.items():
        told = told.replace(new, old)
    return [{key: value for key, value in json.loads(line).items() if key != "rules"} for line in told.splitlines()]


def test_renamed_with_its_line_of_the_registry_everything_is_judged_as_before(tmp_path: Path) -> None:
    names = {old: new for old, (new, _) in RENAMED.items()}
    folder, cases = _rules(tmp_path / "mine", *names), [row.data for row in boundary_rows()]
    before = _judged(cases, "us-road", tmp_path, {})
    after = _judged([_renamed(case, names) for case in cases], str(folder), tmp_path, names)
    assert len(before) == len(after) > 300
    for case, one, other in zip(cases, before, after, strict=True):
        assert one == other, case


def test_renamed_with_its_line_of_the_registry_a_sentence_gives_it(tmp_path: Path) -> None:
    names = {old: new for old, (new, _) in RENAMED.items()}
    folder = _rules(tmp_path / "mine", *names)
    said = "steer tire of a truck, tread depth 9/32, a 5 mm hole in the crown at 3 o'clock"
    ran = _run(["hear", said, "--rules", str(folder), "--json"], tmp_path, names)
    heard = json.loads(ran.stdout)
    assert heard["answers"]["tread-left"] == "9/32 in"
    assert heard["injuries"][0]["clock-place"] == "3:00"
    typed = f"{said}\nyes\nlist\n"
    plain = _run(["--plain", "--in-order", "--no-journal", "--rules", str(folder)], tmp_path, names, typed)
    assert "Traceback" not in plain.stderr
    assert "3:00" in plain.stdout


def test_the_question_for_one_more_injury_is_known_by_the_rules_alone(tmp_path: Path) -> None:
    folder = whole_copy(tmp_path / "mine")
    for name in ("questions", "paths", "phrases"):
        path = folder / f"{name}.yaml"
        text = re.sub(r"(?<![\w-])more-injuries", "another-one", path.read_text(encoding="utf-8"))
        path.write_text(text, encoding="utf-8")
    case = changed(base("medium-truck"), {"injuries[1]": {**NAIL_HOLE, "injury-size": "200 mm"}})
    (answer,) = _judged([case], str(folder), tmp_path, {})
    assert [answer] == _judged([case], "us-road", tmp_path, {})
    assert len(answer["injuries"]) == 2


@pytest.mark.parametrize("question", RENAMED)
def test_renamed_in_yaml_alone_the_loader_names_the_value_that_lacks_it(question: str, tmp_path: Path) -> None:
    folder = _rules(tmp_path / "mine", question)
    (tmp_path / "case.yaml").write_text('answers: {vehicle: truck, earlier-repairs: "no"}\n', encoding="utf-8")
    says = re.compile(rf'^\S*values\.yaml:\d+:\d+: missing-input: .* reads "{question}"', re.M)
    for words in (
        ["check", str(folder)],
        ["decide", str(tmp_path / "case.yaml"), "--rules", str(folder)],
        ["hear", "a 5 mm hole at 3 o'clock, tread 9/32", "--rules", str(folder)],
        ["draw", str(folder)],
        ["--plain", "--in-order", "--no-journal", "--rules", str(folder)],
    ):
        ran = _run(words, tmp_path, {}, "truck\n")
        assert "Traceback" not in ran.stdout + ran.stderr
        assert ran.returncode == 2
        assert says.search(ran.stdout + ran.stderr), (words, ran.stdout, ran.stderr)
