"""Cases beside the rules, in FOLDER/cases: `advisor check` names each that ends otherwise, with its place."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from advisor.cli import main
from advisor.loader.ruleset_loader import load_rule_set, trees_folder
from advisor.tools import checks
from tests.whole_rules import whole_copy

SMALL_HOLE = """\
today: 2026-03-14
answers:
  {vehicle: car, wheel-position: drive, tire-class: passenger, load-range: SL, found-pressure: 34 psi,
   set-pressure: 35 psi, construction: radial, tube: tubeless, retread: "no", run-low: "no", demounted: "yes",
   findings: [none], tread-depth: 8/32 in, self-supporting: "no", sealant: "no", earlier-repairs: []}
injuries:
  - {injury-depth: through, injury-zone: crown, injury-size: 6 mm, injury-angle: 0 deg, inside-signs: [none]}
"""
REPAIR = "ends: {verdict: repair, ending: repair-one-piece, method: one-piece, restrictions: []}\n"


@pytest.fixture(autouse=True)
def cases_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """The other checks have tests of their own, and take most of the time of `advisor check`."""
    monkeypatch.setattr(checks, "CHECKS", ())


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of us-road that keeps one case."""
    copy = tmp_path / "copy"
    whole_copy(copy, ignore=shutil.ignore_patterns("cases"))
    keep(copy, "hole.yaml", SMALL_HOLE + REPAIR)
    return copy


def keep(folder: Path, name: str, text: str) -> Path:
    path = folder / "cases" / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return path


def smaller_limit(folder: Path) -> None:
    limits = folder / "limits.yaml"
    text = limits.read_text(encoding="utf-8")
    old = "  value: [1/4 in, 6 mm]\n"
    assert text.count(old) == 1
    limits.write_text(text.replace(old, "  value: [3/16 in, 5 mm]\n"), encoding="utf-8")


def checked(folder: Path, capsys: pytest.CaptureFixture[str], *more: str) -> tuple[int, str, str]:
    code = main(["check", str(folder), *more])
    said = capsys.readouterr()
    return code, said.out, said.err


