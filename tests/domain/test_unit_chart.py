"""The shop's chart of repair units: the row that is chosen, its reading, and what the check names."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from advisor.domain.unit_choice import pick, rows_for, takes
from advisor.engine.evaluator import Judge
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.case import Choice, Text
from advisor.model.problems import Problems
from advisor.model.quantity import between, exactly
from advisor.model.ruleset import RuleSet
from advisor.tools.lint.chart_gaps import check
from tests.work.work_support import judge_of, judged, step_says

SHOP = find_rule_set("demo-shop")


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A copy of the demo shop, whose chart may be changed."""
    return Path(shutil.copytree(SHOP, tmp_path / "shop"))


def changed(shop: Path, old: str, new: str) -> RuleSet:
    chart = shop / "units.yaml"
    text = chart.read_text(encoding="utf-8")
    assert old in text
    chart.write_text(text.replace(old, new, 1), encoding="utf-8")
    return load_rule_set(shop)


@pytest.mark.parametrize(("size", "fits"), [("0", True), ("3", True), ("3.01", False), ("2.5", True)])
def test_a_span_takes_its_high_end(size: str, fits: bool) -> None:
    assert takes(between(0, 3, "mm"), exactly(size, "mm")) is fits
    assert takes(between(3, 6, "mm"), exactly(3, "mm")) is False


@pytest.mark.parametrize(
    ("size", "angle", "row", "smaller"),
    [
        (exactly(5, "mm"), exactly(25, "deg"), "demo-truck-small", None),
        (exactly("5.1", "mm"), exactly(0, "deg"), "demo-truck-large", "demo-truck-small"),
        (exactly("3/16", "in"), exactly(0, "deg"), "demo-truck-small", None),
        (exactly(4, "mm"), exactly(26, "deg"), "demo-truck-slant", "demo-truck-large"),
        (between(4, 6, "mm"), exactly(0, "deg"), "demo-truck-large", "demo-truck-small"),
        (exactly(11, "mm"), exactly(0, "deg"), None, None),
        (exactly(4, "mm"), exactly(50, "deg"), None, None),
    ],
)
def test_the_row_that_is_chosen(size: object, angle: object, row: str | None, smaller: str | None) -> None:
    rows = rows_for(judge_of("demo-shop").rules.units.values(), "medium-truck", "crown")
    found = pick(rows, size, angle)  # type: ignore[arg-type]
    assert (found.row.id if found.row else None) == row
    assert (found.smaller.id if found.smaller else None) == smaller
    assert bool(found.why_not) is (row is None or smaller is not None)


def test_said_in_the_step_with_its_row_and_the_mark() -> None:
    judgement = judged({}, {"injury-size": "6 mm"}, rules="demo-shop")
    says = step_says(judgement, "outline", "demo-shop")
    assert "Demo unit T2 (invented), 95 mm along by 80 mm across, stem 11 mm" in says
    assert "row demo-truck-large closes at most 10 mm at no more than 25° (invented for the demo)" in says
    assert "Demo unit T1 (invented) closes at most 5 mm, and the injury measures 6 mm" in says


def test_without_a_chart_the_material_says_it() -> None:
    assert "no chart of units is given here" in step_says(judged(), "outline")
    assert not judge_of().rules.units


def test_sizes_are_not_asked_where_the_chart_gives_them() -> None:
    far = [{"clock": '"2:00"', "offset": "0 mm"}, {"clock": '"8:00"', "offset": "0 mm"}]
    asked = judged({}, *far)
    assert {"unit-length", "unit-width"} <= {name for name, _ in asked.missing}
    charted = judged({}, *far, rules="demo-shop")
    assert not charted.missing and charted.values["sized-by-chart"] == Choice("yes")
    assert str(charted.verdict) == "repair" and charted.values["nearest-repair"] is not None
    near = judged({}, {**far[0]}, {**far[1], "clock": '"2:03"'}, rules="demo-shop")
    assert str(near.verdict) == "refer", "the chart's sizes are held apart as typed ones are"


