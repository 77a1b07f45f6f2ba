"""Nothing acknowledged is lost: processes killed, disks full or read-only, several writers, damaged files."""

from __future__ import annotations

import contextlib
import json
import os
import random
import signal
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from advisor.dialogue.event_sink import kept
from advisor.dialogue.talk_commands import say
from advisor.journal.data_folder import FILE_NAME
from advisor.journal.log import Journal
from advisor.journal.queries import all_entries, entries_of, state_after
from advisor.journal.resume import offers
from tests.journal.record_support import TALK, Clock, checked, journal_in, talk

KILLS = 15


def _entries(folder: Path) -> int:
    with sqlite3.connect(folder / FILE_NAME) as db:
        assert db.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
        return int(db.execute("SELECT count(*) FROM entry WHERE kind IN ('answer', 'change', 'skip')").fetchone()[0])


def _child(folder: Path, told: int) -> None:
    """Carries a consultation on until it is killed; one byte to the parent for each answer that is kept."""
    journal = journal_in(folder)

    class Told:
        def __iter__(self):  # type: ignore[no-untyped-def]
            for line in TALK:
                yield line
                os.write(told, b"x")

    while True:
        talk(journal, Told())


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
def test_killed_at_any_moment_nothing_acknowledged_is_lost(tmp_path: Path) -> None:
    """However quick the machine is: the child is killed so many answers on, and a moment later."""
    dice = random.Random(7)
    acknowledged = 0
    for _ in range(KILLS):
        reading, writing = os.pipe()
        child = os.fork()
        if child == 0:
            try:
                _child(tmp_path, writing)
            finally:
                os._exit(1)
        os.close(writing)
        wanted = dice.randrange(2 * len(TALK))
        with os.fdopen(reading, "rb") as pipe:
            told = len(pipe.read(wanted))
            time.sleep(dice.uniform(0.0, 0.01))
            os.kill(child, signal.SIGKILL)
            os.waitpid(child, 0)
            assert told == wanted, "the child ended by itself"
            acknowledged += told + len(pipe.read())
        assert _entries(tmp_path) >= acknowledged
    assert checked(tmp_path).problems == []
    for offer in offers(journal_in(tmp_path), "us-road"):
        assert offer.saved == state_after(offer.entries)


FULL = """
import resource, signal, sys
from pathlib import Path
sys.dont_write_bytecode = True  # under the limit below it would leave halves of compiled modules behind
sys.path[:0] = sys.argv[2:]
from tests.journal.record_support import TALK, journal_in, talk
journal = journal_in(Path(sys.argv[1]))
talk(journal, TALK[:4])
resource.setrlimit(resource.RLIMIT_FSIZE, (1000, resource.RLIM_INFINITY))
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
consultation, keeper = talk(journal, [*TALK] * 4)
print(len(journal.waiting), [line for line in journal.take_notices()], flush=True)
waiting = len(journal.waiting)
from advisor.dialogue.event_sink import kept
resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
from advisor.dialogue.talk_commands import say
say(consultation, "stop")
said = list(kept(keeper, consultation))
assert waiting > 0, "the disk was not full"
assert not journal.waiting, journal.waiting
print(journal.close(), said)
"""


