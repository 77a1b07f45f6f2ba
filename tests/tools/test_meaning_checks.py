"""Each check of meaning: a case that shows what it found and runs, and no more work than it needs."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from advisor.cli import main
from advisor.engine.evaluator import Judge
from advisor.loader.case_file import read_case, split_cases
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.ruleset import Verdict
from advisor.tools.case_writer import case_text
from advisor.tools.verify.workbench import Proof, bench_of
from tests.tools.slips_of_meaning import SLIPS
from tests.tools.test_slips import found, patched


def run(words: list[str]) -> int:
    return main(["check", *words])


SHIPPED = ("us-road", "uk-road", "de-road", "demo-shop")


@pytest.mark.parametrize("name", SHIPPED)
def test_nothing_is_found_in_what_is_shipped(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run([name]) == 0
    assert "nothing found" in capsys.readouterr().out


@pytest.mark.parametrize("name", SHIPPED)
def test_the_quiet_case_is_a_repair_and_reads_back(name: str) -> None:
    rules = load_rule_set(find_rule_set(name))
    bench = bench_of(rules)
    case = bench.case([])
    (text,) = split_cases(case_text(case, rules), "case.yaml")
    again = Judge(rules).judge(read_case(text, rules, date(2026, 3, 14)))
    assert again.verdict is Verdict.REPAIR
    assert again.verdict is bench.judged(case).verdict and again.method == bench.judged(case).method


@pytest.mark.parametrize(
    "name", ["yes-and-no-swapped", "size-comparison-swapped", "cant-tell-counts-as-good", "comparison-swapped"]
)
def test_a_failed_proof_is_two_cases_that_run_and_show_it(name: str, tmp_path: Path) -> None:
    slip = next(slip for slip in SLIPS if slip.name == name)
    folder = patched(slip, tmp_path)
    proof = next(problem for problem in found(folder, slip.gives) if problem.id == slip.gives)
    assert isinstance(proof, Proof)
    rules = load_rule_set(folder)
    judge = Judge(rules)
    first, second = (
        judge.judge(read_case(text, rules, date(2026, 3, 14))) for text in split_cases(proof.case, "c.yaml")
    )
    assert second.verdict < first.verdict or set(first.restrictions) - set(second.restrictions)


def test_the_case_of_a_proof_can_be_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    slip = next(slip for slip in SLIPS if slip.name == "yes-and-no-swapped")
    folder = patched(slip, tmp_path)
    assert run([str(folder), "--cases", str(tmp_path / "cases")]) == 1
    written = sorted(path.name for path in (tmp_path / "cases").iterdir())
    assert any("worse-looks-better" in name for name in written)
    capsys.readouterr()
