"""A journal damaged in whatever way: what can be read is saved, and no new consultation is lost over it."""

from __future__ import annotations

import json
import random
import sqlite3
import struct
from collections.abc import Callable
from contextlib import closing
from functools import cache
from itertools import islice
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from advisor.cli import main
from advisor.journal.data_folder import FILE_NAME
from advisor.journal.migrations import VERSION
from advisor.journal.queries import all_consultations, entries_of, state_after
from advisor.journal.recovery import Pages, save_what_can_be
from advisor.journal.resume import begin_recording, offers
from advisor.journal.store import Store, opened_to_read
from advisor.wording.blocks import texts_of
from tests.journal import page_walk
from tests.journal.record_support import TALK, checked, journal_in, judge, talk

Damage = Callable[[sqlite3.Connection], object]


def _filled(folder: Path, count: int = 5) -> bytes:
    folder.mkdir(exist_ok=True)
    (folder / FILE_NAME).write_bytes(_whole(count))
    return _whole(count)


@cache
def _whole(count: int) -> bytes:
    """A journal's file, talked through once."""
    with TemporaryDirectory() as name:
        journal = journal_in(Path(name))
        for number in range(count):
            talk(journal, [f"casing T{number}", "technician Worker Two", *TALK, "note looked at the bead twice"])
        journal.close()
        return (Path(name) / FILE_NAME).read_bytes()


def _go_on(folder: Path) -> list[str]:
    """Two further consultations, one after another; gives what is said. Both must be kept as they stand."""
    said, kept = list[str](), {}
    for lines in (TALK[:5], TALK):
        journal = journal_in(folder)
        said += journal.take_notices()
        assert journal.store is not None, "no new journal before the first answer"
        consultation, keeper = talk(journal, ["casing Q9", "technician Three", *lines])
        kept[keeper.consultation] = consultation.saved
        said += journal.close()
    with closing(sqlite3.connect(folder / FILE_NAME)) as db:
        for name, saved in kept.items():
            assert state_after(entries_of(db, name)) == saved
        listed = {row[0] for row in db.execute("SELECT id FROM finder WHERE finder MATCH 'three'")}
        assert kept.keys() == listed
    assert checked(folder).problems == []
    return said


