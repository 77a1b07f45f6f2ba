"""Whole answers among many, put together of words that are remembered by number, against those of one case alone."""

from __future__ import annotations

import json
from datetime import date
from itertools import pairwise

import pytest

from advisor.api import Rules
from advisor.console.json_output import Pieces, answer_of
from advisor.engine.at_once import CodedJudge
from advisor.engine.evaluator import Judge
from advisor.model.case import Case, Text
from advisor.model.problems import json_shown
from tests.engine.test_plan import cases as any_cases
from tests.fleet.test_array_judge import judge_of, kept_cases, near_cases

DAY = date(2026, 3, 14)
SETS = ["us-road", "uk-road", "de-road"]


def _cases(name: str, judge: Judge, count: int, seed: int) -> list[Case]:
    known = kept_cases(name, judge.rules)
    return [*known, *near_cases(judge.rules, known, count, seed), *any_cases(judge.rules, count // 4)]


def _held(name: str, count: int, seed: int) -> int:
    """How many answers were put in words by number, each the same as that of the one-case judge."""
    judge, rules = judge_of(name), Rules(judge_of(name).rules, DAY)
    verdicts, by_number = set(), 0
    for case in _cases(name, judge, count, seed):
        found, alone = rules.judge(case), Pieces().line(judge.judge(case), judge)
        assert found.to_json_line() == alone
        verdicts.add(found.verdict)
        by_number += "judgement" not in found.__dict__
    assert len(verdicts) == 4
    return by_number


@pytest.mark.parametrize("name", SETS)
def test_an_answer_among_many_is_the_answer_of_the_case_alone(name: str) -> None:
    assert _held(name, 120, 7) > 150


@pytest.mark.long
@pytest.mark.parametrize("name", SETS)
def test_very_many_answers_are_those_of_each_case_alone(name: str) -> None:
    assert _held(name, 8_000, 13) > 6_000


def test_an_answer_is_plain_data_of_its_own() -> None:
    rules = Rules(judge_of("us-road").rules, DAY)
    for case in any_cases(rules.rule_set, 30):
        found = rules.judge(case)
        first, again = found.to_json(), found.to_json()
        assert first == again == json.loads(found.to_json_line())
        first["reasons"].clear()
        first["worked_out"].clear()
        assert found.to_json() == again and found.reasons == again["reasons"]


def test_few_words_are_kept_and_hidden_signs_are_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Pieces, "MOST", 40)
    monkeypatch.setattr(CodedJudge, "MOST", 1500)
    judge, pieces = judge_of("us-road"), Pieces()
    coded = CodedJudge(judge)
    kept = []
    for case in _cases("us-road", judge, 60, 3)[-75:]:
        odd = case.with_answer("tire", ("sidewall", -1), Text("275/70R22.5 \u202e\x9b 148/145M"))
        line = pieces.line(coded.whole(odd) or judge.judge(odd), judge)
        assert line == Pieces().line(judge.judge(odd), judge) and line.isprintable()
        assert json.loads(line)["verdict"] == str(judge.judge(odd).verdict)
        kept.append(coded.kept)
    assert len(pieces._known) <= 40 and max(kept) < 4000 and any(b < a for a, b in pairwise(kept))


def test_a_half_sign_stands_in_an_answer_as_it_was_given() -> None:
    judge = judge_of("us-road")
    for case in any_cases(judge.rules, 3):
        odd = case.with_answer("tire", ("sidewall", -1), Text("275/70R22.5 \ud800 148/145M"))
        assert json_shown(answer_of(judge.judge(odd), judge)).isprintable()


def test_cases_that_are_too_unlike_are_put_in_words_one_by_one(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(CodedJudge, "MOST_ALWAYS", 20)
    judge = judge_of("us-road")
    unlike, alike = CodedJudge(judge), CodedJudge(judge)
    cases = list(any_cases(judge.rules, 60))
    known = next(case for case in kept_cases("us-road", judge.rules)[20:] if case.injuries)
    for case in cases:
        for coded, each in ((unlike, case), (alike, known)):
            whole = coded.whole(each)
            if whole is not None:
                Pieces().line(whole, judge)
    assert unlike._new_each > CodedJudge.MOST_NEW > alike._new_each
    assert sum(unlike.whole(case) is None for case in cases) > 40
    assert not any(alike.whole(known) is None for _ in cases)
