"""`advisor draw`: both forms, the unit chosen, what is lacking, what can't be written, and the typed command."""

from __future__ import annotations

import os
import subprocess
import sys
import xml.etree.ElementTree as ET
from datetime import date
from pathlib import Path

import pytest

from advisor.cli import main
from advisor.console.session_lines import message_lines
from advisor.dialogue.session import Consultation
from advisor.dialogue.talk_commands import say
from advisor.drawings.drawn_for import PICTURE_OF
from advisor.drawings.selection import picture_asked, pictures_for
from advisor.engine.evaluator import Judge
from advisor.loader.case_file import read_case, split_cases
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set


def run(words: list[str]) -> int:
    return main(["draw", *words])


CASE = """
answers:
  vehicle: truck
  sidewall: 275/70R22.5 148/145M
  earlier-repairs:
    - {sound: "yes", clock: "11:57", offset: 5 mm, unit-length: 70 mm, unit-width: 60 mm}
  unit-length: 90 mm
  unit-width: 75 mm
injuries:
  - {injury-depth: through, clock: "12:09", offset: 0 mm, tread-width: 220 mm, casing-thickness: 22 mm,
     injury-angle: 20 deg, lean: toward-centre, injury-size: 6 mm}
  - {injury-depth: through, clock: "4:00", offset: 55 mm, tread-width: 220 mm, injury-zone: crown}
"""
PICTURES = Path(__file__).parent / "pictures"
JUDGE = Judge(load_rule_set(find_rule_set("us-road")))


@pytest.fixture
def case(tmp_path: Path) -> str:
    file = tmp_path / "case.yaml"
    file.write_text(CASE, encoding="utf-8")
    return str(file)


