"""A limit chosen by a table: the row that holds judges, is the reason's limit, and is told; what does not fit."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from advisor.cli import main
from advisor.model.exit_code import ExitCode
from tests.tools.samples import edited

LIMITS = """
limits.yaml:
  after-sealant:
    {says: less, value: 3 mm, worse: above, at-limit: passes, standing: from memory, source: made-up, clause: none}
  deep: {says: deep, value: 3 deg, worse: above, at-limit: passes, standing: from memory, source: made-up, clause: none}
  bare: {says: no side, value: 3 mm, standing: from memory, source: made-up, clause: none}
  hole:
    says: widest hole of all
    by:
      - {when: {sealant: {is: "no"}}, limit: largest-hole}
      - {when: {sealant: {is: "yes"}}, limit: after-sealant}
"""
PATHS = """
paths.yaml:
  nodes/size/rulings/hole-too-wide/when: {size: {beyond: hole}}
  nodes/size/rulings/hole-too-wide/because: a hole over {limit}
"""
CASE = "answers:\n  findings: [none]\n  sealant: {sealant}\n  washed: 'yes'\ninjuries: [{{size: {size}}}]\n"


def decided(folder: Path, capsys: pytest.CaptureFixture[str], sealant: str, size: str) -> dict[str, Any]:
    """The JSON answer of a case by the small rules with the table."""
    rules = folder / "rules"
    if not rules.exists():
        edited(LIMITS + PATHS, rules)
    case = folder / "case.yaml"
    case.write_text(CASE.format(sealant=sealant, size=size))
    assert main(["decide", str(case), "--rules", str(rules), "--json"]) == ExitCode.DONE
    return dict(json.loads(capsys.readouterr().out))


def test_the_row_that_holds_judges_and_is_the_limit_of_the_reason(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for sealant, size, verdict, figure, name, standing in (
        ("'no'", "6 mm", "repair", 6, "", ""),
        ("'no'", "7 mm", "scrap", 6, "largest-hole", "invented for the demo"),
        ("'yes'", "3 mm", "repair", 3, "", ""),
        ("'yes'", "4 mm", "scrap", 3, "after-sealant", "from memory"),
    ):
        found = decided(tmp_path, capsys, sealant, size)
        assert (found["verdict"] == "scrap") is (verdict == "scrap")
        wide = [reason for reason in found["reasons"] if reason["says"] == f"a hole over {figure} mm"]
        assert [reason["limit"]["id"] for reason in wide] == ([name] if name else [])
        assert all(reason["limit"]["standing"] == reason["standing"] == standing for reason in wide)


def test_an_open_row_is_in_doubt_and_names_what_leaves_it_open(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    found = decided(tmp_path, capsys, "cant-tell", "5 mm")
    (wide,) = [reason for reason in found["reasons"] if "a hole over 3 mm" in reason["says"]]
    assert wide["says"].startswith("in doubt (sealant inside)") and found["verdict"] != "repair"


def test_why_says_by_which_table_its_limit_was_chosen(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    decided(tmp_path, capsys, "'yes'", "4 mm")
    assert main(["ask", str(tmp_path / "case.yaml"), "why 1", "--rules", str(tmp_path / "rules")]) == ExitCode.DONE
    assert (
        "Chosen by: widest hole of all - No (sealant inside): 6 mm; Yes (sealant inside): 3 mm"
        in capsys.readouterr().out.replace("\n      ", " ")
    )


def test_sources_and_a_drawing_show_the_rows(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rules = str(edited(LIMITS + PATHS, tmp_path / "rules"))
    main(["sources", "--rules", rules])
    out = capsys.readouterr().out
    assert "hole: widest hole of all" in out and "3 mm (after-sealant) where sealant is yes" in out
    main(["draw", rules, "--around", "hole"])
    assert "over 6 mm where sealant is no" in " ".join(capsys.readouterr().out.split())


def test_wording_shows_the_row_that_holds_and_all_of_them_outside_a_case(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    worded = LIMITS + PATHS + "restrictions.yaml: {not-steer/says: 'Kept to {hole}.'}\n"
    worded += "words.yaml: {sealant: {title: sealant, says: 'A hole up to {hole}.'}}\n"
    edited(worded, tmp_path / "rules")
    decided(tmp_path, capsys, "'yes'", "2 mm")
    main(["decide", str(tmp_path / "case.yaml"), "--rules", str(tmp_path / "rules")])
    assert "Kept to 3 mm." in capsys.readouterr().out
    main(["words", "sealant", "--rules", str(tmp_path / "rules")])
    assert "A hole up to 6 mm for No (sealant inside), 3 mm for Yes (sealant inside)." in " ".join(
        capsys.readouterr().out.split()
    )


@pytest.mark.parametrize(
    ("edit", "problem", "says"),
    [
        ("limits.yaml: {hole/by/+: {when: {washed: {is: 'yes'}}, limit: deep}}", "rows-differ", "deep (angle"),
        ("limits.yaml: {hole/by/+: {when: {washed: {is: 'yes'}}, limit: bare}}", "unfit-name", '"bare"'),
        ("limits.yaml: {hole/by/+: {when: {washed: {is: 'yes'}}, limit: gone}}", "unknown-name", '"gone"'),
        ("limits.yaml: {hole/by/+: {limit: after-sealant}}", "missing-key", '"when"'),
        ("limits.yaml: {hole/by: []}", "missing-key", "a row"),
        ("limits.yaml: {hole/value: 3 mm}", "unknown-key", '"value"'),
        ("paths.yaml: {nodes/sealant/rulings/sealant-used/when: {sealant: {beyond: hole}}}", "wrong-quantity", "hole"),
        (
            "values.yaml: {share: {function: pressure-share, name: share, figures: {run-low: hole}}}",
            "unfit-name",
            "limit with a figure of its own",
        ),
    ],
)
def test_what_does_not_fit_in_a_table_is_a_problem_with_its_place(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], edit: str, problem: str, says: str
) -> None:
    import yaml

    from tests.tools.samples import put, write

    rules = edited(LIMITS + PATHS, tmp_path / "rules")
    for file, puts in yaml.load(edit, Loader=yaml.BaseLoader).items():
        tree = yaml.load((rules / file).read_text(), Loader=yaml.BaseLoader)
        for where, value in puts.items():
            put(tree, where.split("/"), value)
        write(rules / file, tree)
    code = main(["check", str(rules)])
    err = capsys.readouterr().err
    assert code == ExitCode.BAD_INPUT and f": {problem}: " in err and says in err


def test_a_stricter_limit_of_a_row_counts_through_the_base_s_table(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    edited(LIMITS + PATHS, tmp_path / "rules")
    shop = tmp_path / "shop"
    shop.mkdir()
    (shop / "about.yaml").write_text("id: shop\ntitle: Shop\nedition: 2026-11-29\nbuilds-on: rules\n")
    (shop / "limits.yaml").write_text(
        "after-sealant: {says: less, value: 2 mm, worse: above, at-limit: passes, standing: invented for the demo, "
        "source: made-up, clause: none}\n"
    )
    decided(tmp_path, capsys, "'yes'", "2.5 mm")
    main(["decide", str(tmp_path / "case.yaml"), "--rules", str(shop), "--json"])
    found = json.loads(capsys.readouterr().out)
    (wide,) = [reason for reason in found["reasons"] if reason["says"] == "a hole over 2 mm"]
    assert wide["standing"] == "invented for the demo" and found["verdict"] == "scrap"
    (shop / "limits.yaml").write_text("hole: {says: x, by: [{when: {sealant: {is: 'no'}}, limit: largest-hole}]}\n")
    assert main(["check", str(shop)]) == ExitCode.BAD_INPUT
    assert "shop/limits.yaml:1:7: changed-meaning: " in capsys.readouterr().err


def checked(folder: Path, capsys: pytest.CaptureFixture[str], sample: str) -> str:
    """What a check says of the small rules with an edit."""
    main(["check", str(edited(sample, folder / "rules"))])
    return capsys.readouterr().err


def test_a_table_that_nothing_names_is_unused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    err = checked(tmp_path, capsys, LIMITS.replace("  hole:", "  hole-by-case:"))
    assert 'unused: "hole-by-case", which nothing uses' in err and '"after-sealant"' not in err


def test_a_driver_s_text_holds_by_the_standing_of_every_row(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    firm = PATHS + "endings.yaml: {scrap-hole/tell-driver: 'The published chart has it so.'}\n"
    rows = LIMITS.replace("limits.yaml:\n", "limits.yaml:\n  largest-hole/standing: published\n")
    err = checked(tmp_path, capsys, rows + firm)
    assert "driver-text" in err and "what decides is from memory" in err and "is published" not in err


def test_rows_that_hold_at_once_and_a_gap_are_shown_with_answers(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    twice = LIMITS + '      - {when: {washed: {is: "no"}}, limit: largest-hole}\n'
    assert "limit-table" in (err := checked(tmp_path, capsys, twice + PATHS)) and "hold at once, as with" in err
    (tmp_path / "more").mkdir()
    gap = LIMITS.replace('      - {when: {sealant: {is: "no"}}, limit: largest-hole}\n', "")
    err = checked(tmp_path / "more", capsys, gap + PATHS)
    assert 'the table "hole", used by the ruling hole-too-wide: no row holds, as with sealant no' in err
    (tmp_path / "only").mkdir()
    narrow = PATHS.replace("{size: {beyond: hole}}", '{size: {beyond: hole}, sealant: {is: "yes"}}')
    assert "limit-table" not in checked(tmp_path / "only", capsys, gap + narrow)


def test_an_editor_is_offered_tables_where_a_reading_is_held_against_one(tmp_path: Path) -> None:
    main(["schemas", str(edited(LIMITS + PATHS, tmp_path / "rules"))])
    (found,) = [path for path in tmp_path.rglob("*.json") if path.name.startswith("paths")]
    offered = json.loads(found.read_text())["definitions"]["limit-of-a-length"]["enum"]
    assert "hole" in offered and "bare" not in offered


def test_rules_with_a_table_are_compared_with_those_before_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    new = PATHS.replace("{size: {beyond: hole}}", '{size: {beyond: hole}, sealant: {one-of: ["yes", "no"]}}')
    new = new.replace("rulings/hole-too-wide/when", "rulings/hole-too-wide/id: hole\n  nodes/size/rulings/hole/when")
    new = new.replace("rulings/hole-too-wide/because", "rulings/hole/because")
    main(["compare", str(edited("{}", tmp_path / "old")), str(edited(LIMITS + new, tmp_path / "new"))])
    assert "STRICTER" in capsys.readouterr().out
