"""Ways to tamper with a journal, each covering its traces as far as its way goes; `--verify` must see every one."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import closing
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from advisor.cli import main
from advisor.journal.data_folder import FILE_NAME
from advisor.journal.integrity import BESIDE
from advisor.journal.store import opened_to_read
from tests.journal.record_support import TALK, checked, journal_in, talk

Way = Callable[[sqlite3.Connection], object]
LISTED = ("casing", "technician", "plate", "verdict", "begun", "words", "notes")


def _filled(folder: Path, count: int = 3) -> None:
    folder.mkdir(exist_ok=True)
    for name, content in _files(count).items():
        (folder / name).write_bytes(content)


@cache
def _files(count: int) -> dict[str, bytes]:
    """A journal's files, talked through once."""
    with TemporaryDirectory() as name:
        journal = journal_in(Path(name))
        for number in range(count):
            talk(journal, [f"casing T{number}", "technician Two", "plate XY 123", *TALK, "note rim bent"])
        journal.close()
        return {each: (Path(name) / each).read_bytes() for each in (FILE_NAME, BESIDE)}


def _sql(*statements: str) -> Way:
    def way(db: sqlite3.Connection) -> None:
        for statement in statements:
            db.execute(statement)

    return way


def _words_away(which: str) -> Way:
    """Personal words deleted, and both lists mended so that they say the same."""

    def way(db: sqlite3.Connection) -> None:
        db.execute(f"DELETE FROM private WHERE {which}")
        for field, bare in (("technician", "Two"), ("plate", "XY 123"), ("notes", "rim bent")):
            if not db.execute("SELECT 1 FROM private WHERE words = ?", (bare,)).fetchone():
                db.execute(f"UPDATE consultation SET {field} = ''")
        _mend_search(db)

    return way


def _mend_search(db: sqlite3.Connection) -> None:
    columns = ", ".join(("id", *LISTED))
    db.execute("DELETE FROM finder")
    db.execute(f"INSERT INTO finder(rowid, {columns}) SELECT number, {columns} FROM consultation")


def _one_list(column: str, value: str, both: bool = False) -> Way:
    def way(db: sqlite3.Connection) -> None:
        db.execute(f"UPDATE consultation SET {column} = ? WHERE number = 2", (value,))
        if both:
            _mend_search(db)

    return way


