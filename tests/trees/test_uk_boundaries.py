"""The British boundary table: each row with its source, judged with its cautions; what scraps or passes has a text."""

from __future__ import annotations

import copy
import csv
import json
from functools import lru_cache
from typing import Any

import pytest

from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.loader.case_file import read_case, split_cases
from advisor.loader.kept_cases import DAY
from advisor.loader.paths import trees_folder
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.limits import UNSOURCED
from advisor.model.ruleset import STANDINGS, Verdict

CASES = trees_folder() / "uk-road" / "cases"
BASES: dict[str, Any] = json.loads((CASES / "base_cases.json").read_text(encoding="utf-8"))
with (CASES / "boundary_cases.csv").open(newline="", encoding="utf-8") as table:
    ROWS = list(csv.DictReader(table))
FEWEST_ROWS = 50


@lru_cache(maxsize=1)
def judge() -> Judge:
    return Judge(load_rule_set(find_rule_set("uk-road")))


def judged(base: str, changes: dict[str, Any]) -> Judgement:
    """A base case with dotted keys changed; None takes an answer out."""
    case = copy.deepcopy(BASES[base])
    for dotted, value in changes.items():
        part, _, key = dotted.rpartition(".")
        place = {"injuries[0]": case["injuries"][0], "answers": case["answers"], "": case}[part]
        place[key] = value
        if value is None:
            del place[key]
    (text,) = split_cases(json.dumps(case), "case.json")
    return judge().judge(read_case(text, judge().rules, DAY))


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["case"])
def test_a_boundary_case_ends_as_its_source_says(row: dict[str, str]) -> None:
    assert row["source"] and row["clause"] and row["standing"] in STANDINGS and row["why"]
    got = judged(row["base"], json.loads(row["changes"]))
    found = (str(got.verdict), got.ending, got.method, ";".join(got.restrictions))
    assert found == (row["verdict"], row["ending"], row["method"], row["restrictions"])
    assert set(filter(None, row["cautions"].split(";"))) <= set(got.cautions)


def test_the_table_is_large_and_names_each_case_once() -> None:
    assert len(ROWS) >= FEWEST_ROWS
    assert len({row["case"] for row in ROWS}) == len(ROWS)


@pytest.mark.parametrize("base", [name for name in BASES if name not in ("car", "van")])
def test_no_base_case_but_a_car_s_and_a_van_s_is_repaired(base: str) -> None:
    assert judged(base, {}).verdict is Verdict.REFER


def test_nothing_that_scraps_rests_on_memory_or_practice_alone() -> None:
    rules = judge().rules
    for ruling in rules.rulings():
        if ruling.ending and rules.endings[ruling.ending].verdict is Verdict.SCRAP:
            assert not set(rules.standings_of(ruling)) & set(UNSOURCED), ruling.id


def test_what_lets_a_hole_pass_rests_on_the_summary() -> None:
    """The one-piece unit's angle is common practice; that the hole may be repaired at all is not."""
    allowing = [reason for reason in judged("car", {}).reasons if reason.verdict is Verdict.REPAIR]
    assert {reason.basis.standing for reason in allowing} >= {"second-hand"}


def test_the_conflict_about_ten_years_is_told_with_the_side_that_counts() -> None:
    """Over ten (the agency) against ten and older (others): the agency's side counts."""
    rules = judge().rules
    assert rules.limits["oldest-front"].at_limit_passes and not rules.limits["oldest-reported"].at_limit_passes
    assert "agency's side counts" in rules.cautions["ten-years-itself"].says
    year = DAY.year - int(rules.limits["oldest-front"].figures[0].low)
    assert "ten-years-itself" in judged("lorry", {"answers.dot-code": f"10{year % 100:02}"}).cautions
    assert "ten-years-itself" not in judged("lorry", {"answers.dot-code": f"12{year % 100:02}"}).cautions


def test_no_source_claims_the_law_of_today_where_its_change_was_not_read() -> None:
    sources = judge().rules.sources
    assert sources["goods-amendment"].read == "not seen"
    assert "(1 June 2026) is not known here" in sources["construction-use"].edition
