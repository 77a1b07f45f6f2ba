"""`advisor new`: rules of one's own, which run as they are written, and let nobody work by them yet."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from advisor.cli import main
from advisor.loader.ruleset_loader import load_rule_set
from advisor.model.limits import UNSOURCED

SMALL_HOLE = """
answers: {demounted: 'yes', findings: [none], repair-material: 'yes'}
injuries: [{injury-zone: crown, injury-size: 2 mm}]
"""


@pytest.fixture
def country(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Path:
    folder = tmp_path / "freedonia"
    assert main(["new", str(folder)]) == 0
    said = capsys.readouterr().out
    assert "only a beginning" in said and f"advisor check {folder}" in said
    return folder


def judged(rules: Path, case: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> dict[str, object]:
    (tmp_path / "case.yaml").write_text(case)
    assert main(["decide", str(tmp_path / "case.yaml"), "--rules", str(rules), "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def test_a_country_runs_and_passes_every_check_at_once(country: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(country)]) == 0
    said = capsys.readouterr().out
    assert "nothing found" in said and "no case" not in said


def test_nobody_can_work_by_it_until_its_own_ruling_is_taken_out(
    country: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert judged(country, SMALL_HOLE, tmp_path, capsys)["verdict"] == "refer"
    rules = load_rule_set(country)
    assert {limit.basis.standing for limit in rules.limits.values()} <= set(UNSOURCED)
    assert "only-a-beginning" in rules.about.always and "not to be worked by" in rules.about.scope
    paths = (country / "paths.yaml").read_text()
    start, end = paths.index("          # Lets nothing"), paths.index("          - id: not-demounted")
    (country / "paths.yaml").write_text(paths[:start] + paths[end:])
    assert judged(country, SMALL_HOLE, tmp_path, capsys)["verdict"] == "repair"
    assert main(["check", str(country)]) == 1
    assert "case-ends-otherwise" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("old", "new"),
    [("'yes'", "cant-tell"), ("'yes'", "'no'"), ("2 mm", "2-4 mm"), ("crown", "cant-tell"), ("findings: [none], ", "")],
)
def test_doubt_and_what_is_missing_hold_it_all_the_same(
    country: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], old: str, new: str
) -> None:
    assert judged(country, SMALL_HOLE.replace(old, new), tmp_path, capsys)["verdict"] == "hold"


def test_a_case_is_proposed_for_all_of_it_also_for_nothing_answered(
    country: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    main(["check", str(country), "--coverage", "--cases", str(country)])
    assert "no example is known" not in capsys.readouterr().err
    main(["check", str(country), "--coverage"])
    assert "bare" not in capsys.readouterr().err


def test_a_shared_question_needs_no_figure_but_those_that_it_is_worded_with(
    country: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What the shared angle lacks is told as lacking; a worked-out value beside it that lacks figures stays out."""
    node = "      injury-angle: {ask: injury-angle, cant-tell: hold-measure-again}\n"
    (country / "paths.yaml").open("a", encoding="utf-8").write(node)
    assert main(["check", str(country)]) == 2
    said = capsys.readouterr().err
    assert re.findall(r"unknown-name: (\S+)", said) == ['"one-piece-angle"']
    assert "define it in the files of the rule set, or say there anew what names it" in said
    anew = "injury-angle: {why: A hole that slants too far takes two pieces.}\n"
    (country / "questions.yaml").open("a", encoding="utf-8").write(anew)
    assert main(["check", str(country)]) != 2


def test_an_overlay_says_what_it_is_on(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["new", str(tmp_path / "our-shop"), "--builds-on", "us-road"]) == 0
    assert "builds-on: us-road" in (tmp_path / "our-shop" / "about.yaml").read_text()
    assert "begun on us-road" in capsys.readouterr().out
    assert main(["check", str(tmp_path / "our-shop")]) == 0
    capsys.readouterr()


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ([], "0 names"),
        (["a", "b"], "2 names"),
        (["Our Shop"], "lower-case letters, digits and hyphens"),
        (["us-road"], "which a rule set of the program has"),
        (["ours", "--builds-on", "us-raod"], "us-road"),
        (["ours", "--buildson", "us-road"], "--builds-on"),
        (["there"], "there already"),
        (["file/ours"], "can't be written"),
    ],
)
def test_what_was_typed_wrong_is_told_and_nothing_is_written(
    words: list[str], says: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "there").mkdir()
    (tmp_path / "there" / "limits.yaml").write_text("mine: 1\n")
    (tmp_path / "file").write_text("")
    assert main(["new", *words]) == 2
    assert says in capsys.readouterr().err
    assert sorted(path.name for path in tmp_path.rglob("*")) == ["file", "limits.yaml", "there"]
    assert (tmp_path / "there" / "limits.yaml").read_text() == "mine: 1\n"
