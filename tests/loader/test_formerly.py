"""What an id of the rules had been called: what was recorded under it is read, nothing of it is lost or doubled."""

from __future__ import annotations

import csv
import io
import json
import re
from contextlib import closing
from functools import partial
from pathlib import Path
from shutil import copytree
from typing import Any

import pytest

from advisor.cli import main
from advisor.dialogue.event_sink import said_aside
from advisor.dialogue.session import Consultation
from advisor.engine.evaluator import Judge
from advisor.journal.resume import begin_recording
from advisor.loader.case_file import read_case, split_cases
from advisor.loader.kept_cases import with_older_answers
from advisor.loader.paths import find_rule_set, trees_folder
from advisor.loader.ruleset_loader import load_rule_set
from advisor.model.problems import Place, Problems
from advisor.model.saved import Saved
from tests.journal.record_support import TALK, TODAY, journal_in, talk
from tests.journal.test_proposals import CASE
from tests.trees.boundary_table import boundary_rows
from tests.whole_rules import whole_copy

DAY = ("--today", "2026-03-14")
#: By kind of file what a rename of a question edits; the node of the same name keeps its name.
_QUESTIONS = {"clock": "clock-place", "tread-depth": "tread-left", "run-low": "ran-soft", "sealant": "sealer-inside"}
_IN_CONDITIONS = (
    r"(?<=ask: ){0}$|(?<=[{{ ]){0}(?=: {{|: (?:known|(?:un)?answered))|\{{{0}\}}|"
    r"(?<=\[){0}(?=[,\]])|(?<=, ){0}(?=[,\]])"
)
NAMES = (*_QUESTIONS.items(),)


def _with(old: str, new: str, found: re.Match[str]) -> str:
    return found[0].replace(old, new)


def renamed(folder: Path, names: dict[str, str], formerly: bool = True) -> Path:
    """A copy of the shipped rules in which questions bear other ids."""
    whole_copy(folder)
    for old, new in names.items():
        for path in folder.glob("*.yaml"):
            text = path.read_text(encoding="utf-8")
            if path.name == "questions.yaml":
                note = f"\n  formerly: [{old}]" if formerly else ""
                text, count = re.subn(rf"^{old}:$", f"{new}:{note}", text, flags=re.M)
                assert count == 1
                text = text.replace(f"{{{old}}}", f"{{{new}}}")
            elif path.name in ("subjects.yaml", "answers.yaml", "intents.yaml"):
                text = re.sub(
                    rf"(?<=question: ){old}$|(?<=sketch: ){old}$|(?<=[{{ ]){old}(?=: )", new, text, flags=re.M
                )
                text = re.sub(rf"(?<=question: ){old}(?=[,}}])|(?<=sketch: ){old}(?=[,}}])", new, text, flags=re.M)
            elif path.name == "phrases.yaml":
                text = re.sub(rf"(?<=^  ){old}(?=:)|(?<=[{{ ]){old}(?=: )", new, text, flags=re.M)
            else:
                text = re.sub(_IN_CONDITIONS.format(old), partial(_with, old, new), text, flags=re.M)
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
    files = [str(path) for path in sorted((trees_folder() / "us-road" / "cases").glob("*.yaml"))]
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
    said = "truck, driven flat, sealant in it, a bulge, tread 9/32, a 5 mm hole in the crown at 3:00, 20 mm off center"
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
    folder = whole_copy(tmp_path / "us-road")
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
    for words in (("--show", "T42"), ("--export", str(tmp_path / "all.csv"))):
        told(capsys, "casings", *words, "--data", str(data), "--rules", str(folder))
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
    words = [
        sys.executable,
        "-m",
        "advisor",
        "--plain",
        "--in-order",
        "--resume",
        "--data",
        str(copy),
        "--rules",
        rules,
    ]
    done = subprocess.run(words, input=typed, capture_output=True, text=True, timeout=60, check=False)
    assert done.returncode == 0 and "Traceback" not in done.stderr, done.stderr
    return done.stdout


def numbered(said: str) -> list[str]:
    """The answers listed."""
    return re.findall(r"^\s*\d+\. .*: .*$", said.partition("> answers")[2], re.M)


