"""The recall list: recorded cases under a tightened edition; memory does not grow with the number of records."""

from __future__ import annotations

import gc
import re
import shutil
import sqlite3
import tracemalloc
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest

from advisor.cli import main
from advisor.journal.data_folder import FILE_NAME
from advisor.journal.export import export_lines
from advisor.journal.integrity import verify
from advisor.journal.rejudge import rejudged
from advisor.loader.ruleset_loader import find_rule_set
from tests.journal.fleet import fill_fleet, pour_fleet
from tests.journal.record_support import TALK, journal_in, judge, talk


def _tightened(folder: Path) -> Path:
    """The default rules with the light nail-hole limit brought down to 3 mm."""
    found = find_rule_set("us-road")
    shutil.copytree(found, folder / "us-road")
    file = folder / "us-road" / "limits.yaml"
    text = file.read_text()
    block = re.search(r"^nail-hole-size-light:\n(?:  .*\n)+", text, re.M)
    assert block
    tight = re.sub(r"value: .*", "value: 3 mm", block[0])
    file.write_text(text.replace(block[0], tight))
    return folder / "us-road"


def test_a_tightened_edition_gives_a_recall_list(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    tight = _tightened(tmp_path)
    journal = journal_in(tmp_path / "data")
    _, recalled = talk(journal, ["casing T42", *TALK])
    talk(journal, ["casing T43", *(line.replace("4 mm", "2 mm") for line in TALK)])
    talk(journal, TALK[:5])
    journal.close()
    code = main(["compare", "--records", "us-road", str(tight), "--data", str(tmp_path / "data")])
    said = capsys.readouterr().out
    assert code == 1
    [line] = [line for line in said.splitlines() if line.startswith("repair to ")]
    assert "casing T42" in line and recalled.consultation in line
    assert ": 2\n" in said and "left aside, not finished: 1\n" in said
    assert main(["compare", "--records", "demo-shop", str(tight), "--data", str(tmp_path / "data")]) == 0
    assert "left aside, decided by other rules than demo-shop: 2\n" in capsys.readouterr().out
    code = main(["compare", "--records", "us-road", "us-road", "--data", str(tmp_path / "data")])
    assert code == 0 and "none would be decided otherwise" in capsys.readouterr().out


#: What may be held more for each further record: less than what is told of one takes.
HELD_FOR_A_RECORD = 250
COUNTS = {"few": 20, "many": 80}


def test_memory_does_not_grow_with_the_records(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Four times the records, read in blocks of five: what is held near the end stays what it was."""
    monkeypatch.setattr("advisor.journal.rejudge._A_BLOCK", 5)
    for name, count in COUNTS.items():
        fill_fleet(tmp_path / name, judge(), count)

    def held(name: str, keep: bool = False) -> int:
        with closing(sqlite3.connect(tmp_path / name / FILE_NAME)) as db:
            return _held_near_the_end(rejudged(db, judge(), judge(), "us-road"), COUNTS[name] - 10, keep)

    assert held("many") > 0, "what is kept of earlier cases is warm from here on"
    few = held("few")
    assert held("many") - few < 60 * HELD_FOR_A_RECORD
    assert held("many", keep=True) - few > 60 * HELD_FOR_A_RECORD, "it can't fail"


def _held_near_the_end(records: Iterator[object], after: int, keep: bool) -> int:
    """The least bytes held at once from so many records on; `keep` holds on to all of them.

    The least, so that nothing counts that something else in this process holds for a moment.
    """
    last, kept = list[int](), list[object]()
    gc.freeze()
    tracemalloc.start()
    try:
        for number, record in enumerate(records):
            if keep:
                kept.append(record)
            if number >= after:
                gc.collect()
                last.append(tracemalloc.get_traced_memory()[0])
        return min(last)
    finally:
        tracemalloc.stop()
        gc.unfreeze()


@pytest.fixture(scope="module")
def poured(tmp_path_factory: pytest.TempPathFactory) -> dict[int, Path]:
    """Journals of invented fleets by their number of consultations."""
    folders = {count: tmp_path_factory.mktemp(f"fleet-{count}") for count in (50, 200)}
    for count, folder in folders.items():
        pour_fleet(folder, judge(), count)
    return folders


@pytest.mark.parametrize("what", ["verify", "export"])
def test_memory_of_a_check_and_of_an_export_does_not_grow(
    poured: dict[int, Path], monkeypatch: pytest.MonkeyPatch, what: str
) -> None:
    for name in ("integrity._AT_HAND", "queries._A_BLOCK"):
        monkeypatch.setattr(f"advisor.journal.{name}", 10)

    def done(db: sqlite3.Connection) -> Iterator[object]:
        return iter([verify(db).problems]) if what == "verify" else export_lines(db)

    assert _peak(poured[200], done) > 0
    few, many = _peak(poured[50], done), _peak(poured[200], done)
    assert many < few + 30_000


def _peak(folder: Path, done: Callable[[sqlite3.Connection], Iterator[object]]) -> int:
    """The most bytes held at once. What only waits for the collector of cycles is not held, so it runs all along."""
    gc.freeze()
    tracemalloc.start()
    try:
        with closing(sqlite3.connect(folder / FILE_NAME, isolation_level=None)) as db:
            for _ in done(db):
                gc.collect()
        return tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
        gc.unfreeze()


def test_a_restriction_or_method_that_changes_is_listed_as_well(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    found = find_rule_set("us-road")
    shutil.copytree(found, tmp_path / "us-road")
    file = tmp_path / "us-road" / "methods.yaml"
    text = file.read_text()
    assert "one-piece-angle" in (tmp_path / "us-road" / "limits.yaml").read_text()
    limits = tmp_path / "us-road" / "limits.yaml"
    block = re.search(r"^one-piece-angle:\n(?:  .*\n)+", limits.read_text(), re.M)
    assert block and text
    limits.write_text(limits.read_text().replace(block[0], re.sub(r"value: .*", "value: 5 deg", block[0])))
    journal = journal_in(tmp_path / "data")
    talk(journal, ["casing T42", *TALK])
    journal.close()
    words = ["compare", "--records", "us-road", str(tmp_path / "us-road"), "--data", str(tmp_path / "data")]
    assert main(words) == 1
    said = capsys.readouterr().out
    assert "repair, otherwise: casing T42" in said and "method one-piece to two-piece" in said
    assert "repair, with another method or restriction: 1" in said
    assert main([*words, "--json"]) == 1
    assert '"new_method": "two-piece"' in capsys.readouterr().out
