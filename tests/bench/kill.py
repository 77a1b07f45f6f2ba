"""Kills consultations at seeded moments: in plain lines and on the full screen, from the first words to the work.

Real processes, one journal for all of them; SQLite's own check after each kill; what the next start offers is held
against what had been shown; every link and the chain at the end.

Run: python tests/bench/kill.py [KILLS [SEED [SCREENS]]]     (500, 7, and 50 on the full screen, unless named)
"""

from __future__ import annotations

import random
import sqlite3
import sys
import tempfile
from contextlib import closing
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from advisor.journal.data_folder import FILE_NAME
from advisor.journal.integrity import verify
from tests.journal.killing import Tally, kill_and_look, one_plain, one_screen


def main() -> None:
    """Prints the table of kills."""
    kills, seed, screens = (int(word) for word in (*sys.argv[1:], *("500", "7", "50")[len(sys.argv) - 1 :]))
    dice = random.Random(seed)
    print("face     kills    sent  acknowledged  lost  not offered  elsewhere  file not whole  in the work")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for face, one, count in (("plain", one_plain, kills), ("screen", one_screen, screens)):
            tally = Tally()
            for number in range(1, count + 1):
                kill_and_look(folder, dice, number + (face == "screen") * kills, one, tally)
                if number % 50 == 0 or number == count:
                    print(f"{face:8} {tally.kills:5} {tally.sent:7} {tally.acknowledged:13} {tally.lost:5} "
                          f"{tally.not_offered:12} {tally.elsewhere:10} {tally.not_whole:15} {tally.in_the_work:12}",
                          flush=True)  # fmt: skip
        with closing(sqlite3.connect(folder / FILE_NAME)) as db:
            print(f"problems in the chain: {verify(db).problems}")


if __name__ == "__main__":
    main()
