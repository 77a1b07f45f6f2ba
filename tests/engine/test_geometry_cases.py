"""Cases in which geometry alone changes the verdict: worked by hand in the table, judged as case files."""

from __future__ import annotations

import csv
import json
import subprocess
import sys
from pathlib import Path

import pytest

from tests.engine.geometry_support import Data, case_of, judged

TABLE = Path(__file__).parent.parent / "tables" / "geometry_cases.csv"
with TABLE.open(newline="", encoding="utf-8") as file:
    ROWS = list(csv.DictReader(file))
THROUGH_THE_PROCESS = ("overlap across the valve", "inner end in the shoulder by a millimetre, car")


def data_of(row: dict[str, str], which: str) -> Data:
    answers = {name.replace("-", "_"): value for name, value in json.loads(row["answers"]).items()}
    return case_of(row["tire"], json.loads(row[which]), **answers)


@pytest.mark.parametrize("which", ["first", "second"])
@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["case"])
def test_geometry_decides(row: dict[str, str], which: str) -> None:
    got = judged(data_of(row, which))
    assert (str(got.verdict), got.missing) == (row[f"{which}_verdict"], ()), row["worked"]


def test_the_table_is_of_at_least_ten_changes() -> None:
    assert len(ROWS) >= 10
    for row in ROWS:
        assert row["first_verdict"] != row["second_verdict"]
        assert row["worked"] and row["source"] and row["standing"]


def test_the_command_says_the_same() -> None:
    rows = [row for row in ROWS if row["case"] in THROUGH_THE_PROCESS]
    assert len(rows) == len(THROUGH_THE_PROCESS)
    lines = "\n".join(json.dumps(data_of(row, which)) for row in rows for which in ("first", "second"))
    command = [sys.executable, "-m", "advisor", "decide", "--json", "-"]
    done = subprocess.run(command, input=lines, capture_output=True, text=True, timeout=60, check=False)
    assert (done.returncode, done.stderr) == (0, "")
    got = [json.loads(line)["verdict"] for line in done.stdout.splitlines()]
    assert got == [row[f"{which}_verdict"] for row in rows for which in ("first", "second")]
