"""Steps in a file of their own: methods name them in order, say what is other there, or write a step out as before."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import jsonschema
import pytest
from msgspec.structs import replace

from advisor.cli import main
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.ruleset import Method, RuleSet, Step, written_out
from tests.loader.test_overlay_rules import ABOUT, overlay, problems
from tests.loader.test_schemas import errors, made
from tests.tools.samples import BASE
from tests.whole_rules import whole_copy

BASIS = "  standing: invented for the demo\n  source: made-up\n  clause: none\n"
STEPS = f"""look:
  stage: [inspect, mark, remove, clean]
  says: Look at it.
{BASIS}buff:
  stage: buff
  says: Buff the liner.
  cautions: [eyes]
{BASIS}cement:
  stage: [cement, cement-thin, dry]
  says: Put cement on and let it dry.
{BASIS}finish:
  stage: [seal, check, inflate, leak-test, record]
  says: Seal it, inflate it, write it down.
{BASIS}"""
CAUTIONS = "".join(f"{name}:\n  hazard: eyes\n  says: Wear them.\n{BASIS}" for name in ("eyes", "dust", "gloves"))
LISTED = "  steps: [look, buff, cement, finish]\n"


def rules_with(folder: Path, listed: str = LISTED, steps: str = STEPS) -> Path:
    """The small rule set with its steps in a file of their own, and what its method says of them."""
    home = folder / "small"
    shutil.copytree(BASE, home)
    method = (BASE / "methods.yaml").read_text(encoding="utf-8")
    (home / "methods.yaml").write_text(method[: method.index("  steps:\n")] + listed, encoding="utf-8")
    (home / "steps.yaml").write_text(steps, encoding="utf-8")
    cautions = (BASE / "cautions.yaml").read_text(encoding="utf-8")
    (home / "cautions.yaml").write_text(f"{cautions.rstrip()}\n{CAUTIONS}", encoding="utf-8")
    return home


def checked(home: Path, capsys: pytest.CaptureFixture[str]) -> str:
    main(["check", str(home)])
    told = capsys.readouterr()
    return told.out + told.err


def line_of(path: Path, text: str) -> int:
    whole = path.read_text(encoding="utf-8")
    return whole[: whole.index(text)].count("\n") + 1


def step(rules: RuleSet, name: str, method: str = "plug") -> Step:
    return next(each for each in rules.methods[method].steps if each.id == name)


def as_written_out(rules: RuleSet) -> list[Method]:
    """The methods with what their conditions name by terms and tables written out."""
    return [
        replace(method, when=written_out(method.when), steps=tuple(
            replace(each, when=written_out(each.when), done_where=written_out(each.done_where)) for each in method.steps
        ))
        for method in rules.methods.values()
    ]  # fmt: skip


def test_a_method_that_names_its_steps_is_the_same_as_one_that_writes_them_out(tmp_path: Path) -> None:
    written, named = (
        load_rule_set(BASE),
        load_rule_set(rules_with(tmp_path, steps=STEPS.replace("  cautions: [eyes]\n", ""))),
    )
    assert named.methods == written.methods and len(named.methods["plug"].steps) == 4
    assert named.content["methods.yaml"] == written.content["methods.yaml"] and "steps.yaml" not in named.content


def test_what_a_method_says_of_a_step_counts_there_and_adds_to_its_cautions(tmp_path: Path) -> None:
    here = '  steps: [look, {step: buff, says: "Buff it, gently.", cautions: dust}, cement, finish]\n'
    plain, other = (load_rule_set(rules_with(tmp_path / name, says)) for name, says in (("a", LISTED), ("b", here)))
    assert step(other, "buff").says == "Buff it, gently." and step(other, "buff").cautions == ("dust", "eyes")
    assert step(other, "buff").basis == step(plain, "buff").basis and step(other, "buff").stages == ("buff",)
    assert other.digest != plain.digest


@pytest.mark.parametrize(
    ("listed", "at", "says"),
    [
        ("  steps: [look, buf, cement, finish]\n", "buf,", '"buf" in "step" of a step of plug'),
        ("  steps: [look, {step: buf}, cement, finish]\n", "buf}", '"buf" in "step" of a step of plug'),
        ("  steps: [look, {step: buff, when: {size: known}}, cement, finish]\n", "when:", 'the key "when"'),
        ("  steps: [look, {step: buff, clause: none}, cement, finish]\n", "{step", 'without "source"'),
        ("  steps: [look, buff, buff, cement, finish]\n", "buff, cem", '"buff" a second time in method plug'),
        ("  steps: [look, {says: x}, cement, finish]\n", "{says", 'a step of plug without "id"'),
        ("  steps: [look, [buff], cement, finish]\n", "[buff]", "a list as a step of plug"),
    ],
)
def test_a_fault_in_a_method_is_told_at_its_place(
    listed: str, at: str, says: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    home = rules_with(tmp_path, listed)
    told = checked(home, capsys)
    place = f"small/methods.yaml:{line_of(home / 'methods.yaml', listed)}:{listed.index(at) + 1}:"
    assert any(line.startswith(place) and says in line for line in told.splitlines()), told
    assert ("nearest   buff" in told) == ('"buf"' in says), told


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("  stage: buff\n", "", 'step buff without "stage"'),
        ("  stage: buff\n", "  stage: buf\n", '"buf" in "stage" of step buff'),
        ("  cautions: [eyes]\n", "  cautions: [eye]\n", '"eye" in "cautions" of step buff'),
        ("  cautions: [eyes]\n", "  id: buff\n", 'the key "id"'),
    ],
)
def test_a_fault_in_a_step_is_told_at_its_place(
    old: str, new: str, says: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert old in STEPS
    home = rules_with(tmp_path, steps=STEPS.replace(old, new, 1))
    told = checked(home, capsys)
    assert any(line.startswith("small/steps.yaml:") and says.split()[-1] in line for line in told.splitlines()), told


def test_a_step_that_no_method_names_is_unused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    home = rules_with(tmp_path, steps=f"{STEPS}rest:\n  stage: check\n  says: Let it rest.\n{BASIS}")
    told = checked(home, capsys)
    place = f"small/steps.yaml:{line_of(home / 'steps.yaml', 'rest:')}:1:"
    assert any(line.startswith(place) and "unused" in line and '"rest"' in line for line in told.splitlines()), told
    assert "steps.yaml" not in checked(rules_with(tmp_path / "again"), capsys)
    assert load_rule_set(home).digest != load_rule_set(tmp_path / "again" / "small").digest


def test_the_schema_holds_a_step_named_one_that_is_other_here_and_one_written_out() -> None:
    method = (
        "a:\n  title: t\n  rank: 1\n  says: s\n  standing: published\n  source: memory\n  clause: c\n  steps: [{}]\n"
    )
    schema = made("us-road")["methods.yaml"]
    whole = "{id: ours, says: s, standing: published, source: memory, clause: c}"
    for good in ("mount", "{step: mount, cautions: [eyes]}", whole):
        assert errors(schema, method.format(good), "methods.yaml") == [], good
    for bad in ("{step: mount, when: {vehicle: known}}", "{says: s}", "{step: mount, clause: c}", "[mount]"):
        assert errors(schema, method.format(bad), "methods.yaml"), bad
    assert '"seat-beads-truck"' in json.dumps(schema)
    jsonschema.Draft7Validator.check_schema(made("us-road")["steps.yaml"])


MOUNT = """mount:
  stage: mount
  once: after
  says: Mount it as the foreman shows.
  cautions: [valve, pressure-sensor, hands-tools{more}]
  standing: common practice
  source: memory
  clause: none
