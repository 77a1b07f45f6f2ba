"""Comparing editions: meaning and not lines, stricter or looser, notes, revisions, and new overlays."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

from advisor.cli import main
from advisor.loader.ruleset_loader import load_rule_set, trees_folder
from tests.whole_rules import whole_copy


def compare(words: list[str]) -> int:
    return main(["compare", *words])


def new(words: list[str]) -> int:
    return main(["new", *words])


BASE = trees_folder() / "us-road"


#: What every edition of its own begins with.
OF_ITS_OWN = ("about.yaml", "\nedition: ", "\nedition: 2027 of ")


def edition(scratch: Path, *edits: tuple[str, str, str], of_its_own: bool = True) -> Path:
    """A copy of us-road with a few edits: file, old, new."""
    folder = scratch / "us-road"
    whole_copy(folder)
    for file, old, text in (*edits, *([OF_ITS_OWN] * of_its_own)):
        path = folder / file
        assert old in path.read_text(encoding="utf-8")
        path.write_text(path.read_text(encoding="utf-8").replace(old, text, 1), encoding="utf-8")
    return folder


def said(capsys: pytest.CaptureFixture[str], old: object, new_one: object) -> tuple[int, str]:
    code = compare([str(old), str(new_one)])
    return code, capsys.readouterr().out


RAISED = ("limits.yaml", "[1/4 in, 6 mm]", "[1/4 in, 7 mm]")
TAKEN_OUT = (
    "paths.yaml",
    'when: {self-supporting: {is: "yes"}}\n            ending: refer-self-supporting',
    'when: {self-supporting: {is: "yes"}}\n            caution: trained-person',
)


def test_a_raised_limit_is_looser(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out = said(capsys, BASE, edition(tmp_path, RAISED))
    assert code == 1
    assert "LOOSER: limit nail-hole-size-light" in out and "injury-size: 6.5 mm" in out
    assert "from     scrap (scrap-injury-too-large)\n  to       repair (repair-one-piece) by one-piece" in out
    assert "STRICTER" not in out


def test_a_note_that_stood_before_names_nothing_new(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Else what an edition once loosened could be loosened further without a word."""
    note = ("about.yaml", "notes:\n", "notes:\n  - Raised nail-hole-size-light once.\n")
    old = edition(tmp_path / "old", note)
    code, out = said(capsys, old, edition(tmp_path / "new", note, RAISED))
    assert code == 1 and "LOOSER: limit nail-hole-size-light" in out


REWORDED = ("endings.yaml", "headline: The casing around the injury is damaged.\n", "headline: A damaged casing.\n")
STRICTER = ("limits.yaml", "[1/4 in, 6 mm]", "[1/4 in, 5.9 mm]")


