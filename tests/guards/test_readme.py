"""The README shows what the program really does: the case and its output, the commands, the picture."""

import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

from advisor import cli

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def block(language: str) -> str:
    found = re.search(rf"```{language}\n(.*?)```", README, re.DOTALL)
    assert found
    return found[1]


def run(*words, given=""):
    return subprocess.run(
        [sys.executable, "-m", "advisor", *words], input=given, capture_output=True, text=True, timeout=60, cwd=ROOT
    )


def test_the_decided_case_is_the_real_output(tmp_path):
    case = tmp_path / "case.yaml"
    case.write_text(block("yaml"), encoding="utf-8")
    done = run("decide", str(case))
    assert done.returncode == 0
    shown = block("text").rstrip("\n").splitlines()
    real = done.stdout.splitlines()[1:]
    assert len(shown) >= 15
    assert shown == real[: len(shown)]


def test_its_two_commands_stand_alone_on_a_line():
    commands = [line for line in README.splitlines() if line.startswith("python3 -m venv ")]
    assert len(commands) == 2
    assert commands[0].endswith(".venv/bin/advisor")
    assert commands[1].endswith("-m pytest -n auto")


def test_its_pictures_and_links_exist():
    for target in re.findall(r"\]\(([^)]+)\)", README):
        assert (ROOT / target).is_file(), target


#: Examples that take long, and the test that runs the very same words.
RUN_ELSEWHERE = {
    "advisor compare us-road demo-shop": ("tools/test_compare.py", 'said(capsys, "us-road", "demo-shop")'),
    "advisor replay transcripts_demo/*.txt": ("replay/test_replay_command.py", "run([str(file) for file in FILES])"),
}


@pytest.mark.parametrize("command", sorted(cli.COMMANDS))
def test_each_help_shows_an_example_that_works(command, capsys):
    assert cli.main([command, "--help"]) == 0
    example = capsys.readouterr().out.rstrip().splitlines()[-1].strip()
    assert "advisor " in example
    if example in RUN_ELSEWHERE:
        file, words = RUN_ELSEWHERE[example]
        assert words in (ROOT / "tests" / file).read_text(encoding="utf-8")
        return
    words = example.replace("advisor", f"{shlex.quote(sys.executable)} -m advisor")
    tried = subprocess.run(["bash", "-c", words], capture_output=True, text=True, timeout=120, cwd=ROOT)
    assert tried.returncode in (0, 1), tried.stderr
    assert "Traceback" not in tried.stderr
    assert tried.stdout


def test_help_names_every_command():
    said = run("--help").stdout
    for command in cli.COMMANDS:
        assert f"advisor {command}" in said


def test_an_unknown_word_is_no_command():
    done = run("decid", "x")
    assert done.returncode == 2
    assert "  nearest   decide\n" in done.stderr


def test_its_lines_of_python_do_what_stands_beside_them():
    lines = block("python")
    assert len([line for line in lines.splitlines() if line.strip()]) == 10
    done = subprocess.run([sys.executable, "-c", lines], capture_output=True, text=True, timeout=60, cwd=ROOT)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.splitlines() == re.findall(r"print\(.*\)  # (.*)", lines)
