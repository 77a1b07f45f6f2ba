"""What is said at once by numbers against the whole judge: on cases near those beside the rules, and by their days."""

from __future__ import annotations

from datetime import date
from itertools import pairwise
from pathlib import Path

import pytest
from msgspec.structs import replace

import advisor
from advisor.api import CaseJudgement
from advisor.engine.at_once import ByNumbers, CodedJudge
from advisor.engine.evaluator import Judge
from advisor.model.case import Case, Choice
from advisor.model.quantity import read_measure
from tests.fleet.support import at_once, one_by_one
from tests.fleet.test_array_judge import judge_of, kept_cases, near_cases
from tests.loader.test_dated_limits import rules_in

DAY = date(2026, 3, 14)


def _near(judge: Judge, count: int, seed: int) -> list[Case]:
    return list(near_cases(judge.rules, kept_cases("us-road", judge.rules), count, seed))


def _says(found: CaseJudgement) -> tuple[object, ...]:
    return found.verdict, found.ending, found.method, found.restrictions, found.settled, found.missing


def test_what_the_interface_says_at_once_is_what_the_whole_judgement_says() -> None:
    rules = advisor.load("us-road", DAY)
    quick = 0
    for case in _near(rules.judge_of_rules, 300, 5):
        found, whole = rules.judge(case), rules.judge(case)
        assert whole.judgement.walk.tire.case == case
        assert _says(found) == _says(whole)
        quick += "judgement" not in found.__dict__
    assert quick > 100, "most are said without the whole judgement"


def test_a_case_or_two_are_left_to_the_judge() -> None:
    judge = judge_of("us-road")
    numbers, cases = ByNumbers(judge), kept_cases("us-road", judge.rules)
    assert [numbers.at_once(case) for case in cases[: CodedJudge.FEW]] == [None] * CodedJudge.FEW
    assert any(numbers.at_once(case) for case in cases)


def test_what_was_met_is_let_go_when_it_is_too_much(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(CodedJudge, "MOST", 2000)
    judge = judge_of("us-road")
    coded, said, kept = CodedJudge(judge), 0, []
    for case in _near(judge, 200, 9):
        found = coded.judged(case)
        kept.append(coded.kept)
        if found is not None:
            assert (int(found.verdict), found.ending, found.method) == one_by_one(judge, case)[:3]
            said += 1
    assert said > 50 and max(kept) < 4000 and any(after < before for before, after in pairwise(kept))


def test_an_answer_that_stands_where_it_is_not_asked_for_counts_for_nothing() -> None:
    judge = judge_of("us-road")
    numbers, quick = ByNumbers(judge), 0
    for case in _near(judge, 60, 4):
        odd = replace(
            case, answers={**case.answers, "injury-size": read_measure("90 mm", "length"), "no": Choice("no")}
        )
        said = at_once(numbers, judge.rules, odd)
        assert said is None or said == one_by_one(judge, odd) == one_by_one(judge, case)
        quick += said is not None
    assert quick


def test_each_case_goes_by_the_limits_of_its_day(tmp_path: Path) -> None:
    rules = advisor.load(str(rules_in(tmp_path)), DAY)
    numbers, quick, verdicts = ByNumbers(rules.judge_of_rules), 0, dict[str, set[str]]()
    for day in ["2026-12-31", "2027-01-01", "2025-06-01", "2028-02-03"] * 20:
        answers = {"findings": ["none"], "sealant": "yes", "washed": "yes"}
        case = rules.read({"today": day, "answers": answers, "injuries": [{"size": "5 mm"}]})
        said, whole = at_once(numbers, rules.rule_set, case), one_by_one(rules.judge_of_rules, case)
        assert said is None or said == whole
        quick += said is not None
        verdicts.setdefault(day[:4], set()).add(rules.judge(case).verdict)
    assert quick and verdicts == {"2025": {"repair"}, "2026": {"repair"}, "2027": {"scrap"}, "2028": {"scrap"}}