def test_on_a_full_disk_it_goes_on_in_memory_and_writes_out_later(tmp_path: Path) -> None:
    here = str(Path(__file__).parents[2])
    done = subprocess.run(
        [sys.executable, "-c", FULL, str(tmp_path / "data"), here], capture_output=True, text=True, timeout=60
    )
    assert done.returncode == 0, done.stderr
    assert "can be written again" in done.stdout
    assert checked(tmp_path / "data").problems == []


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of 512 kB of its own, in memory."""
    place = tmp_path / "disk"
    place.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=512k", "tmpfs", str(place)]
    if os.name != "posix" or os.geteuid() != 0 or subprocess.run(mount, capture_output=True).returncode:
        pytest.skip("a small disk can be mounted by root only")
    yield place
    subprocess.run(["umount", str(place)], check=True)


def test_on_a_disk_that_fills_up_nothing_written_is_lost_and_what_waits_is_written_out(small_disk: Path) -> None:
    """A real full disk; another window beside it; killed while it is full; and room made again."""
    folder = small_disk / "data"
    journal = journal_in(folder)
    consultation, keeper = talk(journal, TALK[:6])
    with (small_disk / "filler").open("wb", buffering=0) as filler, contextlib.suppress(OSError):
        while True:
            filler.write(bytes(4096))
    said: list[str] = []
    for line in [*TALK[6:], *["note looked at the bead once more, from the inside"] * 40]:
        say(consultation, line) if not line.startswith("note") else keeper.add("note", line)
        said += [text for message in kept(keeper, consultation) for text in message.texts]
    assert journal.waiting and sum("kept in memory" in line for line in said) == 1, said
    with contextlib.closing(sqlite3.connect(f"{(folder / FILE_NAME).as_uri()}?mode=ro", uri=True)) as db:
        assert db.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
        steps = db.execute("SELECT count(*) FROM entry WHERE kind = 'answer'").fetchone()[0]
    assert steps >= 6
    (small_disk / "filler").unlink()
    assert journal.close()[-1] == "The journal can be written again, and everything is on disk."
    found = checked(folder)
    assert found.problems == []
    db = sqlite3.connect(folder / FILE_NAME)
    assert state_after(entries_of(db, keeper.consultation)) == consultation.saved
    assert db.execute("SELECT count(*) FROM private").fetchone()[0] == 40
    db.close()


def test_full_disk_says_so_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    journal = journal_in(tmp_path)
    talk(journal, TALK[:2])
    assert journal.store is not None

    def full(*_: object) -> None:
        raise sqlite3.OperationalError("database or disk is full")

    with monkeypatch.context() as patched:
        patched.setattr(journal.store, "append", full)
        said: list[str] = []
        consultation, keeper = talk(journal, ())
        for line in TALK[:6]:
            say(consultation, line)
            said += [text for message in kept(keeper, consultation) for text in message.texts]
        assert len(said) == 1 and "disk is full" in said[0] and "in memory" in said[0]
    assert journal.close()[-1] == "The journal can be written again, and everything is on disk."
    assert checked(tmp_path).problems == []


@pytest.mark.skipif(os.name != "posix" or os.geteuid() != 0, reason="rights bind only other users than root")
@pytest.mark.parametrize("where", ["data", "none/deeper"])
def test_a_folder_that_cannot_be_written_to(where: str) -> None:
    with tempfile.TemporaryDirectory(dir="/tmp") as name:
        open_to_read = Path(name)
        open_to_read.chmod(0o755)
        journal = journal_in(open_to_read / "data")
        talk(journal, TALK[:3])
        journal.close()
        (open_to_read / "data").chmod(0o755)
        (open_to_read / "data" / FILE_NAME).chmod(0o644)
        said = _as_nobody(open_to_read / where)
        assert sum("kept in memory" in line for line in said) == 1, said
        assert "could not be written" in said[-1]
        assert checked(open_to_read / "data").problems == []


def _as_nobody(place: Path) -> list[str]:
    """What is said when another user, who may not write there, carries a consultation on."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            os.setuid(65534)
            journal = journal_in(place)
            first = journal.take_notices()
            consultation, keeper = talk(journal)
            assert consultation.ask is None and journal.waiting
            os.write(writing, json.dumps([*first, *keeper.add("note", "again"), *journal.close()]).encode())
        finally:
            os._exit(0)
    os.close(writing)
    with os.fdopen(reading, "rb") as pipe:
        found = pipe.read()
    os.waitpid(child, 0)
    said: list[str] = json.loads(found)
    return said