def test_the_terminal_drawing_and_its_text(case: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run([case]) == 0
    said = capsys.readouterr().out
    assert all(len(line) <= 80 for line in said.splitlines() if not line.startswith("Case: "))
    for part in (
        "Cross-section at injury 1",
        "The tread unrolled",
        "injury 1 and earlier repair 1: they overlap by",
        "injury 1 and injury 2:",
        "too close: earlier repair 1, injury 1",
        "3 repairs in all",
        "No cross-section of injury 2 without the casing's thickness and the injury's angle.",
    ):
        assert part in " ".join(said.split())
    assert any("\u2800" < sign <= "\u28ff" for sign in said)


def test_ascii_has_no_other_sign(case: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run([case, "--ascii"]) == 0
    said = capsys.readouterr().out
    assert said.replace("°", "").isascii()


def test_svg_in_one_file_and_in_a_folder(case: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    sheet, folder = tmp_path / "all.svg", tmp_path / "deep" / "folder"
    assert run([case, "--svg", str(sheet), "--out", str(folder)]) == 0
    space = "{http://www.w3.org/2000/svg}"
    whole = ET.fromstring(sheet.read_text(encoding="utf-8"))
    inner = whole.findall(f"{space}svg")
    assert len(inner) == 3
    ids = [element.get("id") for element in whole.iter() if element.get("id")]
    assert len(ids) == len(set(ids))
    names = sorted(path.name for path in folder.iterdir())
    close_up = "close-up-of-injury-1-and-earlier-repair-1.svg"
    assert names == [close_up, "cross-section-at-injury-1.svg", "the-tread-unrolled.svg"]
    for path in folder.iterdir():
        root = ET.fromstring(path.read_text(encoding="utf-8"))
        assert root.findtext(f"{space}title") and root.findtext(f"{space}desc")
    assert capsys.readouterr().out.count("Written: ") == 4


@pytest.mark.parametrize(("unit", "says"), [("in", " 8.66 in wide"), ("mm", " 220 mm wide")])
def test_lengths_in_the_unit_chosen(case: str, unit: str, says: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run([case, "--unit", unit]) == 0
    assert says in capsys.readouterr().out


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ([], "no case file"),
        (["a", "b"], "2 files"),
        (["--unit", "cm", "a"], '"cm" as --unit'),
        (["no-such-file.yaml"], "no-such-file.yaml"),
        (["--colour", "a"], "--colour"),
    ],
)
def test_what_cannot_be_read(words: list[str], found: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(words) == 2
    said = capsys.readouterr()
    assert found in said.err and not said.out


def test_what_cannot_be_written(case: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run([case, "--svg", str(tmp_path)]) == 2
    assert "can't be written" in capsys.readouterr().err


def test_a_case_without_measures_says_what_is_lacking(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "case.yaml"
    file.write_text("answers: {vehicle: car}\ninjuries: [{injury-depth: through}]\n", encoding="utf-8")
    assert run([str(file), "--svg", str(tmp_path / "none.svg")]) == 0
    said = capsys.readouterr().out
    assert "No cross-section of injury 1" in said and "without a size" in said
    ET.fromstring((tmp_path / "none.svg").read_text(encoding="utf-8"))


def test_several_cases_keep_their_files_apart(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "cases.yaml"
    file.write_text(f"{CASE}---\n{CASE}---\nanswers: {{vehicle: boat}}\n", encoding="utf-8")
    assert run([str(file), "--out", str(tmp_path / "out")]) == 2
    assert len(list((tmp_path / "out").iterdir())) == 6
    assert "boat" in capsys.readouterr().err


def test_draw_typed_while_the_tread_is_asked_shows_where_to_measure() -> None:
    picture = picture_asked("tread-depth", JUDGE)
    assert picture is not None and "at 3 places round the tire" in picture.says
    assert picture_asked("vehicle", JUDGE) is None


@pytest.mark.parametrize(("which", "title"), [("path", "injury's path"), ("place", "places on the tire")])
def test_each_question_of_a_measure_has_its_sketch(which: str, title: str) -> None:
    asked = [question for question, picture in PICTURE_OF.items() if picture == which]
    for question in asked:
        picture = picture_asked(question, JUDGE)
        assert question in JUDGE.rules.questions
        assert picture is not None and title in picture.title and "without scale" in picture.says


def test_draw_typed_in_a_consultation_keeps_its_lines_whole() -> None:
    consultation = Consultation(JUDGE, date(2026, 3, 14))
    (message,) = say(consultation, "draw")
    assert "without a size" in " ".join(message.texts)
    consultation.change(("tread-depth", -1))
    (drawing,) = say(consultation, "draw")
    assert drawing.kind == "drawing"
    shown = message_lines(drawing)
    assert len(shown) == len(drawing.texts) and all(len(line) <= 78 for line in shown)


def test_draw_typed_before_anything_has_its_place_says_so() -> None:
    consultation = Consultation(JUDGE, date(2026, 3, 14))
    for text in ("truck", "drive", "275/70R22.5 148/145M LOAD RANGE H TUBELESS"):
        say(consultation, text)
    (message,) = say(consultation, "draw")
    assert message.texts == ("Nothing to draw yet: no injury and no earlier repair has its place.",)


def test_the_example_of_the_help_draws_the_unrolled_tread(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["--help"]) == 0
    example = capsys.readouterr().out.rstrip().splitlines()[-1].strip()
    done = subprocess.run(
        ["sh", "-c", example.replace("advisor draw", f"{sys.executable} -m advisor draw")],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert "The tread unrolled" in done.stdout and "1: injury at 2:00" in done.stdout


@pytest.mark.parametrize("kept", sorted(PICTURES.glob("*.yaml")), ids=lambda path: path.stem)
def test_kept_pictures_are_drawn_the_same(kept: Path, tmp_path: Path) -> None:
    """Renewed by `advisor draw NAME.yaml --svg NAME.svg`, once a change is meant and was looked at."""
    drawn = tmp_path / "drawn.svg"
    assert run([str(kept), "--svg", str(drawn)]) == 0
    assert drawn.read_text(encoding="utf-8") == kept.with_suffix(".svg").read_text(encoding="utf-8")


def test_a_repair_area_is_drawn_where_the_rules_go_by_one(capsys: pytest.CaptureFixture[str]) -> None:
    """275 mm x 70 % = 192.5 mm: 96.25 mm to either side. Whether the injury lies in it, the rule set says."""
    kept = str(PICTURES / "slant-into-the-shoulder.yaml")
    assert run([kept, "--rules", "uk-road", "--svg", os.devnull]) == 0
    said = capsys.readouterr().out
    assert "repair area" in said and "outside it" in said and "crown" not in said.split("The tread unrolled")[0]
    judge = Judge(load_rule_set(find_rule_set("uk-road")))
    (text,) = split_cases(Path(kept).read_text(encoding="utf-8"), "case")
    section = pictures_for(judge.judge(read_case(text, judge.rules, None)), judge)[0]
    edges = {line.x1 for line in section.lines if line.style == "dashed" and line.x1 == line.x2}
    assert edges == {96.25}
