"""`advisor replay`: clean, changed, renewed, ill-formed."""

from __future__ import annotations

import io
import sys
from datetime import date
from pathlib import Path
from types import SimpleNamespace

import pytest

from advisor.cli import main
from advisor.console import runner
from advisor.console.replaying import played, read_transcript, without_digest
from tests.replay.support import FILES, FOLDER, NAMES, judge, transcript


def run(words: list[str]) -> int:
    return main(["replay", *words])


NAIL = FOLDER / "01-nail-in-the-crown.txt"
HEAD = "A tire\nAbout it.\nrules: us-road\ntoday: 2026-03-14\nInvented for the demo: all of it.\n"


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    """A transcript that says what the program says now, and may be changed."""
    file = tmp_path / "nail.txt"
    file.write_text(played(transcript(NAIL.stem), judge()), encoding="utf-8")
    return file


def test_all_demo_transcripts_are_clean(capsys: pytest.CaptureFixture[str]) -> None:
    assert run([str(file) for file in FILES]) == 0
    out, err = capsys.readouterr()
    assert len(out.splitlines()) == len(FILES) and not err


def test_a_changed_line_is_shown_with_its_place(copy: Path, capsys: pytest.CaptureFixture[str]) -> None:
    lines = copy.read_text(encoding="utf-8").split("\n")
    place = lines.index("  Noted: The vehicle: Truck or truck tractor")
    lines[place] = "  Noted: The vehicle: Lorry"
    copy.write_text("\n".join(lines), encoding="utf-8")
    assert run([str(copy)]) == 1
    out = capsys.readouterr().out
    assert out.startswith(f"{copy}:{place + 1}: no longer says the same\n")
    assert f"--- {copy} (kept)" in out and f"+++ {copy} (as said now)" in out
    assert "\n-  Noted: The vehicle: Lorry\n+  Noted: The vehicle: Truck or truck tractor\n" in out
    clean = copy.with_name("clean.txt")
    clean.write_text(played(transcript(NAIL.stem), judge()), encoding="utf-8")
    assert run([str(copy), str(clean)]) == 1, "a clean file does not hide it"


def test_another_answer_gives_another_text(copy: Path, capsys: pytest.CaptureFixture[str]) -> None:
    copy.write_text(copy.read_text(encoding="utf-8").replace("\n> 8 mm\n", "\n> 12 mm\n"), encoding="utf-8")
    assert run([str(copy)]) == 1
    assert "+REFER: " in capsys.readouterr().out


