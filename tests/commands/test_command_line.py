"""The command line by its declarations: every command's help, its options in any place, what is misspelled, Tab."""

import os
import subprocess
import sys

import pytest

from advisor.cli import COMMANDS, main, parser_tree
from advisor.model.exit_code import ExitCode

ALL = ["", *sorted(COMMANDS)]


def said(capsys, *words):
    code = main([word for word in words if word])
    return (code, *capsys.readouterr())


@pytest.mark.parametrize("command", ALL)
def test_the_help_of_a_command_is_made_from_its_options(command, capsys):
    code, out, err = said(capsys, command, "--help")
    assert (code, err) == (0, "")
    assert out.startswith(f"usage: advisor {command}".rstrip())
    for option in ("--rules ID|FOLDER", "-h, --help", "\nexample:\n  "):
        assert option in out
    if command:
        assert COMMANDS[command][1].split()[0] in out


@pytest.mark.parametrize("command", ALL)
@pytest.mark.parametrize(("typed", "meant"), [("--ruls", "--rules"), ("--rule=x", "--rules"), ("-help", "--help")])
def test_a_misspelled_option_of_any_command_is_led_to_the_right_one(command, typed, meant, capsys):
    code, out, err = said(capsys, command, typed)
    assert (code, out) == (2, "")
    first, expected, nearest, do = err.splitlines()
    assert first == f'command line:1:1: bad-option: "{typed}"'
    assert expected.startswith("  expected  one of: ") and meant in expected
    assert nearest.startswith("  nearest   ") and meant in nearest
    assert do == "  do        see --help"


@pytest.mark.parametrize("command", ALL)
def test_an_option_without_its_value_says_so(command, capsys):
    for words in (["--rules"], ["--rules", "--help-me-not", "--rules"]):
        code, out, err = said(capsys, command, *words)
        assert (code, out) == (2, "")
        assert "bad-option: --rules without a value\n  expected  a value after it\n" in err


@pytest.mark.parametrize(
    "words",
    [
        ["decide", "--json", "--today", "2026-03-14", "FILE"],
        ["decide", "FILE", "--json", "--today=2026-03-14"],
        ["decide", "--today", "2026-03-14", "FILE", "--json"],
        ["decide", "--json", "--today", "2026-03-15", "--today", "2026-03-14", "--", "FILE"],
    ],
)
def test_options_stand_before_between_and_after_the_words(words, tmp_path, capsys):
    file = tmp_path / "case.yaml"
    file.write_text("answers: {vehicle: truck}\n")
    once = said(capsys, "decide", str(file), "--today", "2026-03-14", "--json")
    assert once[0] == 0 and once[1].startswith("{")
    assert said(capsys, *(str(file) if word == "FILE" else word for word in words)) == once


@pytest.mark.parametrize(
    ("words", "found", "expected"),
    [
        ("casings --verify --show T42", "--verify and --show", "one of them at a time"),
        ("casings --forget x --import=y", "--forget and --import", "one of them at a time"),
        ("casings --most 0", '"0" as --most', "a number from 1 to 1000000"),
        ("decide x.csv --cores none", '"none" as --cores', "a number from 1 on"),
        ("decide x.csv --map Tread", '"Tread" as --map', "COLUMN=QUESTION"),
        ("decide x --today yesterday", '"yesterday" as --today', "a date such as 2026-03-14"),
        ("draw x --unit furlong", '"furlong" as --unit', "mm or in"),
        ("compare us-road", "1 rule sets", "two: the old and the new"),
        ("decide --json=yes x", '"--json=yes"', "one of: "),
        ("decide --jso x", '"--jso"', "one of: "),
    ],
)
def test_what_does_not_fit_is_told_in_the_house_form(words, found, expected, capsys):
    code, out, err = said(capsys, *words.split())
    assert (code, out) == (2, "")
    assert f": {found}\n  expected  {expected}" in err and "  do        see --help\n" in err


def test_a_value_may_begin_with_a_hyphen(tmp_path, capsys, monkeypatch):
    monkeypatch.chdir(tmp_path)
    code, out, _ = said(capsys, "draw", "us-road", "--around", "injury-size", "--svg", "-graph.svg")
    assert code == 0 and (tmp_path / "-graph.svg").exists() and "Written: -graph.svg" in out


def test_a_start_builds_the_parser_of_its_own_command_only(tmp_path):
    code = (
        "import sys; from advisor.cli import main; main(['words', 'bead']);"
        "print([name for name in sys.modules if name.startswith('advisor.commands.')])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=True)
    assert done.stdout.splitlines()[-1] == "['advisor.commands.command_parser', 'advisor.commands.words']"


def test_the_meaning_of_the_exit_codes_stands():
    assert [(code.name, int(code)) for code in ExitCode] == [
        ("DONE", 0),
        ("FOUND", 1),
        ("BAD_INPUT", 2),
        ("LOST", 3),
        ("PARTLY", 4),
        ("INTERRUPTED", 130),
    ]


def completed(line):
    """What the shell is offered for a line when the Tab key is pressed, as argcomplete is asked for it."""
    code = "import os, sys; os.dup2(1, 8); from advisor.cli import main; sys.argv[0] = 'advisor'; main()"
    asked = {"_ARGCOMPLETE": "1", "_ARGCOMPLETE_IFS": "\n", "COMP_LINE": line, "COMP_POINT": str(len(line))}
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, timeout=60, env=os.environ | asked
    )
    assert done.stderr == ""
    return [word.strip() for word in done.stdout.split("\n")]


@pytest.mark.parametrize(
    ("line", "offered"),
    [
        ("advisor dec", ["decide"]),
        ("advisor --no", ["--no-journal"]),
        ("advisor decide --to", ["--today"]),
        ("advisor casings --ver", ["--verify"]),
        ("advisor casings --verify --se", [""]),
    ],
)
def test_tab_completes_commands_and_their_options(line, offered):
    assert completed(line) == offered


def test_the_tree_holds_every_command():
    for command in COMMANDS:
        assert parser_tree().parse_args([command]) is not None
