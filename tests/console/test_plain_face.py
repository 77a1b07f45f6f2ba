"""The plain face and the journal: only where asked for or on a terminal, and taken up where it was left."""

from __future__ import annotations

import os
import pty
import select
import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

from advisor.journal.data_folder import FILE_NAME
from tests.journal.record_support import TALK

COMMAND = [sys.executable, "-m", "advisor", "--plain", "--in-order"]


def _piped(lines: tuple[str, ...], *words: str, home: Path) -> str:
    env = {**os.environ, "ADVISOR_DATA": str(home / "own")}
    typed = "".join(f"{line}\n" for line in lines)
    done = subprocess.run([*COMMAND, *words], input=typed, capture_output=True, text=True, timeout=60, env=env)
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_a_pipe_keeps_nothing_unless_asked(tmp_path: Path) -> None:
    plain = _piped(TALK[:4], home=tmp_path)
    assert not (tmp_path / "own").exists()
    assert _piped(TALK[:4], "--data", str(tmp_path / "data"), home=tmp_path) == plain
    assert (tmp_path / "data" / FILE_NAME).exists()
    assert not (tmp_path / "own").exists()


def test_it_goes_on_where_it_was_left(tmp_path: Path) -> None:
    data = ("--data", str(tmp_path / "data"))
    _piped(TALK[:6], *data, home=tmp_path)
    said = _piped(TALK[6:], "--resume", *data, home=tmp_path)
    assert "Taken up where it was left." in said and "1. the vehicle: Car" in said
    with sqlite3.connect(tmp_path / "data" / FILE_NAME) as db:
        [(verdict, state)] = db.execute("SELECT verdict, state FROM consultation").fetchall()
    assert (verdict, state) == ("repair", "ended")
    again = _piped(("quit",), "--resume", *data, home=tmp_path)
    assert "no unfinished consultation" in " ".join(again.split())


class Terminal:
    """`advisor --plain` on a terminal of its own."""

    def __init__(self, folder: Path) -> None:
        self.said = ""
        self.child, self.end = pty.fork()
        if self.child == 0:
            os.environ.update(ADVISOR_DATA=str(folder), TERM="dumb")
            os.execv(COMMAND[0], COMMAND)

    def until(self, words: str) -> str:
        """Reads on until words have come."""
        began = time.monotonic()
        while words not in self.said:
            assert time.monotonic() - began < 30, self.said
            if select.select([self.end], [], [], 0.2)[0]:
                self.said += os.read(self.end, 65536).decode(errors="replace")
        return self.said

    def type(self, line: str) -> None:
        """Types a line."""
        self.said = ""
        os.write(self.end, f"{line}\n".encode())

    def kill(self) -> None:
        """Closes the window the hard way."""
        os.kill(self.child, signal.SIGKILL)
        os.waitpid(self.child, 0)
        os.close(self.end)


def test_on_a_terminal_a_killed_consultation_is_offered_again(tmp_path: Path) -> None:
    first = Terminal(tmp_path)
    for line in TALK[:3]:
        first.until("> ")
        first.type(line)
        first.until("Noted:")
    first.kill()
    second = Terminal(tmp_path)
    assert "with 3 answers" in second.until("> ")
    second.type("go on")
    assert "3. what the sidewall says: P215/60R16 95H" in second.until("Question:")
    third = Terminal(tmp_path)
    assert "unfinished" not in third.until("Question:")
    third.kill()
    second.kill()
