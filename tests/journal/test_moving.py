"""Records carried out and in: exact, checked, nothing lost or doubled; personal words left out or forgotten."""

from __future__ import annotations

import csv
import io
import json
import random
import sqlite3
from collections.abc import Sequence
from pathlib import Path

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from advisor.cli import main
from advisor.journal.data_folder import FILE_NAME
from advisor.journal.search import found_by
from advisor.loader.case_rows import guarded, unguarded
from tests.journal.record_support import TALK, checked, journal_in, judge, talk

ODD = ["\uff1d1", "=1+1", "-35 mm T", "@SUM(A1)", "'quoted", "Zoë \N{WHEEL}", 'a,b"c', "T42", "+49 1"]
NO_SHRINK = (Phase.explicit, Phase.reuse, Phase.generate)
STEPS_TYPED = ["back", "skip", "stop", "go on", "start over", "change 3"]
WAYS = [*TALK, *STEPS_TYPED, "can't tell", "about 9 mm", "8-10 mm", "-20 mm"]


def _filled(folder: Path, talks: Sequence[Sequence[str]]) -> Path:
    journal = journal_in(folder)
    for lines in talks:
        talk(journal, lines)
    journal.close()
    return folder


def _casings(folder: Path, *words: str) -> int:
    return main(["casings", *words, "--data", str(folder)])


def _export(folder: Path, file: Path, *words: str) -> bytes:
    assert _casings(folder, "--export", str(file), *words) == 0
    return file.read_bytes()


@settings(max_examples=5, deadline=None, phases=NO_SHRINK)
@given(
    talks=st.lists(st.lists(st.sampled_from(WAYS), min_size=1, max_size=25), min_size=1, max_size=4),
    names=st.lists(st.sampled_from(ODD), min_size=4, max_size=4),
    ending=st.sampled_from([".jsonl", ".csv", ".parquet"]),
)
def test_export_import_export_is_byte_equal(
    tmp_path_factory: pytest.TempPathFactory, talks: list[list[str]], names: list[str], ending: str
) -> None:
    folder = tmp_path_factory.mktemp("out")
    about = [f"casing {names[0]}", f"technician {names[1]}", f"plate {names[2]}"]
    _filled(folder / "a", [[*about, *lines] for lines in talks] + [[*about, *TALK]])
    first = _export(folder / "a", folder / f"first{ending}")
    assert _casings(folder / "b", "--import", str(folder / f"first{ending}")) == 0
    assert _export(folder / "b", folder / f"second{ending}") == first
    assert checked(folder / "b").problems == []
    assert _casings(folder / "b", "--import", str(folder / f"first{ending}")) == 0
    assert _export(folder / "b", folder / f"third{ending}") == first


def test_no_cell_starts_a_formula(tmp_path: Path) -> None:
    _filled(tmp_path / "a", [[f"casing {odd}", f"technician {odd}", f"plate {odd}", *TALK[:4]] for odd in ODD])
    text = _export(tmp_path / "a", tmp_path / "a.csv").decode()
    rows = list(csv.reader(io.StringIO(text)))
    assert len(rows) == len(ODD) + 1
    assert not [cell for row in rows for cell in row if cell[:1] in set("=+-@\t\r\n\uff1d\uff0b\uff0d\uff20")]


def test_anonymous_leaves_out_names_plates_and_notes(tmp_path: Path) -> None:
    _filled(tmp_path / "a", [["technician Worker Seven", "plate XY 123", "note rim bent", *TALK]])
    for ending in (".jsonl", ".csv", ".parquet"):
        text = _export(tmp_path / "a", tmp_path / f"a{ending}", "--anonymous")
        assert (tmp_path / f"a{ending}").stat().st_mode & 0o077 == 0
        assert not [word for word in (b"Seven", b"XY 123", b"rim bent") if word in text]
        assert _casings(tmp_path / f"b{ending}", "--import", str(tmp_path / f"a{ending}")) == 0
        assert checked(tmp_path / f"b{ending}").problems == []