"""


def test_an_overlay_words_a_step_anew_wherever_it_is_done_and_adds_to_it(tmp_path: Path) -> None:
    rules = load_rule_set(overlay(tmp_path, steps=MOUNT.format(more=", dust")))
    found = [each for method in rules.methods.values() for each in method.steps if each.id == "mount"]
    assert len(found) == 3 and all("foreman" in each.says and "dust" in each.cautions for each in found)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("hands-tools", "eyes", "fewer cautions or figures"),
        ("  once: after\n", "  once: before\n", "another condition"),
        ("stage: mount", "stage: check", "fewer stages"),
    ],
)
def test_an_overlay_loosens_no_step(
    old: str, new: str, says: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told = checked(overlay(tmp_path, steps=MOUNT.format(more="").replace(old, new)), capsys)
    assert 'over/steps.yaml:1:1: changed-meaning: "mount" with ' + says in told
    assert "us-road/steps.yaml:" in told


def test_a_base_s_own_words_for_a_step_stay_with_what_they_rest_on_and_take_on_an_overlay_s_cautions(
    tmp_path: Path,
) -> None:
    here = '  steps: [look, {step: buff, says: "Buff it, gently.", cautions: dust}, cement, finish]\n'
    base = rules_with(tmp_path, here)
    home = tmp_path / "over"
    home.mkdir()
    (home / "about.yaml").write_text(ABOUT.replace("us-road", "small"))
    anew = STEPS[STEPS.index("buff:") : STEPS.index("cement:")].replace("[eyes]", "[eyes, gloves]")
    (home / "steps.yaml").write_text(anew.replace("Buff the liner.", "Buff it all.").replace("none", "page 1"))
    before, after = step(load_rule_set(base), "buff"), step(load_rule_set(home), "buff")
    assert after.says == "Buff it, gently." and after.cautions == ("dust", "eyes", "gloves")
    assert after.basis == before.basis


def test_an_overlay_adds_a_step_and_loses_none(tmp_path: Path) -> None:
    ours = f"our-tag:\n  stage: record\n  says: Tie our tag on.\n{BASIS.replace('made-up', 'memory')}"
    methods = (BASE.parents[2] / "trees" / "us-road" / "methods.yaml").read_text(encoding="utf-8")
    first = methods[: methods.index("\none-piece:")].rstrip() + "\n"
    (tmp_path / "less").mkdir()
    rules = load_rule_set(overlay(tmp_path, steps=ours, methods=f"{first}    - our-tag\n"))
    assert rules.methods["spot-repair"].steps[-1].id == "our-tag"
    less = overlay(tmp_path / "less", steps=ours, methods=first.replace("    - mount\n", "    - our-tag\n"))
    assert problems(less) == ["changed-meaning"]


@pytest.mark.parametrize("name", ["us-road", "uk-road", "de-road"])
def test_steps_written_out_in_the_methods_are_read_as_before(name: str, tmp_path: Path) -> None:
    now = load_rule_set(find_rule_set(name))
    whole_copy(tmp_path / name, name)
    (tmp_path / name / "steps.yaml").unlink()
    (tmp_path / name / "methods.yaml").write_text(json.dumps(now.content["methods.yaml"]), encoding="utf-8")
    before = load_rule_set(tmp_path / name)
    assert as_written_out(before) == as_written_out(now) and before.digest == now.digest
    names = {step.id for method in now.methods.values() for step in method.steps}
    assert names == {key.partition("#")[2] for key in now.places if key.startswith("steps.yaml#")}


def test_an_overlay_with_the_steps_written_out_is_read_as_before(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    base = load_rule_set(find_rule_set("us-road"))
    home = overlay(tmp_path, methods=json.dumps(base.content["methods.yaml"]))
    assert as_written_out(load_rule_set(home)) == as_written_out(base)
    assert "step-again" not in checked(home, capsys)


WRITTEN = "  steps: [look, buff, cement, {id: finish, stage: [seal, check, inflate, leak-test, record], says: x,\n"
WRITTEN += "    standing: from memory, source: made-up, clause: none}]\n"


def test_a_step_written_out_beside_one_of_its_name_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Else what is edited in the one would not count where the other stands."""
    home = rules_with(tmp_path, WRITTEN)
    told = checked(home, capsys)
    assert f"methods.yaml:{line_of(home / 'methods.yaml', WRITTEN)}:" in told and "step-again" in told
    assert f"small/steps.yaml:{line_of(home / 'steps.yaml', 'finish:')}:1" in told


def test_an_overlay_that_words_a_step_anew_is_told_where_the_base_writes_it_out(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    finish = STEPS[STEPS.index("finish:") :]
    rules_with(tmp_path, WRITTEN, STEPS.removesuffix(finish))
    home = tmp_path / "over"
    home.mkdir()
    (home / "about.yaml").write_text(ABOUT.replace("us-road", "small"))
    (home / "steps.yaml").write_text(finish)
    told = checked(home, capsys)
    assert "over/steps.yaml:1:1: step-again" in told and "small/methods.yaml:" in told


def test_a_figure_in_a_step_is_told_once_and_shows_the_step(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    other = f"other:\n  title: o\n  rank: 2\n  says: o\n{BASIS}  steps: [buff]\n"
    home = rules_with(tmp_path, LISTED + other, STEPS.replace("Buff the liner.", "Buff 6 mm of the liner."))
    told = checked(home, capsys)
    assert told.count("figure-in-wording") == 1 and 'the figure "6 mm" in the wording of buff' in told
    assert f"small/steps.yaml:{line_of(home / 'steps.yaml', 'buff:')}:1" in told
