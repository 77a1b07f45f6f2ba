"""With a clock that went back the order is the journal's; times are told, and a jump back is said."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from advisor.cli import main
from advisor.journal.log import Journal
from tests.journal.record_support import TALK, Clock, talk

SCRAPPED = tuple("2/32" if line == "6/32" else line for line in TALK)


class Set(Clock):
    """A clock that can be set."""

    def back(self, by: timedelta) -> None:
        self.at -= by


def _said(capsys: pytest.CaptureFixture[str], folder: Path, *words: str) -> str:
    capsys.readouterr()
    assert main([*words, "--data", str(folder)]) == 0
    return " ".join(capsys.readouterr().out.split())


def _repair_then_scrap(folder: Path, back: timedelta) -> None:
    """A repair, and later a scrap: the clock's battery went empty between them."""
    clock = Set()
    journal = Journal(folder, clock)
    talk(journal, ["casing T42", *TALK])
    clock.back(back)
    talk(journal, ["casing T42", *SCRAPPED])
    journal.close()


@pytest.mark.parametrize("years", [0, 2, 56])
def test_the_report_of_a_casing_takes_what_was_recorded_last(
    tmp_path: Path, years: int, capsys: pytest.CaptureFixture[str]
) -> None:
    _repair_then_scrap(tmp_path, timedelta(days=365 * years))
    report = _said(capsys, tmp_path, "report", "T42")
    assert "SCRAP" in report
    went_back = "a clock was wrong or went back" in report
    assert went_back == bool(years)
    assert ("tell a later time" in report) == bool(years)
    assert not years or "UTC: REPAIR" in report


def test_the_history_lists_in_the_journals_order_and_says_that_the_clock_went_back(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    _repair_then_scrap(tmp_path, timedelta(days=700))
    shown = _said(capsys, tmp_path, "casings", "--show", "T42")
    overview = shown[: shown.index("record ")]
    assert overview.index("REPAIR") < overview.index("SCRAP")
    assert overview.count("A clock was wrong or went back") == 1


def test_where_the_clock_runs_nothing_is_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _repair_then_scrap(tmp_path, timedelta(0))
    assert "went back" not in _said(capsys, tmp_path, "casings", "--show", "T42")


def test_a_consultation_taken_up_again_counts_from_its_last_verdict(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Begun first, decided last: it is the last."""
    journal = Journal(tmp_path, Set())
    first, keeper = talk(journal, ["casing T42", *TALK], end=False)
    talk(journal, ["casing T42", *TALK])
    first.change(("tread-depth", -1))
    first.answer("2/32")
    keeper.keep(first.saved, first.judgement)
    journal.close()
    assert "SCRAP" in _said(capsys, tmp_path, "report", "T42")


def test_a_clock_that_goes_back_within_one_is_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    clock = Set()
    journal = Journal(tmp_path, clock)
    consultation, keeper = talk(journal, ["casing T42", *TALK[:3]])
    clock.back(timedelta(days=9))
    from advisor.dialogue.talk_commands import say

    for line in TALK[3:]:
        say(consultation, line)
        keeper.keep(consultation.saved, consultation.judgement if consultation.ask is None else None)
    journal.close()
    assert "went back" in _said(capsys, tmp_path, "report", "T42")
