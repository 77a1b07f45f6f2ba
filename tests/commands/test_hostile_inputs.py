"""What is no file, no text, or no command is refused with words; nothing in a name moves the cursor."""

from __future__ import annotations

import io
import os
import shutil
import signal
import subprocess
import sys
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path

import pytest

from advisor.cli import main
from advisor.loader.paths import trees_folder
from tests.whole_rules import whole_copy

ROOT = Path(__file__).parent.parent.parent
CASE = "answers: {vehicle: truck}\n"
#: ESC in its two forms, a carriage return, and a change of the direction of writing.
NAME = "e\x1b[31mvil\x9b2J\r\u202ex"


def _run(*words: str, memory_mb: int = 0) -> subprocess.CompletedProcess[str]:
    limit = f"import resource; resource.setrlimit(resource.RLIMIT_AS, ({memory_mb << 20},) * 2); " if memory_mb else ""
    code = f"{limit}import sys; from advisor.cli import main; sys.exit(main())"
    return subprocess.run(
        [sys.executable, "-c", code, *words],
        capture_output=True,
        text=True,
        timeout=60,
        cwd=ROOT,
        check=False,
        input="",
    )


class Waits(BaseException):
    """It waits for something. No OSError, as TimeoutError is: those are told like any file that can't be read."""


def _said(*words: str) -> tuple[int, str]:
    """Exit code and all that was printed; what would be waited for for ever fails after some seconds."""

    def stop(*_: object) -> None:
        raise Waits

    out = io.StringIO()
    before = signal.signal(signal.SIGALRM, stop)
    signal.alarm(40)
    try:
        with redirect_stdout(out), redirect_stderr(out):
            return main([*words]), out.getvalue()
    finally:
        signal.alarm(0)
        signal.signal(signal.SIGALRM, before)


@pytest.fixture
def pipe(tmp_path: Path) -> str:
    os.mkfifo(tmp_path / "pipe.yaml")
    return str(tmp_path / "pipe.yaml")


@pytest.mark.parametrize(
    "words",
    [
        ["decide", "PIPE"], ["report", "PIPE"], ["draw", "PIPE"], ["ask", "PIPE", "why"], ["replay", "PIPE"],
        ["hear", "--after", "PIPE", "screw"], ["casings", "--import", "PIPE"], ["casings", "--import", "PIPE.csv"],
        ["casings", "--merge", "PIPE"], ["decide", "PIPE.csv"], ["decide", "PIPE.jsonl"], ["--plain", "--key", "PIPE"],
    ],
    ids=" ".join,
)  # fmt: skip
def test_a_named_pipe_is_refused_and_not_waited_for(pipe: str, words: list[str], tmp_path: Path) -> None:
    for ending in (".csv", ".jsonl"):
        os.mkfifo(f"{pipe}{ending}")
    data = ["--data", str(tmp_path / "d")] if words[0] == "casings" else []
    code, said = _said(*(word.replace("PIPE", pipe) for word in words), *data)
    assert code == 2 and "a named pipe where a file was expected" in said
    assert "fault of the program" not in said


def test_a_named_pipe_among_rules_is_refused_and_not_waited_for(tmp_path: Path) -> None:
    folder = whole_copy(tmp_path / "rules")
    (folder / "limits.yaml").unlink()
    os.mkfifo(folder / "limits.yaml")
    (tmp_path / "case.yaml").write_text(CASE)
    for words in (["check", str(folder)], ["decide", str(tmp_path / "case.yaml"), "--rules", str(folder)]):
        code, said = _said(*words)
        assert code in (1, 2) and "a named pipe where a file was expected" in said


def test_what_another_program_hands_over_is_read() -> None:
    command = f"{sys.executable} -m advisor decide <(printf '{CASE.strip()}')"
    done = subprocess.run(["bash", "-c", command], capture_output=True, text=True, timeout=60, cwd=ROOT, check=False)
    assert (done.returncode, done.stderr) == (0, "") and "HOLD" in done.stdout