def test_forgotten_words_are_in_no_file_and_the_chain_holds(tmp_path: Path) -> None:
    _filled(tmp_path, [["technician Worker Seven", "plate XY 123", *TALK, "note rim bent"], ["technician Two", *TALK]])
    assert _casings(tmp_path, "--forget", "Worker Seven") == 0
    assert checked(tmp_path).problems == []
    everything = b"".join(file.read_bytes() for file in tmp_path.rglob("*") if file.is_file())
    assert not [word for word in (b"Seven", b"seven", b"XY 123", b"rim bent") if word in everything]
    assert b"Two" in everything


def test_a_name_is_forgotten_by_any_spelling_and_where_it_was_replaced(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    _filled(tmp_path, [["technician Worker Seven", TALK[0], "technician Worker Eight", *TALK[1:]]])
    _filled(tmp_path, [["note asked Worker Seven about it", *TALK[:3]]])
    assert _casings(tmp_path, "--forget", "worker seven") == 0
    said = capsys.readouterr().out
    assert "2 personal words of 1 consultations" in said and "Notes of 1 other consultations hold the word" in said
    assert checked(tmp_path).problems == []
    assert _casings(tmp_path, "--forget", "worker seven") == 2
    noted = next(name for name in _ids(tmp_path) if name != _ids(tmp_path)[0])
    assert _casings(tmp_path, "--forget", noted) == 0
    assert b"Seven" not in b"".join(file.read_bytes() for file in tmp_path.rglob("*") if file.is_file())


def test_forgetting_beside_an_open_window_says_where_words_may_still_lie(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    _filled(tmp_path, [["technician Worker Seven", *TALK]])
    with sqlite3.connect(tmp_path / FILE_NAME, isolation_level=None) as window:
        window.execute("BEGIN")
        window.execute("SELECT count(*) FROM entry").fetchone()
        assert _casings(tmp_path, "--forget", "Worker Seven") == 0
        assert "Another window has the journal open" in capsys.readouterr().out
        window.execute("ROLLBACK")
    window.close()
    journal_in(tmp_path).close()
    assert b"Seven" not in b"".join(file.read_bytes() for file in tmp_path.rglob("*") if file.is_file())


def test_merging_loses_nothing_and_doubles_nothing(tmp_path: Path) -> None:
    one, other = _filled(tmp_path / "1", [TALK, TALK[:5]]), _filled(tmp_path / "2", [TALK[:9], TALK])
    assert _casings(one, "--merge", str(other)) == 0
    merged = _ids(one)
    assert len(merged) == 4
    assert _casings(one, "--merge", str(other)) == 0
    assert _ids(one) == merged
    assert _casings(other, "--merge", str(one / FILE_NAME)) == 0
    assert sorted(_ids(other)) == sorted(merged)
    assert sorted(_export(one, tmp_path / "1.jsonl").splitlines()) == sorted(
        _export(other, tmp_path / "2.jsonl").splitlines()
    )
    assert checked(one).problems == checked(other).problems == []


def test_merging_what_went_on_in_both_keeps_both(tmp_path: Path) -> None:
    one = _filled(tmp_path / "1", [TALK[:5]])
    assert _casings(one, "--backup", str(tmp_path / "copy.sqlite")) == 0
    other = tmp_path / "2"
    other.mkdir()
    (tmp_path / "copy.sqlite").rename(other / FILE_NAME)
    for folder, line in ((one, TALK[5]), (other, "skip")):
        from advisor.dialogue.event_sink import kept
        from advisor.dialogue.session import Consultation
        from advisor.dialogue.talk_commands import say
        from advisor.journal.resume import offers, take_up_record
        from tests.journal.record_support import TODAY

        journal = journal_in(folder)
        taken = take_up_record(journal, offers(journal, "us-road")[0], judge().rules)
        assert taken is not None
        consultation = Consultation(judge(), TODAY)
        consultation.resume(taken.saved)
        say(consultation, line)
        kept(taken.keeper, consultation)
        journal.close()
    for _ in range(2):
        assert _casings(one, "--merge", str(other)) == 0
        assert len(_ids(one)) == 2
    assert checked(one).problems == []


def _ids(folder: Path) -> list[str]:
    with sqlite3.connect(folder / FILE_NAME) as db:
        return [row[0] for row in db.execute("SELECT id FROM consultation ORDER BY number")]


def test_a_backup_is_whole_and_only_the_owners(tmp_path: Path) -> None:
    _filled(tmp_path / "a", [TALK])
    assert _casings(tmp_path / "a", "--backup", str(tmp_path / "b.sqlite")) == 0
    assert (tmp_path / "b.sqlite").stat().st_mode & 0o077 == 0
    with sqlite3.connect(tmp_path / "b.sqlite") as db:
        assert db.execute("SELECT count(*) FROM consultation").fetchone()[0] == 1


def _changed_lines(text: str) -> list[str]:
    """An export's line with one thing changed at a time."""
    found = []
    line = json.loads(text.splitlines()[0])
    for place, entry in enumerate(line["entries"]):
        for name in ("at", "kind", "rules", "body", "link"):
            other = json.loads(text.splitlines()[0])
            other["entries"][place][name] = entry[name][:-1] + ("0" if entry[name][-1:] != "0" else "1")
            found.append(json.dumps(other))
    del line["entries"][3]
    return [*found, json.dumps(line)]


def test_a_changed_export_is_not_taken_in(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _filled(tmp_path / "a", [["technician Two", *TALK]])
    text = _export(tmp_path / "a", tmp_path / "a.jsonl").decode()
    lines = _changed_lines(text)
    (tmp_path / "bad.jsonl").write_text("\n".join(lines))
    assert _casings(tmp_path / "b", "--import", str(tmp_path / "bad.jsonl")) == 2
    assert f"0 new, 0 gone on with, 0 known already, {len(lines)} not taken" in capsys.readouterr().out


def test_answers_that_could_not_be_typed_are_not_taken_in(tmp_path: Path) -> None:
    """A chain made anew around answers that fit no question."""
    from advisor.journal.events import NOTHING_BEFORE, link_of

    _filled(tmp_path / "a", [TALK[:4]])
    line = json.loads(_export(tmp_path / "a", tmp_path / "a.jsonl"))
    for old, new in (('"car"', '"submarine"'), ('"vehicle"', '"hull"'), ("P215/60R16 95H", "x" * 600)):
        other = json.loads(json.dumps(line))
        before = NOTHING_BEFORE
        for step, entry in enumerate(other["entries"], 1):
            entry["body"] = entry["body"].replace(old, new)
            parts = (entry["at"], entry["kind"], entry["rules"], entry["body"])
            before = link_of(before, other["consultation"], step, *parts)
            entry["link"] = before.hex()
        (tmp_path / "bad.jsonl").write_text(json.dumps(other))
        assert _casings(tmp_path / "b", "--import", str(tmp_path / "bad.jsonl")) == 2
    assert _ids(tmp_path / "b") == []


def test_a_told_verdict_must_be_the_one_judged(tmp_path: Path) -> None:
    _filled(tmp_path / "a", [TALK])
    text = _export(tmp_path / "a", tmp_path / "a.csv").decode()
    (tmp_path / "bad.csv").write_text(text.replace("4 mm", "40 mm"))
    assert _casings(tmp_path / "b", "--import", str(tmp_path / "bad.csv")) == 2
    assert _ids(tmp_path / "b") == []


@settings(max_examples=12, deadline=None, phases=NO_SHRINK)
@given(data=st.binary(max_size=400), way=st.sampled_from([".jsonl", ".csv", ".parquet"]), cut=st.integers(0, 2000))
def test_any_file_to_import_ends_calmly(
    tmp_path_factory: pytest.TempPathFactory, data: bytes, way: str, cut: int
) -> None:
    folder = tmp_path_factory.getbasetemp() / "fuzz"
    if not folder.exists():
        _filled(folder / "a", [["technician Two", *TALK]])
        for ending in (".jsonl", ".csv", ".parquet"):
            _export(folder / "a", folder / f"whole{ending}")
    whole = (folder / f"whole{way}").read_bytes()
    place = cut % len(whole)
    for text in (data, whole[:place], whole[:place] + data + whole[place:]):
        (folder / f"bad{way}").write_bytes(text)
        assert _casings(folder / "b", "--import", str(folder / f"bad{way}")) in (0, 2)
    assert checked(folder / "b").problems == []


DIGITS = '{"format":' + "9" * 5000
BOMBS = ["[" * 100_000, '{"a":' * 50_000, '"' + "x" * 5_000_000, "1e999999999", "\x00" * 1000, DIGITS]


@pytest.mark.parametrize("bomb", range(len(BOMBS)))
@pytest.mark.parametrize("way", [".jsonl", ".csv", ".parquet"])
def test_bombs_are_refused(tmp_path: Path, bomb: int, way: str) -> None:
    (tmp_path / f"bad{way}").write_text(BOMBS[bomb])
    assert _casings(tmp_path / "b", "--import", str(tmp_path / f"bad{way}")) == 2


def test_parquet_bombs_are_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Columns of another kind; a long cell told a million times; far too many columns."""
    import pyarrow
    from pyarrow import parquet

    _filled(tmp_path / "a", [TALK])
    _export(tmp_path / "a", tmp_path / "a.parquet")
    header = parquet.read_schema(tmp_path / "a.parquet").names
    long = pyarrow.DictionaryArray.from_arrays(pyarrow.array([0] * 3000, pyarrow.int32()), ["x" * 2_000_000])
    numbers = pyarrow.array([1, 2])
    for columns in (
        dict.fromkeys(header, numbers),
        dict.fromkeys(header, long),
        {f"c{number}": pyarrow.array(["x"]) for number in range(6000)},
    ):
        parquet.write_table(pyarrow.table(columns), tmp_path / "bad.parquet", store_schema=False)
        assert _casings(tmp_path / "b", "--import", str(tmp_path / "bad.parquet")) == 2
    told = capsys.readouterr().err
    assert "no texts" in told and "a cell of 2000000 characters" in told
    assert not (tmp_path / "b" / FILE_NAME).exists() or _ids(tmp_path / "b") == []


def test_without_the_package_parquet_says_what_to_install(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    _filled(tmp_path / "a", [TALK[:3]])
    monkeypatch.setattr("advisor.journal.parquet.find_spec", lambda name: None)
    for way in ("--export", "--import"):
        assert _casings(tmp_path / "a", way, str(tmp_path / "a.parquet")) == 2
        assert "pip install 'tire-repair-advisor[parquet]'" in capsys.readouterr().err
    assert not (tmp_path / "a.parquet").exists()


def test_records_by_several_rule_sets_go_out_and_in(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """JSON lines hold all of them; rows of one rule set say how many are not in them."""
    from advisor.dialogue.event_sink import kept
    from advisor.dialogue.session import Consultation
    from advisor.dialogue.talk_commands import say
    from advisor.engine.evaluator import Judge
    from advisor.journal.resume import begin_recording
    from advisor.loader.paths import find_rule_set
    from advisor.loader.ruleset_loader import load_rule_set
    from tests.journal.record_support import TODAY

    _filled(tmp_path / "a", [TALK[:3]])
    uk = Judge(load_rule_set(find_rule_set("uk-road")))
    journal = journal_in(tmp_path / "a")
    keeper, consultation = begin_recording(journal, uk.rules), Consultation(uk, TODAY)
    say(consultation, "1")
    kept(keeper, consultation)
    journal.close()
    _filled(tmp_path / "a", [TALK[:4]])
    first = _export(tmp_path / "a", tmp_path / "a.jsonl")
    assert len(first.splitlines()) == 3
    assert _casings(tmp_path / "b", "--import", str(tmp_path / "a.jsonl")) == 0
    assert _export(tmp_path / "b", tmp_path / "b.jsonl") == first
    capsys.readouterr()
    assert len(_export(tmp_path / "a", tmp_path / "a.csv").splitlines()) == 3
    assert "Not in it: 1 consultations by other rules than us-road" in capsys.readouterr().err
    assert len(_export(tmp_path / "a", tmp_path / "a.csv", "--rules", "uk-road").splitlines()) == 2


def test_finding_by_number_casing_plate_date_verdict_and_technician(tmp_path: Path) -> None:
    _filled(tmp_path, [["casing T42", "plate XY 123", "technician Two", *TALK], [*TALK[:3], "note bead scuffed"]])
    with sqlite3.connect(tmp_path / FILE_NAME) as db:
        latest = found_by(db, [])
        assert len(latest) == 2
        number = latest[1].id
        asked = ("t42", "xy 123", "2026-03-14 repair", "two repair", number, "T4", "P215/60R16")
        for words in ([*one.split()] for one in asked):
            assert [each.id for each in found_by(db, words)] == [number], words
        assert [each.id for each in found_by(db, ["scuffed"])] == [latest[0].id]
        dice = random.Random(3)
        for _ in range(200):
            found_by(db, ["".join(dice.choice("ab\"'*()^:-+ NEAR\x00{}") for _ in range(6))])


def test_the_history_page_draws_all_places_together(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    from advisor.journal.resume import begin_recording
    from advisor.loader.case_file import read_case, split_cases
    from advisor.model.saved import Saved
    from tests.journal.record_support import TODAY

    journal = journal_in(tmp_path)
    for clock in ("2:00", "7:30"):
        case = read_case(next(split_cases(CASE.replace("CLOCK", clock), "case")), judge().rules, TODAY)
        keeper = begin_recording(journal, judge().rules)
        keeper.add("casing", "T42")
        keeper.keep(Saved(case, (("vehicle", -1),), None, True), judge().judge(case))
    journal.close()
    assert _casings(tmp_path, "--show", "T42", "--svg", str(tmp_path / "T42.svg")) == 0
    assert (tmp_path / "T42.svg").read_text().startswith("<")
    page = capsys.readouterr().out
    assert "2 consultations" in page and "R1" in page and "unrolled" in page.lower()
    assert main(["--plain", "--data", str(tmp_path), "--casing", "t42", "--rules", "us-road", "--help"]) == 0


CASE = """answers: {vehicle: truck, wheel-position: drive, sidewall: 11R22.5, tube: tubeless, retread: "no",
  load-range: G, construction: radial, tire-class: medium-truck, found-pressure: 100 psi, set-pressure: 105 psi,
  run-low: "no", demounted: "yes", findings: [none], tread-depth: 9/32 in, self-supporting: "no", sealant: "no",
  earlier-repairs: [], unit-length: 90 mm, unit-width: 75 mm}
injuries: [{injury-depth: through, injury-zone: crown, injury-size: 8 mm, injury-length: 8 mm, injury-angle: 10 deg,
  inside-signs: [none], clock: "CLOCK", offset: -35 mm, tread-width: 220 mm, casing-thickness: 22 mm,
  lean: along-tread}]
"""


FORMULAS = (
    "=1+1", "+1", "-1", "@x", "＝1+1", "＋1", "－1", "＠x", "﹦1", "−1", ";=1+1", "a;=1+1", "a; @x", " =1+1", "\t=1",
    "\r=1", "'=1", "a;'=1", ";;=1", "a;\t＝1", "a|=1", "''", "';'=",
)  # fmt: skip


@pytest.mark.parametrize("text", FORMULAS)
def test_no_part_of_a_cell_is_a_formula_wherever_cells_end(text: str) -> None:
    cell = guarded(text)
    for part in (cell, *cell.replace("\t", ";").replace("\r", ";").replace("|", ";").split(";")):
        assert part.lstrip()[:1] not in set("=+-@＝＋－＠﹦−"), cell
    assert unguarded(cell) == text


@given(text=st.text(alphabet="=+-@\t\r\n' ;|a1＝＋－＠", max_size=12))
def test_any_guarded_cell_gives_its_text_back(text: str) -> None:
    assert unguarded(guarded(text)) == text


def test_an_exported_row_holds_no_formula_behind_a_semicolon(tmp_path: Path) -> None:
    _filled(tmp_path / "a", [[f"casing {odd}", *TALK] for odd in ("a;=1+1", ";=1+1", "＝1+1")])
    text = _export(tmp_path / "a", tmp_path / "a.csv").decode()
    for row in csv.reader(io.StringIO(text), delimiter=";"):
        assert not [cell for cell in row if cell.lstrip()[:1] in set("=+@＝")]
