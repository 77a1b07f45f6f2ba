"""Every check says what it finds, why that is bad, and shows it by two samples that run."""

from __future__ import annotations

import ast
import inspect
from pathlib import Path
from types import ModuleType

import pytest

from advisor.cli import main
from advisor.loader.ruleset_loader import load_rule_set
from advisor.model.problems import Problem
from advisor.tools import case_ends, lint, verify
from advisor.tools.as_proved import as_proved
from advisor.tools.check_docs import CheckDoc, docs_of
from advisor.tools.checks import CHECKS, EXPLAINED, PROOFS, problems_of
from tests.tools.samples import BASE, edited

DOCS = [(module, doc) for module in EXPLAINED for doc in docs_of(module)]
each_proof = pytest.mark.parametrize(
    ("module", "doc"), [(m, doc) for m, doc in DOCS if m in PROOFS], ids=[doc.id for m, doc in DOCS if m in PROOFS]
)
each_doc = pytest.mark.parametrize(("module", "doc"), DOCS, ids=[doc.id for _, doc in DOCS])


def found_by(module: ModuleType, folder: Path) -> list[Problem]:
    """What a check finds in a folder, the one of the cases beside the rules included."""
    rules = load_rule_set(folder)
    return list(case_ends.check(rules, folder) if module is case_ends else module.check(rules))


def ids_reported(path: Path) -> set[str]:
    """The ids that stand in a module's code: the first argument of each problem that it makes."""
    return {
        call.args[0].value
        for call in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(call, ast.Call)
        and isinstance(call.func, ast.Name)
        and call.func.id in ("Problem", "Proof", "_problem")
        and call.args
        and isinstance(call.args[0], ast.Constant)
    }


@pytest.mark.parametrize(
    "path", [p for each in (lint, verify) for p in sorted(Path(each.__file__).parent.glob("*.py"))]
)
def test_whatever_reports_problems_is_a_check_with_its_samples(path: Path) -> None:
    module = next((each for each in CHECKS if each.__file__ == str(path)), None)
    assert ids_reported(path) == ({doc.id for doc in docs_of(module)} if module else set())


@pytest.mark.parametrize("module", EXPLAINED, ids=lambda module: module.__name__.rpartition(".")[2])
def test_the_head_of_a_check_begins_with_one_line_and_explains_each_id(module: ModuleType) -> None:
    lines = (inspect.getdoc(module) or "").splitlines()
    assert lines[0].endswith(".") and not lines[1]
    assert list(docs_of(module))


@each_doc
def test_the_pass_sample_is_silent(module: ModuleType, doc: CheckDoc, tmp_path: Path) -> None:
    folder = edited(doc.passes, tmp_path / "rules")
    assert problems_of(load_rule_set(folder)) == [] == found_by(case_ends, folder)


@each_doc
def test_the_fail_sample_is_reported_with_its_id_and_place(module: ModuleType, doc: CheckDoc, tmp_path: Path) -> None:
    folder = edited(doc.fails, tmp_path / "rules")
    found = [problem for problem in found_by(module, folder) if problem.id == doc.id]
    assert found
    for problem in found:
        lines = (folder.parent / problem.place.file).read_text(encoding="utf-8").splitlines()
        assert 1 < problem.place.line <= len(lines)


@each_proof
def test_a_proof_finds_it_in_the_rules_as_proved(module: ModuleType, doc: CheckDoc, tmp_path: Path) -> None:
    rules = load_rule_set(edited(doc.fails, tmp_path / "rules"))
    assert any(module.check(as_proved(rules)))
    assert doc.id in {problem.id for problem in problems_of(rules)}


def test_every_check_of_the_proofs_folder_is_a_proof_and_checks_of_wording_are_none() -> None:
    homes = {module.__name__.split(".")[-2] for module in CHECKS if module not in PROOFS}
    assert homes == {"lint"} and {module.__name__.split(".")[-2] for module in PROOFS} == {"lint", "verify"}


def test_the_sample_rules_themselves_are_sound() -> None:
    assert problems_of(load_rule_set(BASE)) == []


def test_a_problem_that_check_prints_is_explained_by_its_id(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    doc = next(doc for _, doc in DOCS if doc.id == "figure-in-wording")
    assert main(["check", str(edited(doc.fails, tmp_path / "rules"))]) == 1
    name = capsys.readouterr().err.split(": ")[1]
    assert main(["check", "--explain", name]) == 0
    said = capsys.readouterr().out
    assert all(text in said for text in (f"{name} (error): ", "Why it is bad: ", "PASS:\n", doc.fails, "sample_rules"))


def test_every_id_is_listed_with_what_it_stands_for(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", "--list"]) == 0
    listed = capsys.readouterr().out.splitlines()
    assert [line.split() for line in listed] == [[doc.id, doc.level, *doc.finds.split()] for _, doc in DOCS]


def test_an_unknown_id_is_refused_with_the_nearest_ones(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", "--explain", "no-oder"]) == 2
    said = capsys.readouterr()
    assert "unknown-name" in said.err and "nearest   no-order" in said.err and not said.out