@pytest.mark.parametrize("edit", [REWORDED, STRICTER])
def test_other_content_under_the_same_edition_is_told_and_fails(
    edit: tuple[str, str, str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out = said(capsys, BASE, edition(tmp_path / "same", edit, of_its_own=False))
    assert code == 1 and f"SAME EDITION, OTHER CONTENT:\n  {load_rule_set(BASE).about.edition} on both" in out
    code, out = said(capsys, BASE, edition(tmp_path / "own", edit))
    assert code == 0 and "SAME EDITION" not in out


def test_the_other_way_round_it_is_stricter(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out = said(capsys, edition(tmp_path, RAISED), BASE)
    assert code == 0 and "STRICTER: limit nail-hole-size-light" in out and "LOOSER" not in out


def test_what_the_notes_name_may_be_looser(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    note = ("about.yaml", "notes:\n", "notes:\n  - Took out self-supporting, to try the note.\n")
    code, out = said(capsys, BASE, edition(tmp_path, TAKEN_OUT, note))
    assert code == 0 and "LOOSER (named in the notes): ruling self-supporting" in out


def test_an_edit_of_wording_says_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    edit = ("endings.yaml", "Do not repair it here.", "Do not repair it in this shop.")
    code, out = said(capsys, BASE, edition(tmp_path, edit))
    assert code == 0 and "only wording and sources changed; 2 entries differ" in out


def test_comments_and_order_change_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    edit = ("restrictions.yaml", "# ", "# A remark.\n# ")
    code, out = said(capsys, BASE, edition(tmp_path, edit, of_its_own=False))
    assert code == 0 and "the same content" in out


def test_a_deleted_ruling_is_looser(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out = said(capsys, BASE, edition(tmp_path, TAKEN_OUT))
    assert code == 1 and "LOOSER: ruling self-supporting" in out and "example  self-supporting: yes" in out


def test_a_milder_ending_and_a_milder_cant_tell(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    turned = ("endings.yaml", "scrap-casing:\n  verdict: scrap", "scrap-casing:\n  verdict: refer")
    doubt = ("paths.yaml", "        cant-tell: hold-sealant", '        cant-tell: {counts-as: "no"}')
    code, out = said(capsys, BASE, edition(tmp_path, turned, doubt))
    assert code == 1
    assert "LOOSER: ruling inside-separation" in out and "LOOSER: question sealant" in out


def test_the_demo_shop_is_nowhere_looser(capsys: pytest.CaptureFixture[str]) -> None:
    code, out = said(capsys, "us-road", "demo-shop")
    assert code == 0 and "0 looser" in out
    for about in ("limit nail-hole-size-light", "ruling older-than-shop-mends", "ruling units-too-near-for-shop"):
        assert f"STRICTER: {about}" in out


def test_a_revision_of_a_repository(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "trees").mkdir()
    folder = edition(tmp_path / "trees", of_its_own=False)
    git = ["git", "-C", str(tmp_path), "-c", "user.name=n", "-c", "user.email=n@example.invalid"]
    for words in (["init", "-q"], ["add", "."], ["commit", "-q", "-m", "first", "--no-verify"]):
        subprocess.run([*git, *words], check=True, capture_output=True)
    path = folder / TAKEN_OUT[0]
    path.write_text(path.read_text(encoding="utf-8").replace(*TAKEN_OUT[1:]), encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    code, out = said(capsys, "HEAD:trees/us-road", "trees/us-road")
    assert code == 1 and "LOOSER: ruling self-supporting" in out
    code, out = said(capsys, "trees/us-road@HEAD", "trees/us-road")
    assert code == 1 and "LOOSER: ruling self-supporting" in out
    edition_of_it = load_rule_set(BASE).about.edition
    code, out = said(capsys, f"trees/us-road@{edition_of_it}", "trees/us-road@HEAD")
    assert code == 0 and "the same content" in out
    for name in ("nowhere:trees/us-road", "trees/us-road@nowhere", "trees/us-road@1999-01-01", "--output=x:trees"):
        assert compare([name, "us-road"]) == 2 or name.startswith("--")
        assert "unknown-revision" in capsys.readouterr().err or name.startswith("--")
    assert not (tmp_path / "x").exists()


@pytest.mark.parametrize("base", ["us-road", "uk-road", "de-road"])
def test_a_new_overlay_loads_and_changes_nothing(base: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "our-shop"
    assert new([str(folder), "--builds-on", base]) == 0
    code, out = said(capsys, base, folder)
    assert code == 0 and "LOOSER" not in out and "STRICTER" not in out
    assert load_rule_set(folder).about.builds_on == base
    assert new([str(folder)]) == 2 and "which is there already" in capsys.readouterr().err


def test_a_figure_of_a_worked_out_value_is_named_by_the_limit(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """And by that name in the notes; without a note it is refused as any limit is."""
    edit = ("limits.yaml", "value: [1 1/2 in, 38 mm]", "value: [1 in, 25 mm]")
    note = (
        "about.yaml",
        "notes:\n",
        "notes:\n  - Brought crown-edge nearer to the edge, by the question inside-grooves too, to try the note.\n",
    )
    code, out = said(capsys, BASE, edition(tmp_path, edit, note))
    assert code == 0 and "LOOSER (named in the notes): limit crown-edge" in out
    assert "ruling" not in out.split("LOOSER", 1)[1]


DRY = "at the dew point itself water settles\n  value: 0 °C\n  worse: below\n  at-limit: "
OVER = "beyond the opening in the liner, both sides together\n  value: "


@pytest.mark.parametrize(
    ("edit", "ends", "says"),
    [
        ((OVER, "0 mm", "9 mm"), 0, "STRICTER: limit unit-over-opening, by its figure alone"),
        ((DRY, "fails", "passes"), 1, "LOOSER: limit liner-dry, by its figure alone"),
    ],
)
def test_a_figure_that_is_held_against_values_without_samples_is_named(
    edit: tuple[str, str, str], ends: int, says: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before, old, new_one = edit
    code, out = said(capsys, BASE, edition(tmp_path, ("limits.yaml", before + old, before + new_one)))
    ruling = "liner-at-dew-point" if "dew" in before else "unit-not-over-opening"
    assert code == ends and says in out and f"decides  ruling {ruling}\n" in out
    assert "NEITHER SHOWN" not in out


PAIR = "dual pair below the medium row\n  value: "


@pytest.mark.parametrize(
    ("figure", "ends", "says"),
    [("[3/8 in, 0.95 cm]", 1, "LOOSER"), ("[1/8 in, 0.32 cm]", 0, "STRICTER")],
)
def test_a_figure_that_no_case_shows_is_named_all_the_same(
    figure: str, ends: int, says: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    edit = ("limits.yaml", f"{PAIR}[1/4 in, 0.63 cm]", f"{PAIR}{figure}")
    code, out = said(capsys, BASE, edition(tmp_path, edit))
    assert code == ends and f"{says}: limit dual-diameter-small, by its figure alone" in out
    assert "ruling pair-does-not-match by way of pair-fit" in out
