"""What comes in never changes what is here: forks, forgetting, forged records, and three laptops in any order."""

from __future__ import annotations

import json
import random
import sqlite3
from itertools import permutations
from pathlib import Path
from typing import Any

import pytest

from advisor.cli import main
from advisor.journal.data_folder import FILE_NAME
from advisor.journal.events import NOTHING_BEFORE, canonical, link_of
from tests.journal.laptops import Laptop, standing
from tests.journal.record_support import SAID, TALK, Clock, checked, journal_in, talk

SCRAP = tuple("sidewall" if line == "crown" else line for line in TALK)
HISTORIES = 12


def _casings(folder: Path, *words: str) -> int:
    return main(["casings", *words, "--data", str(folder)])


def _filled(folder: Path, *lines: str) -> str:
    journal = journal_in(folder)
    _, keeper = talk(journal, lines)
    journal.close()
    return keeper.consultation


def _rows(folder: Path) -> list[tuple[str, ...]]:
    with sqlite3.connect(folder / FILE_NAME) as db:
        return db.execute(
            "SELECT id, verdict, casing, technician, plate, notes FROM consultation ORDER BY number"
        ).fetchall()


def _exported(folder: Path, file: Path) -> dict[str, Any]:
    assert _casings(folder, "--export", str(file)) == 0
    found: dict[str, Any] = json.loads(file.read_text().splitlines()[-1])
    return found


def _written(file: Path, line: dict[str, Any]) -> str:
    """The line with every link worked out anew, as someone who forges a record would."""
    before = NOTHING_BEFORE
    for step, entry in enumerate(line["entries"], 1):
        parts = (entry["at"], entry["kind"], entry["rules"], entry["body"])
        before = link_of(before, line["consultation"], step, *parts)
        entry["link"] = before.hex()
    file.write_text(json.dumps(line))
    return str(file)


def _more(line: dict[str, Any], *entries: tuple[str, dict[str, Any]]) -> dict[str, Any]:
    last = line["entries"][-1]
    for kind, body in entries:
        line["entries"].append({**last, "kind": kind, "body": canonical(body), "private": {}})
    return line


def _way_to_repair(other: Path) -> dict[str, Any]:
    """The verdict of the same tire with the injury in the crown."""
    _filled(other, *TALK)
    with sqlite3.connect(other / FILE_NAME) as db:
        found: dict[str, Any] = json.loads(db.execute("SELECT body FROM entry WHERE kind = 'verdict'").fetchone()[0])
    return found


