"""One record read back whole: by its id or its casing, with the names, the notes and the work done."""

from __future__ import annotations

from pathlib import Path

from advisor.dialogue.event_sink import kept, said_aside
from advisor.dialogue.session import Consultation
from advisor.dialogue.talk_commands import say
from advisor.journal.one_record import one_record
from advisor.journal.resume import begin_recording
from advisor.work.progress import work_from
from tests.journal.record_support import TALK, TODAY, Clock, journal_in, judge


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
