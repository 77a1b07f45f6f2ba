"""`compare` with an earlier edition that is written otherwise: the rest is compared, and what was not is said."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.tools.test_compare import BASE, OF_ITS_OWN, edition, said
from tests.whole_rules import whole_copy

CANT_READ = "NOT COMPARED, SINCE THIS PROGRAM CAN'T READ IT:\n"
WORDS_OF_BEFORE = ("phrases.yaml", "\ncues:\n", "\ncues:\n  never-heard-of: [stress, steal]\n")
PARTS_OF_BEFORE = ("paths.yaml", "  tire:\n    over: tire\n", "  tire:\n    over: tire\n    starts: vehicle\n")
RAISED = ("limits.yaml", "[1/4 in, 6 mm]", "[1/4 in, 7 mm]")


def earlier(folder: Path, *edits: tuple[str, str, str]) -> Path:
    """us-road as an earlier edition of its own had it."""
    return edition(folder, *edits, ("about.yaml", OF_ITS_OWN[1], "\nedition: 2025 of "), of_its_own=False)


def test_words_that_are_written_otherwise_are_left_out_and_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out = said(capsys, earlier(tmp_path / "old", WORDS_OF_BEFORE), BASE)
    assert code == 4, out
    assert f"{CANT_READ}  phrases.yaml: cues: never-heard-of (us-road/phrases.yaml:" in out
    assert "only wording and sources changed by what was compared; 1 entry" in out and "READ OTHERWISE" not in out


def test_cases_are_still_judged_beside_such_words(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out = said(capsys, earlier(tmp_path / "old", WORDS_OF_BEFORE), edition(tmp_path / "new", RAISED))
    assert code == 1 and CANT_READ in out and "LOOSER: limit nail-hole-size-light" in out


def test_where_a_file_that_decides_cant_be_read_no_case_is_said_to_come_out_alike(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    old = earlier(tmp_path / "old", PARTS_OF_BEFORE)
    code, out = said(capsys, old, edition(tmp_path / "new", RAISED))
    assert code == 4, out
    assert f"{CANT_READ}  paths.yaml, whole (us-road/paths.yaml:" in out and '"starts"' in out
    assert "no case was judged" in out and "no case comes out otherwise" not in out
    assert "COULD DECIDE:\n  nail-hole-size-light: value: no 6 mm any more, 7 mm put in\n" in out


def test_a_caution_lost_there_is_exit_code_3_until_a_note_names_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    old = earlier(tmp_path / "old", PARTS_OF_BEFORE)
    new = whole_copy(tmp_path / "new" / "us-road")
    path = new / "endings.yaml"
    text = path.read_text()
    at = text.index("cautions: [") + len("cautions: [")
    lost = text[at : at + text[at:].index("]")].split(", ")[0]
    path.write_text(text.replace("cautions: [", "cautions: [trained-person, ", 1).replace(f", {lost}", "", 1))
    assert said(capsys, old, new)[0] == 3
    about = new / "about.yaml"
    about.write_text(about.read_text().replace("notes:\n", f"notes:\n  - Dropped caution {lost}.\n", 1))
    assert said(capsys, old, new)[0] == 4


def test_a_new_edition_that_cant_be_read_is_bad_input(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert said(capsys, BASE, earlier(tmp_path, WORDS_OF_BEFORE))[0] == 2
    assert said(capsys, earlier(tmp_path / "none", ("about.yaml", "\nscope:", "\nscope: {\nx:")), BASE)[0] == 2


def test_a_step_that_goes_by_another_answer_is_no_rename(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Else the two names were taken for each other in turn, without end."""
    edit = ("steps.yaml", "when: {tube-read: {is: tube-type}}", "when: {tube: {is: tube-type}}")
    code, out = said(capsys, edition(tmp_path / "old", edit), edition(tmp_path / "new"))
    assert code == 3 and "RENAMED" not in out and "tube-read" in out