@pytest.mark.parametrize("ending", ["yaml", "json", "jsonl", "csv", "txt"])
def test_a_file_of_zeros_is_told_for_what_it_is(tmp_path: Path, ending: str) -> None:
    file = tmp_path / f"zeros.{ending}"
    with file.open("wb") as out:
        out.truncate(50 * 2**20)
    for words in (["decide", str(file)], ["report", str(file)]):
        done = _run(*words, memory_mb=600)
        assert done.returncode == 2 and "fault of the program" not in done.stderr, done.stderr[:400]
        assert len(done.stderr) < 6000 and str(file) in done.stderr


@pytest.mark.parametrize("text", ["a: b{n}\n", "- [[{n}]]\n", "{{{n}: 1}}\n", "# {n}\n", "x" * 60 + "{n}"])
def test_a_very_large_file_is_told_for_what_it_is(tmp_path: Path, text: str) -> None:
    file = tmp_path / "large.yaml"
    with file.open("w") as out:
        for count in range(3_000_000 // len(text) * 12):
            out.write(text.replace("{n}", str(count)))
    done = _run("decide", str(file), memory_mb=900)
    assert done.returncode == 2 and "fault of the program" not in done.stderr, done.stderr[:400]
    assert len(done.stderr) < 3000


def _moves_the_cursor(text: str) -> bool:
    return any(sign in text for sign in ("\x1b[31", "\x9b", "\r", "\u202e"))


def _of_names() -> list[list[str]]:
    good, bad, none, rules, wrong = (f"{NAME}{end}" for end in (".yaml", "-bad.yaml", "-none.yaml", "-rules", "-wrong"))
    return [
        ["decide", good], ["decide", bad], ["decide", none], ["decide", bad, "--json"], ["decide", f"{NAME}.csv"],
        ["decide", good, "--rules", rules], ["decide", good, "--rules", wrong], ["decide", good, "--rules", none],
        ["decide", f"{NAME}.csv", "--json", "--into", f"{NAME}.out"], ["decide", good, "--rules", f"us-road@{NAME}"],
        ["report", good], ["report", bad], ["report", good, "--html", f"{NAME}.html"], ["report", NAME],
        ["report", good, "--html", f"no/{NAME}.html"], ["replay", f"{NAME}.txt"], ["replay", none], ["replay", good],
        ["casings", "--data", NAME], ["casings", "--merge", good, "--data", "d"], ["casings", NAME, "--data", "d"],
        ["casings", "--import", f"{NAME}.csv", "--data", "d"], ["casings", "--import", good, "--data", "d"],
        ["casings", "--import", f"{NAME}.parquet", "--data", "d"], ["casings", "--show", NAME, "--data", "d"],
        ["casings", "--export", f"{NAME}.csv", "--data", "d"], ["casings", "--export", f"{NAME}.x", "--data", "d"],
        ["casings", "--backup", f"{NAME}.copy", "--data", "d"], ["casings", "--seal", f"{NAME}.seal", "--data", "d"],
        ["casings", "--verify", "--against", good, "--data", "d"], ["casings", "--forget", NAME, "--data", "d"],
        ["casings", "--verify", "--public", good, "--data", "d"], ["casings", "--verify", "--data", good],
        ["check", rules], ["check", wrong], ["check", none], ["draw", good], ["draw", bad], ["draw", rules],
        ["draw", good, "--svg", f"{NAME}.svg"], ["draw", good, "--svg", f"{good}/{NAME}.svg"],
        ["draw", rules, "--svg", f"{NAME}.svg"], ["draw", good, "--out", NAME], ["compare", "us-road", rules],
        ["compare", "us-road", wrong], ["compare", "us-road", none], ["sources", "--rules", rules],
        ["compare", "--records", "us-road", rules, "--data", "d"], ["sources", "--rules", wrong],
        ["sources", "--audit", "--rules", rules], ["new", f"{NAME}-new", "--builds-on", "us-road"], ["ask", bad, "why"],
        ["schemas", rules], ["hear", "--after", bad, "x"], ["hear", NAME], ["hear", "--json", NAME], ["words", NAME],
        ["--plain", "--rules", wrong], ["--plain", "--rules", none], ["--plain", "--key", good], ["sidewall", NAME],
        ["--plain", "--data", good, "--resume"], [NAME], [f"--{NAME}"], ["decide", f"--{NAME}"],
        ["sidewall", NAME, "--json"], ["ask", good, NAME], ["ask", good, NAME, "--json"],
    ]  # fmt: skip


@pytest.fixture(scope="module")
def evil(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder whose files have such names."""
    home = tmp_path_factory.mktemp("evil")
    for end, text in ((".yaml", CASE), ("-bad.yaml", "answers: {vehicle: boat}\n"), (".csv", "vehicle\ntruck\nboat\n")):
        (home / f"{NAME}{end}").write_text(text)
    shutil.copy(ROOT / "transcripts_demo" / "01-nail-in-the-crown.txt", home / f"{NAME}.txt")
    for end in ("-rules", "-wrong"):
        whole_copy(home / f"{NAME}{end}")
    with (home / f"{NAME}-wrong" / "limits.yaml").open("a") as file:
        file.write("zzz: 1\n")
    (home / f"{NAME}-rules" / "limits.yaml").write_text(
        (trees_folder() / "us-road" / "limits.yaml").read_text().replace("at-limit: passes", "at-limit: fails", 1)
    )
    record = '{"vehicle": "truck"}'
    for words in (["--plain", "--data", "d", "--casing", NAME, "--technician", NAME],):
        code = "import sys; from advisor.cli import main; sys.exit(main())"
        env = {**os.environ, "PYTHONPATH": str(ROOT)}
        subprocess.run([sys.executable, "-c", code, *words], cwd=home, input="1\nnote " + NAME + record, text=True,
                       capture_output=True, check=False, env=env)  # fmt: skip
    return home


def test_no_name_of_a_file_moves_the_cursor(evil: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(evil)
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO()))
    found = [" ".join(map(ascii, words)) for words in _of_names() if _moves_the_cursor(_said(*words)[1])]
    assert found == []


@pytest.mark.parametrize(("word", "nearest"), [("rehearse", ""), ("decid", "decide"), ("Casing", "casings"),
                                               ("consult", ""), ("", ""), ("comapre", "compare")])  # fmt: skip
@pytest.mark.parametrize("rest", [[], ["--technician", "someone"], ["--no-such-option"], ["--help"]])
def test_a_command_that_is_none_is_refused_with_the_nearest(word: str, nearest: str, rest: list[str]) -> None:
    code, said = _said(word, *rest)
    assert code == 2 and "unknown-command" in said
    assert not nearest or f"nearest   {nearest}" in said


@pytest.mark.skipif(os.name != "posix", reason="rights of files")
def test_what_holds_a_name_is_its_owners(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    before = os.umask(0)
    try:
        (tmp_path / "case.yaml").write_text(CASE)
        assert _said("report", "case.yaml", "--technician", "Worker Seven", "--html", "r.html")[0] == 0
        code = "import sys; from advisor.cli import main; sys.exit(main())"
        words = ["--plain", "--data", "d", "--technician", "W"]
        subprocess.run([sys.executable, "-c", code, *words], input="1\n", text=True,
                       capture_output=True, check=True, env={**os.environ, "PYTHONPATH": str(ROOT)})  # fmt: skip
        for file in ("a.jsonl", "a.csv"):
            assert _said("casings", "--export", file, "--data", "d")[0] == 0
        assert _said("casings", "--backup", "copy.sqlite", "--data", "d")[0] == 0
        from advisor.tui.export_text import save

        save(tmp_path / "card.txt", "by Worker Seven")
        old = tmp_path / "old.html"
        old.write_text("")
        old.chmod(0o666)
        assert _said("report", "case.yaml", "--html", "old.html")[0] == 0
    finally:
        os.umask(before)
    names = ("r.html", "a.jsonl", "a.csv", "copy.sqlite", "card.txt", "old.html")
    assert {name: oct((tmp_path / name).stat().st_mode & 0o777) for name in names} == dict.fromkeys(names, "0o600")
