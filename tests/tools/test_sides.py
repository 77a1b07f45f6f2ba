"""Nothing on one card contradicts another: every two texts that can meet are gone through; what is found has a case."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.ruleset import RuleSet
from advisor.tools.lint import sides, untold_sides
from advisor.tools.verify.workbench import Proof


def problems(name: str, caution: str, **fields: object) -> list[object]:
    """What is found where a caution of a shipped rule set is another."""
    rules = load_rule_set(find_rule_set(name))
    cautions = {**rules.cautions, caution: replace(rules.cautions[caution], **fields)}
    changed: RuleSet = replace(rules, cautions=cautions)
    return [*untold_sides.check(changed), *sides.check(changed)]


@pytest.mark.parametrize("name", ["us-road", "uk-road", "de-road", "demo-shop"])
def test_no_card_of_what_is_shipped_contradicts_itself(name: str) -> None:
    assert list(sides.check(load_rule_set(find_rule_set(name)))) == []


@pytest.mark.parametrize(
    ("caution", "fields", "ending"),
    [
        ("speed-symbol-policy", {"fits": ()}, "scrap-place"),
        ("dual-matching", {"fits": ()}, "scrap-run-low"),
        ("run-low-inspected", {"speaks": {"air": "for"}}, "hold-measure-again"),
        ("steer-repair-fleet-rules", {"not_with": ()}, "repair-one-piece"),
        ("repair-bulge-marked", {"not_with": ()}, "hold-bulge"),
    ],
)
def test_a_caution_that_does_not_fit_is_found_with_a_case(caution: str, fields: dict[str, object], ending: str) -> None:
    found = [each for each in problems("us-road", caution, **fields) if isinstance(each, Proof)]
    assert found and all(each.id == "contradiction" and caution in each.found for each in found)
    assert any(each.case for each in found)
    assert any(ending in each.found for each in found) or caution in ("steer-repair-fleet-rules", "repair-bulge-marked")


def test_a_text_without_a_side_and_a_caution_named_in_vain() -> None:
    no_side = problems("us-road", "inflation-cage", speaks={})
    assert [each.id for each in no_side] == ["no-side"]  # type: ignore[attr-defined]
    in_vain = problems("us-road", "demount-always", fits=("scrap",))
    assert {each.id for each in in_vain} == {"never-shown"}  # type: ignore[attr-defined]
