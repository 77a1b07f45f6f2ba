"""How long an answer and a key take at the 2,000th message of a conversation, against the same at the 10th.

The real program in a pseudo-terminal of 80x24; a measure is the time from the key's bytes going in until the picture
with the next question (or the letter typed) comes out, and the processor's time for it, which means something on a
machine that others use as well. Standard library only:

    python tests/bench/long_talk.py --answers 60 --keys 300
"""

from __future__ import annotations

import argparse
import os
import pty
import select
import signal
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

if __package__:
    from .first_paint import become, sized, words_of
    from .ratio import noted
else:
    from first_paint import become, sized, words_of
    from ratio import noted

EARLY, LATE = 10, 2000
MOST_ANSWER_MS, MOST_KEY_MS = 10.0, 16.0
LONGEST_WAIT_S = 20.0
QUIET_S = 0.08
BACK, ENTER = b"\x1b[15~", b"\r"
#: What is answered again and again, and what is asked then.
ANSWER, NEXT = "275/70R22.5 148/145M LRH TUBELESS", "retreadedorregrooved?"

PROGRAM = """
import sys
from advisor.tui import base_app as app, startup as opening
open_desk = opening.open_desk
def with_a_long_talk(*given, **named):
    desk = open_desk(*given, **named)
    while desk.transcript.count < {messages}:
        desk.text = "{answer}"
        desk.enter()
        desk.back()
    return desk
opening.open_desk = with_a_long_talk
sys.exit(app.run_screens(""))
"""


@dataclass
class Times:
    """Milliseconds measured at one length of the conversation; `worked`: the processor's for an answer."""

    answers: list[float]
    keys: list[float]
    worked: list[float]


class Terminal:
    """The program in a pseudo-terminal."""

    def __init__(self, messages: int, cache: str) -> None:
        self.child, self.terminal = pty.fork()
        if self.child == 0:
            become(PROGRAM.format(messages=messages, answer=ANSWER), cache)
        sized(self.terminal)
        self.until(lambda words: "Answeredbefore" in words or "Couldstillendas" in words)
        self.settle()

    def close(self) -> None:
        """Ends the program."""
        os.kill(self.child, signal.SIGKILL)
        os.waitpid(self.child, 0)
        os.close(self.terminal)

    def settle(self) -> None:
        """Waits until nothing more comes."""
        while select.select([self.terminal], [], [], QUIET_S)[0]:
            os.read(self.terminal, 65536)

    def until(self, shown: Callable[[str], bool]) -> None:
        """Reads until the words that came out satisfy a test."""
        seen = b""
        end = time.perf_counter() + LONGEST_WAIT_S
        while not shown(words_of(seen)):
            if not select.select([self.terminal], [], [], max(0.0, end - time.perf_counter()))[0]:
                raise TimeoutError(f"not shown; last: {words_of(seen)[-300:]}")
            seen += os.read(self.terminal, 65536)

    def timed(self, key: bytes, shown: str) -> tuple[float, float]:
        """Milliseconds from a key until words are shown, and those of the processor."""
        worked, started = self.worked(), time.perf_counter()
        os.write(self.terminal, key)
        self.until(lambda words: shown in words)
        taken = (time.perf_counter() - started) * 1000, self.worked() - worked
        self.settle()
        return taken

    def worked(self) -> float:
        """The milliseconds that the program's threads ran so far; 0 where the system does not say."""
        threads = Path(f"/proc/{self.child}/task").glob("*/schedstat")
        return sum(int(each.read_text().split()[0]) for each in threads) / 1e6


def measure(messages: int, answers: int, keys: int, cache: str) -> Times:
    """Times at one length of the conversation."""
    terminal = Terminal(messages, cache)
    try:
        taken = Times([], [], [])
        for _ in range(answers):
            os.write(terminal.terminal, ANSWER.encode())
            terminal.settle()
            answer, worked = terminal.timed(ENTER, NEXT)
            taken.answers.append(answer)
            taken.worked.append(worked)
            terminal.timed(BACK, "Answeredbefore")
        for _ in range(keys):
            taken.keys.append(terminal.timed(b"x", "x")[0])
            os.write(terminal.terminal, b"\x7f")
            terminal.settle()
        return taken
    finally:
        terminal.close()


def p99(times: list[float]) -> float:
    """The 99th percentile."""
    return sorted(times)[max(0, -(-len(times) * 99 // 100) - 1)]


def table(early: Times, late: Times) -> str:
    """The table: median and 99th percentile early and late, and their ratio."""
    lines = [f"| ms | at message {EARLY} | at message {LATE} | ratio | aim at {LATE} |", "|---|---|---|---|---|"]
    rows = (
        ("answer until the next question, median", statistics.median, "answers", MOST_ANSWER_MS),
        ("answer until the next question, 99 %", p99, "answers", None),
        ("the processor's for an answer, median", statistics.median, "worked", None),
        ("key until its letter, median", statistics.median, "keys", None),
        ("key until its letter, 99 %", p99, "keys", MOST_KEY_MS),
    )
    for name, of, part, most in rows:
        before, after = of(getattr(early, part)), of(getattr(late, part))
        aim = "" if most is None else f"at most {most:g} {'met' if after <= most else 'MISSED'}"
        lines.append(f"| {name} | {before:.2f} | {after:.2f} | {after / (before or 1):.2f} | {aim} |")
    return "\n".join(lines)


def main() -> int:
    """Measures and prints; 1 when an aim was missed."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--answers", type=int, default=60)
    parser.add_argument("--keys", type=int, default=200)
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as cache:
        early, late = (measure(messages, given.answers, given.keys, cache) for messages in (EARLY, LATE))
    print(table(early, late))
    where = f"at message {LATE:,}"
    met = [
        noted(f"an answer {where} until the next question", statistics.median(late.answers), "ms", MOST_ANSWER_MS),
        noted(f"a key {where}, 99 %", p99(late.keys), "ms", MOST_KEY_MS),
    ]
    noted(f"an answer {where}, the processor's", statistics.median(late.worked), "ms", MOST_ANSWER_MS)
    noted(f"an answer {where}", statistics.median(late.answers) / statistics.median(early.answers), f"x at {EARLY}")
    return int(not all(met))


if __name__ == "__main__":
    sys.exit(main())
