"""Conditions with a name: used by it anywhere, shown by what they say, told by reasons; what is wrong has its place."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import pytest

from advisor.cli import main
from advisor.loader.ruleset_loader import load_rule_set, trees_folder
from advisor.model.problems import Problems
from tests.laws.support import base, changed
from tests.loader.test_overlay_rules import overlay

TERMS = """towed-on-a-soft-tire:
  says: it was towed on a soft tire
  when: {heavy-vehicle: holds, run-low: {is: "yes"}}
never-towed:
  says: it was never towed
  when: {not: {towed-on-a-soft-tire: holds}}
"""
RULINGS = """nodes:
  findings:
    rulings:
      - id: towed
        when: {towed-on-a-soft-tire: holds, not: {never-towed: holds}}
        ending: refer-retread
        restriction: [not-steer-axle, not-dual-pair]
        caution: [worn-tread, leak-on-road]
        because: it was towed
        standing: invented for the demo
        source: memory
        clause: none
"""
SOFT = {"answers.vehicle": "truck", "answers.wheel-position": "drive", "answers.run-low": "yes"}


def decided(folder: Path, case: dict[str, Any], capsys: pytest.CaptureFixture[str]) -> dict[str, Any]:
    file = folder.parent / "case.json"
    file.write_text(json.dumps({**case, "rules": folder.name}))
    main(["decide", "--rules", str(folder), str(file), "--json"])
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


def found(folder: Path) -> list[tuple[str, str, int, str]]:
    """What loading finds: the problem, the file, the line, what was found."""
    with pytest.raises(Problems) as error:
        load_rule_set(folder)
    return [(each.id, Path(each.place.file).name, each.place.line, each.found) for each in error.value.problems]


def test_a_ruling_brings_an_ending_restrictions_and_cautions_and_says_by_which_terms(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    home = overlay(tmp_path, terms=TERMS, paths=RULINGS)
    answer = decided(home, changed(base("medium-truck"), SOFT), capsys)
    (reason,) = (each for each in answer["reasons"] if each["ruling"] == "towed")
    assert (reason["verdict"], reason["restriction"]) == ("refer", "not-steer-axle")
    assert reason["restrictions"] == ["not-steer-axle", "not-dual-pair"]
    assert reason["terms"] == ["towed-on-a-soft-tire"]
    assert {"not-steer-axle", "not-dual-pair"} <= set(answer["restrictions"])
    assert {each["id"] for each in answer["cautions"]} >= {"worn-tread", "leak-on-road"}
    assert all("terms" in each for each in answer["reasons"])
    others = [each for each in answer["reasons"] if each["ruling"] != "towed"]
    assert others and not any("restrictions" in each for each in others)


def test_a_term_that_does_not_hold_brings_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    home = overlay(tmp_path, terms=TERMS, paths=RULINGS)
    answer = decided(home, changed(base("medium-truck"), {**SOFT, "answers.run-low": "no"}), capsys)
    assert "towed" not in [each["ruling"] for each in answer["reasons"]]


def test_why_and_draw_say_what_a_term_says(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    home = overlay(tmp_path, terms=TERMS, paths=RULINGS)
    main(["draw", str(home), "--around", "findings"])
    drawn = " ".join(capsys.readouterr().out.split())
    assert "towed: it was towed on a soft tire and not (it was never towed)" in drawn
    file = tmp_path / "case.json"
    file.write_text(json.dumps({**changed(base("medium-truck"), SOFT), "rules": "over"}))
    main(["ask", "--rules", str(home), str(file), "why 1"])
    assert "It holds that it was towed on a soft tire" in " ".join(capsys.readouterr().out.split())


def test_a_name_that_no_term_has_is_told_with_the_nearest(tmp_path: Path) -> None:
    home = overlay(tmp_path, terms=TERMS, paths=RULINGS.replace("{towed-on", "{towd-on"))
    assert ("unknown-name", "paths.yaml", 5) in [each[:3] for each in found(home)]


def test_terms_made_of_each_other_are_told_where_the_ring_closes(tmp_path: Path) -> None:
    ring = "one: {says: one, when: {two: holds}}\ntwo: {says: two, when: {not: {one: holds}}}\n"
    (problem,) = found(overlay(tmp_path, terms=ring))
    assert problem[:3] == ("ring-of-terms", "terms.yaml", 2) and '"one" of "two" of "one"' in problem[3]


def test_a_term_of_the_base_keeps_its_meaning(tmp_path: Path) -> None:
    other = "heavy-vehicle: {says: a truck, when: {vehicle: {is: truck}}}\n"
    assert [each[:3] for each in found(overlay(tmp_path, terms=other))] == [("changed-meaning", "terms.yaml", 1)]


def test_a_term_about_an_injury_is_out_of_reach_of_the_tire(tmp_path: Path) -> None:
    paths = RULINGS.replace("not: {never-towed: holds}", "through-at-a-slant: holds")
    assert [each[:3] for each in found(overlay(tmp_path, terms=TERMS, paths=paths))] == [
        ("out-of-reach", "paths.yaml", 5)
    ]


def test_a_term_has_no_name_of_a_question(tmp_path: Path) -> None:
    assert [each[0] for each in found(overlay(tmp_path, terms="vehicle: {says: v, when: {retread: known}}\n"))] == [
        "name-taken"
    ]


@pytest.mark.parametrize(
    ("effects", "problem"),
    [
        ("", "ruling-brings-nothing"),
        ("        allows: repair\n        restriction: not-steer-axle\n", "allows-and-bars"),
        (
            "        caution: worn-tread\n        ending: hold-cant-tell\n        in-doubt: never\n",
            "doubt-never-counts",
        ),
    ],
)
def test_what_does_not_go_together_in_a_ruling_is_told(tmp_path: Path, effects: str, problem: str) -> None:
    head, _, tail = RULINGS.partition("        ending: refer-retread\n")
    paths = head + effects + tail[tail.index("        because") :]
    assert [each[0] for each in found(overlay(tmp_path, terms=TERMS, paths=paths))] == [problem]


def test_naming_a_condition_leaves_what_the_digest_goes_by(tmp_path: Path) -> None:
    home = tmp_path / "uk-road"
    shutil.copytree(trees_folder() / "uk-road", home)
    paths = (home / "paths.yaml").read_text()
    spelled = paths.replace("lorry-or-bus: holds", "vehicle: {one-of: [truck, bus]}")
    assert spelled != paths
    (home / "paths.yaml").write_text(spelled)
    named, written_out = load_rule_set(trees_folder() / "uk-road"), load_rule_set(home)
    assert named.digest == written_out.digest
    assert named.nodes["dot-code"].rulings != written_out.nodes["dot-code"].rulings


def test_one_ruling_for_several_is_told_as_no_change(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    home = tmp_path / "us-road"
    shutil.copytree(trees_folder() / "us-road", home)
    (paths := home / "paths.yaml").write_text(
        paths.read_text().replace(
            "            caution: [tube-never-instead, tube-flap, tube-mending, tube-patch]\n"
            "            because: it runs with a tube\n",
            "            caution: [tube-never-instead, tube-flap]\n"
            "            because: it runs with a tube\n"
            "          - id: tube-mended\n"
            "            when: {tube-read: {is: tube-type}}\n"
            "            caution: [tube-mending, tube-patch]\n"
            "            because: it runs with a tube\n",
        )
    )
    main(["compare", str(home), str(trees_folder() / "us-road")])
    said = capsys.readouterr().out
    assert "no case comes out otherwise" in said and "tube-mended: gone" in said
