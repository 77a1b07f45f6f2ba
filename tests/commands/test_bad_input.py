"""No traceback, ever: whatever a case file holds, the answer is a clear problem with its place and exit code 2."""

import json
import os
import subprocess
import sys

import pytest

BAD_FILES = {
    "empty.yaml": (b"", "no-case"),
    "comment.yaml": (b"# nothing\n", "no-case"),
    "binary.yaml": (bytes(range(256)) * 20, "not-text"),
    "nul.yaml": (b'answers: {vehicle: "ca\x00r"}\n', "not-text"),
    "deep-flow.yaml": (b"answers: " + b"[" * 5000 + b"]" * 5000, None),
    "deep-dashes.yaml": (b"- " * 3000 + b"x", "too-deep"),
    "deep-block.yaml": (b"".join(b" " * level + b"a:\n" for level in range(800)), "too-deep"),
    "bomb.yaml": (b"a: &a [x,x]\nb: &b [*a,*a]\nc: [*b,*b]\n", "no-anchor"),
    "tag.yaml": (b"answers: {vehicle: !!python/object/apply:os.system [ls]}\n", "no-tag"),
    "long.yaml": (b'answers: {sidewall: "' + b"x" * 10**6 + b'"}\n', "bad-answer"),
    "twice.yaml": (b"answers:\n  vehicle: car\n  vehicle: bus\n", "duplicate-key"),
    "key.yaml": (b"answers:\n  vehicl: car\n", "unknown-question"),
    "place.yaml": (b"answers:\n  injury-size: 3 mm\n", "unknown-question"),
    "unit.yaml": (b"answers: {found-pressure: 90}\n", "bad-answer"),
    "angle.yaml": (b"injuries: [{injury-angle: 85 deg}]\n", "bad-answer"),
    "clock.yaml": (b'injuries: [{clock: "13:00"}]\n', "bad-answer"),
    "markup.yaml": ('answers: {vehicle: "[/] [b] \u202eabc \x1b[31m"}\n'.encode(), None),
    "list.yaml": (b"- a\n- b\n", "wrong-kind"),
    "scalar.yaml": (b"hello\n", "wrong-kind"),
    "tab.yaml": (b"answers:\n\tvehicle: car\n", "not-yaml"),
    "quote.yaml": (b'answers: {vehicle: "car}\n', "not-yaml"),
    "list-key.yaml": (b"? [a,b]\n: 3\n", "wrong-kind"),
    "injuries.yaml": (b"injuries: {a: b}\n", "wrong-kind"),
    "none-and.yaml": (b"answers: {findings: [none, bulge]}\n", "bad-answer"),
    "both.yaml": (b"answers: {findings: {present: [bulge], absent: [bulge]}}\n", "bad-answer"),
    "today.yaml": (b"today: 2026-13-45\n", "bad-date"),
    "date.yaml": (b'answers: {dot-code: "5424"}\n', "bad-date-code"),
    "utf.yaml": (b'answers: {vehicle: "\xff\xfe"}\n', "not-text"),
    "rules.yaml": (b"rules: nope\nanswers: {}\n", "unknown-rule-set"),
    "surrogate.json": (b'{"answers":{"sidewall":"\\ud800abc"}}', "not-yaml"),
    "number.json": (b'{"answers":{"set-pressure":110}}', "bad-answer"),
}


def decide(*arguments, given=b""):
    return subprocess.run(
        [sys.executable, "-m", "advisor", "decide", "--json", *arguments], input=given, capture_output=True, timeout=60
    )


@pytest.fixture(scope="module")
def answers(tmp_path_factory):
    """All bad files judged in one run, with good ones between: the batch goes on."""
    folder = tmp_path_factory.mktemp("bad")
    names = []
    for name, (data, _) in BAD_FILES.items():
        (folder / name).write_bytes(data)
        names.append(name)
    (folder / "good.yaml").write_text("answers: {vehicle: car}\n")
    (folder / "folder.yaml").mkdir()
    done = subprocess.run(
        [sys.executable, "-m", "advisor", "decide", "--json", *names, "folder.yaml", "missing.yaml", "good.yaml"],
        cwd=folder, capture_output=True, timeout=120, env={**os.environ, "PYTHONPATH": os.getcwd()},
    )  # fmt: skip
    lines = [json.loads(line) for line in done.stdout.splitlines()]
    assert len(lines) == len(names) + 3
    return done, dict(zip([*names, "folder.yaml", "missing.yaml", "good.yaml"], lines, strict=True))


