"""Each check of meaning: a case that shows what it found and runs, and no more work than it needs."""

from __future__ import annotations

import json
import re
from datetime import date
from pathlib import Path

import pytest

from advisor.cli import main
from advisor.engine.evaluator import Judge
from advisor.loader.case_file import read_case, split_cases
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.exit_code import ExitCode
from advisor.model.ruleset import Verdict
from advisor.tools.case_writer import case_text
from advisor.tools.verify.workbench import Proof, bench_of
from tests.tools.samples import edited
from tests.tools.slips_of_meaning import SLIPS
from tests.tools.test_slips import found, patched
from tests.whole_rules import whole_copy


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


LAYER = '    factory-layer: {says: "A sealing layer from the factory", also: [self-sealing, sealing layer]}\n'
GEL = '    old-gel: {says: "Gel that has set hard, not cleaned out", also: [set gel]}\n'
ORDER = 'worse-order: ["no", '
AREA = "up to which the {} share counts\n  value: {} mm"


@pytest.mark.parametrize(
    ("name", "edits", "told"),
    [
        (
            "us-road",
            [("questions.yaml", LAYER, LAYER + GEL), ("questions.yaml", f"{ORDER}foam", f"{ORDER}old-gel, foam")],
            r'us-road/questions\.yaml:\d+:\d+: worse-without-ruling: "old-gel" of sealant, worse than "no"',
        ),
        (
            "us-road",
            [("steps.yaml", "waits-from: cement-liner\n", "waits-from: seal-over-buff\n")],
            r'us-road/methods\.yaml:\d+:\d+: impossible-order: .* "dry" a wait from "seal-over-buff", which',
        ),
        (
            "uk-road",
            [
                ("limits.yaml", AREA.format("first", 155), AREA.format("first", 200)),
                ("limits.yaml", AREA.format("second", 200), AREA.format("second", 155)),
            ],
            r"uk-road/values\.yaml:\d+:\d+: figures-out-of-order: narrow-to of .* with area-narrow-to, 200 mm",
        ),
        (
            "demo-shop",
            [("values.yaml", "shop-thin-casing, thick-from: shop-thick", "shop-thick-casing, thick-from: shop-thin")],
            r"demo-shop/values\.yaml:\d+:\d+: figures-out-of-order: thin-to of cement-coats-here",
        ),
        (
            "us-road",
            [("about.yaml", "\nedition: 20", "\nedition: soon # 20")],
            r'us-road/about\.yaml:\d+:\d+: edition-without-figure: "soon"',
        ),
    ],
)  # fmt: skip
def test_a_check_of_the_shipped_rules_names_the_slip(
    name: str, edits: list[tuple[str, str, str]], told: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rules = whole_copy(tmp_path / name, name)
    for file, old, new in edits:
        text = (rules / file).read_text(encoding="utf-8")
        assert old in text
        (rules / file).write_text(text.replace(old, new, 1), encoding="utf-8")
    assert main(["check", str(rules)]) == ExitCode.FOUND
    assert re.search(f"(?m)^{told}", capsys.readouterr().err)


def test_a_question_of_ones_own_says_that_it_never_had_another_id(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    season = {
        "name": "season", "asks": "Which season is it?", "kind": "choice", "choices": {"yes": "Summer", "no": "Winter"},
        "no-order": "a season is no damage", "why": "It matters.",
    }  # fmt: skip
    found = []
    for own in ({}, {"formerly": []}):
        rules = edited(
            json.dumps(
                {
                    "questions.yaml": {"sealant": "~", "season": season | own},
                    "paths.yaml": {
                        "nodes/sealant/ask": "season",
                        "nodes/sealant/rulings/sealant-used/when": {"season": {"is": "yes"}},
                        "nodes/washed/asked": {"when": {"season": {"is": "yes"}}},
                    },
                }
            ),
            tmp_path / f"rules-{len(own)}",
        )
        main(["check", str(rules)])
        found.append(capsys.readouterr().err)
    assert "input-not-asked" in found[0] and "where that is another question, say formerly: [] there" in found[0]
    assert "input-not-asked" not in found[1]
