"""The list of recorded consultations in plain lines names the tire, its verdict and whose it is."""

from __future__ import annotations

import io
from pathlib import Path

import pytest

from advisor.cli import main

pytestmark = pytest.mark.free_order

LINES = (
    "P215/65R16 96H TUBELESS, first tread, dot 2319, not run flat",
    "30/33, not soft, 9/32 in, car, rear",
    "5 mm round 10° crown through",
    "off, all looked at, none, no more",
    "casing T42",
    "quit",
)


def test_a_line_names_size_position_injury_and_verdict(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(("\n".join(LINES) + "\n").encode()), encoding="utf-8"))
    assert main(["--plain", "--data", str(tmp_path)]) == 0
    capsys.readouterr()
    assert main(["casings", "--data", str(tmp_path)]) == 0
    line = capsys.readouterr().out.strip()
    assert "  repair  P215/65R16 96H TUBELESS, drive, crown, 5 mm  T42" in line
