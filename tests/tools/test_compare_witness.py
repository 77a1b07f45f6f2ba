"""What `advisor compare` says of an entry holds: kept cases are its last witness, what is behind a change stands so."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from advisor.cli import main
from advisor.loader.ruleset_loader import trees_folder
from advisor.model.exit_code import ExitCode
from tests.tools.test_compare import OF_ITS_OWN
from tests.tools.test_compare_shows import compared, outcome
from tests.whole_rules import whole_copy

NO_EFFECT = "COULD DECIDE, BUT NO CASE"
FRONT = "wheel-position: {is: steer}, age: {beyond: "
AGE = "from single wheels of minibuses\n  value: 10 years\n  worse: above\n  at-limit: "
ROWS = "load-class: {is: heavy}}, limit: puncture-heavy}", "load-class: {is: light}}, limit: puncture-commercial}"
TRUCK = "    truck: {says: Truck or truck tractor, also: [tractor, lorry, semi]"
STEER = f"{'':12}restriction: not-steer-axle\n{'':12}because: the yearly inspection rejects a regrooved tire on the"


def edited(name: str, folder: Path, *edits: tuple[str, str, str]) -> Path:
    """A copy of a shipped set, an edition of its own, with some edits."""
    rules = whole_copy(folder / name, name)
    for file, old, new in (*edits, OF_ITS_OWN):
        text = (rules / file).read_text(encoding="utf-8")
        assert old in text, old
        (rules / file).write_text(text.replace(old, new, 1), encoding="utf-8")
    return rules


@pytest.mark.parametrize(
    ("edit", "told"),
    [
        (("paths.yaml", f"{FRONT}oldest-front", f"{FRONT}oldest-reported"), "STRICTER: ruling too-old-for-front"),
        (("limits.yaml", f"{AGE}passes", f"{AGE}fails"), "STRICTER: limit oldest-front, "),
    ],
)
def test_a_kept_case_is_the_last_witness(
    edit: tuple[str, str, str], told: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """At ten years to the day, where no state of the samples stands."""
    old, new, examples = trees_folder() / "uk-road", edited("uk-road", tmp_path, edit), tmp_path / "examples"
    _, out = compared(old, new, examples, capsys)
    assert told in out and "with not-steer-axle" in out
    assert NO_EFFECT not in out and "no case comes out otherwise" not in out and "none of the cases" not in out
    assert ("passes at 10 years -> fails at 10 years" in out) is (edit[0] == "limits.yaml")
    for case in examples.iterdir():
        assert outcome(case, old, capsys) != outcome(case, new, capsys)


def test_a_restriction_lost_is_shown_where_a_repair_follows(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    new = edited("us-road", tmp_path, ("paths.yaml", f"in-doubt: same\n{STEER}", f"in-doubt: hold-regroove\n{STEER}"))
    _, out = compared(trees_folder() / "us-road", new, tmp_path / "examples", capsys)
    assert "one-piece or two-piece with not-steer-axle\n  to       repair (repair-one-piece) by" in out


@pytest.mark.parametrize(
    "edit",
    [
        ("questions.yaml", TRUCK, f"{TRUCK}, formerly: [pickup-truck]"),
        ("questions.yaml", "\nsealant:\n", "\nsealant:\n  formerly: [goo]\n"),
    ],
)
def test_what_is_read_now_under_another_id_is_read_otherwise(
    edit: tuple[str, str, str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    _, out = compared(trees_folder() / "us-road", edited("us-road", tmp_path, edit), tmp_path / "examples", capsys)
    heading, line = re.findall(r"(?m)^([A-Z ]+):\n  .*(formerly: new: \[.*\])$", out)[0]
    assert heading == "READ OTHERWISE" and line and "only wording" not in out


def test_an_entry_behind_what_is_shown_is_not_said_to_change_no_case(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    edit = ("endings.yaml", "refer-layer:\n  verdict: refer", "refer-layer:\n  verdict: hold")
    _, out = compared(trees_folder() / "us-road", edited("us-road", tmp_path, edit), tmp_path / "examples", capsys)
    assert "STRICTER: ruling foam-ring" in out and NO_EFFECT not in out
    assert "BEHIND WHAT COMES OUT OTHERWISE:\n  refer-layer: verdict: refer -> hold\n" in out


def test_rows_are_told_from_where_they_differ(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    heavy, light = (row.rpartition("limit: ")[0] for row in ROWS)
    swap = f"{light}limit: puncture-heavy}}", f"{heavy}limit: puncture-commercial}}"
    new = edited("de-road", tmp_path, ("limits.yaml", ROWS[1], swap[0]), ("limits.yaml", ROWS[0], swap[1]))
    _, out = compared(trees_folder() / "de-road", new, tmp_path / "examples", capsys)
    behind = " ".join(out.partition("BEHIND WHAT COMES OUT OTHERWISE:")[2].split())
    assert NO_EFFECT not in out
    for row in (*ROWS, *swap):
        assert row in behind


def test_a_value_that_only_a_step_shows_is_told_by_what_it_gives(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    thin, thick = "thin-to: shop-thin-casing", "thick-from: shop-thick-casing"
    swapped = "thin-to: shop-thick-casing, thick-from: shop-thin-casing"
    new = edited("demo-shop", tmp_path, ("values.yaml", f"{thin}, {thick}", swapped))
    assert main(["compare", "demo-shop", str(new)]) == ExitCode.DONE
    out = " ".join(capsys.readouterr().out.split())
    assert re.search(
        r"WORKED OUT OTHERWISE: cement-coats-here: (\d) times .* -> (?!\1)\d times .* where casing-thick", out
    )
    assert NO_EFFECT not in out
