"""Batches: judged like case by case, in order, on any number of cores; a bad row is told and the rest goes on."""

from __future__ import annotations

import gc
import json
import os
import pty
import random
import re
import signal
import subprocess
import sys
import time
from contextlib import suppress
from pathlib import Path

import pyarrow
import pyarrow.parquet
import pytest

from advisor.cli import main
from advisor.commands import batch
from advisor.commands import batch as batch_cores

HEADER = [
    "vehicle", "wheel-position", "sidewall", "tube", "retread", "found-pressure", "set-pressure", "run-low",
    "demounted", "findings", "tread-depth", "self-supporting", "sealant", "earlier-repairs", "injury-depth",
    "injury-zone", "injury-size[0]", "injury-angle", "inside-signs", "offset",
]  # fmt: skip
ROW = [
    "car", "drive", "P215/60R16 95H", "tubeless", "no", "30 psi", "35 psi", "no", "yes", "none", "6/32 in; 7/32 in",
    "no", "no", "no", "through", "crown", "4 mm", "10 deg", "none", "-35 mm",
]  # fmt: skip
FINDINGS = ["none", "bulge; exposed-cord", "no bulge; the rest not looked for", "cant-tell"]


def _cases(count: int) -> list[dict[str, str]]:
    dice = random.Random(5)
    found = []
    for _ in range(count):
        case = dict(zip(HEADER, ROW, strict=True))
        case["vehicle"] = dice.choice(["car", "truck", "cant-tell", "trailer"])
        case["injury-size[0]"] = dice.choice(["4 mm", "1/4 in", "6-9 mm", "about 5 mm", "9 mm"])
        case["injury-zone"] = dice.choice(["crown", "shoulder", ""])
        case["findings"] = dice.choice(FINDINGS)
        case["tread-depth"] = dice.choice(["6/32 in; 7/32 in", "2/32 in", ""])
        found.append(case)
    return found


def _csv(cases: list[dict[str, str]]) -> str:
    return "\n".join([",".join(HEADER), *(",".join(case[name] for name in HEADER) for case in cases)]) + "\n"


def _as_case(case: dict[str, str]) -> dict[str, object]:
    """A row as a case file says it."""
    injury_names = {"injury-depth", "injury-zone", "injury-size[0]", "injury-angle", "inside-signs", "offset"}
    answers: dict[str, object] = {}
    injury: dict[str, object] = {}
    for name, text in case.items():
        home = injury if name in injury_names else answers
        if not text:
            continue
        value: object = text.split("; ") if ";" in text else text
        if text.startswith("no bulge"):
            value = {"absent": ["bulge"]}
        home[name.removesuffix("[0]")] = value
    answers["earlier-repairs"] = []
    return {"answers": answers, "injuries": [injury]}


def _decide(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, list[str], str]:
    code = main(["decide", "--json", "--today", "2026-03-14", *words])
    said = capsys.readouterr()
    return code, said.out.splitlines(), said.err


