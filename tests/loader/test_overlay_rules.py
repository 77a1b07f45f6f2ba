"""Overlays: what they add counts, what they would loosen is a problem with both places, the digest covers both."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.cli import main
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set, trees_folder
from advisor.model.problems import Problems
from tests.whole_rules import whole_copy

ABOUT = "id: over\ntitle: Over (invented for the demo)\nedition: 2026-11-25\nbuilds-on: us-road\n"
LIMIT = """{id}:
  says: a figure
  value: {value}
  worse: {worse}
  at-limit: {at}
  standing: invented for the demo
  source: memory
  clause: none
"""


def overlay(folder: Path, **files: str) -> Path:
    """An overlay on us-road in a fresh folder; file names with _ for the dot."""
    home = folder / "over"
    home.mkdir()
    (home / "about.yaml").write_text(ABOUT)
    for name, text in files.items():
        (home / f"{name}.yaml").write_text(text)
    return home


def problems(folder: Path) -> list[str]:
    with pytest.raises(Problems) as error:
        load_rule_set(folder)
    return [problem.id for problem in error.value.problems]


def test_the_demo_shop_holds_all_of_the_base_and_its_own() -> None:
    base, shop = (load_rule_set(trees_folder() / name) for name in ("us-road", "demo-shop"))
    assert set(base.nodes) < set(shop.nodes) and set(base.limits) < set(shop.limits)
    assert (
        shop.about.builds_on == "us-road" and shop.about.defers_to[: len(base.about.defers_to)] == base.about.defers_to
    )
    assert shop.digest != base.digest
    added = {ruling.id for ruling in shop.rulings()} - {ruling.id for ruling in base.rulings()}
    assert added == {"older-than-shop-mends", "units-too-near-for-shop", "one-unit-closes-two"}


def test_everything_of_the_demo_shop_says_that_it_is_invented() -> None:
    shop = load_rule_set(trees_folder() / "demo-shop")
    for name in ("shop-age", "shop-units-apart", "nail-hole-size-light", "nail-hole-size-truck"):
        assert shop.limits[name].basis.standing == "invented for the demo"


def test_rulings_take_over_the_basis_of_the_limit_in_its_place() -> None:
    shop = load_rule_set(trees_folder() / "demo-shop")
    ruling = next(ruling for ruling in shop.rulings() if ruling.id == "too-large-light")
    assert ruling.basis.sources == ("demo-house-rules",)


@pytest.mark.parametrize(
    ("value", "worse", "at"),
    [
        ("[1/4 in, 7 mm]", "above", "passes"),
        ("[5/16 in, 6 mm]", "above", "passes"),
        ("6.2 mm", "above", "passes"),
        ("[1/4 in, 6 mm]", "below", "passes"),
        ("30 deg", "above", "passes"),
    ],
)
def test_a_looser_limit_is_a_problem_with_both_places(tmp_path: Path, value: str, worse: str, at: str) -> None:
    home = overlay(tmp_path, limits=LIMIT.format(id="nail-hole-size-light", value=value, worse=worse, at=at))
    with pytest.raises(Problems) as error:
        load_rule_set(home)
    found = next(problem for problem in error.value.problems if problem.id == "loosened-limit")
    assert [place.file for place, _ in found.see] == ["us-road/limits.yaml", "over/limits.yaml"]


@pytest.mark.parametrize(
    ("value", "at"), [("[1/4 in, 6 mm]", "fails"), ("5 mm", "passes"), ("[1/4 in, 6 mm]", "passes")]
)
def test_a_stricter_or_equal_limit_is_none(tmp_path: Path, value: str, at: str) -> None:
    home = overlay(tmp_path, limits=LIMIT.format(id="nail-hole-size-light", value=value, worse="above", at=at))
    assert load_rule_set(home).limits["nail-hole-size-light"].basis.standing == "invented for the demo"


def test_a_limit_that_lets_its_own_figure_pass_is_looser(tmp_path: Path) -> None:
    (share,) = load_rule_set(find_rule_set("us-road")).limits["run-low-share"].figures
    home = overlay(tmp_path, limits=LIMIT.format(id="run-low-share", value=share, worse="below", at="passes"))
    assert "loosened-limit" in problems(home)


def test_an_ending_may_be_worded_anew_but_not_turned(tmp_path: Path) -> None:
    text = "scrap-tread:\n  verdict: {}\n  headline: h\n  do-now: [d]\n  tell-driver: t\n"
    text += "  cautions: [wear-bar, state-tread-car]\n"
    home = overlay(tmp_path, endings=text.format("scrap"))
    assert load_rule_set(home).endings["scrap-tread"].headline == "h"
    (home / "endings.yaml").write_text(text.format("refer"))
    assert "changed-meaning" in problems(home)


def test_a_new_node_needs_a_place_and_takes_over_the_ways_on(tmp_path: Path) -> None:
    home = overlay(tmp_path, paths="nodes:\n  extra:\n    after: sealant\n")
    rules, base = load_rule_set(home), load_rule_set(trees_folder() / "us-road")
    assert [edge.to for edge in rules.nodes["sealant"].next] == ["extra"]
    assert rules.nodes["extra"].next == base.nodes["sealant"].next
    (home / "paths.yaml").write_text("nodes:\n  extra:\n    after: sealent\n")
    assert "unknown-name" in problems(home)


def test_a_base_that_is_not_there_and_one_that_builds_on_itself(tmp_path: Path) -> None:
    home = overlay(tmp_path)
    (home / "about.yaml").write_text(ABOUT.replace("us-road", "us-rode"))
    assert "unknown-rule-set" in problems(home)
    (home / "about.yaml").write_text(ABOUT.replace("us-road", "over"))
    assert "builds-on-itself" in problems(home)


def test_the_digest_minds_figures_of_base_and_overlay_and_no_comments(tmp_path: Path) -> None:
    whole_copy(tmp_path / "us-road")
    home = overlay(tmp_path)
    before = load_rule_set(home).digest
    limits = tmp_path / "us-road" / "limits.yaml"
    limits.write_text("# a remark\n\n" + limits.read_text())
    assert load_rule_set(home).digest == before
    limits.write_text(limits.read_text().replace("value: 80 %", "value: 81 %"))
    assert load_rule_set(home).digest != before


BASE = trees_folder() / "us-road"
ENDING = "{id}:\n  verdict: {verdict}\n  headline: h\n  do-now: [d]\n  tell-driver: t\n{more}"
SOURCE = "memory:\n  title: t\n  publisher: p\n  edition: e\n  kind: {}\n  read: not seen\n"
QUESTION = (
    "tread-depth:\n  kind: readings\n  of: {of}\n  unit: {unit}\n  name: n\n  asks: a\n  why: w\n"
    "  plausible: 0-{most}\n{worse}"
)
MARK = (
    "bulge-mark:\n  kind: choice\n  name: n\n  asks: a\n  why: w\n  worse-order: ['yes', 'no']\n"
    "  choices:\n    'yes': {{says: a mark}}\n    {}: {{says: none, also: [{}]}}\n"
)


def test_every_way_of_loosening_has_a_name(tmp_path: Path) -> None:
    """One overlay for each way; each must be refused by a problem that says what is looser or changed."""
    methods = (BASE / "methods.yaml").read_text()
    steps = (whole_copy(tmp_path / "whole") / "steps.yaml").read_text()
    first_step = methods.split("  steps:\n    - ")[1].split("\n")[0]
    skipping = "nodes:\n  extra:\n    after: vehicle\n    asked: {when: {vehicle: {is: car}}}\n    next: end\n"
    ways: dict[str, dict[str, str]] = {
        "changed-meaning next": {"paths": skipping},
        "changed-meaning verdict": {"endings": ENDING.format(id="scrap-tread", verdict="refer", more="")},
        "changed-meaning method": {
            "endings": ENDING.format(id="scrap-tread", verdict="scrap", more="  method: one-piece\n")
        },
        "changed-meaning fewer cautions": {
            "endings": ENDING.format(id="scrap-injury-too-large", verdict="scrap", more="")
        },
        "changed-meaning kind": {"sources": SOURCE.format("law")},
        "changed-meaning hazard": {
            "cautions": "eyes:\n  hazard: dust\n  says: x\n  standing: from memory\n  source: memory\n  clause: none\n"
        },
        f"changed-meaning step {first_step}": {"methods": methods.replace(f"    - {first_step}\n", "", 1)},
        "changed-meaning when": {
            "methods": methods.replace("injury-angle: {within: one-piece-angle}", "injury-angle: known", 1)
        },
        "changed-meaning fewer holds": {"steps": steps.replace("  held-by: [liner-wet]\n", "", 1)},
        **{
            f"changed-meaning {says}": {"steps": steps.replace(old, new, 1)}
            for says, old, new in (
                ("words by which leak-test fails", "fails: [bubble, ", "fails: ["),
                (
                    "more by which it passes",
                    "        - tight\n",
                    "        - tight\n        - bubbles at the rim only\n",
                ),
                ("places of leak-test", "[valve, core, ", "[core, "),
                ("unit-batch not written down", "    - {id: unit-batch, ", "    - {id: batch, "),
                ("burr-width of another kind", "burr's width, kind: length", "burr's width, kind: words"),
                (
                    "nothing to tell the driver",
                    "  tell-driver: Have the wheel nuts tightened again after {retorque-from} to {retorque-to}.\n",
                    "",
                ),
                ("asks or measures anew", "  measures: [injury-size]\n", ""),
            )
        },
        "changed-meaning rank": {"methods": methods.replace("rank: 1", "rank: 2", 1)},
        "changed-meaning quantity": {"questions": QUESTION.format(of="share", unit="'%'", most="9 %", worse="")},
        **{
            f"changed-meaning {says}": {"questions": QUESTION.format(of="length", unit="32nds", most=most, worse=more)}
            for says, most, more in (
                ("figure", "40 mm", "  worse: below\n  figures-said: {tread-new-truck: [flush]}\n"),
                ("slips", "60 mm", "  worse: below\n"),
                ("leave it out", "40 mm", "  worse: below\n  left-out-by: [fine]\n"),
            )
        },
        "changed-meaning another choice": {"questions": MARK.format('"no"', "triangle")},
        "loosened-limit instead": {
            "limits": LIMIT.format(id="wear-bar-height", value="4/32 in", worse="", at="").replace(
                "  worse: \n  at-limit: \n", ""
            )
        },
        "unknown-key next": {"paths": "nodes:\n  vehicle:\n    next: end\n"},
        "unknown-key asked": {"paths": "nodes:\n  findings:\n    asked: {unless: {vehicle: {is: car}}}\n"},
        "unknown-key optional": {"paths": 'nodes:\n  findings:\n    optional: "yes"\n'},
        "unknown-key parts": {"paths": "parts:\n  tire: {over: tire, nodes: {}}\nnodes: {}\n"},
        "unknown-key when-in-doubt": {"about": ABOUT + "when-in-doubt: refer-scope\n"},
        "loosened-limit decides": {
            "limits": LIMIT.format(id="hot-correction-heavy", value="1 psi", worse="", at="").replace(
                "  worse: \n  at-limit: \n", ""
            )
        },
    }
    for number, (wanted, files) in enumerate(ways.items()):
        home = tmp_path / str(number)
        home.mkdir()
        with pytest.raises(Problems) as error:
            load_rule_set(overlay(home, **files))
        problem_id, says = wanted.split(" ", 1)
        assert any(p.id == problem_id and says in p.found for p in error.value.problems), (wanted, str(error.value))


def test_no_ruling_of_the_base_can_be_taken_out_or_put_aside(tmp_path: Path) -> None:
    ruling = (
        "nodes:\n  tread-depth:\n    rulings:\n      - id: tread-worn-light\n        when: {tread-depth: known}\n"
        "        caution: eyes\n        because: b\n"
    )
    assert "duplicate-ruling" in problems(overlay(tmp_path, paths=ruling))


def test_steps_may_be_added_and_worded_anew(tmp_path: Path) -> None:
    methods = (BASE / "methods.yaml").read_text()
    ours = "    - id: our-own\n      stage: mark\n      says: Mark it.\n      standing: from memory\n"
    ours += "      source: memory\n      clause: none\n"
    added = methods.replace("  steps:\n", f"  steps:\n{ours}", 1)
    rules = load_rule_set(overlay(tmp_path, methods=added))
    assert any(step.id == "our-own" for method in rules.methods.values() for step in method.steps)


SIZE = "nail-hole-size-light"
#: What the figure of a shop's own rests on.
BASIS = "standing: invented for the demo, source: memory, clause: none"


def told(folder: Path, capsys: pytest.CaptureFixture[str]) -> str:
    assert main(["check", str(folder)]) == 2
    return capsys.readouterr().err


def test_a_limit_takes_from_the_base_what_it_does_not_say(tmp_path: Path) -> None:
    base = load_rule_set(trees_folder() / "us-road").limits[SIZE]
    mine = load_rule_set(overlay(tmp_path, limits=f"{SIZE}: {{value: 3/16 in, {BASIS}}}\n")).limits[SIZE]
    assert str(mine.figures[0]) == "3/16 in" and mine.basis.standing == "invented for the demo"
    assert (mine.says, mine.worse, mine.at_limit_passes) == (base.says, base.worse, base.at_limit_passes)


def test_a_limit_worded_anew_keeps_its_figure_and_what_it_rests_on(tmp_path: Path) -> None:
    base = load_rule_set(trees_folder() / "us-road")
    mine = load_rule_set(overlay(tmp_path, limits=f"{SIZE}: {{says: the widest hole that this shop mends}}\n"))
    assert mine.limits[SIZE].says == "the widest hole that this shop mends"
    assert mine.limits[SIZE].basis == base.limits[SIZE].basis and mine.limits[SIZE].figures == base.limits[SIZE].figures


def test_the_digest_is_that_of_the_limit_written_out(tmp_path: Path) -> None:
    written = "value: 3/16 in, worse: above, at-limit: passes"
    says = load_rule_set(trees_folder() / "us-road").limits[SIZE].says
    home = overlay(tmp_path, limits=f"{SIZE}: {{value: 3/16 in, {BASIS}}}\n")
    short = load_rule_set(home).digest
    (home / "limits.yaml").write_text(f"{SIZE}: {{says: {says!r}, {written}, {BASIS}}}\n")
    assert load_rule_set(home).digest == short


@pytest.mark.parametrize(
    ("said", "lacks"),
    [
        ("value: 3/16 in", ("standing", "source", "clause")),
        ("at-limit: fails", ("standing", "source", "clause")),
        ("value: 3/16 in, standing: common practice", ("source", "clause")),
        ("standing: common practice", ("source", "clause")),
        ("source: memory", ("standing", "clause")),
    ],
)
def test_a_figure_of_its_own_never_passes_as_the_bases(
    said: str, lacks: tuple[str, ...], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    found = told(overlay(tmp_path, limits=f"# ours\n{SIZE}: {{{said}}}\n"), capsys)
    for key in lacks:
        assert f'over/limits.yaml:2:{len(SIZE) + 3}: missing-key: limit {SIZE} without "{key}"' in found
    assert found.count("missing-key") == len(lacks)


def test_the_notes_of_the_bases_figure_are_not_said_of_another(tmp_path: Path) -> None:
    base = next(each for each in load_rule_set(trees_folder() / "us-road").limits.values() if each.note and each.worse)
    figure = base.figures[0]
    stricter = figure.low / 2 if base.worse == "above" else figure.low * 2
    text = f"{base.id}: {{value: {stricter.numerator}/{stricter.denominator} {figure.unit}, {BASIS}}}\n"
    home = overlay(tmp_path, limits=text)
    assert load_rule_set(home).limits[base.id].note == ""
    (home / "limits.yaml").write_text(f"{base.id}: {{says: otherwise worded}}\n")
    assert load_rule_set(home).limits[base.id].note == base.note


def test_a_looser_figure_beside_taken_over_keys_is_told_at_its_place(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    found = told(overlay(tmp_path, limits=f"{SIZE}: {{value: 1/2 in, {BASIS}}}\n"), capsys)
    assert "over/limits.yaml:1:1: loosened-limit" in found and "us-road/limits.yaml:" in found


DEPTH = """tread-depth:
  name: the tread depth
  asks: How deep is the tread?
  kind: readings
  of: length
  unit: 32nds
  plausible: 0-40 mm
  why: Worn tires are out.
  worse: below
