"""What an id of the rules had been called: what was recorded under it is read, nothing of it is lost or doubled."""

from __future__ import annotations

import csv
import io
import json
import re
from contextlib import closing
from pathlib import Path
from shutil import copytree
from typing import Any

import pytest

from advisor.cli import main
from advisor.loader.paths import find_rule_set, trees_folder
from tests.journal.record_support import TALK, journal_in, talk
from tests.trees.boundary_table import boundary_rows

DAY = ("--today", "2026-03-14")
#: By kind of file what a rename of a question edits; the node of the same name keeps its name.
_QUESTIONS = {"clock": "clock-place", "tread-depth": "tread-left", "run-low": "ran-soft", "sealant": "sealer-inside"}
_IN_CONDITIONS = r"(?<=ask: ){0}$|(?<=[{{ ]){0}(?=: {{|: known)|\{{{0}\}}|(?<=\[){0}(?=[,\]])|(?<=, ){0}(?=[,\]])"
NAMES = (*_QUESTIONS.items(),)


def renamed(folder: Path, names: dict[str, str], formerly: bool = True) -> Path:
    """A copy of the shipped rules in which questions bear other ids."""
    copytree(find_rule_set("us-road"), folder)
    for old, new in names.items():
        for path in folder.glob("*.yaml"):
            text = path.read_text(encoding="utf-8")
            if path.name == "questions.yaml":
                note = f"\n  formerly: [{old}]" if formerly else ""
                text, count = re.subn(rf"^{old}:$", f"{new}:{note}", text, flags=re.M)
                assert count == 1
                text = text.replace(f"{{{old}}}", f"{{{new}}}")
            elif path.name == "phrases.yaml":
                text = re.sub(rf"(?<=^  ){old}(?=:)|(?<=[{{ ]){old}(?=: )", new, text, flags=re.M)
            else:
                text = re.sub(_IN_CONDITIONS.format(old), lambda found: found[0].replace(old, new), text, flags=re.M)
            path.write_text(text, encoding="utf-8")
    return folder


def edited(folder: Path, file: str, old: str, new: str) -> None:
    """An edit of a file of a copy, which has to change something."""
    path = folder / file
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


def put(folder: Path, name: str, text: str) -> str:
    """A file with a text; its name."""
    (folder / name).write_text(text, encoding="utf-8")
    return str(folder / name)


def told(capsys: pytest.CaptureFixture[str], *words: str, code: int = 0) -> str:
    """What a command says."""
    capsys.readouterr()
    found = main([*words])
    said = capsys.readouterr()
    assert found == code, said.err
    return said.out if code == 0 else said.out + said.err


def as_before(line: str) -> dict[str, Any]:
    """An answer of `decide --json` in which questions bear the names that they had; all but which rules it is by."""
    for old, new in NAMES:
        line = re.sub(rf"(?<![\w-]){new}(?![\w-])", old, line)
    return {key: value for key, value in json.loads(line).items() if key != "rules"}


