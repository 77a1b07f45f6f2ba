"""Real consultations killed at seeded moments, and what the next start offers held against what had been shown.

A line counts as acknowledged when what comes after it has come out of the process. What is offered then has to be
exactly where the consultation stood after as many lines as were acknowledged, or after some that were sent as well.
"""

from __future__ import annotations

import os
import pty
import random
import re
import select
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from pathlib import Path

from advisor.dialogue.event_sink import take_up as go_on
from advisor.dialogue.session import Consultation
from advisor.dialogue.talk_commands import say
from advisor.journal.data_folder import FILE_NAME
from advisor.journal.log import Journal
from advisor.journal.resume import offers, take_up_record
from tests.journal.record_support import TALK, TODAY, Clock, judge

PROGRAM = [sys.executable, "-c", "import sys; from advisor.cli import main; sys.exit(main(sys.argv[1:]))"]
LONGEST_S = 60.0
WORK = ("tick", "tick", "note cement was still wet", "untick", "tick", "timer", "tick")
#: What is typed: first words, answers, a change, a note, a sentence to be confirmed, the work.
TYPED = (
    "technician Worker Two", "note rim is bent", *TALK[:6], "change 2", "trailer axle", *TALK[6:], *WORK,
)  # fmt: skip
SENTENCE = ("plate XY 123", "it's a truck, on the drive axle, tubeless", "yes", *TALK[2:3], "can't tell", "skip")
WAYS = (TYPED, SENTENCE)
#: What is typed on the screen, where the questions come in an order of their own.
ON_SCREEN = (
    *("technician Worker Two", "note rim is bent", "truck", "note seen twice", "steer", "plate XY 123"),
    *("note the third", "note the fourth", "note the fifth"),
)


@dataclass
class Tally:
    """What came of all kills so far."""

    kills: int = 0
    sent: int = 0
    acknowledged: int = 0
    lost: int = 0
    not_offered: int = 0
    elsewhere: int = 0
    not_whole: int = 0
    in_the_work: int = 0

    @property
    def faults(self) -> int:
        """How many things went wrong."""
        return self.lost + self.not_offered + self.elsewhere + self.not_whole


def mark_of(consultation: Consultation) -> tuple[object, ...]:
    """Where a consultation stands, but for the clock's times."""
    waits = consultation.pending.heard.text if consultation.pending else ""
    work = consultation.work
    ask = consultation.ask.key if consultation.ask else None
    done = tuple(tick.key for tick in work.ticks), tuple(note.text for note in work.notes), len(work.timers)
    return consultation.saved, consultation.notes, done, waits, ask


@cache
def marks(way: tuple[str, ...]) -> tuple[tuple[object, ...], ...]:
    """Where it stands after each number of lines."""
    consultation = Consultation(judge(), TODAY, Clock(), True)
    found = [mark_of(consultation)]
    for line in way:
        field = line.partition(" ")[0]
        if field == "note" and consultation.ask is not None:
            consultation.become(consultation.state.noting(line.partition(" ")[2]))
        elif field not in ("technician", "plate", "casing"):
            say(consultation, line)
        found.append(mark_of(consultation))
    return tuple(found)


def one_plain(folder: Path, dice: random.Random, casing: str, way: tuple[str, ...]) -> tuple[int, int]:
    """A consultation in plain lines, killed; gives how many lines were acknowledged and how many were sent."""
    command = [*PROGRAM, "--plain", "--in-order", "--data", str(folder), "--casing", casing]
    process = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
    assert process.stdin and process.stdout
    stdin, stdout = process.stdin, process.stdout
    stop_at, delay = dice.randrange(len(way) + 1), dice.choice([0.0, dice.uniform(0, 0.004), dice.uniform(0, 0.05)])
    said, sent, die_at, begun = b"", 0, 0.0, time.monotonic()

    def acknowledged() -> int:
        return len(re.findall(rb"^> .*\n(?=.|\n)", said, re.MULTILINE))

    while time.monotonic() - begun < LONGEST_S and process.poll() is None:
        if die_at and time.monotonic() >= die_at:
            break
        if b"Question:" in said and sent < len(way) and acknowledged() >= sent and not die_at:
            stdin.write(f"{way[sent]}\n".encode())
            stdin.flush()
            sent += 1
        if not die_at and b"Question:" in said and sent >= stop_at:
            die_at = time.monotonic() + delay
        if select.select([stdout], [], [], 0.0005)[0]:
            said += os.read(stdout.fileno(), 65536)
    process.send_signal(signal.SIGKILL)
    stdin.close()
    said += stdout.read()
    process.wait()
    return max(acknowledged(), 0), sent


