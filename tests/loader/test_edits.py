"""What a maintainer is told after a slip that is no misspelling: where it stands, and what would mend it."""

from __future__ import annotations

import shlex
from pathlib import Path

import pytest

from advisor.cli import main
from advisor.loader.ruleset_loader import load_rule_set
from advisor.model.problems import Problem, Problems
from tests.loader.test_overlay_rules import overlay
from tests.whole_rules import whole_copy


def run(words: list[str]) -> int:
    return main(["check", *words])


def edited(folder: Path, file: str, old: str, new: str) -> Path:
    """A copy of us-road with the first place of a text written otherwise."""
    home = folder / "copy"
    whole_copy(home)
    path = home / file
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    return home


def first_problem(home: Path) -> Problem:
    with pytest.raises(Problems) as error:
        load_rule_set(home)
    return error.value.problems[0]


def line_of(path: Path, text: str) -> int:
    return path.read_text(encoding="utf-8")[: path.read_text(encoding="utf-8").index(text)].count("\n") + 1


def test_an_ending_made_a_repair_is_named_where_it_stands(tmp_path: Path) -> None:
    home = edited(tmp_path, "endings.yaml", "refer-retread:\n  verdict: refer", "refer-retread:\n  verdict: repair")
    found = first_problem(home)
    assert found.id == "unfit-name" and "refer-retread" in found.found and not found.nearest
    [(place, _)] = found.see
    assert (place.file, place.line) == ("copy/endings.yaml", line_of(home / "endings.yaml", "refer-retread:"))


def test_a_limit_without_a_worse_side_is_named_where_it_stands(tmp_path: Path) -> None:
    home = edited(tmp_path, "limits.yaml", "  value: 25°\n  worse: above\n  at-limit: passes", "  value: 25°")
    found = first_problem(home)
    assert found.id == "unfit-name" and "worse: above or below" in found.do
    assert found.see[0][0].line == line_of(home / "limits.yaml", "one-piece-angle:")


def test_a_name_that_is_nowhere_is_still_unknown(tmp_path: Path) -> None:
    home = edited(tmp_path, "paths.yaml", "ending: refer-retread", "ending: refer-retred")
    found = first_problem(home)
    assert found.id == "unknown-name" and "refer-retread" in found.nearest


@pytest.mark.parametrize(
    ("old", "new", "sign", "opened"),
    [
        ("widest-opening: {beyond: nail-hole-size-light}}", "widest-opening: {beyond: nail-hole-size-light}", "{", 19),
        ('unless: {vehicle: {is: trailer}}', 'unless: {vehicle: {one-of: [trailer}}', "[", 44),
    ],
)  # fmt: skip
def test_a_bracket_left_open_is_shown_where_it_was_opened(
    old: str, new: str, sign: str, opened: int, tmp_path: Path
) -> None:
    home = edited(tmp_path, "paths.yaml", old, new)
    found = first_problem(home)
    [(place, words)] = found.see
    assert found.id == "not-yaml" and words == f"the {sign} that is still open"
    assert (place.line, place.column) == (line_of(home / "paths.yaml", new), opened)


def test_a_file_that_is_not_yaml_is_told_alone_and_not_all_that_goes_by_names_in_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    home = edited(tmp_path, "limits.yaml", "worse: above", "worse above")
    assert run([str(home)]) == 2
    heads = [line for line in capsys.readouterr().err.splitlines() if not line.startswith(" ")]
    assert len(heads) == 1 and "limits.yaml:" in heads[0] and ": not-yaml: " in heads[0], heads


def test_the_case_that_shows_a_problem_is_judged_by_what_was_checked(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    home = edited(tmp_path, "limits.yaml", "value: 25°\n  worse: above", "value: 25°\n  worse: below")
    assert run([str(home)]) == 1
    assert f"advisor decide FILE --rules {shlex.quote(str(home))})" in capsys.readouterr().err


HOUSE_LIMIT = """our-tread: {says: our least tread, value: 6/32 in, worse: below, at-limit: passes,
  standing: from memory, source: memory, clause: none}
"""
HOUSE_RULING = """nodes:
  tread-depth:
    rulings:
      - id: our-tread
        when: {tread-depth: {beyond: LIMIT}}
        ending: refer-retread
        because: the tread reads {lowest-tread}; this shop repairs above {limit}
"""


def test_a_stricter_house_rule_may_leave_a_ruling_of_the_base_idle(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    home = overlay(tmp_path, limits=HOUSE_LIMIT, paths=HOUSE_RULING.replace("LIMIT", "our-tread"))
    assert run([str(home)]) == 0, capsys.readouterr().err


def test_a_house_rule_that_the_base_makes_idle_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    ruling = HOUSE_RULING.replace("{beyond: LIMIT}", "{beyond: tread-floor-light}, tire-group: {is: light}")
    assert run([str(overlay(tmp_path, paths=ruling.replace("LIMIT", "tread-floor-light")))]) == 1
    assert 'hidden-ruling: the ruling "our-tread"' in capsys.readouterr().err
