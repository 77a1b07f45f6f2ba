"""The journal: what is kept comes back exactly, in whatever way the consultation went."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from advisor.dialogue.event_sink import kept
from advisor.dialogue.event_sink import take_up as go_on
from advisor.dialogue.session import Consultation
from advisor.dialogue.talk_commands import say
from advisor.journal.case_data import case_data, case_from
from advisor.journal.data_folder import FILE_NAME
from advisor.journal.log import Journal, NewerJournal
from advisor.journal.migrations import VERSION
from advisor.journal.queries import entries_of, state_after
from advisor.journal.resume import begin_recording, offers, take_up_record
from advisor.journal.search import found_by
from advisor.loader.answer_codec import read as answer_from
from advisor.loader.answer_codec import write as answer_data
from tests.journal.record_support import TALK, TODAY, Clock, checked, journal_in, judge, talk

JOURNALS = Path(__file__).parent / "journals"
STEPS_TYPED = ["back", "skip", "stop", "go on", "start over", "change 3"]
WAYS = [*TALK, *STEPS_TYPED, "can't tell", "about 9 mm", "8-10 mm", "20 deg"]


def test_a_consultation_comes_back_as_it_stands(tmp_path: Path) -> None:
    journal = journal_in(tmp_path)
    consultation, keeper = talk(journal, [*TALK[:9], "note the rim is bent"])
    assert journal.close() == ()
    again = journal_in(tmp_path)
    [offer] = offers(again, "us-road")
    assert offer.saved == consultation.saved
    taken = take_up_record(again, offer, judge().rules)
    assert taken is not None and taken.notes == ("the rim is bent",) and taken.says == ()
    assert taken.keeper.consultation == keeper.consultation


def test_a_finished_consultation_is_not_offered_and_holds_its_verdict(tmp_path: Path) -> None:
    journal = journal_in(tmp_path)
    consultation, keeper = talk(journal)
    assert consultation.ask is None
    assert journal.store is not None
    entries = entries_of(journal.store.db, keeper.consultation)
    assert [entry.kind for entry in entries[-2:]] == ["verdict", "ended"]
    assert entries[-2].rules == judge().rules.digest
    assert case_from(entries[-2].data["case"]) == consultation.case
    assert offers(journal_in(tmp_path), "us-road") == []


def test_starting_over_begins_another_record(tmp_path: Path) -> None:
    journal = journal_in(tmp_path)
    talk(journal, ["technician Two", "casing T42", *TALK, "start over", "truck", "start over", "bus"])
    journal.close()
    with sqlite3.connect(tmp_path / FILE_NAME) as db:
        rows = db.execute("SELECT casing, technician, verdict, state FROM consultation ORDER BY number").fetchall()
    assert rows == [("T42", "Two", "repair", "ended"), ("", "Two", "", "left"), ("", "Two", "", "open")]
    assert checked(tmp_path).problems == []


def test_the_work_is_kept_step_by_step_and_taken_up(tmp_path: Path) -> None:
    journal = journal_in(tmp_path)
    keeper = begin_recording(journal, judge().rules)
    consultation = Consultation(judge(), TODAY, Clock())
    for line in (*TALK, "tick", "note cement still wet", "tick", "untick", "tick", "timer"):
        say(consultation, line)
        kept(keeper, consultation)
    assert len(consultation.work.ticks) == 2 and consultation.work.notes
    journal.close()
    again = journal_in(tmp_path)
    [offer] = offers(again, "us-road")
    taken = take_up_record(again, offer, judge().rules)
    assert taken is not None
    other = Consultation(judge(), TODAY, Clock())
    go_on(other, taken.saved, taken.notes, taken.work)
    assert (other.saved, other.work) == (consultation.saved, consultation.work)
    kept(taken.keeper, other)
    assert again.store is not None and len(entries_of(again.store.db, keeper.consultation)) == len(offer.entries)
    again.close()
    assert checked(tmp_path).problems == []


def test_a_change_names_the_step_it_takes_the_place_of(tmp_path: Path) -> None:
    journal = journal_in(tmp_path)
    _, keeper = talk(journal, [*TALK[:5], "change 2", "trailer axle"])
    assert journal.store is not None
    entries = entries_of(journal.store.db, keeper.consultation)
    change = next(entry for entry in entries if entry.kind == "change")
    old = entries[change.data["in-place-of"] - 1]
    assert (old.data["key"], old.data["answer"]) == (["wheel-position", -1], {"choice": "drive"})


@settings(max_examples=25, deadline=None, phases=[Phase.explicit, Phase.reuse, Phase.generate])
@given(st.lists(st.sampled_from(WAYS), max_size=30))
def test_any_way_through_comes_back_exactly(tmp_path_factory: pytest.TempPathFactory, lines: list[str]) -> None:
    folder = tmp_path_factory.mktemp("way")
    journal = journal_in(folder)
    consultation, keeper = talk(journal, lines)
    assert journal.store is not None
    entries = entries_of(journal.store.db, keeper.consultation)
    assert not entries or state_after(entries) == consultation.saved
    assert case_from(case_data(consultation.case)) == consultation.case
    for answer in consultation.case.answers.values():
        assert answer_from(answer_data(answer)) == answer
    journal.close()
    assert checked(folder).problems == []


def test_only_the_owner_can_read(tmp_path: Path) -> None:
    folder = tmp_path / "data"
    talk(journal_in(folder), TALK[:2])
    assert folder.stat().st_mode & 0o077 == 0
    for file in folder.iterdir():
        assert file.stat().st_mode & 0o077 == 0, file


def test_two_windows_are_not_offered_each_others_consultations(tmp_path: Path) -> None:
    one, other = journal_in(tmp_path), journal_in(tmp_path)
    talk(one, TALK[:3])
    assert offers(other, "us-road") == []
    one.close()
    assert len(offers(other, "us-road")) == 1


def test_a_newer_version_is_refused_with_words(tmp_path: Path) -> None:
    journal_in(tmp_path).close()
    with sqlite3.connect(tmp_path / FILE_NAME) as db:
        db.execute(f"PRAGMA user_version = {VERSION + 1}")
    with pytest.raises(NewerJournal, match=f"version {VERSION + 1}"):
        Journal(tmp_path, Clock())


@pytest.mark.parametrize("version", range(1, VERSION))
def test_an_earlier_version_is_brought_up_and_a_copy_kept(tmp_path: Path, version: int) -> None:
    """From journals as they were written then, kept as they were."""
    with closing(sqlite3.connect(tmp_path / FILE_NAME)) as db:
        db.executescript((JOURNALS / f"version-{version}.sql").read_text())
        before = db.execute("SELECT * FROM entry ORDER BY seq").fetchall()
    again = journal_in(tmp_path)
    assert again.store is not None
    assert again.store.db.execute("PRAGMA user_version").fetchone()[0] == VERSION
    after = again.store.db.execute("SELECT * FROM entry ORDER BY seq").fetchall()
    assert after[: len(before)] == before
    assert {row[4] for row in after[len(before) :]} <= {"forgotten", "withheld"}, "only notes of what is not there"
    for words, count in ((["t"], 2), (["t42", "two", "bent"], 1), (["XY"], 1), (["repair"], 1)):
        assert len(found_by(again.store.db, words)) == count, words
    [offer] = offers(again, "us-road")
    assert (offer.summary.casing, len(offer.saved.order)) == ("T43", 6)
    copy = tmp_path / f"journal-before-version-{VERSION}.sqlite"
    assert copy.stat().st_mode & 0o077 == 0
    with closing(sqlite3.connect(copy)) as db:
        assert db.execute("PRAGMA user_version").fetchone()[0] == version
        assert db.execute("SELECT * FROM entry ORDER BY seq").fetchall() == before
    talk(again, TALK[:3])
    again.close()
    assert checked(tmp_path).problems == []


def test_a_journal_of_every_earlier_version_is_kept() -> None:
    assert sorted(file.name for file in JOURNALS.iterdir()) == [f"version-{each}.sql" for each in range(1, VERSION)]


def test_bringing_up_again_keeps_the_first_copy(tmp_path: Path) -> None:
    for _ in range(2):
        for file in tmp_path.glob(f"{FILE_NAME}*"):
            file.unlink()
        with closing(sqlite3.connect(tmp_path / FILE_NAME)) as db:
            db.executescript((JOURNALS / "version-1.sql").read_text())
        journal_in(tmp_path).close()
    assert len(list(tmp_path.glob("journal-before-version-*.sqlite"))) == 2


def test_without_room_for_the_copy_nothing_is_changed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with closing(sqlite3.connect(tmp_path / FILE_NAME)) as db:
        db.executescript((JOURNALS / "version-1.sql").read_text())

    def full(*_: object) -> None:
        raise sqlite3.OperationalError("database or disk is full")

    monkeypatch.setattr("advisor.journal.store.backup", full)
    journal = journal_in(tmp_path)
    assert "disk is full" in journal.take_notices()[0]
    assert journal.db is not None and journal.db.execute("PRAGMA user_version").fetchone()[0] == 1
