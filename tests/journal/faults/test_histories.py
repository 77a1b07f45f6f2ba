"""Random histories of writers, kills, merges and imports, held against a model in memory: the links that were told.

Each answer is told only once it is kept. Whatever happened, each link that was told on a laptop, and each that was
there when it took another's records in, is in its journal; nothing in a journal is found wrong; all come to the same.
"""

from __future__ import annotations

import os
import random
import signal
import time
from contextlib import closing
from pathlib import Path

import pytest

from advisor.cli import main
from advisor.journal.data_folder import FILE_NAME
from advisor.journal.queries import all_entries
from advisor.journal.store import opened_to_read
from tests.journal.laptops import Laptop, said, standing
from tests.journal.record_support import Clock, checked

WRITERS, ANSWERS = 2, 6


def _links(laptop: Laptop) -> set[str]:
    with closing(opened_to_read(laptop.folder / FILE_NAME)) as db:
        return {entry.link.hex() for entry in all_entries(db) if not entry.consultation.startswith("#")}


def _writer(laptop: Laptop, told: int, seed: int) -> None:
    """Another process: begins or goes on, and tells each link once it is kept."""
    dice = random.Random(seed)
    journal = laptop.journal()
    assert journal.store is not None
    names = [name for name in laptop.names() if dice.random() < 0.5 and journal.claims.take(name)]
    name = names[0] if names else f"260314-{dice.randrange(16**10):010x}"
    if not names:
        journal.claims.take(name)
        journal.append(laptop.first(name, journal.at, dice))
    for _ in range(ANSWERS):
        journal.append([said(name, journal.at, dice)])
        assert not journal.waiting
        link = journal.store.db.execute(
            "SELECT link FROM entry WHERE consultation = ? ORDER BY step DESC LIMIT 1", (name,)
        ).fetchone()[0]
        os.write(told, link.hex().encode())


def _writers(laptop: Laptop, dice: random.Random) -> set[str]:
    """Some processes that write at once; some of them are killed in the midst of it. Gives the links they told."""
    children = []
    for _ in range(WRITERS):
        reading, writing = os.pipe()
        seed = dice.randrange(2**32)
        child = os.fork()
        if child == 0:
            code = 1
            try:
                _writer(laptop, writing, seed)
                code = 0
            finally:
                os._exit(code)
        os.close(writing)
        children.append((child, reading))
    found = set[str]()
    for child, reading in children:
        killed = dice.random() < 0.6
        if killed:
            time.sleep(dice.uniform(0.0, 0.05))
            os.kill(child, signal.SIGKILL)
        ended = os.waitpid(child, 0)[1]
        assert killed or ended == 0
        with os.fdopen(reading) as pipe:
            text = pipe.read()
        found |= {text[place : place + 64] for place in range(0, len(text) // 64 * 64, 64)}
    return found


def _happens(three: list[Laptop], told: list[set[str]], dice: random.Random, folder: Path) -> None:
    """One thing of a history, on the laptops and in the model."""
    one, other = dice.sample(range(3), 2)
    match dice.choice(["write", "write", "merge", "import", "forget"]):
        case "write":
            told[one] |= _writers(three[one], dice)
        case "merge":
            there = _links(three[other])
            joined = three[one].take_in(three[other])
            assert joined.refused == 0
            told[one] |= there
        case "import":
            there = _links(three[other])
            file = str(folder / "carried.jsonl")
            assert main(["casings", "--export", file, "--data", str(three[other].folder)]) == 0
            assert main(["casings", "--import", file, "--data", str(three[one].folder)]) == 0
            told[one] |= there
        case "forget":
            three[one].forget(dice)
    for laptop, links in zip(three, told, strict=True):
        assert links <= _links(laptop)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
def test_histories_against_the_model(tmp_path: Path, faults_until: float) -> None:
    seed, count = 0, 0
    while seed < 3 or time.monotonic() < faults_until:
        dice, folder = random.Random(f"history {seed}"), tmp_path / str(seed)
        three = [Laptop(folder / name, Clock()) for name in "abc"]
        told: list[set[str]] = [set(), set(), set()]
        for _ in range(8):
            _happens(three, told, dice, folder)
        for _ in range(2):
            for one in three:
                for other in three:
                    if one is not other:
                        assert one.take_in(other).refused == 0
        assert standing(three[0].folder) == standing(three[1].folder) == standing(three[2].folder), seed
        for laptop in three:
            assert checked(laptop.folder).problems == [], seed
            assert set.union(*told) <= _links(laptop)
        count += len(set.union(*told))
        seed += 1
    print(f"{seed} histories, {count} entries told, none lost")
