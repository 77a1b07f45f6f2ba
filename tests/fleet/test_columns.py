"""The column function: any kind of cell, any engine that maps Arrow batches, in any process."""

from __future__ import annotations

import pickle
import re
from datetime import date
from pathlib import Path

import pyarrow
import pytest

import advisor
from advisor.cli import main
from advisor.fleet import columns, packages
from advisor.fleet.columns import RESULT
from tests.fleet.made_up_fleet import write_fleet

DAY = date(2026, 3, 14)
DEVELOPERS = Path(__file__).resolve().parents[2] / "DEVELOPERS.md"


@pytest.fixture(scope="module")
def rules() -> advisor.Rules:
    return advisor.load("us-road", DAY)


def test_the_lines_for_another_engine_run_as_they_are_printed(rules: advisor.Rules, tmp_path: Path) -> None:
    printed = re.search(r"```python\n(import advisor\n.*?)```", DEVELOPERS.read_text(encoding="utf-8"), re.DOTALL)
    assert printed
    space: dict[str, object] = {}
    exec(printed[1], space)
    table = pyarrow.parquet.read_table(write_fleet(tmp_path, 60))
    judge = pickle.loads(pickle.dumps(space["judge"]))
    space["judge"] = judge
    found = list(space["partition"](iter(table.to_batches(max_chunksize=25))))  # type: ignore[operator]
    assert [batch.num_rows for batch in found] == [25, 25, 10] and found[0].schema == RESULT
    assert pyarrow.Table.from_batches(found).equals(rules.judge_table(table, {"record": ""}))


def test_cells_of_every_plain_kind_are_read_as_they_are_written(rules: advisor.Rules) -> None:
    texts = {
        "vehicle": "truck",
        "retread": "no",
        "findings": "bulge; exposed-cord",
        "today": "2026-01-02",
        "sealant": "",
    }
    kinds = {
        "vehicle": pyarrow.array(["truck"]).dictionary_encode(),
        "retread": [False],
        "findings": [["bulge", "exposed-cord"]],
        "today": [date(2026, 1, 2)],
        "sealant": pyarrow.array([None], pyarrow.null()),
    }
    plain = pyarrow.table({name: [text] for name, text in texts.items()})
    assert rules.judge_table(pyarrow.table(kinds)).equals(rules.judge_table(plain))
    numbers = rules.judge_table(pyarrow.table({"tread-depth": [5.0, 4.5, float("nan")]})).to_pylist()
    assert all("tread-depth" in row["problem"] for row in numbers), "a number without a unit is no measure"
    assert "'5' without a unit" in numbers[0]["problem"] and "'4.5' without a unit" in numbers[1]["problem"]
    assert rules.judge_table(pyarrow.table({"findings": [[]]})).to_pylist()[0]["missing"].count("findings") == 1


def test_a_table_of_no_rows(rules: advisor.Rules) -> None:
    assert rules.judge_table(pyarrow.table({"vehicle": pyarrow.array([], pyarrow.string())})).schema == RESULT


def test_another_version_of_the_program_judges_nothing(rules: advisor.Rules) -> None:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(columns, "__version__", "0.0.1")
        packed = pickle.dumps(rules.column_function())
    with pytest.raises(advisor.Problems, match=r"0\.0\.1"):
        pickle.loads(packed)


def test_what_is_not_installed_is_said_with_how_to_get_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    write_fleet(tmp_path, 1)
    file = str(tmp_path / "made-up-00000.parquet")
    monkeypatch.setattr(packages, "find_spec", lambda name: None)
    for words, extra in (([], "parquet"), (["--cluster", "local", "--into", str(tmp_path / "out")], "fleet")):
        assert main(["decide", file, *words]) == 2
        assert f"pip install 'tire-repair-advisor[{extra}]'" in capsys.readouterr().err
