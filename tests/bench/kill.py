"""Kills `advisor --plain --data FOLDER` at seeded moments and counts acknowledged answers that are not in the journal.

An answer is acknowledged when its "Noted:" line has come out of the process. Real processes, one journal for all of
them, SQLite's integrity check after each kill, every link and the chain at the end.

Run: python tests/bench/kill.py [KILLS] [SEED]
"""

from __future__ import annotations

import os
import random
import select
import signal
import sqlite3
import subprocess
import sys
import tempfile
import time
from contextlib import closing
from pathlib import Path

from advisor.record.reading import entries_of
from advisor.record.verify import verify

ANSWERS = ("car", "drive", "P215/60R16 95H", "1", "1", "2319", "30 psi", "35 psi", "no", "yes", "no", "none", "6/32",
           "no", "no", "1", "crown", "4 mm", "skip", "10 deg", "none", "no")  # fmt: skip
PROGRAM = "import sys; from advisor.cli import main; sys.exit(main(sys.argv[1:]))"
LONGEST_S = 30.0


def one_kill(folder: Path, dice: random.Random, start_s: float) -> int:
    """Starts a consultation, feeds it line by line and kills it at a moment; gives how many were acknowledged."""
    command = [sys.executable, "-c", PROGRAM, "--plain", "--data", str(folder), "--casing", f"K{dice.random():.9f}"]
    process = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
    assert process.stdin and process.stdout
    said, sent, die_at = b"", 0, 0.0
    begun = time.monotonic()
    moment = dice.uniform(0.0, 0.15)
    early = dice.random() < 0.1
    while time.monotonic() - begun < LONGEST_S:
        now = time.monotonic()
        if (early and now - begun > dice.random() * start_s) or (die_at and now >= die_at):
            break
        if said.count(b"> ") >= sent - 1 and b"Question:" in said and sent < len(ANSWERS):
            die_at = die_at or now + moment
            process.stdin.write(f"{ANSWERS[sent]}\n".encode())
            process.stdin.flush()
            sent += 1
        if select.select([process.stdout], [], [], 0.001)[0]:
            said += os.read(process.stdout.fileno(), 65536)
    process.send_signal(signal.SIGKILL)
    process.stdin.close()
    said += process.stdout.read()
    process.wait()
    return said.count(b"Noted: ") - said.count(b"left out")


def main() -> None:
    """Prints the table of kills."""
    kills, seed = (int(word) for word in (*sys.argv[1:], *("500", "7")[len(sys.argv) - 1 :]))
    dice = random.Random(seed)
    lost = acknowledged = kept_in_all = bad = 0
    with tempfile.TemporaryDirectory() as name:
        path = Path(name) / "journal.sqlite"
        known: set[str] = set()
        for number in range(1, kills + 1):
            count = one_kill(Path(name), dice, 0.5)
            kept = 0
            if path.exists():
                with closing(sqlite3.connect(path)) as db:
                    bad += db.execute("PRAGMA integrity_check").fetchone()[0] != "ok"
                    have = bool(db.execute("SELECT 1 FROM sqlite_master WHERE name = 'consultation'").fetchone())
                    ids = {row[0] for row in db.execute("SELECT id FROM consultation")} if have else set()
                    entries = [entry for one in ids - known for entry in entries_of(db, one)]
                    kept = sum(entry.kind in ("answer", "change") for entry in entries)
                    known |= ids
            acknowledged, kept_in_all, lost = acknowledged + count, kept_in_all + kept, lost + max(0, count - kept)
            if number % 50 == 0 or number == kills:
                print(f"{number:5} kills  {acknowledged:6} acknowledged  {kept_in_all:6} kept  {lost:3} lost  "
                      f"{bad:3} files not whole", flush=True)  # fmt: skip
        with closing(sqlite3.connect(path)) as db:
            print(f"{'chain':5} problems: {verify(db).problems}")


if __name__ == "__main__":
    main()