def test_a_case_that_ends_as_it_says_is_counted(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = checked(folder, capsys)
    assert (code, err) == (0, "")
    assert "nothing found" in out and "1 case)" in out


def test_rules_without_cases_are_fine(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    shutil.rmtree(folder / "cases")
    code, out, err = checked(folder, capsys)
    assert (code, err) == (0, "") and "no cases)" in out


def test_a_changed_limit_names_the_case_that_ends_otherwise(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    keep(folder, "hole.yaml", f'{SMALL_HOLE}{REPAIR}says: "wall chart, tread, largest injury"\n')
    smaller_limit(folder)
    code, out, err = checked(folder, capsys)
    assert code == 1 and "1 found" in out
    lines = err.splitlines()
    assert lines[0].startswith("copy/cases/hole.yaml:8:17: case-ends-otherwise: verdict scrap, ending scrap-")
    assert "expected  verdict repair, ending repair-one-piece, method one-piece" in err
    assert "copy/cases/hole.yaml:9:7  wall chart, tread, largest injury" in err
    assert "copy/paths.yaml:" in err and "  do        " in err


@pytest.mark.parametrize(
    ("old", "new", "column", "found"),
    [
        ("ending: repair-one-piece", "ending: repair-two-piece", 33, "ending repair-one-piece"),
        ("method: one-piece", "method: two-piece", 59, "method one-piece"),
        ("restrictions: []", "restrictions: [not-dual-pair]", 84, "restrictions []"),
    ],
)
def test_the_place_is_that_of_what_differs(
    old: str, new: str, column: int, found: str, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    keep(folder, "hole.yaml", SMALL_HOLE + REPAIR.replace(old, new))
    code, _, err = checked(folder, capsys)
    assert code == 1
    assert err.startswith(f"copy/cases/hole.yaml:8:{column}: case-ends-otherwise: {found}\n")


@pytest.mark.parametrize(
    ("text", "place", "says"),
    [
        (SMALL_HOLE.replace("vehicle: car", "vehicle: spaceship") + REPAIR, "3:13", "spaceship"),
        ("answers: [\n", "2:1", "YAML"),
        (SMALL_HOLE + REPAIR.replace("verdict: repair", "verdict: repiar"), "8:17", "nearest   repair"),
        (SMALL_HOLE + REPAIR.replace("ending: repair-one", "ending: repare-one"), "8:33", "nearest   repair-one-piece"),
        (SMALL_HOLE + "ends: {method: one-piece}\n", "8:7", "verdict"),
        (SMALL_HOLE + "ends: {verdict: repair, colour: red}\n", "8:25", "colour"),
        (SMALL_HOLE + "ends: repair\n", "8:7", "keys and values"),
        ("", "1:1", "no case"),
    ],
)
def test_a_case_that_cannot_be_read_is_a_problem_of_its_own(
    text: str, place: str, says: str, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    keep(folder, "other.yaml", text)
    code, out, err = checked(folder, capsys)
    assert code == 1 and "1 found" in out
    assert err.startswith(f"copy/cases/other.yaml:{place}: case-unread: ") and says in err


def test_a_case_that_does_not_say_how_it_ends_is_named(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    keep(folder, "other.yaml", SMALL_HOLE)
    code, _, err = checked(folder, capsys)
    assert code == 1 and err.startswith("copy/cases/other.yaml:1:1: case-without-end: ")


def test_every_case_of_a_file_and_of_json_lines_is_held(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    keep(folder, "two.yaml", f"{SMALL_HOLE}{REPAIR}---\n{SMALL_HOLE}ends: {{verdict: scrap}}\n")
    keep(
        folder, "deeper/lines.jsonl", '{"answers": {}, "ends": {"verdict": "hold"}}\n{"ends": {"verdict": "repair"}}\n'
    )
    code, out, err = checked(folder, capsys)
    assert code == 1 and "2 found" in out and "5 cases)" in out
    assert [line.split(": ")[0] for line in err.splitlines() if line.startswith("copy")] == [
        "copy/cases/deeper/lines.jsonl:2:22",
        "copy/cases/two.yaml:17:17",
    ]


def test_a_table_of_cases_is_held_by_row_and_cell(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    tables = trees_folder() / "us-road" / "cases"
    shutil.copy(tables / "base_cases.json", folder / "cases")
    rows = (tables / "boundary_cases.csv").read_text(encoding="utf-8").splitlines()[:4]
    keep(folder, "boundary.csv", "\n".join([*rows, rows[3].replace(",repair,", ",scrap,")]) + "\n")
    code, out, err = checked(folder, capsys)
    assert code == 1 and "1 found" in out and "5 cases)" in out
    assert err.startswith("copy/cases/boundary.csv:5:5: case-ends-otherwise: verdict repair\n")
    keep(folder, "boundary.csv", "\n".join([*rows, "a,b,passenger,nothing,repair,,,,,,,"]) + "\n")
    assert "copy/cases/boundary.csv:5:1: case-unread: " in checked(folder, capsys)[2]


def test_an_overlay_keeps_cases_of_its_own(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    shop = tmp_path / "our-shop"
    assert main(["new", str(shop), "--builds-on", "us-road"]) == 0
    (first,) = (shop / "cases").iterdir()
    text = first.read_text(encoding="utf-8")
    assert "\nends:\n" in text and "verdict: " in text and "proposed:" not in text.replace("# ", "")
    capsys.readouterr()
    code, out, err = checked(shop, capsys)
    assert (code, err) == (0, "") and "1 case)" in out
    assert main(["decide", str(first), "--rules", str(shop), "--brief"]) == 0


def test_decide_gives_the_same_answer_with_and_without_ends(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bare, kept = tmp_path / "bare.yaml", tmp_path / "kept.yaml"
    bare.write_text(SMALL_HOLE)
    kept.write_text(f"{SMALL_HOLE}ends: {{verdict: scrap}}\nsays: the wall chart\n")
    answers = []
    for file in (bare, kept):
        assert main(["decide", str(file), "--json"]) == 0
        answers.append(capsys.readouterr())
    assert answers[0] == answers[1] and '"verdict": "repair"' in answers[0].out


def test_proposed_cases_go_beside_the_rules_and_wait_for_a_person(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    nothing = folder.parent / "nothing"
    nothing.mkdir()
    code, out, _ = checked(folder, capsys, "--coverage", str(nothing), "--cases", str(folder))
    written = [Path(line.split(maxsplit=1)[1]) for line in out.splitlines() if line.startswith("proposed  ")]
    assert code == 1 and written and {path.parent for path in written} == {folder / "cases"}
    for path in written:
        text = path.read_text(encoding="utf-8")
        assert "\nends:\n  proposed: yes" in text and "\n  verdict: " in text
    code, out, err = checked(folder, capsys)
    assert (code, err) == (0, "")
    assert f"{len(written) + 1} cases, {len(written)} of them proposed: see that each is right" in out


def test_a_proposed_case_never_takes_the_place_of_a_file(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    nothing = folder.parent / "nothing"
    nothing.mkdir()
    checked(folder, capsys, "--coverage", str(nothing), "--cases", str(folder))
    before = {path: path.read_bytes() for path in (folder / "cases").iterdir()}
    checked(folder, capsys, "--coverage", str(nothing), "--cases", str(folder))
    assert {path: path.read_bytes() for path in before} == before
    assert len(list((folder / "cases").iterdir())) == 2 * len(before) - 1


def test_cases_are_proposed_into_the_folder_that_is_checked_only(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, _, err = checked(trees_folder() / "uk-road", capsys, "--coverage", str(folder), "--cases", str(folder))
    assert code == 2 and "bad-option" in err
    assert [path.name for path in (folder / "cases").iterdir()] == ["hole.yaml"]


def test_coverage_counts_the_cases_beside_the_rules(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(folder.parent)
    _, out, _ = checked(folder, capsys, "--coverage")
    assert ": 1 cases\n" in out


def test_a_start_does_not_look_at_cases(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ADVISOR_CACHE", str(tmp_path / "copies"))
    case = tmp_path / "case.yaml"
    case.write_text(SMALL_HOLE)
    assert main(["decide", str(case), "--rules", str(folder), "--brief"]) == 0
    (ready,) = (tmp_path / "copies").iterdir()
    before, digest = (ready.read_bytes(), ready.stat().st_mtime_ns), load_rule_set(folder).digest
    keep(folder, "bad.yaml", "answers: [\n")
    assert main(["decide", str(case), "--rules", str(folder), "--brief"]) == 0
    assert (ready.read_bytes(), ready.stat().st_mtime_ns) == before
    assert load_rule_set(folder).digest == digest
