"""A case judged with what the one before tells is judged as one that comes first, step by step of a consultation."""

from __future__ import annotations

from functools import lru_cache
from random import Random

import pytest
from msgspec.structs import replace

from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.model.case import CANT_TELL, Case, Choice
from advisor.model.inputs import OVERS
from advisor.tools.verify.boundary_values import answers_for
from advisor.tools.verify.workbench import Bench
from tests.engine.test_plan import DAY, SETS, rules_of

STEPS = 40


@lru_cache
def quiet(name: str) -> Case:
    """A case in which nothing speaks against a repair."""
    return replace(Bench(rules_of(name)).case([]), today=DAY)


def steps(name: str, seed: int) -> list[Case]:
    """Cases from a quiet one on, each other than the one before: an answer, a skip, an injury or repair gone."""
    rules, dice = rules_of(name), Random(seed)
    given = {question.id: [*answers_for(question, rules, ()), CANT_TELL] for question in rules.questions.values()}
    found = [Case(today=DAY), quiet(name)]
    for _ in range(STEPS):
        case = found[-1]
        question = rules.questions[dice.choice(list(rules.questions))]
        index = -1 if question.over == "tire" else dice.choice((0, 0, 1))
        kind = dice.random()
        if kind < 0.75:
            case = case.with_answer(question.over, (question.id, index), dice.choice(given[question.id]))
        elif kind < 0.85:
            case = case.with_answer(question.over, (question.id, index), None)
        elif kind < 0.9:
            case = case.with_skipped((question.id, index))
        elif kind < 0.95:
            over = dice.choice(OVERS[1:])
            more = rules.more_of(over)
            if more:
                case = case.with_answer(over, (more, 0), Choice(dice.choice(("yes", "no"))))
        else:
            case = replace(case, injuries=case.injuries[:1]) if kind < 0.97 else replace(case, repairs=())
        found.append(case)
    return found


def said(judgement: Judgement) -> dict[str, object]:
    """All that a judgement says, and which answers it says it by."""
    walk = judgement.walk
    return {
        "reached": walk.reached,
        "outcome": (judgement.verdict, judgement.ending, judgement.method, judgement.also_allowed),
        "restrictions": judgement.restrictions,
        "missing": (judgement.missing, judgement.later, judgement.measure_again, judgement.each_alone),
        "could end": judgement.could_end,
        "possible": judgement.possible,
        "to ask": [(key, visit.stop.node.id) for key, visit in walk.to_ask.items()],
        "visits": [(visit.stop.node.id, visit.key, visit.asked) for visit in walk.visits],
        "perhaps": [(visit.stop.node.id, visit.key, visit.opened_by) for visit in walk.perhaps],
        "reasons": judgement.reasons,
        "cautions": judgement.cautions,
        "injuries": judgement.each_injury,
        "values": judgement.values,
        "reached in the end": walk.reached,
    }


@pytest.mark.parametrize("name", SETS)
@pytest.mark.parametrize("seed", range(3))
def test_the_next_case_is_judged_as_if_it_came_first(name: str, seed: int) -> None:
    judge, alone, before = Judge(rules_of(name)), Judge(rules_of(name)), None
    seen = set()
    for case in steps(name, seed):
        now = judge.judge(case, before)
        told, anew = said(now), said(alone.judge(case))
        for what in told:
            assert told[what] == anew[what], (what, case)
        seen.add((now.verdict, now.ending, now.could_end))
        before = now
    assert len(seen) > 2
