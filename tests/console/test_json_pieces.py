"""An answer put together of pieces written once, against the same answer written whole."""

from __future__ import annotations

import json
from datetime import date

import pytest

from advisor.console.json_output import Pieces, answer_of
from advisor.model.case import Text
from advisor.model.problems import json_shown
from tests.engine.test_plan import cases as any_cases
from tests.fleet.test_array_judge import judge_of, kept_cases

DAY = date(2026, 3, 14)


@pytest.mark.parametrize("name", ["us-road", "uk-road", "de-road"])
def test_answers_of_pieces_are_the_answers_written_whole(name: str) -> None:
    judge, pieces = judge_of(name), Pieces()
    every = [*kept_cases(name, judge.rules)[:150], *any_cases(judge.rules, 30)]
    verdicts = set()
    for case in every * 2:
        judgement = judge.judge(case)
        assert pieces.line(judgement, judge) == json_shown(answer_of(judgement, judge))
        verdicts.add(judgement.verdict)
    assert len(verdicts) > 2


def test_few_pieces_are_kept_and_hidden_signs_are_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Pieces, "MOST", 40)
    judge, pieces = judge_of("us-road"), Pieces()
    for case in any_cases(judge.rules, 10):
        odd = case.with_answer("tire", ("sidewall", -1), Text("275/70R22.5 \u202e\x9b 148/145M"))
        judgement = judge.judge(odd)
        line = pieces.line(judgement, judge)
        assert line == json_shown(answer_of(judgement, judge)) and line.isprintable()
        assert json.loads(line)["verdict"] == str(judgement.verdict)
    assert len(pieces._known) <= 40
