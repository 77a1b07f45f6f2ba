"""One record read back whole: by its id or its casing, with the names, the notes and the work done."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.cli import main
from advisor.dialogue.event_sink import kept, said_aside
from advisor.dialogue.session import Consultation
from advisor.dialogue.talk_commands import say
from advisor.journal.one_record import one_record
from advisor.journal.resume import begin_recording
from advisor.work.progress import work_from
from tests.journal.record_support import TALK, TODAY, Clock, checked, journal_in, judge, talk


def test_a_record_is_read_back_whole(tmp_path: Path) -> None:
    journal = journal_in(tmp_path)
    keeper = begin_recording(journal, judge().rules)
    consultation = Consultation(judge(), TODAY, Clock())
    for line in ("casing T42", "technician Two", "plate XY 123", *TALK, "note rim is bent", "tick", "tick"):
        if said_aside(keeper, consultation, line) is None:
            say(consultation, line)
        kept(keeper, consultation)
    journal.close()
    for name in (keeper.consultation, "T42", "t42"):
        found = one_record(tmp_path, name)
        assert found is not None
        assert (found.summary.casing, found.summary.technician, found.summary.plate) == ("T42", "Two", "XY 123")
        assert found.case == consultation.case
        assert found.decided["verdict"] == "repair" and found.decided["digest"] == judge().rules.digest
        assert work_from(found.work) == consultation.work
    assert one_record(tmp_path, "T43") is None


@pytest.mark.parametrize(("then", "verdict"), [((), ""), (("no",), "repair"), (("yes",), "scrap")])
def test_while_a_line_waits_nothing_is_listed_or_reported_as_decided(
    then: tuple[str, ...], verdict: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A bulge said after the verdict, and neither confirmed nor dropped, leaves no repair in list or report."""
    journal = journal_in(tmp_path)
    talk(journal, ("casing T42", *TALK, "there is a bulge in the sidewall", *then), end=False)
    journal.close()
    assert not checked(tmp_path).problems
    found = one_record(tmp_path, "T42")
    assert found is not None and (found.summary.verdict, bool(found.waits)) == (verdict, not then)
    assert main(["casings", "--data", str(tmp_path)]) == 0
    assert f" {verdict or 'not finished'} " in capsys.readouterr().out
    code = main(["report", "T42", "--data", str(tmp_path)])
    said = capsys.readouterr()
    assert (code == 2 and "not-confirmed" in said.err) if not then else f"{verdict.upper()}:" in said.out
