"""Which limits a value hands to its function: all that it needs, of the right quantity, and no others."""

from __future__ import annotations

from pathlib import Path
from shutil import copytree

import pytest

from advisor.cli import main
from advisor.loader.ruleset_loader import find_rule_set


@pytest.mark.parametrize(
    ("was", "becomes", "problem", "said"),
    [
        ("crown-edge: crown-edge", "", "missing-input", 'needs the figure "crown-edge", which is not there'),
        ("crown-edge: crown-edge", "crown-egde: crown-edge", "unknown-input", "nearest   crown-edge"),
        ("hot-speed-to: hot-speed-to, ", "", "missing-input", "figures: {hot-speed-to: LIMIT}"),
        ("to-small: dual-row-medium-from, ", "", "missing-input", 'needs the figure "to-small"'),
        ("crown-edge: crown-edge", "crown-edge: run-low-share", "unfit-input", "a limit of length"),
    ],
)
def test_a_figure_that_is_not_as_its_function_takes_it_has_a_place(
    was: str, becomes: str, problem: str, said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = copytree(find_rule_set("us-road"), tmp_path / "us-road")
    path = folder / "values.yaml"
    text = path.read_text(encoding="utf-8")
    assert was in text
    path.write_text(text.replace(was, becomes), encoding="utf-8")
    assert main(["check", str(folder)]) == 2
    found = capsys.readouterr().err
    assert f": {problem}: " in found and said in found and "us-road/values.yaml:" in found
