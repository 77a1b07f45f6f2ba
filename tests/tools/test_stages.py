"""The stages of the work: each method has them or says why not, and in an order in which no work spoils another."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from msgspec.structs import replace

from advisor.cli import main
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.ruleset import REPAIR_STAGES, RuleSet
from advisor.tools.lint import stages
from advisor.tools.verify.workbench import Proof
from tests.tools.test_slips import found
from tests.whole_rules import whole_copy


def decide(words: list[str]) -> int:
    return main(["decide", *words])


SHIPPED = ("us-road", "uk-road", "de-road", "demo-shop")
CASE = """rules: uk-road
answers:
  {vehicle: car, wheel-position: drive, sidewall: 205/55R16 91V TUBELESS, retread: "no", found-pressure: 32 psi,
   set-pressure: 33 psi, run-low: "no", demounted: "yes", findings: [none], tread-depth: 6 mm, self-supporting: "no",
   sealant: "no", earlier-repairs: []}
injuries:
  - {injury-depth: DEPTH, injury-zone: crown, injury-size: 4 mm, injury-angle: 40 deg, inside-signs: [none]}
"""


def planned(depth: str, folder: Path, capsys: pytest.CaptureFixture[str]) -> list[str]:
    """What the steps of a UK case say, by the command."""
    path = folder / "case.yaml"
    path.write_text(CASE.replace("DEPTH", depth))
    assert decide([str(path), "--json"]) == 0
    return [step["says"].lower() for step in json.loads(capsys.readouterr().out)["steps"]]


def place(steps: list[str], words: str) -> int:
    return next(number for number, says in enumerate(steps) if words in says)


def test_in_the_uk_two_piece_plan_the_buff_takes_no_cement_off(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    steps = planned("through", tmp_path, capsys)
    order = ("cement into the channel", "cemented stem", "buff the stem flush", "coat of cement over", "cement dry")
    order += (
        "beads go",
        "the patch over",
        "stitch hard",
        "repair sealer",
        "above the tread",
        "look over the repair",
        "40 psi",
    )
    places = [place(steps, words) for words in order]
    assert places == sorted(places)
    assert all(any(words in says for says in steps) for words in ("3 times at least", "velvet texture", "soapy water"))


def test_a_uk_surface_repair_has_no_channel(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert not [
        says for says in planned("rubber-only", tmp_path, capsys) if "channel" in says or "on the liner" in says
    ]


@pytest.mark.parametrize("name", SHIPPED)
def test_every_method_that_is_shipped_has_every_stage(name: str) -> None:
    assert list(stages.check(load_rule_set(find_rule_set(name)))) == []


def without(rules: RuleSet, method: str, stage: str) -> RuleSet:
    old = rules.methods[method]
    steps = tuple(step for step in old.steps if stage not in step.stages)
    return replace(rules, methods={**rules.methods, method: replace(old, steps=steps)})


@pytest.mark.parametrize("stage", REPAIR_STAGES)
def test_a_stage_taken_out_is_named(stage: str) -> None:
    rules = load_rule_set(find_rule_set("uk-road"))
    assert any(f'"{stage}"' in problem.found for problem in stages.check(without(rules, "two-piece", stage)))


@pytest.mark.parametrize(
    ("method", "step", "to", "says"),
    [
        ("two-piece", "buff", "vacuum", "before"),
        ("two-piece", "cement-liner", "outline", "takes the cement off"),
        ("two-piece", "patch", "dry", '"place" before "dry"'),
        ("two-piece", "cut-stem", "talc", '"trim-outside" before "seal"'),
        ("one-piece", "cement-channel", "buff", "takes the cement off"),
        ("spot-repair", "fill", "cement-cavity", '"fill" before'),
        ("one-piece", "leak-check", "seat-beads", '"leak-test" before "inflate"'),
        ("two-piece", "check-repair", "beads-relaxed", '"check" before'),
    ],
)
def test_an_impossible_order_is_named(method: str, step: str, to: str, says: str) -> None:
    """The step is put ahead of another; the first row puts it behind."""
    rules = load_rule_set(find_rule_set("uk-road"))
    old = rules.methods[method]
    moved = next(each for each in old.steps if each.id == step)
    rest = [each for each in old.steps if each.id != step]
    at = next(number for number, each in enumerate(rest) if each.id == to) + (step == "buff")
    rest.insert(at, moved)
    changed = replace(rules, methods={**rules.methods, method: replace(old, steps=tuple(rest))})
    assert any(says in problem.found for problem in stages.check(changed))


def test_a_stage_that_only_some_tires_have_is_shown_by_a_case(tmp_path: Path) -> None:
    folder = tmp_path / "us-road"
    whole_copy(folder)
    path = folder / "steps.yaml"
    old = "when: {tube-read: {is: tubeless}}"
    assert old in path.read_text()
    path.write_text(path.read_text().replace(old, "when: {tube-read: {is: tube-type}}"))
    problem = next(each for each in found(folder, "lacks-stage") if each.id == "lacks-stage")
    assert isinstance(problem, Proof)
    assert '"seal" for some tires' in problem.found and "tubeless" in problem.case


def test_a_step_without_a_stage_is_named() -> None:
    rules = load_rule_set(find_rule_set("uk-road"))
    old = rules.methods["two-piece"]
    steps = tuple(replace(step, stages=()) if step.id == "buff" else step for step in old.steps)
    changed = replace(rules, methods={**rules.methods, "two-piece": replace(old, steps=steps)})
    assert any('"buff"' in problem.found for problem in stages.check(changed) if problem.id == "no-stage")
