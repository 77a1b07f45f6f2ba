"""For a trainer: a set as one line, own cases, results, people side by side, a page, and a newcomer's first tires."""

from __future__ import annotations

import csv
import io
import shutil
from pathlib import Path

from html5lib import HTMLParser

from advisor.loader.paths import trees_folder
from tests.practise.learner import figures
from tests.practise.support import ALL_LOOKS, practise

UK = ("--rules", "uk-road")
SAID = (*ALL_LOOKS, "decide", "repair", "1", "6 mm", "2", "one-piece", "none", "4", "quit")
CASE = """answers:
  vehicle: car
  wheel-position: drive
  sidewall: 205/55R16 91V
  tire-class: passenger
  construction: radial
  tube: tubeless
  retread: "no"
  found-pressure: 33 psi
  set-pressure: 33 psi
  run-low: "no"
  demounted: "yes"
  findings: [none]
  tread-depth: 6 mm
  self-supporting: "no"
  sealant: "no"
  earlier-repairs: []
injuries:
  - {injury-depth: through, injury-zone: crown, injury-size: 4 mm, injury-angle: 5 deg, inside-signs: [none]}
ends: {verdict: VERDICT}
"""


def test_a_line_hands_out_the_same_tires_to_everybody(tmp_path: Path) -> None:
    line = practise(*UK, "--hand-out", "--theme", "size", "--tires", "1", "--seed", "7").stdout.strip()
    assert line.endswith("seed 7 theme size tires 1")
    for name in ("Kim", "Lou"):
        assert practise("--set", line, "--name", name, typed=SAID, data=tmp_path).returncode == 0
    results = practise("--results", "-", data=tmp_path).stdout
    rows = list(csv.DictReader(io.StringIO(results)))
    assert [row["name"] for row in rows] == ["Kim", "Lou"]
    assert rows[0]["mark"] == rows[1]["mark"]
    assert {row["practice"] for row in rows} == {"made up"}
    file = tmp_path / "results.csv"
    file.write_text(results, encoding="utf-8")
    for said in (practise("--compare", str(file)).stdout, practise("--compare", *UK, data=tmp_path).stdout):
        assert "Kim: repair" in said
        assert "Lou: repair" in said
        assert "the rules say" in said


def test_a_set_of_another_edition_is_refused() -> None:
    done = practise("--set", "uk-road 2020-01-01.2 seed 7 theme size tires 10")
    assert done.returncode == 2
    assert "other-edition" in done.stderr
    assert "2020-01-01" in done.stderr


def test_a_line_that_is_no_set_is_named() -> None:
    for line in ("uk-road seed 7", "uk-road 2026-11-29 seed 7 theme sise"):
        done = practise("--set", line)
        assert done.returncode == 2
        assert "bad-set" in done.stderr


def test_own_cases_are_practised_where_the_rules_end_them_so(tmp_path: Path) -> None:
    file = tmp_path / "own.yaml"
    file.write_text(CASE.replace("VERDICT", "repair"), encoding="utf-8")
    done = practise(*UK, "--cases", str(file), typed=SAID)
    assert done.returncode == 0, done.stderr
    assert "verdict - right: repair" in done.stdout
    file.write_text(CASE.replace("VERDICT", "scrap"), encoding="utf-8")
    wrong = practise(*UK, "--cases", str(file), typed=SAID)
    assert wrong.returncode == 2
    assert "case-ends-otherwise" in wrong.stderr
    file.write_text(CASE.partition("ends:")[0], encoding="utf-8")
    assert "case-without-end" in practise(*UK, "--cases", str(file)).stderr


def test_own_cases_from_before_a_question_count_as_it_says(tmp_path: Path) -> None:
    file, copy = tmp_path / "own.yaml", tmp_path / "copy"
    file.write_text(CASE.replace("VERDICT", "repair").replace('  sealant: "no"\n', ""), encoding="utf-8")
    shutil.copytree(trees_folder() / "uk-road", copy)
    assert "case-not-whole" in practise("--rules", str(copy), "--cases", str(file), typed=SAID).stderr
    older = 'sealant:\n  older-cases: {counts-as: "no", because: nobody had been asked}\n'
    with (copy / "questions.yaml").open("a", encoding="utf-8") as questions:
        questions.write(older)
    done = practise("--rules", str(copy), "--cases", str(file), typed=SAID)
    assert done.returncode == 0, done.stderr
    assert "verdict - right: repair" in done.stdout


def test_a_file_that_is_no_results_is_named(tmp_path: Path) -> None:
    file = tmp_path / "results.csv"
    file.write_text("name,tire\nKim,1\n", encoding="utf-8")
    done = practise("--compare", str(file))
    assert done.returncode == 2
    assert "no-results" in done.stderr


def test_a_page_says_that_it_is_practice_and_escapes_what_was_typed(tmp_path: Path) -> None:
    page = tmp_path / "page.html"
    practise(*UK, "--theme", "size", "--name", "<b>Kim", typed=SAID, data=tmp_path)
    done = practise("--learned", *UK, "--page", str(page), data=tmp_path)
    assert done.returncode == 0, done.stderr
    text = page.read_text(encoding="utf-8")
    HTMLParser(strict=True).parse(text)
    assert "<b>" not in text
    assert "replaces no training" in text
    assert "certified" not in text.casefold()


def test_a_newcomers_first_tires() -> None:
    """Of three newcomers, who meet what the rules' digest deals them, each fault is made by one at least."""
    each = [" ".join(figures("uk-road", 20, seed)) for seed in "123"]
    assert all("tires: 20" in said for said in each)
    for none in ("unsafe: 0", "looking faults: 0", "sure and wrong: 0"):
        assert not all(none in said for said in each)
    assert each[0] == " ".join(figures("uk-road", 20, "1"))
