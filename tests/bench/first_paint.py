"""How soon `advisor` shows its first picture and its first question, against a bare Textual app with one label.

Paired runs in a pseudo-terminal of 80x24, the order swapped at every pair, the first pairs dropped; each row's ratio
is the median of the pairs' own ratios, so a slow moment of the machine strikes both. Compiled files are kept in a
folder of their own and made by the dropped pairs. Standard library only:

    python tests/bench/first_paint.py --runs 21
"""

from __future__ import annotations

import argparse
import fcntl
import os
import pty
import re
import select
import signal
import statistics
import struct
import sys
import tempfile
import termios
import time
from dataclasses import dataclass, field
from pathlib import Path

if __package__:
    from .ratio import noted
else:
    from ratio import noted

ROWS, COLUMNS = 24, 80
DROPPED_PAIRS = 2
LONGEST_WAIT_S = 20.0
MOST_PAINT, MOST_QUESTION = 1.15, 1.5
CHECKOUT = Path(__file__).resolve().parents[2]

BARE = """
from textual.app import App
from textual.widgets import Label
class Bare(App):
    def compose(self):
        yield Label("bare-label-shown")
Bare().run()
"""
ADVISOR = "import sys; from advisor.cli import main; sys.exit(main([]))"
BARE_SHOWN, PAINTED, QUESTION = "bare-label-shown", "Readingtherules", "Whatdoesthesidewallsay"
_ESCAPES = re.compile(rb"\x1b(?:\[[0-?]*[ -/]*[@-~]|[PX^_\]].*?(?:\x1b\\|\x07)|[@-Z\\-_])", re.S)


@dataclass
class Row:
    """Seconds of the two sides, pair by pair."""

    name: str
    most: float
    ours: list[float] = field(default_factory=list)
    bare: list[float] = field(default_factory=list)

    @property
    def ratios(self) -> list[float]:
        """Ours against bare, pair by pair."""
        return [ours / bare for ours, bare in zip(self.ours, self.bare, strict=True)]


def seconds_until(program: str, marks: tuple[str, ...], cache: str) -> tuple[float, ...]:
    """Starts a program in a pseudo-terminal; seconds from start until each mark was on the screen."""
    started = time.perf_counter()
    child, terminal = pty.fork()
    if child == 0:
        become(program, cache)
    sized(terminal)
    try:
        return _watch(terminal, started, marks)
    finally:
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        os.close(terminal)


def sized(terminal: int) -> None:
    """Gives a pseudo-terminal its rows and columns."""
    fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", ROWS, COLUMNS, 0, 0))


def words_of(output: bytes) -> str:
    """What a terminal was sent, without escape codes and white space."""
    return b"".join(_ESCAPES.sub(b"", output).split()).decode("utf-8", "replace")


def become(program: str, cache: str) -> None:
    """Turns this process into Python running a program: a colour terminal, compiled files and kept rules of its own."""
    os.environ.update(TERM="xterm-256color", COLORTERM="truecolor", PYTHONPYCACHEPREFIX=cache, ADVISOR_CACHE=cache)
    for name in ("NO_COLOR", "PYTHONDONTWRITEBYTECODE"):
        os.environ.pop(name, None)
    os.chdir(CHECKOUT)
    os.execv(sys.executable, [sys.executable, "-c", program])


def _watch(terminal: int, started: float, marks: tuple[str, ...]) -> tuple[float, ...]:
    found: dict[str, float] = {}
    seen = b""
    while len(found) < len(marks):
        left = LONGEST_WAIT_S - (time.perf_counter() - started)
        if left <= 0 or not select.select([terminal], [], [], left)[0]:
            raise TimeoutError(f"not shown: {[mark for mark in marks if mark not in found]}")
        try:
            seen += os.read(terminal, 65536)
        except OSError:
            raise RuntimeError(f"the program ended early: {seen[-400:]!r}") from None
        now = time.perf_counter() - started
        text = words_of(seen)
        for mark in marks:
            if mark in text:
                found.setdefault(mark, now)
    return tuple(found[mark] for mark in marks)


def measure(runs: int) -> list[Row]:
    """The rows of the table, from so many pairs."""
    null = Row("bare again (the noise)", float("inf"))
    paint, question = Row("first paint", MOST_PAINT), Row("first question to answer", MOST_QUESTION)
    with tempfile.TemporaryDirectory() as cache:
        for pair in range(runs + DROPPED_PAIRS):
            first = pair % 2 == 0
            ours = seconds_until(ADVISOR, (PAINTED, QUESTION), cache) if first else (0.0, 0.0)
            (bare,) = seconds_until(BARE, (BARE_SHOWN,), cache)
            (again,) = seconds_until(BARE, (BARE_SHOWN,), cache)
            if not first:
                ours = seconds_until(ADVISOR, (PAINTED, QUESTION), cache)
            if pair >= DROPPED_PAIRS:
                for row, seconds in ((null, again), (paint, ours[0]), (question, ours[1])):
                    row.ours.append(seconds)
                    row.bare.append(bare)
    return [null, paint, question]


def table(rows: list[Row]) -> str:
    """The table: ratio to the bare app, its spread, the milliseconds of both, and the aim."""
    lines = ["| until | ratio to bare | min..max | ms | bare ms | aim |", "|---|---|---|---|---|---|"]
    for row in rows:
        middle = statistics.median(row.ratios)
        ours, bare = (statistics.median(side) * 1000 for side in (row.ours, row.bare))
        aim = "" if row.most == float("inf") else f"at most {row.most} {'met' if middle <= row.most else 'MISSED'}"
        spread = f"{min(row.ratios):.2f}..{max(row.ratios):.2f}"
        lines.append(f"| {row.name} | {middle:.3f} | {spread} | {ours:.0f} | {bare:.0f} | {aim} |")
    return "\n".join(lines)


def main() -> int:
    """Measures and prints; 1 when an aim was missed."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--runs", type=int, default=21, help="pairs that count (default 21)")
    rows = measure(parser.parse_args().runs)
    print(table(rows))
    noise, *ours = rows
    noted(noise.name, statistics.median(noise.ratios), "x a bare Textual app")
    met = [noted(row.name, statistics.median(row.ratios), "x a bare Textual app", row.most) for row in ours]
    return int(not all(met))


if __name__ == "__main__":
    sys.exit(main())