"""


@pytest.mark.parametrize(
    ("old", "new", "changed"),
    [
        ("unit: 32nds", "unit: mm", "another unit"),
        ("kind: readings", "kind: measure", "another kind"),
        (
            "of: length\n  unit: 32nds\n  plausible: 0-40 mm",
            "of: angle\n  unit: deg\n  plausible: 0-40 deg",
            "another quantity",
        ),
        ("kind: readings", "kind: readings\n  in-case: tread", "another in-case name"),
        ("name: the tread depth", "about: injuries\n  name: the tread depth", "another about"),
        ("worse: below", "worse: above", "another worse"),
    ],
)
def test_a_question_of_the_base_stays_what_it_is(
    old: str, new: str, changed: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    home = overlay(tmp_path, questions=DEPTH)
    assert load_rule_set(home).questions["tread-depth"].asks == "How deep is the tread?"
    (home / "questions.yaml").write_text(DEPTH.replace(old, new))
    found = told(home, capsys)
    assert f'over/questions.yaml:1:1: changed-meaning: "tread-depth" with {changed}' in found


def test_choices_of_the_base_stay(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = (
        "tube:\n  name: tube\n  asks: A tube?\n  kind: choice\n  no-order: none\n  why: Demo.\n  choices: {tubeless: No"
    )
    home = overlay(tmp_path, questions=f"{text}, tube-type: Yes}}\n")
    assert load_rule_set(home).questions["tube"].asks == "A tube?"
    for choices in ("}", ", tube-type: Yes, both: Both}"):
        (home / "questions.yaml").write_text(text + choices + "\n")
        assert 'changed-meaning: "tube" with another choices' in told(home, capsys)
