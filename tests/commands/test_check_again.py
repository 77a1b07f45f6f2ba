"""`advisor check` of what was checked before: said again as it was, and proved anew once anything is other."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Collection
from pathlib import Path
from types import ModuleType

import pytest

from advisor import cli
from advisor.loader import check_memory
from advisor.loader.check_memory import CheckMemory
from advisor.model.ruleset import RuleSet
from advisor.tools import checks

SAMPLE = Path(checks.__file__).parent / "sample_rules"
Check = Callable[[], tuple[int, str, int]]


@pytest.fixture
def rules(tmp_path: Path) -> Path:
    return Path(shutil.copytree(SAMPLE, tmp_path / "small"))


@pytest.fixture
def check(rules: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Check:
    """Checks the rules: exit code, what was said, and how often all was proved."""
    monkeypatch.setenv("ADVISOR_CACHE", str(rules.parent / "copies"))
    proved, prove = list[str](), checks.failing

    def counted(proofs: Collection[ModuleType], known: RuleSet, memory: CheckMemory) -> frozenset[ModuleType]:
        proved.extend(name := [proof.__name__ for proof in proofs])
        assert not name or len(name) == len(checks.PROOFS)
        return prove(proofs, known, memory)

    monkeypatch.setattr(checks, "failing", counted)

    def run() -> tuple[int, str, int]:
        proved.clear()
        code = cli.main(["check", str(rules)])
        out, errors = capsys.readouterr()
        return int(code), out + errors, len(proved) // len(checks.PROOFS)

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


def test_a_comment_or_what_people_say_has_nothing_proved_anew(check: Check, rules: Path) -> None:
    first, limits, phrases = check(), rules / "limits.yaml", rules / "phrases.yaml"
    limits.write_text(f"# a comment, and a line more\n{limits.read_text()}")
    assert check() == (0, first[1], 0)
    phrases.write_text('answers: {sealant: {"yes": [sealed by hand]}}\n')
    code, said, proofs = check()
    assert (code, proofs) == (0, 0) and said != first[1]
    (kept,) = (rules.parent / "copies").glob("*.proved")
    kept.write_bytes(kept.read_bytes()[::-1])
    limits.write_text(f"# once more\n{limits.read_text()}")
    assert check() == (0, said, 1), "what was kept and altered counts for nothing"


def test_what_is_kept_of_proofs_hangs_on_no_order_of_a_set() -> None:
    write = (
        "from advisor.loader import ruleset_codec as c, ruleset_loader as l; from advisor.tools.as_proved import *; "
    )
    write += "sys.stdout.buffer.write(c.rule_set_to_json(as_proved(l.load_rule_set(l.find_rule_set('us-road')))))"
    found = {
        subprocess.run(
            [sys.executable, "-c", f"import sys; {write}"],
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    }
    assert len(found) == 1


def test_a_new_case_that_ends_otherwise_is_found(check: Check, rules: Path) -> None:
    check()
    (rules / "cases").mkdir(exist_ok=True)
    case = '{answers: {findings: [none], sealant: "no"}, injuries: [{size: 5 mm}], ends: {verdict: scrap}}'
    (rules / "cases" / "hole.yaml").write_text(case)
    for _ in range(2):
        code, said, proofs = check()
        assert code == 1 and proofs == 0 and "case-ends-otherwise" in said


def test_another_program_proves_anew(check: Check, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    check()
    monkeypatch.setattr(check_memory, "PROGRAM", tmp_path)
    assert check()[2] == 1


def test_what_was_kept_and_altered_counts_for_nothing(check: Check, rules: Path) -> None:
    first = check()
    (kept,) = (rules.parent / "copies").glob("*.checked")
    kept.write_bytes(kept.read_bytes().replace(b"nothing", b"no such"))
    assert check()[:2] == first[:2]