def test_write_renews_and_keeps_header_and_typed_lines(copy: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file, whole = copy, copy.read_text(encoding="utf-8")
    typed = "".join(f"> {text}".rstrip() + "\n" for _, text in transcript(NAIL.stem).typed)
    header = NAIL.read_text(encoding="utf-8").partition("\n\n")[0]
    file.write_text(f"{header}\n\n{typed}", encoding="utf-8")
    assert run([str(file)]) == 1
    assert run(["--write", str(file)]) == 0
    assert file.read_text(encoding="utf-8") == whole
    capsys.readouterr()
    assert run(["--write", str(file)]) == 0
    assert capsys.readouterr().out == f"{file}: as it was\n"
    assert run([str(file)]) == 0


def test_a_log_with_the_digest_in_it_is_the_same(copy: Path) -> None:
    text = copy.read_text(encoding="utf-8")
    text = text.replace("edition (not kept)", "edition 2020-01-01")
    text = text.replace("(not kept)", "0123456789abcdef")
    copy.write_text(text, encoding="utf-8")
    assert run([str(copy)]) == 0


def test_digest_and_edition_are_taken_out_but_not_of_typed_lines() -> None:
    said = "edition 2026-11-25, digest\n    3c68ff127d2d74fa\n> digest 3c68ff127d2d74fa\n>\nin digest form"
    assert without_digest(said) == (
        "edition (not kept), digest\n    (not kept)\n> digest 3c68ff127d2d74fa\n>\nin digest form"
    )


def test_line_ends_and_byte_order_mark_do_not_matter(copy: Path) -> None:
    text = copy.read_text(encoding="utf-8").replace("\n", "\r\n")
    copy.write_bytes(b"\xef\xbb\xbf" + text.encode())
    assert run([str(copy)]) == 0


ILL_FORMED = {
    "empty": ("", "1:1: no-scenario"),
    "no header": ("\n> car\n", "1:1: no-scenario"),
    "nothing typed": (HEAD + "\nQuestion 1\n", "7:1: nothing-typed"),
    "no body": (HEAD, "7:1: nothing-typed"),
    "no rules": (HEAD.replace("rules: us-road\n", "") + "\n> car\n", '5:1: missing-line: no line "rules: ..."'),
    "no mark": (HEAD.replace("Invented for the demo", "By") + "\n> car\n", "6:1: missing-line"),
    "no scenario": (HEAD.replace("About it.\n", "") + "\n> car\n", "1:1: no-scenario"),
    "twice": (HEAD + "today: 2026-03-14\n\n> car\n", '6:1: twice: "today: ..." again'),
    "no date": (HEAD.replace("2026-03-14", "soon") + "\n> car\n", '4:8: bad-date: "soon"'),
    "no value": (HEAD.replace("us-road", "") + "\n> car\n", "3:1: no-value"),
    "unknown rules": (HEAD.replace("us-road", "us-rode") + "\n> car\n", "3:1: unknown-rule-set"),
    "after quit": (HEAD + "\n> car\n> quit\n> truck\n", "9:1: typed-after-quit: 1 typed lines"),
}


@pytest.mark.parametrize("case", ILL_FORMED)
@pytest.mark.parametrize("options", [[], ["--write"]])
def test_ill_formed(case: str, options: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text, problem = ILL_FORMED[case]
    file = tmp_path / "ill.txt"
    file.write_text(text, encoding="utf-8")
    assert run([*options, str(file)]) == 2
    assert f"{file}:{problem}" in capsys.readouterr().err
    assert file.read_text(encoding="utf-8") == text, "an ill-formed file is left as it is"


def test_unreadable_files_do_not_stop_the_others(
    tmp_path: Path, copy: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    binary = tmp_path / "binary.txt"
    binary.write_bytes(b"A title\n\xff\xfe\x00")
    assert run([str(tmp_path), str(tmp_path / "none.txt"), str(binary), str(copy)]) == 2
    out, err = capsys.readouterr()
    assert f"{copy}: says the same" in out
    assert "a folder where a file was expected" in err and f"{binary}:2:1: not-text" in err and "none.txt" in err


def test_control_signs_in_a_file_never_reach_the_terminal(copy: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with copy.open("a", encoding="utf-8") as file:
        file.write("\x1b[2J\u202e evil\n")
    assert run([str(copy)]) == 1
    out = capsys.readouterr().out
    assert "\x1b" not in out and "\u202e" not in out and "\\x1b[2J" in out


def test_rules_given_win_over_the_header(copy: Path, capsys: pytest.CaptureFixture[str]) -> None:
    copy.write_text(copy.read_text(encoding="utf-8").replace("rules: us-road", "rules: gone"), encoding="utf-8")
    assert run([str(copy)]) == 2
    assert run(["--rules", "us-road", str(copy)]) == 0
    assert run(["--rules", "gone", str(copy)]) == 2
    assert "--rules" in capsys.readouterr().err


@pytest.mark.parametrize("words", [[], ["--wrote", "x"], ["--rules"]])
def test_bad_command_lines(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert run(words) == 2
    assert "command line:1:1" in capsys.readouterr().err


def test_help_has_an_example(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["--help"]) == 0
    out = capsys.readouterr().out
    assert "advisor replay transcripts_demo/*.txt" in out and "--write" in out and "--rules" in out


@pytest.mark.parametrize("name", [NAMES[0], NAMES[16]])
def test_a_transcript_is_what_the_plain_consultation_prints(
    name: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The lines typed into `advisor --plain` in a pipe, to the end of input: the transcript's body, exit code 0."""
    typed = "".join(f"{text}\n" for _, text in transcript(name).typed)
    stdin = SimpleNamespace(buffer=io.BytesIO(typed.encode()), isatty=lambda: False)
    monkeypatch.setattr(sys, "stdin", stdin)
    monkeypatch.setattr(runner, "date", SimpleNamespace(today=lambda: date(2026, 3, 14)))
    assert runner.run_plain([], runner.Kept(in_order=True)) == 0
    said = [line.rstrip() for line in capsys.readouterr().out.rstrip().split("\n")]
    body = read_transcript(played(transcript(name), judge()), name).body
    assert without_digest("\n".join(said)) == "\n".join(body)
