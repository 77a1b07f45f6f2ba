"""Every question with choices is in order of damage, or says why not; what breaks the order is named."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.ruleset import RuleSet
from advisor.tools.lint import orders
from advisor.tools.verify import monotonicity
from tests.whole_rules import whole_copy

SHIPPED = ("us-road", "uk-road", "de-road", "demo-shop")
WITH_CHOICES = ("choice", "choices")


def edited(tmp_path: Path, name: str, file: str, old: str, new: str) -> RuleSet:
    folder = tmp_path / name
    whole_copy(folder, name)
    text = (folder / file).read_text(encoding="utf-8")
    assert old in text
    (folder / file).write_text(text.replace(old, new), encoding="utf-8")
    return load_rule_set(folder)


@pytest.mark.parametrize("name", SHIPPED)
def test_every_question_with_choices_has_an_order_or_a_reason(name: str) -> None:
    rules = load_rule_set(find_rule_set(name))
    asked = [question for question in rules.questions.values() if question.kind in WITH_CHOICES]
    ordered = [q.id for q in asked if q.worse or len(q.worse_order) == len(q.choices)]
    reasoned = [q.id for q in asked if q.no_order]
    print(f"{name}: {len(asked)} questions with choices, {len(ordered)} in order, {len(reasoned)} with a reason")
    assert set(ordered) | set(reasoned) == {question.id for question in asked}
    assert list(orders.check(rules)) == []


def test_a_choice_left_out_of_the_order_is_named(tmp_path: Path) -> None:
    rules = edited(tmp_path, "us-road", "questions.yaml", "[crown, shoulder, sidewall, bead]", "[crown, shoulder]")
    (problem,) = orders.check(rules)
    assert problem.id == "no-order" and problem.found.endswith('"injury-zone" for sidewall, bead')


def test_a_question_without_order_or_reason_is_named(tmp_path: Path) -> None:
    rules = edited(tmp_path, "us-road", "questions.yaml", "  worse-order: [nail-hole, section]\n", "")
    assert [problem.found.split('"')[1] for problem in orders.check(rules)] == ["repair-kind"]


def test_the_depths_as_they_were_are_named_in_us_road(tmp_path: Path) -> None:
    """A truck's deep rubber cut in the sidewall was scrap, the one that reaches cord referred."""
    rules = edited(tmp_path, "us-road", "paths.yaml", "ending: refer-cut-depth", "ending: scrap-cut-depth")
    named = [problem.found for problem in monotonicity.check(rules)]
    assert any("how deep the injury goes" in found and "from scrap" in found for found in named), named


def test_the_bead_as_it_was_is_named_in_us_road(tmp_path: Path) -> None:
    """A truck's deep gouge at the bead was scrap, a hole right through it referred."""
    old = "            when: {injury-depth: {one-of: [reaches-cord, through]}, zone: {is: bead}}\n"
    new = old.replace("{is: bead}}", "{is: bead}, tire-group: {is: light}}")
    rules = edited(tmp_path, "us-road", "paths.yaml", old, new)
    named = [problem.found for problem in monotonicity.check(rules)]
    assert any("how deep the injury goes" in found for found in named), named


def test_a_long_cut_as_it_was_is_named_in_uk_road(tmp_path: Path) -> None:
    """A cut to the cord above the lawful length was scrap, the same right through referred."""
    old = "when: {injury-depth: {one-of: [reaches-cord, through]}, cut-by-width"
    rules = edited(
        tmp_path, "uk-road", "paths.yaml", old, old.replace("one-of: [reaches-cord, through]", "is: reaches-cord")
    )
    assert any("how deep the injury goes" in problem.found for problem in monotonicity.check(rules))


def test_without_its_reason_the_nail_hole_in_the_crown_breaks_the_order(tmp_path: Path) -> None:
    old = "when: {zone: {is: crown}}\n"
    rules = edited(tmp_path, "us-road", "questions.yaml", old, "when: {zone: {is: bead}}\n")
    assert any("how deep the injury goes" in problem.found for problem in monotonicity.check(rules))
