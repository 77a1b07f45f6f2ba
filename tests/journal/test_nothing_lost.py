"""What was said stays said: first words, sentences not yet confirmed, work half done, files taken away meanwhile."""

from __future__ import annotations

import os
import shutil
import sqlite3
import tempfile
from pathlib import Path

import pytest

from advisor.dialogue.event_sink import at_its_end, kept, said_aside
from advisor.dialogue.event_sink import take_up as go_on
from advisor.dialogue.session import Consultation
from advisor.dialogue.talk_commands import say
from advisor.journal.data_folder import FILE_NAME
from advisor.journal.log import Journal
from advisor.journal.queries import entries_of, state_after
from advisor.journal.recorder import Keeper
from advisor.journal.resume import begin_recording, offer_in_words, offers, take_up_record
from tests.journal.record_support import TALK, TODAY, Clock, checked, journal_in, judge, talk


def _carry_on(keeper: Keeper, consultation: Consultation, *lines: str) -> list[str]:
    said = []
    for line in lines:
        messages = said_aside(keeper, consultation, line)
        messages = say(consultation, line) if messages is None else messages
        said += [text for message in [*messages, *kept(keeper, consultation)] for text in message.texts]
    return said


def _started(folder: Path, *lines: str) -> tuple[Journal, Keeper, Consultation]:
    journal = journal_in(folder)
    keeper, consultation = begin_recording(journal, judge().rules), Consultation(judge(), TODAY, Clock())
    _carry_on(keeper, consultation, *lines)
    return journal, keeper, consultation


def _killed(journal: Journal) -> None:
    """As after a kill: nothing is closed in an orderly way; only the system lets the locks go."""
    journal.claims.close()


@pytest.mark.parametrize("line", ["note rim is bent", "casing T42", "technician Two", "plate XY 123", "skip"])
def test_what_is_typed_before_the_first_answer_is_on_disk(tmp_path: Path, line: str) -> None:
    journal, keeper, consultation = _started(tmp_path, line)
    if line == "skip" and consultation.saved == Consultation(judge(), TODAY).saved:
        return  # the first question can't be left out
    _killed(journal)
    [offer] = offers(journal_in(tmp_path), "us-road")
    assert offer.summary.id == keeper.consultation
    with sqlite3.connect(tmp_path / FILE_NAME) as db:
        words = [row[0] for row in db.execute("SELECT words FROM private UNION ALL SELECT body FROM entry")]
    assert any(line.partition(" ")[2] in word for word in words)


def test_names_given_at_the_start_alone_make_no_record(tmp_path: Path) -> None:
    journal = journal_in(tmp_path)
    begin_recording(journal, judge().rules).add_first("technician", "Two")
    journal.close()
    assert offers(journal_in(tmp_path), "us-road") == []


def test_a_sentence_that_waits_to_be_confirmed_is_heard_again(tmp_path: Path) -> None:
    journal, _, consultation = _started(tmp_path, "blorp, it's a truck, on the drive axle", "and it is a tubeless tire")
    assert consultation.pending is not None
    _killed(journal)
    again = journal_in(tmp_path)
    [offer] = offers(again, "us-road")
    taken = take_up_record(again, offer, judge().rules)
    assert taken is not None
    other = Consultation(judge(), TODAY, Clock())
    said = go_on(other, taken.saved, taken.notes, taken.work, taken.heard)
    assert said and other.pending is not None
    assert [one.key for one in other.pending.answers] == [one.key for one in consultation.pending.answers]
    _carry_on(taken.keeper, other, "yes")
    assert again.store is not None
    entries = entries_of(again.store.db, taken.keeper.consultation)
    assert state_after(entries).case.answers.keys() >= {"vehicle", "wheel-position"}
    _killed(again)
    third = journal_in(tmp_path)
    taken = take_up_record(third, offers(third, "us-road")[0], judge().rules)
    assert taken is not None and taken.heard == ()


def test_work_half_done_is_offered_again_and_finished_work_is_not(tmp_path: Path) -> None:
    journal, keeper, consultation = _started(tmp_path, *TALK, "tick", "tick")
    assert not at_its_end(consultation)
    journal.close()
    again = journal_in(tmp_path)
    [offer] = offers(again, "us-road")
    assert "the work begun" in offer_in_words(offer, 0)
    plan = judge().methods.plan(consultation.judgement)
    _carry_on(keeper, consultation, *["tick anyway"] * len(plan))
    assert at_its_end(consultation)


@pytest.mark.parametrize("way", ["deleted", "moved", "zeroed", "emptied", "folder deleted"])
def test_a_file_taken_away_meanwhile_is_written_anew(tmp_path: Path, way: str) -> None:
    folder = tmp_path / "data"
    journal, keeper, consultation = _started(folder, "note rim is bent", *TALK[:6])
    path = folder / FILE_NAME
    if way == "folder deleted":
        shutil.rmtree(folder)
    for file in (path, Path(f"{path}-wal"), Path(f"{path}-shm")) if folder.exists() else ():
        if way == "deleted":
            file.unlink()
        elif way == "moved":
            file.rename(tmp_path / file.name)
        elif way == "emptied" and not file.name.endswith("-shm"):
            os.truncate(file, 0)
        elif file.suffix == ".sqlite":
            file.write_bytes(bytes(file.stat().st_size))
    _carry_on(keeper, consultation, *TALK[6:9])
    journal.close()
    assert checked(folder).problems == []
    [offer] = offers(journal_in(folder), "us-road")
    assert (offer.saved, offer.summary.id) == (consultation.saved, keeper.consultation)
    with sqlite3.connect(path) as db:
        assert db.execute("SELECT words FROM private").fetchall() == [("rim is bent",)]


@pytest.mark.parametrize("log", ["whole", "emptied"])
def test_two_windows_on_a_damaged_file_both_go_on(tmp_path: Path, log: str) -> None:
    one, first, here = _started(tmp_path, *TALK[:5])
    other, second, there = _started(tmp_path, *TALK[:7])
    path = tmp_path / FILE_NAME
    whole = path.read_bytes()
    path.write_bytes(whole[:100] + bytes(len(whole) - 100))
    if log == "emptied":
        os.truncate(f"{path}-wal", 0)
    _carry_on(first, here, *TALK[5:9])
    _carry_on(second, there, *TALK[7:9])
    _carry_on(first, here, TALK[9])
    one.close()
    other.close()
    assert checked(tmp_path).problems == []
    found = {offer.summary.id: offer.saved for offer in offers(journal_in(tmp_path), "us-road")}
    assert found == {first.consultation: here.saved, second.consultation: there.saved}


@pytest.mark.skipif(os.name != "posix" or os.geteuid() != 0, reason="rights bind only other users than root")
def test_from_a_read_only_folder_it_is_offered_and_taken_up(tmp_path: Path) -> None:
    folder = Path(tempfile.mkdtemp(dir="/tmp"))
    journal, _, consultation = _started(folder, *TALK[:6])
    journal.close()
    folder.chmod(0o755)
    (folder / FILE_NAME).chmod(0o644)
    child = os.fork()
    if child == 0:
        code = 1
        try:
            os.setuid(65534)
            again = journal_in(folder)
            [offer] = offers(again, "us-road")
            taken = take_up_record(again, offer, judge().rules)
            assert taken is not None and taken.saved == consultation.saved
            assert "in memory" in " ".join(again.take_notices())
            talk(again, TALK[6:8], taken.keeper)
            code = 0 if again.waiting else 2
        finally:
            os._exit(code)
    ended = os.waitpid(child, 0)[1]
    shutil.rmtree(folder)
    assert ended == 0
