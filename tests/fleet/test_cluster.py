"""A dataset judged on a real cluster of separate processes: whatever is killed, nothing is lost and nothing doubled."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pyarrow
import pytest
from distributed import Client, LocalCluster
from pyarrow.parquet import ParquetFile, read_table, write_table

import advisor
from advisor.cli import main
from advisor.fleet import cluster as cluster_module
from advisor.fleet import dataset as dataset_module
from advisor.fleet.columns import batch_judge
from tests.fleet.made_up_fleet import stricter_edition, write_fleet

DAY = date(2026, 11, 29)


@pytest.fixture(scope="module")
def cluster() -> Iterator[LocalCluster]:
    with LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address="127.0.0.1:0", silence_logs=50
    ) as found:
        yield found


@pytest.fixture(scope="module")
def fleet(tmp_path_factory: pytest.TempPathFactory, long: bool) -> Path:
    """The records: one row in a hundred can't be read."""
    folder, count = tmp_path_factory.mktemp("fleet"), 2400 if long else 600
    write_fleet(folder, count, rows_a_file=count // 15)
    first = sorted(folder.glob("*.parquet"))[0]
    table = read_table(first)
    sizes = table["injury-size[0]"].to_pylist()
    sizes[3] = "wide"
    place = table.column_names.index("injury-size[0]")
    write_table(table.set_column(place, "injury-size[0]", pyarrow.array(sizes)), first)
    return folder


@pytest.fixture(scope="module")
def expected(fleet: Path) -> list[dict[str, Any]]:
    """What one process says of each row, by the interface for Python."""
    table = read_table(fleet)
    found = advisor.load("us-road", DAY).judge_table(table, {"record": ""}).to_pylist()
    return [{"record": name, **row} for name, row in zip(table["record"].to_pylist(), found, strict=True)]


def _words(fleet: Path, out: Path, address: str) -> list[str]:
    return ["decide", str(fleet), "--into", str(out), "--cluster", address, "--carry", "record", "--today", str(DAY)]


def _results(out: Path) -> list[dict[str, Any]]:
    return read_table(out).select(["record", *advisor_columns()]).to_pylist()


def advisor_columns() -> list[str]:
    return ["verdict", "ending", "method", "restrictions", "settled", "missing", "problem"]


def _parts(out: Path) -> list[Path]:
    return sorted(out.glob("part-*.parquet"))


def _started(words: list[str], out: Path, parts: int) -> subprocess.Popen[str]:
    """A run that has written so many partitions and is still at work."""
    process = subprocess.Popen([sys.executable, "-m", "advisor", *words], stderr=subprocess.PIPE,
                               stdout=subprocess.PIPE, text=True)  # fmt: skip
    _until(process, out, parts)
    return process


def _until(process: subprocess.Popen[str], out: Path, parts: int) -> None:
    begun = time.monotonic()
    while len(_parts(out)) < parts:
        assert process.poll() is None and time.monotonic() - begun < 300
        time.sleep(0.005)


def _at_work(dask_worker: Any) -> int:
    return len(dask_worker.state.executing) + len(dask_worker.state.ready)


def _wait_until_idle(cluster: LocalCluster) -> None:
    """What the workers were at when the command was killed comes to its end, or is given up."""
    with Client(cluster.scheduler_address, set_as_default=False) as client:
        quiet = 0
        while quiet < 3:
            quiet = 0 if any(client.run(_at_work).values()) else quiet + 1
            time.sleep(0.1)


def test_a_killed_worker_loses_nothing_and_doubles_nothing(
    cluster: LocalCluster, fleet: Path, expected: list[dict[str, Any]], tmp_path: Path, long: bool
) -> None:
    out = tmp_path / "out"
    with Client(cluster.scheduler_address, set_as_default=False) as client:
        workers = sorted(client.run(os.getpid).values())
        running = _started(_words(fleet, out, cluster.scheduler_address), out, 1)
        for kill in range(5 if long else 1):
            os.kill(workers[kill % len(workers)], signal.SIGKILL)
            assert running.poll() is None, "it was killed while the run was at work"
            if long:  # another process is begun in its place, and the run goes on a little
                client.wait_for_workers(1)
                _until(running, out, len(_parts(out)) + 2)
                workers = sorted(client.run(os.getpid).values())
    said, told = running.communicate(timeout=600)
    assert running.returncode == 2, told
    assert _results(out) == expected
    assert "Not judged: 1 of" in told and '"wide" for injury-size' in told and ":4: " in told
    counts = Counter(row["verdict"] for row in expected if row["verdict"])
    assert all(f"  {verdict}: {count}\n" in said for verdict, count in counts.items())
    assert sorted(each.name for each in out.iterdir()) == ["_manifest.json", *(each.name for each in _parts(out))]


def test_a_stopped_run_goes_on_and_does_nothing_twice(
    cluster: LocalCluster,
    fleet: Path,
    expected: list[dict[str, Any]],
    tmp_path: Path,
    capfd: pytest.CaptureFixture[str],
) -> None:
    out = tmp_path / "out"
    words = _words(fleet, out, cluster.scheduler_address)
    running = _started(words, out, 3)
    running.kill()
    running.communicate()
    _wait_until_idle(cluster)
    had = {part: part.stat().st_mtime_ns for part in _parts(out)}
    assert 3 <= len(had) < 15
    torn = _parts(out)[1]
    torn.write_bytes(torn.read_bytes()[:-9])
    assert main(words) == 2
    assert f"{len(had) - 1} of 15 partitions are in" in capfd.readouterr().err
    assert _results(out) == expected
    assert {part for part, at in had.items() if part.stat().st_mtime_ns != at} == {torn}
    again = {part: part.stat().st_mtime_ns for part in _parts(out)}
    assert main(words) == 2 and {part: part.stat().st_mtime_ns for part in _parts(out)} == again


def test_a_folder_of_another_run_is_refused(
    cluster: LocalCluster, fleet: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    few, out = write_fleet(tmp_path / "few", 3), tmp_path / "out"
    words = _words(few, out, cluster.scheduler_address)
    assert main(words) == 0
    before = {each.name: each.read_bytes() for each in out.iterdir()}
    for other in (["--rules", "demo-shop"], ["--today", "2026-11-30"], ["--map", "sealant="], ["--carry", "today"]):
        assert main([*words, *other]) == 2
        assert "results of another run" in capsys.readouterr().err
    write_fleet(few, 3, seed=8)
    assert main(words) == 2 and "results of another run: input is" in capsys.readouterr().err
    assert {each.name: each.read_bytes() for each in out.iterdir()} == before
    assert main(_words(few, few, cluster.scheduler_address)) == 2
    assert "a folder that holds something else" in capsys.readouterr().err


def test_a_run_that_is_gone_on_with_keeps_its_day(cluster: LocalCluster, tmp_path: Path) -> None:
    few, out = write_fleet(tmp_path / "few", 3), tmp_path / "out"
    words = _words(few, out, cluster.scheduler_address)
    assert main(words) == 0
    assert main(words[:-2]) == 0, "no day is named: the one that it was begun on"
    assert json.loads((out / "_manifest.json").read_text())["day"] == str(DAY)


def test_large_row_groups_are_cut(
    cluster: LocalCluster, fleet: Path, expected: list[dict[str, Any]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    table = read_table(fleet).slice(0, 100)
    write_table(table, tmp_path / "one.parquet", row_group_size=64)
    monkeypatch.setattr(dataset_module, "MOST_ROWS", 30)
    out = tmp_path / "out"
    assert main(_words(tmp_path / "one.parquet", out, cluster.scheduler_address)) == 2
    assert [ParquetFile(part).metadata.num_rows for part in _parts(out)] == [30, 30, 4, 30, 6]
    assert _results(out) == expected[:100]
    assert read_table(out)["row"].to_pylist() == list(range(1, 101))


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--cluster", "local"], "--cluster without --into"),
        (["--cluster", "local", "--into", "out", "--json"], "the results are Parquet"),
        (["--cluster", "tcp://127.0.0.1:9", "--into", "out"], "no cluster that answers"),
        (["--cluster", "nowhere at all", "--into", "out"], "no-cluster"),
        (["--cluster", "local", "--into", "few/made-up-00000.parquet"], "a folder that can't be written"),
        (["--cluster", "local", "--into", "out", "--map", "vehicle=tread-dept"], "unknown-column"),
    ],
)
def test_what_can_not_be_done_is_said(
    words: list[str], told: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(cluster_module, "SECONDS_TO_ANSWER", 1)
    write_fleet(tmp_path / "few", 2)
    assert main(["decide", "few", "--carry", "record", *words]) == 2
    assert told in capsys.readouterr().err


def test_a_column_that_is_no_question_is_refused_before_anything_is_judged(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    write_table(pyarrow.table({"vehicle": ["car"], "tread-dept": ["5/32 in"]}), tmp_path / "a.parquet")
    assert main(["decide", str(tmp_path / "a.parquet"), "--cluster", "local", "--into", str(tmp_path / "out")]) == 2
    told = capsys.readouterr().err
    assert "a.parquet:1:2: unknown-column" in told and "nearest   tread-depth" in told
    assert not (tmp_path / "out").exists()
    assert main(["decide", str(tmp_path / "none"), "--cluster", "local", "--into", str(tmp_path / "out")]) == 2
    assert "no file and no folder" in capsys.readouterr().err
    (tmp_path / "a.parquet").write_text("no parquet")
    assert main(["decide", str(tmp_path / "a.parquet"), "--cluster", "local", "--into", str(tmp_path / "out")]) == 2
    assert "unreadable" in capsys.readouterr().err


def test_rules_judged_elsewhere_are_the_very_rules(cluster: LocalCluster, tmp_path: Path) -> None:
    """A process of the cluster needs no folder of them; an overlay goes with what it builds on."""
    rules = advisor.load("demo-shop", DAY)
    batch = read_table(write_fleet(tmp_path / "few", 40)).drop(["record"]).to_batches()[0]
    judge = batch_judge(rules.judge_of_rules, DAY)
    with Client(cluster.scheduler_address, set_as_default=False) as client:
        assert client.submit(judge, batch).result(timeout=60).equals(judge(batch))


@pytest.fixture(scope="module")
def stricter(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return stricter_edition(tmp_path_factory.mktemp("rules"))


def test_the_recall_list_is_what_two_editions_decide_otherwise(
    cluster: LocalCluster, fleet: Path, stricter: Path, expected: list[dict[str, Any]], tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    table = read_table(fleet).slice(0, 300)
    write_table(table, tmp_path / "records.parquet", row_group_size=60)
    now = advisor.load(str(stricter), DAY).judge_table(table, {"record": ""}).to_pylist()
    keys = ["verdict", "method", "restrictions"]
    pairs = [(one, other) for one, other in zip(expected, now, strict=False) if any(one[k] != other[k] for k in keys)]
    assert len(pairs) > 5
    words = ["compare", "us-road", str(stricter), "--records", "--data", str(tmp_path / "records.parquet"),
             "--into", str(tmp_path / "out"), "--cluster", cluster.scheduler_address, "--carry", "record"]  # fmt: skip
    assert main(words) == 1
    said = capsys.readouterr()
    counts = Counter(
        f"{one['verdict']} to {other['verdict']}" for one, other in pairs if one["verdict"] != other["verdict"]
    )
    assert counts and all(f"  {name}: {count}\n" in said.out for name, count in counts.items())
    found = read_table(tmp_path / "out").to_pylist()
    assert [(row["record"], row["old"], row["new"]) for row in found] == [
        (one["record"], one["verdict"], other["verdict"]) for one, other in pairs
    ]
    assert [table["record"][row["row"] - 1].as_py() for row in found] == [row["record"] for row in found]
    assert "Not judged: 1 of 300 rows." in said.err
    assert main([*words, "--json"]) == 1, "the list as lines, out of what is written already"
    assert [json.loads(line)["record"] for line in capsys.readouterr().out.splitlines()] == [r["record"] for r in found]


def test_an_edition_passes_over_a_column_that_only_the_other_knows(
    cluster: LocalCluster, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    only = sorted({q.key for q in advisor.load("us-road").rule_set.questions.values() if q.over == "tire"}
                  - {key for _, key in advisor.load("uk-road").rule_set.by_case_key})[0]  # fmt: skip
    write_table(pyarrow.table({"vehicle": ["car"], only: ["cant-tell"]}), tmp_path / "a.parquet")
    words = ["compare", "us-road", "uk-road", "--records", "--data", str(tmp_path / "a.parquet"), "--into",
             str(tmp_path / "out"), "--cluster", cluster.scheduler_address]  # fmt: skip
    assert main(words) in (0, 1)
    assert f"has no question: {only}." in capsys.readouterr().err
    write_table(pyarrow.table({"vehicle": ["car"], "tread-dept": ["x"]}), tmp_path / "a.parquet")
    assert main([*words[:-3], str(tmp_path / "new"), *words[-2:]]) == 2
    told = capsys.readouterr().err
    assert "nearest   tread-depth" in told and "--carry COLUMN" in told and "--map" not in told


@pytest.mark.long
def test_a_cluster_begun_here_does_the_same(fleet: Path, expected: list[dict[str, Any]], tmp_path: Path) -> None:
    words = [sys.executable, "-m", "advisor", *_words(fleet, tmp_path / "out", "local")]
    assert subprocess.run(words, capture_output=True, timeout=600).returncode == 2
    assert _results(tmp_path / "out") == expected