def test_exit_code_and_no_traceback(answers):
    done, _ = answers
    assert done.returncode == 2
    assert b"Traceback" not in done.stderr
    assert b"a fault of the program" not in done.stderr
    assert b"\x1b" not in done.stderr
    assert "\u202e".encode() not in done.stderr


@pytest.mark.parametrize("name", [*BAD_FILES, "folder.yaml", "missing.yaml"])
def test_every_bad_file_has_its_problem(answers, name):
    done, lines = answers
    answer = lines[name]
    assert answer["verdict"] is None
    assert answer["problems"]
    wanted = BAD_FILES.get(name, (b"", "unreadable-file"))[1]
    if wanted:
        assert wanted in {problem["id"] for problem in answer["problems"]}
    for problem in answer["problems"]:
        assert problem["line"] >= 1
        assert problem["column"] >= 1
        assert problem["found"]
    assert f"{name}:".encode() in done.stderr


def test_the_good_case_after_them_is_judged(answers):
    _, lines = answers
    assert lines["good.yaml"]["verdict"] == "hold"
    assert lines["good.yaml"]["problems"] == []


def test_json_lines_keep_their_line_numbers(tmp_path):
    cases = tmp_path / "cases.jsonl"
    cases.write_text('{"answers":{"vehicle":"car"}}\n\n{"answers":{"vehicle":"boat"}}\nnot json {\n')
    done = decide(str(cases))
    lines = [json.loads(line) for line in done.stdout.splitlines()]
    assert [line["verdict"] for line in lines] == ["hold", None, None]
    assert [line["problems"][0]["line"] for line in lines[1:]] == [3, 4]
    assert lines[1]["problems"][0]["column"] == 23


GOOD = "answers: {vehicle: car}\n"


@pytest.mark.parametrize(
    ("bad", "problem", "line"),
    [
        ("answers: {vehicle: &here truck}\n", "no-anchor", 3),
        ("answers: {vehicle: truck\n", "not-yaml", 4),
        ("- a\n", "wrong-kind", 3),
        ("answers: {vehicle: boat}\n", "bad-answer", 3),
    ],
)
def test_a_bad_document_does_not_spoil_the_others(tmp_path, bad, problem, line):
    cases = tmp_path / "cases.yaml"
    cases.write_text(f"{GOOD}---\n{bad}---\n{GOOD}--- {{answers: {{vehicle: car}}}}\n")
    done = decide(str(cases))
    lines = [json.loads(line) for line in done.stdout.splitlines()]
    assert [answer["verdict"] for answer in lines] == ["hold", None, "hold", "hold"]
    assert [(each["id"], each["line"]) for each in lines[1]["problems"]] == [(problem, line)]
    assert done.returncode == 2


def test_what_stands_before_the_first_document_is_none(tmp_path):
    cases = tmp_path / "cases.yaml"
    cases.write_text(f"%YAML 1.1\n# two cases\n\n---\n{GOOD}...\n---\n{GOOD}")
    done = decide(str(cases))
    assert [json.loads(line)["verdict"] for line in done.stdout.splitlines()] == ["hold", "hold"]
    assert done.returncode == 0


def test_standard_input_and_unknown_options():
    assert json.loads(decide("-", given=b"answers: {vehicle: bus}\n").stdout)["verdict"] == "hold"
    wrong = decide("--jsn", "x.yaml")
    assert wrong.returncode == 2
    assert b"--json" in wrong.stderr
    assert decide().returncode == 2


def test_an_unreadable_rule_set_names_every_file(tmp_path):
    (tmp_path / "about.yaml").write_text("id: x\n")
    case = tmp_path / "case.txt"
    case.write_text("answers: {}\n")
    done = decide(str(case), "--rules", str(tmp_path))
    assert done.returncode == 2
    assert done.stderr.count(b"unreadable-file") >= 5
    assert b"missing-key" in done.stderr
