"""Every slip of the table is found, by name and at its place, by loading or by the checks."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.loader.ruleset_loader import load_rule_set
from advisor.model.problems import Problem, Problems
from advisor.tools.checks import CHECKS
from tests.tools.slips import Slip
from tests.tools.slips_of_meaning import SLIPS
from tests.whole_rules import whole_copy


def found(folder: Path, until: str = "") -> list[Problem]:
    """The problems of a folder: those of loading, or those of the checks up to one that gives the wanted problem."""
    try:
        rules = load_rule_set(folder)
    except Problems as error:
        return list(error.problems)
    problems: list[Problem] = []
    for check in CHECKS:
        for problem in check.check(rules):
            problems.append(problem)
            if problem.id == until:
                return problems
    return problems


def patched(slip: Slip, scratch: Path) -> Path:
    folder = scratch / "us-road"
    whole_copy(folder)
    path = folder / slip.file
    text = path.read_text(encoding="utf-8")
    assert slip.old in text, f"us-road no longer holds what {slip.name} patches"
    path.write_text(text.replace(slip.old, slip.new, 1), encoding="utf-8")
    return folder


@pytest.mark.parametrize("slip", SLIPS, ids=lambda slip: slip.name)
def test_a_slip_gives_its_problem_at_its_place(slip: Slip, tmp_path: Path) -> None:
    folder = patched(slip, tmp_path)
    every = found(folder, slip.gives)
    problems = [problem for problem in every if problem.id == slip.gives]
    assert problems, f"{slip.gives} not among {sorted({problem.id for problem in every})}"
    file = slip.file_at or slip.file
    here = [problem for problem in problems if problem.place.file == f"us-road/{file}"]
    assert here, [str(problem.place) for problem in problems]
    if slip.at:
        lines = (folder / file).read_text(encoding="utf-8").split("\n")
        assert any(slip.at in lines[problem.place.line - 1] for problem in here), [str(p.place) for p in here]


def test_there_are_at_least_sixty() -> None:
    assert len({slip.name for slip in SLIPS}) >= 60
