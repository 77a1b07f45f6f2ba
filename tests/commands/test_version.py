"""`advisor --version` names the program's version as pyproject.toml has it, and each rule set's edition."""

import tomllib
from pathlib import Path

import pytest

from advisor.cli import main
from advisor.loader.paths import shipped

ROOT = Path(__file__).resolve().parents[2]


def test_it_names_the_version_and_the_editions(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--version"]) == 0
    first, *editions = capsys.readouterr().out.splitlines()
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert first == f"advisor {project['version']}"
    assert [line.split(",")[0] for line in editions] == shipped()
    assert all(", edition 20" in line and ", digest " in line for line in editions)


def test_the_workflow_runs_what_has_to_hold_before_a_change_lands() -> None:
    assert "bash .ci/run" in (ROOT / ".github" / "workflows" / "ci.yml").read_text(encoding="utf-8")