HIDDEN = "PRAGMA writable_schema = ON"
WAYS: dict[str, Way] = {
    "a body": _sql("UPDATE entry SET body = replace(body, '4', '5') WHERE seq = 30"),
    "a time": _sql("UPDATE entry SET at = '2026-03-15' || substr(at, 11) WHERE seq = 9"),
    "the rules": _sql("UPDATE entry SET rules = 'x' WHERE seq = 12"),
    "a kind": _sql("UPDATE entry SET kind = 'note' WHERE seq = 7"),
    "whose": _sql("UPDATE entry SET consultation = 'other' WHERE seq = 40"),
    "a link": _sql("UPDATE entry SET link = zeroblob(32) WHERE seq = 11"),
    "a hash of the chain": _sql("UPDATE entry SET chain = zeroblob(32) WHERE seq = 11"),
    "a step": _sql("UPDATE entry SET step = 900 WHERE seq = 11"),
    "a number": _sql("UPDATE entry SET seq = 9000 WHERE seq = 20"),
    "a gap": _sql("DELETE FROM entry WHERE seq = 20"),
    "the end": _sql("DELETE FROM entry WHERE seq > 60"),
    "the beginning": _sql("DELETE FROM entry WHERE seq < 5"),
    "a whole consultation": _sql(
        "DELETE FROM entry WHERE consultation = (SELECT id FROM consultation WHERE number = 2)",
        "DELETE FROM finder WHERE rowid = 2", "DELETE FROM consultation WHERE number = 2",
    ),
    "two exchanged": _sql(
        "UPDATE entry SET seq = 1000 WHERE seq = 10", "UPDATE entry SET seq = 10 WHERE seq = 11",
        "UPDATE entry SET seq = 11 WHERE seq = 1000",
    ),
    "an entry put in": _sql(
        "INSERT INTO entry SELECT 1000, consultation, 900, at, kind, rules, body, link, chain FROM entry WHERE seq = 9"
    ),
    "a consultation named as a branch": _sql(
        "UPDATE entry SET consultation = consultation || '~00000000' WHERE consultation LIKE '%' AND seq < 20"
    ),
    "all of one named as a branch": _sql(
        "UPDATE entry SET consultation = consultation || '~0123abcd' "
        "WHERE consultation = (SELECT id FROM consultation WHERE number = 2)",
        "UPDATE consultation SET id = id || '~0123abcd' WHERE number = 2",
        "UPDATE finder SET id = id || '~0123abcd' WHERE rowid = 2",
    ),
    "the count taken back": _sql("UPDATE sqlite_sequence SET seq = 3"),
    "the count taken away": _sql("DELETE FROM sqlite_sequence"),
    "a name": _sql("UPDATE private SET words = 'Three' WHERE words = 'Two'"),
    "a salt": _sql("UPDATE private SET salt = zeroblob(32) WHERE words = 'Two'"),
    "a further word": _sql("INSERT INTO private VALUES ('00', zeroblob(32), 'Two')"),
    "names deleted, lists mended": _words_away("words = 'Two'"),
    "notes deleted, lists mended": _words_away("words = 'rim bent'"),
    "all words deleted, lists mended": _words_away("1"),
    "words told to have been forgotten": _sql(
        "INSERT INTO without_words SELECT commitment, 'forgotten' FROM private WHERE words = 'Two'"
    ),
    "words deleted and told forgotten": lambda db: (
        db.execute("INSERT INTO without_words SELECT commitment, 'forgotten' FROM private WHERE words = 'Two'"),
        _words_away("words = 'Two'")(db),
    ),
    "the list's verdict": _one_list("verdict", "repair-not"),
    "the list's verdict, both lists": _one_list("verdict", "scrap", both=True),
    "the list's state": _one_list("state", "open"),
    "the list's casing": _one_list("casing", "T77", both=True),
    "a list's row": _sql("DELETE FROM consultation WHERE number = 2"),
    "a row of both lists": _sql("DELETE FROM consultation WHERE number = 2", "DELETE FROM finder WHERE rowid = 2"),
    "a row put into the list": _sql(
        "INSERT INTO consultation(id, begun, rules_id, edition, digest) VALUES ('x', '', '', '', '')"
    ),
    "the search list's words": _sql("UPDATE finder_content SET c1 = 'T77' WHERE id = 2"),
    "the search list's index": _sql("DELETE FROM finder_idx", "DELETE FROM finder_data WHERE id > 10"),
    "a trigger that deletes": _sql(
        "CREATE TRIGGER away AFTER INSERT ON entry BEGIN DELETE FROM entry WHERE seq < new.seq - 5; END"
    ),
    "a trigger on the lists": _sql(
        "CREATE TRIGGER mild AFTER UPDATE ON consultation BEGIN "
        "UPDATE consultation SET verdict = 'repair' WHERE id = new.id; END"
    ),
    "a view": _sql("CREATE VIEW entries AS SELECT * FROM entry WHERE kind <> 'verdict'"),
    "a further table": _sql("CREATE TABLE more(x)"),
    "a further index": _sql("CREATE INDEX more ON entry(kind)"),
    "an index taken away": _sql("DROP INDEX consultation_open"),
    "the table of entries loosened": _sql(
        HIDDEN, "UPDATE sqlite_master SET sql = replace(sql, ' STRICT', '') WHERE name = 'entry'"
    ),
    "a view for the entries": _sql(
        "ALTER TABLE entry RENAME TO hidden", "CREATE VIEW entry AS SELECT * FROM hidden WHERE kind <> 'verdict'"
    ),
    "an earlier version": _sql("DROP TABLE without_words", "PRAGMA user_version = 3"),
}  # fmt: skip
#: What is no fault by itself, and is told.
TOLD = {"an earlier version": "of personal words that are gone it can't say why"}