def test_an_import_never_turns_our_scrap_into_repair(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """An own export, gone on with to another answer and its verdict."""
    name = _filled(tmp_path / "a", "casing T42", "technician Two", *SCRAP)
    line = _exported(tmp_path / "a", tmp_path / "a.jsonl")
    change = {"over": "injuries", "key": ["injury-zone", 0], "answer": {"choice": "crown"}}
    _more(line, ("change", change), ("verdict", _way_to_repair(tmp_path / "b")), ("ended", {}))
    before = _rows(tmp_path / "a")
    capsys.readouterr()
    for count in range(3):
        assert _casings(tmp_path / "a", "--import", _written(tmp_path / "f.jsonl", line)) == 0
        said = capsys.readouterr().out
        assert ("went apart: here SCRAP" in said and "there REPAIR" in said) == (count == 0), said
    rows = _rows(tmp_path / "a")
    assert rows[: len(before)] == before and rows[0][:2] == (name, "scrap")
    assert [row[1] for row in rows] == ["scrap", "repair"]
    assert checked(tmp_path / "a").problems == []


@pytest.mark.parametrize("way", ["import", "merge"])
def test_a_verdict_that_its_own_rules_do_not_give_is_not_taken_in(
    tmp_path: Path, way: str, capsys: pytest.CaptureFixture[str]
) -> None:
    _filled(tmp_path / "a", *SCRAP)
    line = _exported(tmp_path / "a", tmp_path / "a.jsonl")
    for entry in line["entries"]:
        if entry["kind"] == "verdict":
            body = json.loads(entry["body"])
            entry["body"] = canonical({**body, "verdict": "repair", "ending": "repair-nail-hole", "restrictions": []})
    if way == "import":
        assert _casings(tmp_path / "b", "--import", _written(tmp_path / "f.jsonl", line)) == 2
    else:
        _planted(tmp_path / "forged", line)
        assert _casings(tmp_path / "b", "--merge", str(tmp_path / "forged")) == 2
    said = capsys.readouterr().out
    assert "it says repair" in said and "its own rules judge scrap" in said and "1 not taken" in said
    assert _rows(tmp_path / "b") == []


def _planted(folder: Path, line: dict[str, Any]) -> None:
    """A journal that holds a line's entries, every hash as it should be."""
    from advisor.journal.events import NewEvent

    journal = journal_in(folder)
    name = line["consultation"]
    journal.append([NewEvent(name, each["at"], each["kind"], each["rules"], each["body"]) for each in line["entries"]])
    journal.close()


def test_a_verdict_on_other_answers_than_are_recorded_is_not_taken_in(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The answers speak for scrap, the verdict is right for the case that it brings along."""
    _filled(tmp_path / "a", *SCRAP)
    line = _exported(tmp_path / "a", tmp_path / "a.jsonl")
    repair = _way_to_repair(tmp_path / "b")
    for entry in line["entries"]:
        if entry["kind"] == "verdict":
            entry["body"] = canonical(repair)
    assert _casings(tmp_path / "c", "--import", _written(tmp_path / "f.jsonl", line)) == 2
    assert "given on other answers" in capsys.readouterr().out
    assert _rows(tmp_path / "c") == []


@pytest.mark.parametrize("way", ["within", "beside", "of others"])
def test_an_import_deletes_no_names_and_says_how_to(
    tmp_path: Path, way: str, capsys: pytest.CaptureFixture[str]
) -> None:
    name = _filled(tmp_path / "a", "technician Two", "plate XY 123", *TALK, "note rim bent")
    before = _rows(tmp_path / "a")
    line = _exported(tmp_path / "a", tmp_path / "a.jsonl")
    if way == "within":
        file = _written(tmp_path / "f.jsonl", _more(line, ("forgotten", {"fields": ["technician"]})))
    else:
        of = name if way == "beside" else _filled(tmp_path / "a", "technician Three", *TALK[:3])
        before = _rows(tmp_path / "a")
        commitments = [
            each for entry in line["entries"] for each in json.loads(entry["body"]).get("private", {}).values()
        ]
        from advisor.journal.events import FORGOTTEN, noted_beside

        note = noted_beside(
            FORGOTTEN, "2026-03-15T00:00:00.000000Z", {"of": of, "fields": [], "commitments": commitments}
        )
        entry = {"at": note.at, "kind": note.kind, "rules": "", "body": note.body, "link": "", "private": {}}
        line = {"format": line["format"], "consultation": note.consultation, "entries": [entry]}
        file = _written(tmp_path / "f.jsonl", line)
    capsys.readouterr()
    code = _casings(tmp_path / "a", "--import", file)
    said = capsys.readouterr().out
    assert [row[1:] for row in _rows(tmp_path / "a")][: len(before)] == [row[1:] for row in before]
    assert ("also names 3 words of other" if way == "of others" else f"advisor casings --forget {name}") in said
    assert code == (2 if way == "of others" else 0)
    assert checked(tmp_path / "a").problems == []


def test_what_was_forgotten_does_not_come_back_and_is_forgotten_where_it_is_merged(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    _filled(tmp_path / "a", "technician Two", *TALK)
    assert _casings(tmp_path / "b", "--merge", str(tmp_path / "a")) == 0
    assert _casings(tmp_path / "a", "--export", str(tmp_path / "old.jsonl")) == 0
    assert _casings(tmp_path / "a", "--export", str(tmp_path / "old.csv")) == 0
    assert _casings(tmp_path / "a", "--forget", "Two") == 0
    for words in (("--merge", str(tmp_path / "b")), ("--import", str(tmp_path / "old.jsonl")),
                  ("--import", str(tmp_path / "old.csv"))):  # fmt: skip
        assert _casings(tmp_path / "a", *words) == 0
        assert [row[3] for row in _rows(tmp_path / "a")] == [""], words
        assert checked(tmp_path / "a").problems == []
    assert _rows(tmp_path / "b")[0][3] == "Two"
    capsys.readouterr()
    assert _casings(tmp_path / "b", "--merge", str(tmp_path / "a")) == 0
    assert "and so 1 personal words deleted here" in capsys.readouterr().out
    assert _rows(tmp_path / "b")[0][3] == ""
    assert checked(tmp_path / "b").problems == []
    assert _casings(tmp_path / "c", "--merge", str(tmp_path / "a")) == 0
    assert _casings(tmp_path / "c", "--import", str(tmp_path / "old.jsonl")) == 0
    assert _rows(tmp_path / "c")[0][3] == ""


def test_words_left_out_of_an_export_come_in_with_a_whole_one_and_lists_follow(tmp_path: Path) -> None:
    _filled(tmp_path / "a", "technician Two", *TALK)
    assert _casings(tmp_path / "a", "--export", str(tmp_path / "n.jsonl"), "--anonymous") == 0
    assert _casings(tmp_path / "b", "--import", str(tmp_path / "n.jsonl")) == 0
    assert (_rows(tmp_path / "b")[0][3], checked(tmp_path / "b").problems) == ("", [])
    assert _casings(tmp_path / "b", "--merge", str(tmp_path / "a")) == 0
    assert (_rows(tmp_path / "b")[0][3], checked(tmp_path / "b").problems) == ("Two", [])


def test_a_consultation_open_in_a_window_is_not_gone_on_with(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    name = _filled(tmp_path / "a", *TALK[:5])
    assert _casings(tmp_path / "b", "--merge", str(tmp_path / "a")) == 0
    other = Laptop(tmp_path / "b", Clock())
    journal = other.journal()
    from advisor.journal.events import draft

    body = {"over": "tire", "key": ["tube", -1], "answer": {"choice": "tubeless"}}
    journal.append([draft(name, journal.at, "answer", "x", body)])
    journal.close()
    window = journal_in(tmp_path / "a")
    assert window.claims.take(name)
    assert _casings(tmp_path / "a", "--merge", str(tmp_path / "b")) == 2
    assert "open in another window" in capsys.readouterr().out
    window.close()
    assert _casings(tmp_path / "a", "--merge", str(tmp_path / "b")) == 0


def _history(folder: Path, seed: int) -> list[Laptop]:
    """Three laptops after a random history; each is left as it is then."""
    dice, clock = random.Random(seed), Clock()
    three = [Laptop(folder / name, clock) for name in "abc"]
    for _ in range(14):
        one, other = dice.sample(three, 2)
        match dice.choice(["begin", "on", "on", "on", "merge", "merge", "forget"]):
            case "begin":
                one.begin(dice)
            case "on":
                one.go_on(dice)
            case "merge":
                one.take_in(other)
            case "forget":
                one.forget(dice)
    return three


@pytest.mark.parametrize("seed", range(HISTORIES))
def test_three_laptops_come_to_the_same_in_any_order(tmp_path: Path, seed: int) -> None:
    """Idempotent, commutative and associative, over random histories; nothing that was here is changed."""
    found = []
    for place, order in enumerate(list(permutations(range(3)))[:: 1 if seed < 2 else 4]):
        folder = tmp_path / str(place)
        three = _history(folder, seed)
        into, *others = (three[each] for each in order)
        for other in others:
            rows = _rows(into.folder)
            into.take_in(other)
            _nothing_changed(rows, _rows(into.folder))
        for other in others:
            other.take_in(into)
        stands = [standing(one.folder) for one in three]
        assert stands[0] == stands[1] == stands[2]
        again = [_rows(one.folder) for one in three]
        for one in three:
            for other in three:
                if one is not other:
                    joined = one.take_in(other)
                    assert (joined.new, joined.longer, joined.apart, joined.refused) == (0, 0, 0, 0), joined
        assert [_rows(one.folder) for one in three] == again
        for one in three:
            assert checked(one.folder).problems == []
        found.append(stands[0])
    assert [len(ways) for ways, _, _ in found] == [len(found[0][0])] * len(found)


def _nothing_changed(before: list[tuple[str, ...]], after: list[tuple[str, ...]]) -> None:
    """A verdict, its casing and its names stay as they were, but for names that were forgotten elsewhere."""
    now = {row[0]: row for row in after}
    for row in before:
        if row[1]:
            assert now[row[0]][1] == row[1]
            assert all(
                was in (is_now, "") or is_now == "" for was, is_now in zip(row[2:5], now[row[0]][2:5], strict=True)
            )


def test_a_fork_is_one_fork_however_often_it_is_merged_to_and_fro(tmp_path: Path) -> None:
    one = Laptop(tmp_path / "a", Clock())
    other = Laptop(tmp_path / "b", Clock())
    dice = random.Random(3)
    one.begin(dice)
    other.take_in(one)
    name = one.names()[0]
    for laptop, vehicle in ((one, "car"), (other, "bus")):
        journal = laptop.journal()
        from advisor.journal.events import draft

        body = {"over": "tire", "key": ["vehicle", -1], "answer": {"choice": vehicle}}
        journal.append([draft(name, journal.at, "answer", "x", body)])
        journal.close()
    for _ in range(4):
        one.take_in(other)
        other.take_in(one)
    third = Laptop(tmp_path / "c", Clock())
    third.take_in(other)
    third.take_in(one)
    assert [len(laptop.names()) for laptop in (one, other, third)] == [2, 2, 2]
    assert SAID["vehicle"] == "car"
