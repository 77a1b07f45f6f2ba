"""A known casing: its recorded repairs are proposed and looked for, and never count as facts by themselves."""

from __future__ import annotations

from pathlib import Path

from advisor.dialogue.event_sink import kept, said_aside
from advisor.dialogue.session import Consultation
from advisor.dialogue.talk_commands import say
from advisor.journal.casing_history import as_repairs
from advisor.journal.log import Journal
from advisor.journal.recorder import Keeper
from advisor.journal.resume import begin_recording
from advisor.loader.case_file import read_case, split_cases
from advisor.model.case import Case, Choice
from advisor.model.saved import Saved
from tests.journal.record_support import TODAY, Clock, journal_in, judge

CASE = """answers: {vehicle: truck, wheel-position: drive, sidewall: 11R22.5, tube: tubeless, retread: "no",
  load-range: G, construction: radial, tire-class: medium-truck, found-pressure: 100 psi, set-pressure: 105 psi,
  run-low: "no", demounted: "yes", findings: [none], tread-depth: 9/32 in, self-supporting: "no", sealant: "no",
  earlier-repairs: [], unit-length: 90 mm, unit-width: 75 mm, dot-code: DOT 4B9Y ABC 2319}
injuries: [{injury-depth: through, injury-zone: crown, injury-size: 8 mm, injury-length: 8 mm, injury-angle: ANGLE,
  inside-signs: [none], clock: "2:00", offset: -35 mm, tread-width: 220 mm, casing-thickness: 22 mm,
  lean: LEAN}]
"""
LINES = {
    "vehicle": "truck", "wheel-position": "drive", "sidewall": "11R22.5", "tube": "tubeless", "retread": "no",
    "load-range": "G", "construction": "radial", "found-pressure": "100 psi", "set-pressure": "105 psi",
    "run-low": "no", "demounted": "yes", "findings": "none", "tread-depth": "9/32", "self-supporting": "no",
    "sealant": "no",
}  # fmt: skip


def case_of(angle: str = "0 deg", lean: str = "along-tread") -> Case:
    """A truck's tire with one nail hole at two o'clock."""
    text = CASE.replace("ANGLE", angle).replace("LEAN", lean)
    return read_case(next(split_cases(text, "case")), judge().rules, TODAY)


def _recorded(folder: Path, casing: str) -> None:
    journal = journal_in(folder)
    keeper = begin_recording(journal, judge().rules)
    if casing:
        keeper.add("casing", casing)
    case = case_of()
    keeper.keep(Saved(case, (("vehicle", -1),), None, True), judge().judge(case))
    keeper.end()
    journal.close()


def _begun(folder: Path) -> tuple[Journal, Keeper, Consultation]:
    journal = journal_in(folder)
    return journal, begin_recording(journal, judge().rules), Consultation(judge(), TODAY, Clock())


def _said(keeper: Keeper, consultation: Consultation, line: str) -> str:
    messages = said_aside(keeper, consultation, line)
    messages = say(consultation, line) if messages is None else messages
    return "\n".join(text for message in [*messages, *kept(keeper, consultation)] for text in message.texts)


def _up_to_repairs(keeper: Keeper, consultation: Consultation) -> str:
    said = ""
    while consultation.ask is not None and consultation.ask.key[0] != "earlier-repairs":
        said = _said(keeper, consultation, LINES.get(consultation.ask.key[0], "skip"))
    return said


def test_the_repairs_of_a_known_casing_are_proposed_when_asked_and_are_no_answers(tmp_path: Path) -> None:
    _recorded(tmp_path, "T42")
    _, keeper, consultation = _begun(tmp_path)
    at_once = _said(keeper, consultation, "casing t42")
    assert "in the journal already" in at_once and "repair by one-piece, 1 injury" in at_once
    assert "2:00" in at_once and "-35 mm" in at_once and "seen 1" in at_once
    when_asked = _up_to_repairs(keeper, consultation)
    assert "1. 2026-03-14, injury 1" in when_asked
    assert not consultation.case.repairs and "earlier-repairs" not in consultation.case.answers


def test_one_that_was_seen_counts_by_its_place_and_is_still_asked_whether_it_is_sound(tmp_path: Path) -> None:
    _recorded(tmp_path, "T42")
    _, keeper, consultation = _begun(tmp_path)
    _said(keeper, consultation, "casing T42")
    _up_to_repairs(keeper, consultation)
    _said(keeper, consultation, "seen 1")
    [repair] = consultation.case.repairs
    assert consultation.case.answers["earlier-repairs"] == Choice("yes")
    assert (str(repair["repair-clock"]), str(repair["repair-offset"])) == ("2:00", "-35 mm")
    assert repair["repair-kind"] == Choice("nail-hole") and "repair-sound" not in repair
    assert consultation.ask is not None and consultation.ask.key == ("repair-sound", 0)
    assert "no 1 still to be looked for" in _said(keeper, consultation, "seen 1")


def test_one_that_is_not_there_is_noted_and_said(tmp_path: Path) -> None:
    _recorded(tmp_path, "T42")
    _, keeper, consultation = _begun(tmp_path)
    _said(keeper, consultation, "casing T42")
    assert "another casing" in _said(keeper, consultation, "not seen 1")
    assert any(note.startswith("not seen on the tire: 2026-03-14") for note in consultation.notes)
    assert not consultation.case.repairs and not consultation.state.proposed[0]


def test_no_repairs_at_all_brings_the_recorded_ones_up_again(tmp_path: Path) -> None:
    _recorded(tmp_path, "T42")
    _, keeper, consultation = _begun(tmp_path)
    _said(keeper, consultation, "casing T42")
    _up_to_repairs(keeper, consultation)
    assert "Look again" in _said(keeper, consultation, "no")
    assert consultation.case.answers["earlier-repairs"] == Choice("no")


def test_a_whole_code_makes_a_casing_known_without_a_name(tmp_path: Path) -> None:
    _recorded(tmp_path, "")
    _, keeper, consultation = _begun(tmp_path)
    said = ""
    while consultation.ask is not None and "already" not in said:
        line = "4b9y abc 2319" if consultation.ask.key[0] == "dot-code" else LINES.get(consultation.ask.key[0], "skip")
        said = _said(keeper, consultation, line)
    assert "4b9y abc 2319 is in the journal already" in said
    assert len(consultation.state.proposed) == 1


def test_a_leaning_channel_puts_the_unit_where_its_inner_end_is() -> None:
    """22 mm at 45 degrees: the inner end lies 22 mm off (tan 45 = 1)."""
    [straight] = as_repairs(case_of(), judge())
    assert (str(straight["repair-offset"]), str(straight["repair-clock"])) == ("-35 mm", "2:00")
    [outward] = as_repairs(case_of("45 deg", "toward-shoulder"), judge())
    assert abs(float(outward["repair-offset"].low) - -57) < 0.01  # type: ignore[union-attr]
    [along] = as_repairs(case_of("45 deg", "along-tread"), judge())
    assert float(along["repair-offset"].low) == -35  # type: ignore[union-attr]
    clock = along["repair-clock"]
    assert clock.low < 60 < clock.high  # type: ignore[union-attr, operator]