def test_every_case_recorded_before_is_judged_the_same(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = renamed(tmp_path / "us-road", dict(NAMES))
    files = [str(path) for path in sorted((trees_folder().parent / "tests/cases/us-road").glob("*.yaml"))]
    files.append(put(tmp_path, "rows.jsonl", "".join(json.dumps(row.data) + "\n" for row in boundary_rows())))
    before = told(capsys, "decide", *files, "--json", "--rules", "us-road", *DAY).splitlines()
    after = told(capsys, "decide", *files, "--json", "--rules", str(folder), *DAY).splitlines()
    assert len(before) == len(after) > 340
    assert any("tread-left" in line for line in after)
    for one, other in zip(before, after, strict=True):
        assert as_before(one) == as_before(other)


def test_the_rules_with_renamed_questions_pass_every_check(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = renamed(tmp_path / "us-road", dict(NAMES))
    assert "nothing found" in told(capsys, "check", str(folder))


def test_a_sentence_still_finds_a_question_that_was_renamed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    names = {**_QUESTIONS, "findings": "seen", "offset": "off-centre", "injury-zone": "band", "vehicle": "carrier"}
    folder = renamed(tmp_path / "us-road", names)
    said = "truck, driven flat, sealant in it, a bulge, tread 9/32, a 5 mm hole in the crown at 3 o'clock, 20 mm off center"
    before = told(capsys, "hear", said, "--json")
    after = told(capsys, "hear", said, "--json", "--rules", str(folder))
    assert "sealer-inside" in after and "band" in after
    for old, new in names.items():
        after = re.sub(rf'"{new}"', f'"{old}"', after)
    assert json.loads(before) == json.loads(after)


def test_what_was_read_so_is_said_once_in_words(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = renamed(tmp_path / "us-road", dict(NAMES))
    case = put(tmp_path, "case.yaml", "answers: {vehicle: truck, tread-depth: 9/32 in}\ninjuries: [{clock: '2:00'}]\n")
    said = told(capsys, "decide", case, "--rules", str(folder))
    assert said.count("Note: tread-depth was read as tread-left, its name now.") == 1
    assert said.count("Note: clock was read as clock-place, its name now.") == 1
    assert "Note:" not in told(capsys, "decide", case, "--rules", "us-road")
    assert "was read as" not in told(capsys, "decide", case, "--rules", str(folder), "--json")


@pytest.mark.parametrize("first", ["tread-depth", "tread-left"])
def test_both_names_in_one_case_are_said_twice(first: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = renamed(tmp_path / "us-road", dict(NAMES))
    second = {"tread-depth": "tread-left", "tread-left": "tread-depth"}[first]
    case = put(tmp_path, "case.yaml", f"answers:\n  {first}: 9/32 in\n  {second}: 9/32 in\n")
    said = told(capsys, "decide", case, "--rules", str(folder), code=2)
    assert f'case.yaml:3:3: said-twice: "{second}" beside "{first}"' in said
    injury = put(tmp_path, "injury.jsonl", '{"injuries": [{"clock": "2:00", "clock-place": "3:00"}]}\n')
    assert "said-twice" in told(capsys, "decide", injury, "--rules", str(folder), code=2)
    rows = put(tmp_path, "rows.csv", f"{first},{second}\n9/32 in,\n")
    assert "duplicate-column" in told(capsys, "decide", rows, "--rules", str(folder), code=2)


def test_columns_and_the_columns_meant_may_bear_the_name_before(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = renamed(tmp_path / "us-road", dict(NAMES))
    out = io.StringIO()
    csv.writer(out).writerows([["vehicle", "tread depth", "where"], ["truck", "1/32 in", "2:00"]])
    rows = put(tmp_path, "rows.csv", out.getvalue())
    meant = ("--map", "where=clock[0]")
    before = told(capsys, "decide", rows, "--json", *meant, *DAY)
    assert main(["decide", rows, "--json", *meant, *DAY, "--rules", str(folder)]) == 0
    said = capsys.readouterr()
    assert as_before(before) == as_before(said.out)
    assert "Note: tread depth was read as tread-left" in said.err and "Note: where was read as clock-place" in said.err


def test_a_choice_that_was_renamed_is_read_wherever_it_is_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = copytree(find_rule_set("us-road"), tmp_path / "us-road")
    text = (folder / "questions.yaml").read_text(encoding="utf-8")
    block = re.search(r"^findings:\n(?:(?:  .*)?\n)+", text, re.M)
    assert block and "cord-ripple" in block[0]
    for path in folder.glob("*.yaml"):
        path.write_text(re.sub(r"(?<![\w-])cord-ripple(?![\w-])", "cord-waves", path.read_text(encoding="utf-8")))
    line = re.search(r"^    cord-waves:(.*)$", (folder / "questions.yaml").read_text(encoding="utf-8"), re.M)
    assert line and "{" in line[1], line
    edited(folder, "questions.yaml", line[0], line[0].replace("{", "{formerly: [cord-ripple], ", 1))
    case = "answers: {findings: {present: [cord-ripple], absent: [bulge]}}\n"
    before = told(capsys, "decide", put(tmp_path, "case.yaml", case), "--json", *DAY)
    after = told(capsys, "decide", str(tmp_path / "case.yaml"), "--json", *DAY, "--rules", str(folder))
    assert as_before(before) == as_before(after.replace("cord-waves", "cord-ripple"))
    rows = put(tmp_path, "rows.csv", "findings\ncord-ripple\n")
    assert '"scrap"' in told(capsys, "decide", rows, "--json", "--rules", str(folder)).partition("\n")[0]


def test_a_journal_goes_on_under_the_names_of_today(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = renamed(tmp_path / "us-road", dict(NAMES))
    data = tmp_path / "data"
    with closing(journal_in(data)) as journal:
        talk(journal, ["casing T42", *TALK])
        talk(journal, TALK[:-4], end=False)
    typed = "".join(f"{line}\n" for line in ("answers", "verdict"))
    before = taken_up(tmp_path, data, "us-road", typed)
    after = taken_up(tmp_path, data, str(folder), typed)
    assert "run-low was read as ran-soft, its name now" in after
    assert numbered(before) == numbered(after) and len(numbered(after)) > 10
    for words in (
        ("casings", "--show", "T42", "--data", str(data)),
        ("casings", "--export", str(tmp_path / "all.csv")),
    ):
        told(capsys, *words, *(("--data", str(data)) if "--export" in words else ()), "--rules", str(folder))
    with (tmp_path / "all.csv").open(encoding="utf-8", newline="") as file:
        (first, *_) = csv.DictReader(file)
    assert first["tread-left"] == "6/32 in" and first["ran-soft"] == "no"
    said = told(capsys, "compare", "--records", "us-road", str(folder), "--data", str(data))
    assert "none would be decided otherwise" in said


def taken_up(tmp_path: Path, data: Path, rules: str, typed: str) -> str:
    """What is said when the consultation that is open is taken up, in a copy of the journal."""
    import subprocess
    import sys

    copy = copytree(data, tmp_path / f"copy-{Path(rules).parent.name}-{len(list(tmp_path.iterdir()))}")
    words = [sys.executable, "-m", "advisor", "--plain", "--resume", "--data", str(copy), "--rules", rules]
    done = subprocess.run(words, input=typed, capture_output=True, text=True, timeout=60, check=False)
    assert done.returncode == 0 and "Traceback" not in done.stderr, done.stderr
    return done.stdout


def numbered(said: str) -> list[str]:
    """The answers listed."""
    return re.findall(r"^\s*\d+\. .*: .*$", said.partition("> answers")[2], re.M)
