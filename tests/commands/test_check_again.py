"""`advisor check` of what was checked before: said again as it was, and proved anew once anything is other."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from advisor import cli
from advisor.loader import cache
from advisor.model.problems import Problem
from advisor.model.ruleset import RuleSet
from advisor.tools import checks

SAMPLE = Path(checks.__file__).parent / "sample_rules"
Check = Callable[[], tuple[int, str, int]]


@pytest.fixture
def rules(tmp_path: Path) -> Path:
    return Path(shutil.copytree(SAMPLE, tmp_path / "small"))


@pytest.fixture
def check(rules: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Check:
    """Checks the rules: exit code, what was said, and how often they were proved."""
    monkeypatch.setenv("ADVISOR_CACHE", str(rules.parent / "copies"))
    proved, prove = list[str](), checks.problems_of

    def counted(found: RuleSet) -> list[Problem]:
        proved.append(found.digest)
        return prove(found)

    monkeypatch.setattr(checks, "problems_of", counted)

    def run() -> tuple[int, str, int]:
        proved.clear()
        code = cli.main(["check", str(rules)])
        out, errors = capsys.readouterr()
        return int(code), out + errors, len(proved)

    return run


def test_the_same_again_is_said_without_proving_it(check: Check) -> None:
    first, second = check(), check()
    assert first[0] == 0 and "nothing found" in first[1] and first[2] == 1
    assert second == (0, first[1], 0)


def test_an_edited_limit_is_proved_anew(check: Check, rules: Path) -> None:
    check()
    limits = rules / "limits.yaml"
    limits.write_text(limits.read_text().replace("value: 6 mm", "value: 5 mm", 1))
    code, said, proofs = check()
    assert proofs == 1 and "digest" in said and code in (0, 1)


def test_a_new_case_that_ends_otherwise_is_found(check: Check, rules: Path) -> None:
    check()
    (rules / "cases").mkdir(exist_ok=True)
    case = '{answers: {findings: [none], sealant: "no"}, injuries: [{size: 5 mm}], ends: {verdict: scrap}}'
    (rules / "cases" / "hole.yaml").write_text(case)
    for _ in range(2):
        code, said, proofs = check()
        assert code == 1 and proofs == 1 and "case-ends-otherwise" in said


def test_another_program_proves_anew(check: Check, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    check()
    monkeypatch.setattr(cache, "_PROGRAM", tmp_path)
    monkeypatch.setattr(cache, "_MAKERS", ())
    assert check()[2] == 1


def test_what_was_kept_and_altered_counts_for_nothing(check: Check, rules: Path) -> None:
    first = check()
    (kept,) = (rules.parent / "copies").glob("*.checked")
    kept.write_bytes(kept.read_bytes().replace(b"nothing", b"no such"))
    assert check() == first
