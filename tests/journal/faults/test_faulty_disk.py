"""Every answer that was acknowledged is there afterwards, whatever the disk did meanwhile."""

from __future__ import annotations

import random
import sqlite3
import sys
import time
from contextlib import closing
from pathlib import Path

import pytest

from advisor.dialogue.session import Consultation
from advisor.dialogue.talk_commands import say
from advisor.journal.data_folder import FILE_NAME
from advisor.journal.queries import entries_of, state_after
from advisor.journal.resume import begin_recording
from advisor.model.saved import Saved
from tests.journal.faults.faulty_disk import faulty_disk, library
from tests.journal.record_support import TALK, TODAY, Clock, checked, journal_in, judge

pytestmark = pytest.mark.skipif(
    not sys.platform.startswith("linux") or library() is None, reason="needs an SQLite that can be reached"
)
KINDS = ("full", "short", "error at sync", "error at write")


def _states() -> list[tuple[Saved, tuple[str, ...]]]:
    """Where a consultation stands after each line, worked out once; notes beside it."""
    consultation, found = Consultation(judge(), TODAY, Clock()), list[tuple[Saved, tuple[str, ...]]]()
    for number, line in enumerate(TALK):
        say(consultation, line)
        found.append((consultation.saved, tuple(f"note {each} rim looked at" for each in range(number // 3))))
    return found


STATES = _states()


def _there(folder: Path, consultation: str) -> Saved:
    with closing(sqlite3.connect(folder / FILE_NAME)) as db:
        return state_after(entries_of(db, consultation))


def _fails(kind: str, first: int, count: int):  # type: ignore[no-untyped-def]
    """Fails from a change on, for so many attempts; what is asked for after that goes well again."""
    tried = 0

    def fails(what: str, done: int) -> str:
        nonlocal tried
        if done < first or tried >= count or (kind == "error at sync") != (what == "sync"):
            return ""
        tried += 1
        return {"full": "full", "short": "short"}.get(kind, "error")

    return fails


@pytest.mark.parametrize("kind", KINDS)
def test_what_was_acknowledged_is_there_while_the_disk_fails_and_all_of_it_after(
    tmp_path: Path, kind: str, faults_until: float
) -> None:
    """Faults that begin at every so-manieth change and last for one, some or all of the attempts that follow."""
    dice, acknowledged, runs, failed = random.Random(kind), 0, 0, 0
    while runs < 6 or time.monotonic() < faults_until:
        folder = tmp_path / str(runs)
        runs += 1
        with faulty_disk() as disk:
            journal = journal_in(folder)
            assert journal.store is not None
            journal.store.db.execute(f"PRAGMA wal_autocheckpoint = {dice.choice([8, 30, 1000])}")
            start = len(disk.log)
            disk.fails = _fails(kind, start + dice.randrange(160), dice.choice([1, 3, 20, 10**9]))
            keeper, safe = begin_recording(journal, judge().rules), -1
            for number, (state, notes) in enumerate(STATES):
                keeper.keep(state, None, notes)
                if keeper.safe:
                    safe, acknowledged = number, acknowledged + 1
            if safe >= 0:
                there = _there(folder, keeper.consultation)
                assert there in [state for state, _ in STATES[safe:]], "as another process sees it"
            disk.fails = lambda what, done: ""
            journal.close()
            failed += disk.failed
        assert _there(folder, keeper.consultation) == STATES[-1][0]
        found = checked(folder)
        assert (found.problems, found.entries) == ([], keeper._step), "each entry once"
    assert failed and acknowledged
    print(f"{kind}: {runs} runs, {failed} faults, {acknowledged} answers acknowledged, none lost")


def test_after_a_power_cut_at_any_moment_what_was_acknowledged_is_there(tmp_path: Path, faults_until: float) -> None:
    """With torn pages, and whatever else of what was not yet synced."""
    dice, cuts, acknowledged = random.Random(17), 0, 0
    with faulty_disk() as disk:
        journal = journal_in(tmp_path / "whole")
        assert journal.store is not None
        journal.store.db.execute("PRAGMA wal_autocheckpoint = 12")
        keeper, marks = begin_recording(journal, judge().rules), [(len(disk.log), -1)]
        for number, (state, notes) in enumerate(STATES):
            keeper.keep(state, None, notes)
            assert keeper.safe
            marks.append((len(disk.log), number))
        log_end = len(disk.log)
        journal.close()
    while cuts < 25 or time.monotonic() < faults_until:
        after = dice.randrange(marks[0][0], log_end + 1)
        folder = tmp_path / str(cuts)
        folder.mkdir()
        for name, content in disk.power_cut(after, dice).items():
            (folder / name).write_bytes(content)
        least = max(number for mark, number in marks if mark <= after)
        again = journal_in(folder)
        assert again.take_notices() == (), after
        again.close()
        found = _there(folder, keeper.consultation)
        assert found in [state for state, _ in STATES[max(0, least) :]] or least < 0, (after, least)
        assert checked(folder).problems == []
        cuts, acknowledged = cuts + 1, acknowledged + least + 1
    print(f"{cuts} power cuts, {acknowledged} answers acknowledged before them, none lost")