def test_rows_lines_and_case_files_are_judged_alike(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    cases = _cases(60)
    (tmp_path / "a.csv").write_text(_csv(cases))
    lines = "\n".join(json.dumps(_as_case(case)) for case in cases)
    (tmp_path / "a.jsonl").write_text(lines)
    one_by_one = _decide(capsys, str(tmp_path / "a.jsonl"))
    assert one_by_one[0] == 0 and len(one_by_one[1]) == 60
    assert _decide(capsys, str(tmp_path / "a.csv")) == one_by_one
    monkeypatch.setattr(batch, "LARGE_FILE_BYTES", 1)
    monkeypatch.setattr(batch_cores, "A_CHUNK", 7)
    assert _decide(capsys, str(tmp_path / "a.jsonl"), "--cores", "1") == one_by_one
    assert _decide(capsys, str(tmp_path / "a.jsonl"), "--cores", "3") == one_by_one
    code, rest, _ = _decide(capsys, str(tmp_path / "a.csv"), "--from", "41", "--cores", "2")
    assert (code, rest) == (0, one_by_one[1][40:])


ODD_LINES = (
    '{"answers":{"vehicle":"truck","tread-depth":["9/32 in","8/32 in"]},"injuries":[{"injury-size":"4 mm"}]}',
    '{"answers": {"vehicle": "truck", "vehicle": "car"}}',
    '{"answers": {"vehicle": "truck"}, "injuries": [{}]}',
    '{"answers": {"vehicle": "truck"}, "injuries": [{"injury-size": "4 mm"}, {"injury-size": null}]}',
    '{"answers": {"vehicle": "truck"}, "injuries": [{"injury-size": "4 mm", "more-injuries": "yes"}]}',
    '{"answers": {"vehicle": "truck", "findings": {"absent": ["bulge"]}, "earlier-repairs": []}, "injuries": []}',
    '{"answers": {"vehicle": "truck", "earlier-repairs": [{"clock": "1:00", "sound": "yes"}, {"sound": "no"}]}}',
    '{"answers": {"vehicle": "truck", "tread-depth": 5, "run-low": false, "tube": null}}',
    '{"answers": {"vehicle": true}}',
    '{"answers": {"vehicle": "lorry"}}',
    '{"answers": {"vehicel": "truck"}}',
    '{"answers": {"sidewall": "275/70R22.5 148/145M", "unit-length": "9000 mm"}}',
    '{"today": "2026-01-02", "answers": {"dot-code": "2319"}}',
    '{"today": "2026-01-02", "answers": {"dot-code": "5226"}}',
    '{"today": "tomorrow", "answers": {"vehicle": "truck"}}',
    '{"today": null, "answers": {"vehicle": "truck"}}',
    '{"rules": "us-road", "answers": {"vehicle": "truck"}}',
    '{"rules": "uk-road", "answers": {"vehicle": "truck"}}',
    '{"rules": null, "answers": null, "injuries": null}',
    '{"answers": [], "injuries": "none"}',
    '{"answers": "", "injuries": {}}',
    '{"answers": {"vehicle": "truck"}, "ends": {"verdict": "scrap"}, "says": "x", "proposed": {}}',
    '{"answers": {"vehicle": "truck"}, "others": 1}',
    '{"answers": {"vehicle": "tr\\u0075ck"}}',
    '{"answers": {"vehicle": "tr\u00fcck"}}',
    '{"answers": {"injury-depth": "through"}, "injuries": [{"vehicle": "car"}]}',
    '  {"answers": {"vehicle": "truck", "findings": ["none"]}}  ',
    '{"answers": {"vehicle": "truck"}} more',
    '["vehicle"]',
    '{"answers": {"vehicle": NaN}}',
    "{answers: {vehicle: truck}}",
    "",
)


@pytest.mark.parametrize("kind", ["csv", "jsonl", "parquet"])
def test_a_line_a_case_is_the_same_by_arrays_as_one_by_one(
    kind: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    cases = _cases(150)
    cases[7]["vehicle"], cases[9]["injury-size[0]"], cases[11]["sidewall"] = "lorry", "4", ""
    file = tmp_path / f"a.{kind}"
    if kind == "csv":
        rows = _csv(cases).splitlines()
        rows[20] += ",more"
        rows[30] = ""
        file.write_bytes("\n".join([*rows, '"']).encode().replace(b"steer", b"st\xffer"))
    elif kind == "jsonl":
        lines = [*(json.dumps(_as_case(case)) for case in cases), *ODD_LINES]
        file.write_text("".join(f"{line}\n" for line in lines), encoding="utf-8")
        monkeypatch.setattr(batch, "LARGE_FILE_BYTES", 1)
    else:
        pyarrow.parquet.write_table(pyarrow.table({name: [case[name] for case in cases] for name in HEADER}), file)
    by_arrays: list[int] = []
    judged = batch._by_arrays
    monkeypatch.setattr(
        batch, "_by_arrays", lambda *given: by_arrays.append(len(list(filter(None, found := judged(*given))))) or found
    )
    words = ["decide", "--brief", "--today", "2026-03-14", str(file), "--cores", "1"]
    code = main(words)
    found = capsys.readouterr()
    monkeypatch.setattr(batch, "FEWEST_ROWS", 100_000)
    assert main(words) == code and capsys.readouterr() == found
    assert by_arrays[0] > 90 and not by_arrays[-1], "the first time by arrays, then one by one"
    assert found.out.count("not judged") == {"csv": 4, "jsonl": 20, "parquet": 2}[kind]


def test_a_bad_row_is_told_and_the_rest_goes_on(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rows = _csv(_cases(4)).splitlines()
    rows[2] = rows[2].replace("P215/60R16 95H", "P215/60R16 95H,more")
    rows[3] = rows[3].replace("drive", "sideways")
    (tmp_path / "a.csv").write_text("\n".join(rows))
    code, lines, told = _decide(capsys, str(tmp_path / "a.csv"))
    answers = [json.loads(line) for line in lines]
    assert code == 2 and len(answers) == 4
    assert [bool(answer["problems"]) for answer in answers] == [False, True, True, False]
    assert [answer["problems"][0]["line"] for answer in answers[1:3]] == [3, 4]
    assert "a.csv:3:1: uneven-row" in told and "sideways" in told
    assert "a.csv:4:2: bad-answer" in told, "the cell is counted, as in the first row"
    assert "Not judged: 2 of 4 cases." in told


def test_a_doubt_in_other_letters_is_led_to_its_word(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "a.csv").write_text("vehicle,injury-zone\ntruck,can't tell\ntruck,cant-tell\n")
    code, lines, told = _decide(capsys, str(tmp_path / "a.csv"))
    assert code == 2 and "nearest   cant-tell" in told
    assert [bool(json.loads(line)["problems"]) for line in lines] == [True, False]


def test_a_start_that_breaks_off_leaves_the_collector_at_work(tmp_path: Path) -> None:
    assert main(["decide", str(tmp_path / "a.csv"), "--into", str(tmp_path / "out")]) == 2
    assert gc.isenabled()


def test_brief_holds_for_case_files_as_well(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "two.yaml"
    file.write_text("answers: {vehicle: other}\n---\nanswers: {vehicle: car}\n---\nanswers: {vehicle: cart}\n")
    assert main(["decide", str(file), "--brief", "--rules", "us-road", "--rules", "demo-shop"]) == 2
    rows = [line.split("\t") for line in capsys.readouterr().out.splitlines()]
    assert [row[0] for row in rows] == ["1", "1", "3", "3", "5", "5"]
    assert [row[1] for row in rows] == ["hold", "hold", "hold", "hold", "not judged", "not judged"]
    assert {row[4] for row in rows} == {str(file)} and [row[5] for row in rows] == ["us-road", "demo-shop"] * 3


def test_an_unknown_column_is_told_with_how_to_map_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = _csv(_cases(2)).replace("tread-depth", "Tread left").replace("sealant", "Colour")
    (tmp_path / "a.csv").write_text(text)
    code, lines, told = _decide(capsys, str(tmp_path / "a.csv"))
    assert (code, lines) == (2, [])
    assert '--map "Tread left=QUESTION"' in told
    mapped = ("--map", "Tread left=tread-depth", "--map", "Colour=")
    code, lines, _ = _decide(capsys, str(tmp_path / "a.csv"), *mapped)
    assert code == 0 and "sealant" in json.loads(lines[0])["missing"]


@pytest.mark.parametrize(
    "text",
    ["", "\n\n", '"', "vehicle\n\x00\n", "vehicle\n" + "x" * 300_000, "\xff\xfe", "sidewall\n\xff\n", "a,b\n1,2\n"],
)
def test_any_csv_ends_calmly(tmp_path: Path, capsys: pytest.CaptureFixture[str], text: str) -> None:
    (tmp_path / "a.csv").write_text(text, encoding="latin-1")
    assert _decide(capsys, str(tmp_path / "a.csv"))[0] == 2
    assert main(["decide", str(tmp_path / "none.csv")]) == 2


def test_a_batch_into_a_file_goes_on_behind_the_last_whole_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "a.csv").write_text(_csv(_cases(30)))
    whole = "".join(f"{line}\n" for line in _decide(capsys, str(tmp_path / "a.csv"))[1])
    out = tmp_path / "out.jsonl"
    words = (str(tmp_path / "a.csv"), "--into", str(out), "--cores", "1")
    for begun in ("", whole[:1], whole[: whole.index("\n") + 1], whole[: len(whole) // 2], whole[:-1], whole):
        out.write_text(begun)
        assert _decide(capsys, *words)[:2] == (0, [])
        assert out.read_text() == whole
    assert main(["decide", "--json", str(tmp_path / "a.csv"), "--into", str(tmp_path / "new.jsonl")]) == 0
    assert (tmp_path / "new.jsonl").stat().st_mode & 0o077 == 0
    assert main(["decide", *words]) == 2, "the long form has no line for each case"
    (tmp_path / "a.jsonl").write_text("".join(json.dumps(_as_case(case)) + "\n" for case in _cases(3)))
    assert _decide(capsys, str(tmp_path / "a.jsonl"), "--into", str(tmp_path / "three.jsonl"))[0] == 0
    assert (tmp_path / "three.jsonl").read_text().count("\n") == 3
    assert _decide(capsys, "-", "--into", str(tmp_path / "none"))[0] == 2 and not (tmp_path / "none").exists()
    out.write_text(whole.replace(json.loads(whole.splitlines()[0])["rules"]["digest"], "0" * 16))
    code, _, told = _decide(capsys, *words)
    assert code == 2 and "results by rules of digest 0000" in told


def test_a_batch_that_is_killed_goes_on_and_every_case_is_there_once(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text(_csv(_cases(40_000)))
    out = tmp_path / "out.tsv"
    command = [sys.executable, "-m", "advisor", "decide", "--brief", str(tmp_path / "a.csv"), "--into", str(out)]
    for _ in range(2):
        process = subprocess.Popen(command, stderr=subprocess.DEVNULL, start_new_session=True)
        had = out.stat().st_size if out.exists() else 0
        began = time.monotonic()
        while process.poll() is None and (not out.exists() or out.stat().st_size <= had):
            assert time.monotonic() - began < 60
            time.sleep(0.01)
        os.killpg(process.pid, signal.SIGKILL)
        process.wait()
    assert subprocess.run(command, capture_output=True, timeout=120).returncode == 0
    assert [int(line.partition("\t")[0]) for line in out.read_text().splitlines()] == list(range(2, 40_002))


def test_a_worker_that_is_killed_ends_the_batch_and_says_where_to_go_on(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text("vehicle,wheel-position\n" + "car,drive\n" * 400_000)
    words = [sys.executable, "-m", "advisor", "decide", str(tmp_path / "a.csv"), "--brief", "--cores", "2"]
    out = tmp_path / "out"
    with out.open("w") as file, subprocess.Popen(words, stdout=file, stderr=subprocess.PIPE, text=True) as running:
        while running.poll() is None and not out.stat().st_size:
            time.sleep(0.01)
        listed = subprocess.run(["pgrep", "-P", str(running.pid)], capture_output=True, text=True, check=True)
        os.kill(int(listed.stdout.split()[0]), signal.SIGKILL)
        _, told = running.communicate(timeout=120)
    number = len(out.read_text().splitlines())
    assert running.returncode == 2 and number < 400_000
    assert f"Stopped after case {number}. To go on with the rest: --from {number + 1}" in told
    assert "worker-ended: a process of the batch that was ended from outside" in told


def test_rows_of_parquet_are_judged_like_those_of_csv(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    cases = _cases(30)
    (tmp_path / "a.csv").write_text(_csv(cases))
    one_by_one = _decide(capsys, str(tmp_path / "a.csv"))
    columns = {name: [case[name] or None for case in cases] for name in HEADER}
    columns["findings"] = [text.split("; ") if text and ";" in text else [text] for text in columns["findings"]]
    pyarrow.parquet.write_table(pyarrow.table(columns), tmp_path / "a.parquet", row_group_size=7)
    assert _decide(capsys, str(tmp_path / "a.parquet"), "--cores", "2") == one_by_one
    code, rest, _ = _decide(capsys, str(tmp_path / "a.parquet"), "--from", "19")
    assert (code, rest) == (0, one_by_one[1][18:])
    out = tmp_path / "out.jsonl"
    out.write_text("".join(f"{line}\n" for line in one_by_one[1][:11]) + "{")
    assert _decide(capsys, str(tmp_path / "a.parquet"), "--into", str(out))[0] == 0
    assert out.read_text().splitlines() == one_by_one[1]


def test_a_bad_row_of_parquet_is_told_with_its_number(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    table = pyarrow.table({"vehicle": ["truck", "cart", "bus"], "tread-depth": ["5/32 in", "5/32 in", "deep"]})
    pyarrow.parquet.write_table(table, tmp_path / "a.parquet")
    code, lines, told = _decide(capsys, str(tmp_path / "a.parquet"))
    assert code == 2 and [bool(json.loads(line)["problems"]) for line in lines] == [False, True, True]
    assert "a.parquet:2:1: bad-answer" in told and "a.parquet:3:2: bad-answer" in told
    pyarrow.parquet.write_table(table.rename_columns(["vehicle", "tread-dept"]), tmp_path / "a.parquet")
    code, lines, told = _decide(capsys, str(tmp_path / "a.parquet"))
    assert (code, lines) == (2, []) and "a.parquet:1:2: unknown-column" in told and "nearest   tread-depth" in told
    (tmp_path / "a.parquet").write_bytes(b"PAR1 and no more")
    assert _decide(capsys, str(tmp_path / "a.parquet"))[0] == 2


def test_a_terminal_sees_how_far_it_is_how_fast_and_how_long_still(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text(_csv(_cases(9000)))
    command = [sys.executable, "-m", "advisor", "decide", "--brief", str(tmp_path / "a.csv"), "--cores", "1"]
    ours, theirs = pty.openpty()
    with subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=theirs):
        os.close(theirs)
        shown = b""
        with suppress(OSError):  # the terminal's other end is gone
            while piece := os.read(ours, 4096):
                shown += piece
    os.close(ours)
    assert re.search(rb"\[#+\.+\] +\d+%  \d+ cases, \d+ a second, \d+:\d\d left", shown)
    assert re.search(rb"\r +\r$", shown), "it is taken away"
    done = subprocess.run(command, capture_output=True, check=True)
    assert done.stderr == b"" and done.stdout.count(b"\n") == 9000