@pytest.mark.parametrize("sealed", ["alone", "sealed"])
@pytest.mark.parametrize("name", WAYS)
def test_each_way_is_seen(tmp_path: Path, name: str, sealed: str, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "data"
    _filled(folder)
    words = ["--verify", "--data", str(folder)]
    if sealed == "sealed":
        assert main(["casings", "--seal", str(tmp_path / "kept"), "--data", str(folder)]) == 0
        words += ["--against", str(tmp_path / "kept")]
    assert main(["casings", *words]) == 0
    with closing(sqlite3.connect(folder / FILE_NAME, isolation_level=None)) as db:
        WAYS[name](db)
    capsys.readouterr()
    code = main(["casings", *words])
    said = capsys.readouterr()
    assert (TOLD[name] in said.out) if name in TOLD else (code == 1), said
    assert "fault of the program" not in said.out + said.err


def test_there_are_as_many_ways_as_were_tried(tmp_path: Path) -> None:
    assert len(WAYS) >= 39


def test_nothing_in_a_hostile_file_is_run(tmp_path: Path) -> None:
    """Neither reading nor writing runs a trigger or a view."""
    _filled(tmp_path, 1)
    path = tmp_path / FILE_NAME
    with closing(sqlite3.connect(path, isolation_level=None)) as db:
        db.execute("CREATE VIEW seen AS SELECT * FROM entry")
        db.execute("CREATE TRIGGER away AFTER UPDATE ON consultation BEGIN DELETE FROM entry; END")
    with (
        closing(opened_to_read(path)) as read,
        pytest.raises(sqlite3.DatabaseError, match=r"not authorized|prohibited"),
    ):
        read.execute("SELECT * FROM seen").fetchall()
    from advisor.journal.store import connected

    with closing(connected(path)) as db, pytest.raises(sqlite3.DatabaseError, match=r"not authorized|prohibited"):
        db.execute("UPDATE consultation SET casing = 'x'")
    journal = journal_in(tmp_path)
    assert "set aside whole" in journal.take_notices()[0]
    talk(journal)
    journal.close()
    assert checked(tmp_path).problems == [] and checked(tmp_path).consultations == 2


def test_words_that_never_came_are_no_fault_and_are_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _filled(tmp_path / "a", 2)
    assert main(["casings", "--export", str(tmp_path / "x.jsonl"), "--anonymous", "--data", str(tmp_path / "a")]) == 0
    assert main(["casings", "--import", str(tmp_path / "x.jsonl"), "--data", str(tmp_path / "b")]) == 0
    assert main(["casings", "--forget", "Two", "--data", str(tmp_path / "a")]) == 0
    capsys.readouterr()
    assert main(["casings", "--verify", "--data", str(tmp_path / "a")]) == 0
    assert "6 forgotten, 0 that never came" in capsys.readouterr().out
    assert main(["casings", "--verify", "--data", str(tmp_path / "b")]) == 0
    assert "0 forgotten, 6 that never came" in capsys.readouterr().out


@pytest.mark.parametrize("version", [1, 2, 3])
def test_every_earlier_journal_is_verified_as_it_was(
    tmp_path: Path, version: int, capsys: pytest.CaptureFixture[str]
) -> None:
    with closing(sqlite3.connect(tmp_path / FILE_NAME)) as db:
        db.executescript((Path(__file__).parent / "journals" / f"version-{version}.sql").read_text())
    assert main(["casings", "--verify", "--data", str(tmp_path)]) == 0
    assert f"A journal of version {version}" in capsys.readouterr().out
    journal_in(tmp_path).close()
    assert main(["casings", "--verify", "--data", str(tmp_path)]) == 0