def test_several_processes_write_at_once(tmp_path: Path) -> None:
    children = []
    for _ in range(4):
        child = os.fork()
        if child == 0:
            code = 1
            try:
                talk(Journal(tmp_path, Clock()), [*TALK, "start over", *TALK])
                code = 0
            finally:
                os._exit(code)
        children.append(child)
    assert [os.waitpid(child, 0)[1] for child in children] == [0] * 4
    found = checked(tmp_path)
    assert found.problems == []
    assert found.consultations == 8
    with sqlite3.connect(tmp_path / FILE_NAME) as db:
        states = {e.consultation: state_after(entries_of(db, e.consultation)) for e in all_entries(db)}
    assert len({json.dumps(str(state)) for state in states.values()}) == 1


def _whole(tmp_path: Path) -> Path:
    journal = journal_in(tmp_path)
    for number in range(6):
        talk(journal, [f"casing T{number}", "technician Worker Two", *TALK, "note looked at the bead twice"])
    journal.close()
    return tmp_path / FILE_NAME


def test_a_bit_turned_anywhere_in_what_is_written_is_found(tmp_path: Path) -> None:
    path = _whole(tmp_path)
    whole = path.read_bytes()
    dice = random.Random(11)
    with sqlite3.connect(path) as db:
        rows = db.execute("SELECT consultation, at, kind, rules, body, link, chain FROM entry").fetchall()
    cells = [cell.encode() if isinstance(cell, str) else cell for row in rows for cell in row if cell]
    places = []
    while len(places) < 200:
        cell = dice.choice(cells)
        starts = _starts(whole, cell)
        if starts:
            places.append((dice.choice(starts) + dice.randrange(len(cell)), dice.randrange(8)))
    missed = [place for place in places if not _found(path, whole, place)]
    assert missed == []


def test_a_bit_turned_anywhere_at_all_is_found_or_changes_no_record(tmp_path: Path) -> None:
    path = _whole(tmp_path)
    whole = path.read_bytes()
    before = _records(path)
    dice = random.Random(13)
    for _ in range(60):
        place = (dice.randrange(len(whole)), dice.randrange(8))
        assert _found(path, whole, place) or _records(path) == before, place


def _starts(whole: bytes, cell: bytes) -> list[int]:
    found, at = [], whole.find(cell)
    while at >= 0 and len(found) < 50:
        found.append(at)
        at = whole.find(cell, at + 1)
    return found


def _found(path: Path, whole: bytes, place: tuple[int, int]) -> bool:
    turned = bytearray(whole)
    turned[place[0]] ^= 1 << place[1]
    path.write_bytes(turned)
    try:
        return checked(path.parent).problems != []
    except (sqlite3.DatabaseError, UnicodeDecodeError):
        return True


def _records(path: Path) -> list[tuple[object, ...]]:
    with sqlite3.connect(path) as db:
        return [tuple(row) for row in db.execute("SELECT * FROM entry ORDER BY seq")]


@pytest.mark.parametrize("way", ["header", "middle", "text", "empty", "half"])
def test_a_damaged_file_is_set_aside_whole_and_what_can_be_is_saved(tmp_path: Path, way: str) -> None:
    path = _whole(tmp_path)
    whole = path.read_bytes()
    damaged = {
        "header": bytes(100) + whole[100:],
        "middle": whole[: len(whole) // 2] + bytes(4096) + whole[len(whole) // 2 + 4096 :],
        "text": b"this is no journal\n" * 500,
        "empty": b"",
        "half": whole[: len(whole) // 8192 * 4096],
    }[way]
    path.write_bytes(damaged)
    journal = journal_in(tmp_path)
    talk(journal, TALK[:5])
    journal.close()
    assert checked(tmp_path).problems == [] or way == "middle"
    if way not in ("empty", "middle"):
        [aside] = tmp_path.glob("damaged-*/journal.sqlite")
        assert aside.read_bytes() == damaged
    saved = {"header": 6 * 22, "half": 1, "middle": 1}.get(way, 0)
    with sqlite3.connect(path) as db:
        assert db.execute("SELECT count(*) FROM entry").fetchone()[0] >= saved + 5