def test_a_typed_size_wins_over_the_chart() -> None:
    values = judged({"unit-length": "50 mm", "unit-width": "40 mm"}, rules="demo-shop").values
    assert str(values["unit-length-here[0]"]) == "50 mm"
    assert isinstance(values["chart-unit[0]"], Text)


def test_the_shipped_chart_has_nothing_to_name() -> None:
    assert not list(check(load_rule_set(SHOP)))


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("injury: 5-10 mm", "injury: 6-10 mm", "nothing from 5 mm to 6 mm"),
        ("injury: 5-10 mm", "injury: 4-10 mm", "are for the same injuries"),
        ("length: 95 mm", "length: 60 mm", "less than demo-truck-small"),
        ("stem: 7 mm", "stem: 3 mm", "has a stem of 3 mm"),
        ("injury: 0-3 mm", "injury: 1-3 mm", "nothing below 1 mm"),
        ("injury: 0-3 mm", "injury: 3 mm", "is for 3 mm alone"),
        ("angle: 25-45°", "angle: 30-45°", "nothing from 25° to 30°"),
        ("length: 120 mm", "length: 90 mm", "less than demo-truck-large for a straighter injury"),
        ("width: 60 mm\n  stem: 7 mm", "width: 30 mm\n  stem: 7 mm", "less than demo-light-small for a straighter"),
        ("method: two-piece", "method: one-piece", "is for up to 45°, with the method one-piece"),
    ],
)
def test_what_the_check_names(shop: Path, old: str, new: str, says: str) -> None:
    found = [str(problem) for problem in check(changed(shop, old, new))]
    assert any(says in text for text in found), found
    assert all("units.yaml:" in text for text in found)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("length: 40 mm", "length: 40 psi", "units.yaml:11:"),
        ("length: 40 mm", "length: wide", '"length" of unit'),
        ("for: light", "for: lorry", '"lorry"'),
        ("zone: crown", "zone: crowm", "nearest   crown"),
        ("method: one-piece", "method: one-peice", "nearest   one-piece"),
        ("  width: 32 mm\n", "", 'without "width"'),
        ("  width: 32 mm\n", "  width: 32 mm\n  colour: blue\n", "colour"),
        ("  source: demo-house-rules\n", "  source: demo-house-rules\n  standing: sure\n", '"sure"'),
    ],
)
def test_a_chart_that_cannot_be_read(shop: Path, old: str, new: str, says: str) -> None:
    with pytest.raises(Problems) as caught:
        changed(shop, old, new)
    assert says in str(caught.value)


def test_a_name_that_looks_like_a_page_is_only_a_name(shop: Path) -> None:
    from advisor.report.html import report_page
    from advisor.work.record_model import report_of

    rules = changed(shop, "name: Demo unit T1 (invented)", "name: <img src=x onerror=alert(1)>\u202e")
    judge = Judge(rules)
    text = report_page(
        [report_of(judge.judge(judged({}, {"injury-size": "4 mm"}, rules="demo-shop").walk.tire.case), judge)]
    )
    assert "&lt;img src=x onerror=alert(1)&gt;" in text and "<img" not in text and "\u202e" not in text


def test_what_the_command_says_of_a_bad_chart(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """File, line and column of the row; every problem of the chart at once."""
    chart = shop / "units.yaml"
    text = chart.read_text(encoding="utf-8").replace("length: 95 mm", "length: 60 mm")
    chart.write_text(text.replace("injury: 5-10 mm", "injury: 6-10 mm"), encoding="utf-8")
    line = 1 + text[: text.index("demo-truck-large:")].count("\n")
    found = list(check(load_rule_set(shop)))
    assert len(found) == 2
    assert all(str(problem).startswith(f"shop/units.yaml:{line}:1: unit-chart: ") for problem in found), found
    assert any("nothing from 5 mm to 6 mm" in str(problem) for problem in found)
