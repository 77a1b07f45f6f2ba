"""What is exercised: the shipped rule sets wholly, by the project's own cases; what is bare is named, with a case."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from advisor.cli import main
from advisor.commands.check_coverage import usual_cases
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.tools.case_ends import KeptCaseJudge, judged
from advisor.tools.coverage import Coverage
from tests.loader.test_limit_tables import CASE, LIMITS, PATHS
from tests.tools.samples import edited
from tests.whole_rules import whole_copy


def run(words: list[str]) -> int:
    return main(["check", *words])


ROOT = Path(__file__).parent.parent.parent
SHIPPED = ("us-road", "uk-road", "de-road", "demo-shop")


@pytest.mark.parametrize("name", SHIPPED)
def test_every_case_beside_the_rules_ends_as_it_says_and_was_looked_at(name: str) -> None:
    cases = judged(find_rule_set(name), KeptCaseJudge(load_rule_set(find_rule_set(name))))
    assert cases.count and (cases.problems, cases.proposed) == ((), 0)


@pytest.mark.parametrize("name", SHIPPED)
def test_the_projects_own_cases_leave_nothing_bare(name: str) -> None:
    coverage = Coverage(load_rule_set(find_rule_set(name)))
    for _, case in usual_cases(find_rule_set(name), coverage, ROOT):
        coverage.add(case)
    assert [f"{item.kind} {item.name}" for item in coverage.bare()] == []


def test_without_cases_all_is_bare_and_cases_are_proposed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "none").mkdir()
    assert run(["uk-road", "--coverage", str(tmp_path / "none"), "--cases", str(tmp_path / "for")]) == 1
    out = capsys.readouterr().out
    count = len(list(load_rule_set(find_rule_set("uk-road")).rulings()))
    assert f"ruling                   0 of {count:4}{count:5} bare" in out
    assert "no example is known for: " in out and "ruling" not in out.partition("no example is known for: ")[2]
    assert run(["uk-road", "--coverage", str(tmp_path / "for")]) == 1
    assert f"ruling                {count:4} of {count:4}\n" in capsys.readouterr().out


def test_a_new_ruling_is_bare_by_name_and_place(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "us-road"
    whole_copy(folder)
    paths = folder / "paths.yaml"
    ruling = (
        "          - id: old-and-driven-soft\n"
        '            when: {run-low: {is: "yes"}, retread: {is: recapped}}\n'
        "            ending: hold-run-low\n            because: b\n            standing: derived\n"
        "            source: absence\n            clause: none\n"
    )
    text = paths.read_text(encoding="utf-8")
    paths.write_text(
        text.replace("          - id: driven-soft-inspected\n", ruling + "          - id: driven-soft-inspected\n")
    )
    run([str(folder), "--coverage"])
    out = capsys.readouterr().out
    line = next(line for line in out.splitlines() if "bare: ruling old-and-driven-soft" in line)
    number = int(line.split(":")[1])
    assert "old-and-driven-soft" in paths.read_text(encoding="utf-8").splitlines()[number - 1]
    assert "proposed  ruling-old-and-driven-soft.yaml" in out and 'retread: "recapped"' in out


def test_what_is_no_case_is_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "notes.md").write_text("no case")
    assert run(["us-road", "--coverage", str(tmp_path / "notes.md")]) == 2
    assert "no-cases" in capsys.readouterr().err
    (tmp_path / "rows.csv").write_text('case,base,changes\na,nothing,"{}"\n')
    shutil.copy(ROOT / "trees/us-road/cases/base_cases.json", tmp_path)
    assert run(["us-road", "--coverage", str(tmp_path / "rows.csv")]) == 2
    assert "rows.csv:2:1: bad-row" in capsys.readouterr().err


def test_a_row_of_a_table_that_does_not_hold_is_not_exercised(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    edited(LIMITS + PATHS, tmp_path / "rules")
    cases = tmp_path / "cases"
    cases.mkdir()
    (cases / "dry.yaml").write_text("rules: sample_rules\n" + CASE.format(sealant='"no"', size="3 mm"))
    run([str(tmp_path / "rules"), "--coverage", str(cases)])
    bare = capsys.readouterr().out.partition("\nproposed")[0]
    assert "limit within after-sealant" in bare and "limit at its figure after-sealant" in bare
    assert "limit within largest-hole" not in bare


BESIDE = """
  nodes/size/rulings/+: {id: deep-after-sealant, when: {size: {beyond: after-sealant}, sealant: {is: "yes"}},
    ending: hold-open, because: "over {limit} after sealant"}
"""


def test_a_limit_is_not_exercised_where_the_rest_of_its_ruling_does_not_hold(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    edited(LIMITS + PATHS + BESIDE.lstrip("\n"), tmp_path / "rules")
    cases = tmp_path / "cases"
    cases.mkdir()
    (cases / "dry.yaml").write_text("rules: sample_rules\n" + CASE.format(sealant='"no"', size="3 mm"))
    run([str(tmp_path / "rules"), "--coverage", str(cases)])
    bare = capsys.readouterr().out.partition("\nproposed")[0]
    assert "limit within after-sealant" in bare and "limit within largest-hole" not in bare
    (cases / "wet.yaml").write_text("rules: sample_rules\n" + CASE.format(sealant='"yes"', size="3 mm"))
    run([str(tmp_path / "rules"), "--coverage", str(cases)])
    assert "limit within after-sealant" not in capsys.readouterr().out.partition("\nproposed")[0]


def test_a_case_is_proposed_for_the_second_row_of_a_table(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    edited(LIMITS + PATHS, tmp_path / "rules")
    (tmp_path / "none").mkdir()
    words = [str(tmp_path / "rules"), "--coverage"]
    run([*words, str(tmp_path / "none"), "--cases", str(tmp_path / "for")])
    assert "after-sealant" not in capsys.readouterr().out.partition("no example is known for: ")[2]
    run([*words, str(tmp_path / "for")])
    assert "after-sealant" not in capsys.readouterr().out