def one_screen(folder: Path, dice: random.Random, casing: str, way: tuple[str, ...]) -> tuple[int, int]:
    """The same on the full screen of a terminal, killed or its window closed; what is typed there is `ON_SCREEN`."""
    child, end = pty.fork()
    if child == 0:
        os.environ.update(TERM="xterm-256color", COLUMNS="100", LINES="40")
        os.execv(PROGRAM[0], [*PROGRAM, "--data", str(folder), "--casing", casing])
    said, sent, done, begun = b"", 0, 0, time.monotonic()
    stop_at, delay = dice.randrange(1, len(way)), dice.choice([0.0, dice.uniform(0, 0.2)])
    while time.monotonic() - begun < LONGEST_S:
        text = _words(said)
        if sent == 0 and "Whatdoesthesidewall" not in text:
            pass
        elif sent == done and sent < stop_at:
            os.write(end, way[sent].encode() + b"\r")
            sent, said = sent + 1, b""
        elif sent > done and _seen(text, way[sent - 1]):
            done += 1
        elif sent == done:
            time.sleep(delay)
            break
        if select.select([end], [], [], 0.02)[0]:
            said += os.read(end, 65536)
    if dice.random() < 0.5:
        os.kill(child, signal.SIGKILL)
    os.close(end)  # the window is closed: the system hangs up
    for _ in range(200):
        if os.waitpid(child, os.WNOHANG)[0]:
            break
        time.sleep(0.05)
    else:
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
    return done, sent


def _words(said: bytes) -> str:
    return re.sub(r"\x1b\[[0-9;?<>=]*[A-Za-z]|\s", "", said.decode(errors="replace"))


def _seen(text: str, line: str) -> bool:
    """Whether a line that was typed has gone into the conversation, with what came of it.

    Above a long verdict it may stand out of sight; then the key for the work shows.
    """
    return ">" + "".join(line.split()) in text.replace(">>", ">") or (line in TALK and "^Twork" in text)


One = Callable[[Path, random.Random, str, tuple[str, ...]], tuple[int, int]]


def kill_and_look(folder: Path, dice: random.Random, number: int, one: One, tally: Tally) -> None:
    """One kill, SQLite's own check, and the next start held against what had been shown."""
    casing, way = f"K{number}", ON_SCREEN if one is one_screen else dice.choice(WAYS)
    acknowledged, sent = one(folder, dice, casing, way)
    tally.kills, tally.sent, tally.acknowledged = tally.kills + 1, tally.sent + sent, tally.acknowledged + acknowledged
    path = folder / FILE_NAME
    if not path.exists():
        tally.lost += acknowledged
        return
    with closing(sqlite3.connect(path)) as db:
        tally.not_whole += db.execute("PRAGMA integrity_check").fetchone()[0] != "ok"
    journal = Journal(folder, datetime.now)
    offer = next((each for each in offers(journal, "us-road") if each.summary.casing == casing), None)
    if offer is None:
        tally.not_offered += acknowledged > 0
        tally.lost += acknowledged
    else:
        taken = take_up_record(journal, offer, judge().rules)
        assert taken is not None
        consultation = Consultation(judge(), offer.saved.case.today or TODAY, Clock(), True)
        go_on(consultation, taken.saved, taken.notes, taken.work, taken.heard)
        found, expected = _dateless(mark_of(consultation)), [_dateless(mark) for mark in marks(way)]
        if found not in expected[acknowledged : sent + 1]:
            tally.elsewhere += 1
            tally.lost += max(0, acknowledged - (expected.index(found) if found in expected else 0))
        tally.in_the_work += bool(consultation.work.begun)
        taken.keeper.leave()
    journal.close()


def _dateless(mark: tuple[object, ...]) -> tuple[object, ...]:
    saved = mark[0]
    return (saved.case.answers, saved.case.injuries, saved.case.skipped, saved.asking, saved.ended, *mark[1:])  # type: ignore[attr-defined]