@pytest.mark.parametrize(("share", "least"), [(99, 112), (90, 81), (80, 64), (70, 32), (50, 0), (30, 0)])
def test_of_a_journal_that_was_cut_off_what_can_be_read_is_saved(tmp_path: Path, share: int, least: int) -> None:
    """Every row on a page that is left; each fits the one before it, or is kept as a record of its own."""
    whole = _filled(tmp_path)
    (tmp_path / FILE_NAME).write_bytes(whole[: len(whole) * share // 100])
    journal = journal_in(tmp_path)
    [said] = journal.take_notices()
    journal.close()
    [aside] = tmp_path.glob("damaged-*/journal.sqlite")
    assert aside.read_bytes() == whole[: len(whole) * share // 100]
    with closing(Pages(aside)) as pages:
        rows = [row for leaf in pages.leaves() for row in pages.rows(leaf)]
    readable = [row for _, row in rows if len(row) == 9 and isinstance(row[7], bytes)]
    with closing(sqlite3.connect(tmp_path / FILE_NAME)) as db:
        saved = {row[0] for row in db.execute("SELECT body FROM entry")}
    lost = [row for row in readable if row[6] not in saved and row[4] != "begin"]
    assert len(lost) <= 1 and len(readable) >= least, (said, len(readable))
    assert checked(tmp_path).problems == []
    _go_on(tmp_path)


def _in_schema(table: str) -> Damage:
    """A byte that is no text, in the midst of a table's description."""

    def damage(db: sqlite3.Connection) -> None:
        db.execute("PRAGMA writable_schema = ON")
        db.execute(
            "UPDATE sqlite_master SET sql = CAST(replace(sql, 'TEXT', x'54ff5854') AS TEXT) WHERE name = ?", (table,)
        )

    return damage


def _run(*statements: str) -> Damage:
    def damage(db: sqlite3.Connection) -> None:
        for statement in statements:
            db.execute(statement)

    return damage


HIDDEN = "PRAGMA writable_schema = ON"
LISTS = {
    "no list": _run("DROP TABLE consultation"),
    "no search list": _run("DROP TABLE finder"),
    "no list of missing words": _run("DROP TABLE without_words"),
    "no lists at all": _run("DROP TABLE consultation", "DROP TABLE finder", "DROP TABLE without_words"),
    "no index": _run("DROP INDEX consultation_casing"),
    "another list": _run("DROP TABLE consultation", "CREATE TABLE consultation(id TEXT)"),
    "list a column short": _run("ALTER TABLE consultation DROP COLUMN notes"),
}
WORSE = {
    "search list without its data": _run(HIDDEN, "DELETE FROM sqlite_master WHERE name = 'finder_data'"),
    "search list half emptied": _run("DELETE FROM finder_data WHERE id > 1"),
    "search list's own row gone": _run("DELETE FROM finder_data"),
    "search list of another kind": _run("UPDATE finder_config SET v = 99 WHERE k = 'version'"),
    "version 0": _run("PRAGMA user_version = 0"),
    "version 1": _run("PRAGMA user_version = 1"),
    "version 2": _run("PRAGMA user_version = 2"),
    "version below none": _run("PRAGMA user_version = -7"),
    "version far ahead": _run("PRAGMA user_version = 1684300900"),
    "another program's mark": _run("PRAGMA application_id = 7"),
    "no table of names": _run("DROP TABLE private"),
    "entries' table renamed": _run("ALTER TABLE entry RENAME TO entries"),
    "a further column": _run("ALTER TABLE entry ADD COLUMN more TEXT"),
    "no text in the schema": _in_schema("entry"),
    "no text in the list's schema": _in_schema("consultation"),
    "schema emptied": _run(HIDDEN, "DELETE FROM sqlite_master"),
    "root pages exchanged": _run(HIDDEN, "UPDATE sqlite_master SET rootpage = 3 WHERE name = 'entry'"),
    "a trigger that deletes": _run(
        "CREATE TRIGGER away AFTER INSERT ON entry BEGIN DELETE FROM entry WHERE seq = new.seq; END"
    ),
    "a trigger that stops": _run("CREATE TRIGGER no BEFORE INSERT ON entry BEGIN SELECT raise(ABORT, 'no'); END"),
    "a view for a list": _run("DROP TABLE consultation", "CREATE VIEW consultation AS SELECT 1 AS id"),
}


@pytest.mark.parametrize("name", [*LISTS, *WORSE])
def test_no_new_consultation_is_lost_over_damage(tmp_path: Path, name: str) -> None:
    _filled(tmp_path, 3)
    with closing(sqlite3.connect(tmp_path / FILE_NAME, isolation_level=None)) as db:
        before = db.execute("SELECT count(*) FROM entry").fetchone()[0]
        (LISTS | WORSE)[name](db)
    said = _go_on(tmp_path)
    assert len(said) == 1, said
    assert (
        ("made anew" in said[0]) if name in LISTS else ("set aside whole" in said[0] and f"{before} entries" in said[0])
    )
    names = 0 if name == "no table of names" else 3
    with closing(sqlite3.connect(tmp_path / FILE_NAME)) as db:
        assert db.execute("SELECT count(*) FROM consultation WHERE technician = 'Worker Two'").fetchone()[0] == names
        assert db.execute("PRAGMA user_version").fetchone()[0] == VERSION


@pytest.mark.parametrize("words", [[], ["--show", "T1"], ["--verify"], ["--export", "-"], ["--seal", "s"],
                                   ["--backup", "b"], ["--forget", "Worker Two"], ["T1"]])  # fmt: skip
@pytest.mark.parametrize("name", ["no list", "no text in the schema", "schema emptied", "no search list"])
def test_each_command_on_a_damaged_file_ends_calmly(
    tmp_path: Path, name: str, words: list[str], capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    _filled(tmp_path / "data", 2)
    monkeypatch.chdir(tmp_path)
    with closing(sqlite3.connect(tmp_path / "data" / FILE_NAME, isolation_level=None)) as db:
        (LISTS | WORSE)[name](db)
    code = main(["casings", *words, "--data", str(tmp_path / "data")])
    said = capsys.readouterr()
    assert code == (1 if words == ["--verify"] else 0), said
    assert "fault of the program" not in said.err + said.out
    if words == ["--export", "-"]:
        assert len([json.loads(line) for line in said.out.splitlines()]) == 2


def _byte_in(folder: Path, text: bytes, new: int = 0xFF) -> None:
    """Damages one byte of the first row that holds a text."""
    path = folder / "data" / FILE_NAME
    whole = bytearray(path.read_bytes())
    at = whole.find(text, 4096)
    whole[at + 2] = new
    path.write_bytes(whole)


@pytest.mark.parametrize("text", [b'"over":"tire"', b'"kind":', b"2026-03-14T", b"Worker Two", b'{"rules":', b"answer"])
def test_a_byte_that_is_no_text_costs_its_own_record_alone(
    tmp_path: Path, text: bytes, capsys: pytest.CaptureFixture[str]
) -> None:
    """What is sound is listed, shown and carried out, and what is not is named by its entry."""
    _filled(tmp_path / "data", 4)
    _byte_in(tmp_path, text)
    home = ["--data", str(tmp_path / "data")]
    file = str(tmp_path / "out.jsonl")
    assert main(["casings", "--verify", *home]) == 1
    assert "can't be read on" not in capsys.readouterr().out
    for name in ("T0", "T1", "T2", "T3"):
        assert main(["casings", "--show", name, *home]) == 0
    assert main(["casings", "--export", file, *home]) == 0
    assert main(["casings", "--export", str(tmp_path / "out.csv"), *home]) == 0
    capsys.readouterr()
    main(["casings", "--import", file, "--data", str(tmp_path / "b")])
    assert "Consultations: 3 new" in (said := capsys.readouterr().out) or "Consultations: 4 new" in said, said


def test_a_record_that_is_damaged_hides_no_other_from_being_taken_up(tmp_path: Path) -> None:
    journal = journal_in(tmp_path / "data")
    for number in range(3):
        talk(journal, [f"casing T{number}", *TALK[:6]], end=False)
    journal.close()
    _byte_in(tmp_path, b'"over":"tire"')
    journal = journal_in(tmp_path / "data")
    assert len(offers(journal, "us-road")) == 2
    journal.close()


def test_a_damaged_record_of_a_casing_is_told_where_the_casing_is_named(tmp_path: Path) -> None:
    journal = journal_in(tmp_path / "data")
    for _ in range(2):
        talk(journal, ["casing T7", *TALK])
    journal.close()
    _byte_in(tmp_path, b'"over":"tire"')
    journal = journal_in(tmp_path / "data")
    known, _ = begin_recording(journal, judge().rules).known_casing("T7", judge())
    said = list(texts_of(known))
    journal.close()
    assert any("repair" in line for line in said) and any("1 more can't be read" in line for line in said), said


def test_a_list_whose_numbers_run_in_a_circle_is_not_read_for_ever(tmp_path: Path) -> None:
    data = bytearray(_filled(tmp_path, 3))
    with closing(sqlite3.connect(tmp_path / FILE_NAME)) as db:
        (root,) = db.execute("SELECT rootpage FROM sqlite_master WHERE name = 'consultation'").fetchone()
    page = (root - 1) * 4096
    (last,) = struct.unpack_from(">H", data, page + 8 + 2 * 2)
    _, at = page_walk.number(data, page + last)
    assert data[at] == 3
    data[at] = 1
    (tmp_path / FILE_NAME).write_bytes(data)
    with closing(opened_to_read(tmp_path / FILE_NAME)) as db, pytest.raises(sqlite3.DatabaseError):
        list(islice(all_consultations(db), 50))


def test_a_page_of_noise_anywhere_loses_no_new_consultation(tmp_path: Path) -> None:
    whole, dice = _filled(tmp_path, 3), random.Random(5)
    pages = len(whole) // 4096
    for number in dice.sample(range(pages), min(pages, 12)):
        folder = tmp_path / str(number)
        folder.mkdir()
        place = number * 4096
        (folder / FILE_NAME).write_bytes(whole[:place] + dice.randbytes(4096) + whole[place + 4096 :])
        journal = journal_in(folder)
        consultation, keeper = talk(journal, ["casing Q9", "technician Three", *TALK])
        journal.close()
        with closing(sqlite3.connect(folder / FILE_NAME)) as db:
            assert state_after(entries_of(db, keeper.consultation)) == consultation.saved, number


def _damaged_ways(whole: bytes) -> dict[str, bytes]:
    """The file cut off, without some of its pages, and with bytes changed in the schema, in the lists, in entries."""
    dice = random.Random(7)
    pages = [whole[at : at + 4096] for at in range(0, len(whole), 4096)]
    entries = [place for place, page in enumerate(pages) if page[0] == 13 and b'"key":' in page]
    others = [place for place in range(1, len(pages)) if place not in entries]

    def changed(places: list[int], count: int) -> bytes:
        data = bytearray(whole)
        for place in places:
            for _ in range(count):
                data[place * 4096 + dice.randrange(4096)] = dice.randrange(256)
        return bytes(data)

    ways = {f"cut at {share} %": whole[: len(whole) * share // 100] for share in (99, 90, 80, 70, 40)}
    ways |= {"schema": changed([0], 60), "lists": changed(others, 5), "no first page": bytes(4096) + whole[4096:]}
    ways |= {f"entries, {count} bytes a page": changed(entries, count) for count in (1, 3, 40)}
    return ways | {
        "each fifth page gone": b"".join(bytes(4096) if n % 5 == 2 else page for n, page in enumerate(pages))
    }


def _rows(data: bytes) -> set[tuple[object, ...]]:
    """The entries' rows but for their place in the chain."""
    return {tuple(row[1:8]) for _, row in page_walk.rows(data) if len(row) == 9 and isinstance(row[8], bytes)}


@pytest.mark.parametrize("way", _damaged_ways(bytes(4096)))
def test_no_entry_that_another_reading_of_the_pages_finds_whole_is_left_behind(tmp_path: Path, way: str) -> None:
    """And none comes in that was not written so, except where all that could tell so is gone."""
    whole = _filled(tmp_path, 5)
    written, data = _rows(whole), _damaged_ways(whole)[way]
    readable = _rows(data) & written
    (tmp_path / FILE_NAME).write_bytes(data)
    store = Store(tmp_path / "new" / FILE_NAME)
    save_what_can_be(tmp_path / FILE_NAME, store)
    found = set(store.db.execute("SELECT step, at, kind, rules, body FROM entry"))
    store.close()
    found = {row[1:] for row in found if row[2] != "begin"}
    assert {row[2:6] for row in readable if row[3] != "begin"} <= found, len(readable)
    assert len(found - {row[2:6] for row in written}) <= 1 + len(written - readable) // 4
    assert checked(tmp_path / "new").problems == []


def test_rows_are_read_off_the_pages_as_sqlite_reads_them(tmp_path: Path) -> None:
    """With long texts on further pages, and what is still in the log alone."""
    journal = journal_in(tmp_path)
    for number in range(4):
        talk(journal, [f"casing T{number}", "technician Worker Two", *TALK], end=False)
    assert (tmp_path / f"{FILE_NAME}-wal").stat().st_size
    with closing(sqlite3.connect(tmp_path / FILE_NAME)) as db, closing(Pages(tmp_path / FILE_NAME)) as pages:
        rows = {seq: row for leaf in pages.leaves() for seq, row in pages.rows(leaf) if len(row) == 9}
        expected = {row[0]: [None, *row[1:]] for row in db.execute("SELECT * FROM entry")}
        assert rows == expected and max(len(str(row[6])) for row in rows.values()) > 1000
        words = {str(row[0]): row for row in pages.keyed() if len(row) == 3 and len(str(row[0])) == 64}
        assert words == {row[0]: [*row] for row in db.execute("SELECT commitment, salt, words FROM private")}
    journal.close()