def test_compare_tells_a_renamed_question_as_a_rename(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = renamed(tmp_path / "us-road", {"tread-depth": "tread-left", "sealant": "sealer-inside"})
    edited(folder, "questions.yaml", "name: sealant inside", "name: whether sealant inside")
    capsys.readouterr()
    main(["compare", "us-road", str(folder)])
    said = capsys.readouterr().out
    head = said.partition("RENAMED:")[2].partition("\n\n")[0]
    assert "\n  tread-depth -> tread-left" in head and "\n  sealant -> sealer-inside" in head
    assert "no case comes out otherwise" in said
    assert "LOOSER" not in said and "STRICTER" not in said


ABOUT = "id: over\ntitle: Over (invented for the demo)\nedition: 2026-11-25\nbuilds-on: us-road\n"
LIMIT = """  says: a figure
  value: 3 mm
  worse: above
  at-limit: passes
  standing: invented for the demo
  source: memory
  clause: none
"""
RULING = """nodes:
  injury-size:
    rulings:
      - id: own-one
        when: {{{question}: {{beyond: {limit}}}, {other}: {{has-any: [{choice}]}}}}
        ending: {ending}
        because: it reads {{{question}}}
      - id: own-two
        when: {{{question}: {{beyond: {limit}}}}}
        restriction: {restriction}
        because: it reads {{{question}}}
"""
#: Of the base: a question, a limit, a finding, an ending, a restriction, and what they are called later.
_LATER = {
    "injury-size": "hole-width", "nail-hole-size-light": "largest-light", "broken-belt": "torn-belt",
    "scrap-place-doubt": "scrap-place-open", "not-steer-axle": "never-steer",
}  # fmt: skip
_WORKING = {"question": "injury-size", "limit": "nail-hole-size-light", "other": "findings", "choice": "broken-belt",
            "ending": "scrap-place-doubt", "restriction": "not-steer-axle"}  # fmt: skip


def later_base(folder: Path) -> Path:
    """The shipped base in which those are renamed, each with what it was called formerly."""
    base = renamed(folder / "us-road", {"injury-size": _LATER["injury-size"]})
    for old, new in list(_LATER.items())[1:]:
        for path in base.glob("*.yaml"):
            text = re.sub(rf"(?<![\w-]){old}(?![\w-])", new, path.read_text(encoding="utf-8"))
            if path.name != "subjects.yaml":  # a subject of questions that bears the name is nothing recorded
                text = re.sub(rf"^{new}:$", f"{new}:\n  formerly: [{old}]", text, flags=re.M)
            if path.name == "questions.yaml":
                text = re.sub(rf"^    {new}: {{", f"    {new}: {{formerly: {old}, ", text, flags=re.M)
            path.write_text(text, encoding="utf-8")
    return base


def overlay_in(folder: Path) -> str:
    """An overlay of a shop by the names of the base as it was: a stricter limit, and two rulings."""
    over = folder / "over"
    over.mkdir(parents=True)
    put(over, "about.yaml", ABOUT)
    put(over, "limits.yaml", f"nail-hole-size-light:\n{LIMIT}")
    put(over, "paths.yaml", RULING.format(**_WORKING))
    return str(over)


def by_former_names(line: str) -> dict[str, Any]:
    """An answer of `decide --json` with the names of the base as it was."""
    for old, new in _LATER.items():
        line = re.sub(rf"(?<![\w-]){new}(?![\w-])", old, line)
    return {key: value for key, value in json.loads(line).items() if key != "rules"}


def test_an_overlay_may_name_the_base_as_it_was(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    whole_copy(tmp_path / "before/us-road")
    rules = [overlay_in(tmp_path / "before"), overlay_in(tmp_path / "after")]
    later_base(tmp_path / "after")
    said = told(capsys, "check", rules[1])
    assert "over/limits.yaml:1:1: note: nail-hole-size-light was read as largest-light, its name now" in said
    for old in _LATER:
        assert f"note: {old} was read as {_LATER[old]}, its name now" in said
    assert "note:" not in told(capsys, "check", rules[0])
    cases = put(tmp_path, "rows.jsonl", "".join(json.dumps(row.data) + "\n" for row in boundary_rows()[::4]))
    before, after = (told(capsys, "decide", cases, "--json", "--rules", each, *DAY).splitlines() for each in rules)
    assert sum("own-two" in line for line in before) > 3
    for one, other in zip(before, after, strict=True):
        assert by_former_names(one) == by_former_names(other)


def test_a_looser_limit_under_a_former_id_is_a_problem_too(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    later_base(tmp_path)
    over = overlay_in(tmp_path)
    edited(Path(over), "limits.yaml", "value: 3 mm", "value: 30 mm")
    assert "over/limits.yaml:1:1: loosened-limit" in told(capsys, "check", over, code=2)


def test_an_entry_of_an_overlay_under_both_names_is_a_problem(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    later_base(tmp_path)
    over = overlay_in(tmp_path)
    put(Path(over), "limits.yaml", f"nail-hole-size-light:\n{LIMIT}largest-light:\n{LIMIT}")
    assert 'over/limits.yaml:1:1: duplicate-key: "nail-hole-size-light"' in told(capsys, "check", over, code=2)


def test_the_demo_shop_goes_on_over_a_renamed_base(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    later_base(tmp_path)
    copytree(find_rule_set("demo-shop"), tmp_path / "demo-shop")
    files = [str(path) for path in sorted((trees_folder() / "demo-shop" / "cases").glob("*.yaml"))]
    rules = ["demo-shop", str(tmp_path / "demo-shop")]
    before, after = (told(capsys, "decide", *files, "--json", "--rules", each, *DAY).splitlines() for each in rules)
    assert [by_former_names(line) for line in before] == [by_former_names(line) for line in after]
    assert len(before) > 2


@pytest.mark.parametrize(
    ("file", "old", "new", "says"),
    [
        ("questions.yaml", "vehicle:\n", "vehicle:\n  formerly: [clock]\n", r":2:14: .*borne by clock now"),
        ("questions.yaml", "vehicle:\n", "vehicle:\n  formerly: [zone]\n", r":2:14: .*borne by zone now"),
        ("questions.yaml", "vehicle:\n", "vehicle:\n  formerly: [old, old]\n", r":2:19: .*given twice"),
        ("questions.yaml", "\nsealant:\n", "\nsealant:\n  formerly: [van]\n", None),
        ("limits.yaml", "nail-hole-size-light:\n", "nail-hole-size-light:\n  formerly: [nail-hole-size-truck]\n",
         r":\d+:14: .*borne by nail-hole-size-truck now"),
        ("restrictions.yaml", "not-steer-axle:\n", "not-steer-axle:\n  formerly: [not-dual-pair]\n", "former-id-taken"),
        ("endings.yaml", "scrap-place-doubt:\n", "scrap-place-doubt:\n  formerly: [scrap-place]\n", "former-id-taken"),
        ("cautions.yaml", None, None, "former-id-taken"),
        ("methods.yaml", "one-piece:\n", "one-piece:\n  formerly: [two-piece]\n", "former-id-taken"),
        ("questions.yaml", "    bulge: {", "    bulge: {formerly: [separation], ", ".*is a choice now"),
    ],
)  # fmt: skip
def test_a_former_id_that_leads_to_two_is_a_problem(
    file: str, old: str | None, new: str | None, says: str | None, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = whole_copy(tmp_path / "us-road")
    if old is None or new is None:
        text = (folder / file).read_text(encoding="utf-8")
        one, two = re.findall(r"^([a-z-]+):$", text, re.M)[:2]
        old, new = f"{one}:\n", f"{one}:\n  formerly: [{two}]\n"
    edited(folder, file, old, new)
    said = told(capsys, "check", str(folder), code=2 if says else 0)
    assert re.search(f"{file}.*{says}" if says else "nothing found", said), said
    assert says is None or said.count("former-id-taken") == len(re.findall(r"^\S", said, re.M)), said


def test_an_input_of_another_kind_is_not_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = renamed(tmp_path / "us-road", {"clock": "clock-place"})
    edited(folder, "questions.yaml", "formerly: [clock]", "formerly: []")
    edited(folder, "questions.yaml", "vehicle:\n", "vehicle:\n  formerly: [clock]\n")
    said = told(capsys, "check", str(folder), code=2)
    assert re.search(r"questions.yaml:\d+:14: former-id-unfit: \"clock\"", said)


def test_a_renamed_input_without_its_former_id_is_missed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = renamed(tmp_path / "us-road", {"sealant": "sealer-inside", "findings": "seen"}, formerly=False)
    said = told(capsys, "check", str(folder), code=1)
    assert 'us-road/questions.yaml:1:1: input-not-asked: no question "sealant"' in said
    assert 'no question "findings"' in said and said.count("input-not-asked") == 2


def test_an_answer_is_changed_and_asked_after_by_the_name_before(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = renamed(tmp_path / "us-road", {"vehicle": "carrier"})
    edited(folder, "methods.yaml", "one-piece:\n", "one-piece:\n  formerly: [plug-patch]\n")
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(b"truck\nchange vehicle\ncar\nanswers\n")))
    said = told(capsys, "--plain", "--in-order", "--no-journal", "--rules", str(folder))
    assert re.search(r"1\. [^\n]*: (?:A )?(?:passenger )?car", said.rpartition("> answers")[2], re.I), said[-1500:]
    case = put(tmp_path, "case.yaml", "answers: {vehicle: car, findings: [bulge]}\n")
    for word in ("one-piece", "plug-patch"):
        assert "one-piece" in told(capsys, "ask", case, f"why not {word}?", "--rules", str(folder)).casefold()
    assert "carrier" in told(capsys, "ask", case, "why do you ask about vehicle?", "--rules", str(folder), "--json")


def test_repairs_and_casings_recorded_before_are_proposed_as_before(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    names = {"repair-clock": "patch-place", "repair-offset": "patch-offset", "clock": "clock-place",
             "dot-code": "number", "offset": "off-centre"}  # fmt: skip
    folder = str(renamed(tmp_path / "us-road", names))
    before, after = Judge(load_rule_set(find_rule_set("us-road"))), Judge(load_rule_set(Path(folder)))
    (text,) = split_cases(CASE.replace("ANGLE", "0 deg").replace("LEAN", "along-tread"), "case")
    for judge, data in ((before, "before"), (after, "after")):
        with closing(journal_in(tmp_path / data)) as journal:
            keeper = begin_recording(journal, judge.rules)
            case = with_older_answers(read_case(text, judge.rules, TODAY), judge.rules)
            keeper.keep(Saved(case, (("vehicle", -1),), None, True), judge.judge(case))
    said = []
    for judge, data in ((before, "before"), (after, "before"), (after, "after")):
        with closing(journal_in(tmp_path / data)) as journal:
            consultation, keeper = Consultation(judge, TODAY), begin_recording(journal, judge.rules)
            messages = said_aside(keeper, consultation, "casing DOT 4B9Y ABC 2319") or []
            keeper.leave()
        page = told(capsys, "casings", "--show", "DOT 4B9YABC2319", "--data", str(tmp_path / data), "--rules", folder)
        said.append(
            ("\n".join(each for one in messages for each in one.texts), re.sub("digest .*|record .*", "", page))
        )
    assert "at 2:00" in said[0][0] and "offset -35 mm" in said[0][0]
    assert said[0] == said[1] == said[2]


def test_a_choice_is_typed_by_its_former_id(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = whole_copy(tmp_path / "us-road")
    for path in folder.glob("*.yaml"):
        path.write_text(re.sub(r"(?<![\w-])exposed-cord(?![\w-])", "cord-bare", path.read_text(encoding="utf-8")))
    edited(folder, "questions.yaml", "    cord-bare: {says: ", "    cord-bare: {formerly: [strands], says: ")
    lines = "\n".join(["strands" if line == "none" else line for line in TALK[: TALK.index("none") + 1]])
    said = []
    for rules in ("us-road", str(folder)):
        monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(f"{lines}\nverdict\n".encode())))
        said.append(told(capsys, "--plain", "--in-order", "--no-journal", "--rules", rules).rpartition("> verdict")[2])
    assert "SCRAP" not in said[0] and "SCRAP" in said[1]


def test_a_shared_question_is_renamed_and_what_still_goes_by_the_former_id_is_named(tmp_path: Path) -> None:
    """In shared phrases too, which would else be left out as those of a question that is not asked."""
    folder = Path(copytree(trees_folder() / "us-road", tmp_path / "us-road"))
    common = Path(copytree(trees_folder() / "common", tmp_path / "common"))
    edited(common, "questions.yaml", "\nsealant:\n", "\nsealer:\n  formerly: [sealant]\n")
    left = _left_over(folder)
    files = {"common/phrases.yaml", "common/subjects.yaml", "common/terms.yaml", "us-road/paths.yaml"}
    assert {place.file for place in left} == {*files, "us-road/questions.yaml"}
    for _ in range(9):
        for place in left:
            path = tmp_path / place.file
            lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
            before, after = lines[place.line - 1][: place.column - 1], lines[place.line - 1][place.column - 1 :]
            lines[place.line - 1] = before + after.replace("sealant", "sealer", 1)
            path.write_text("".join(lines), encoding="utf-8")
        if not (left := _left_over(folder)):
            break
    one, two = load_rule_set(trees_folder() / "us-road").content, load_rule_set(folder).content
    assert one["phrases.yaml"]["answers"]["sealant"] == two["phrases.yaml"]["answers"]["sealer"]


def _left_over(folder: Path) -> list[Place]:
    """Where an id of before is still named; each place says the one of today."""
    try:
        load_rule_set(folder)
    except Problems as error:
        assert all(problem.id == "unknown-name" and problem.nearest[:1] == ("sealer",) for problem in error.problems)
        return [problem.place for problem in error.problems]
    return []
