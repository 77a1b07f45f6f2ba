"""Cases and judges for the tests of the work: a sound truck tire with a nail hole, changed a little at a time."""

from __future__ import annotations

from datetime import date
from functools import lru_cache

from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.loader.case_file import read_case, split_cases
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from tests.laws.support import older_answers

TODAY = date(2026, 3, 14)
TIRE = {
    "vehicle": "truck",
    "wheel-position": "drive",
    "sidewall": "275/70R22.5 148/145M LOAD RANGE H TUBELESS",
    "retread": '"no"',
    "found-pressure": "100 psi",
    "set-pressure": "110 psi",
    "run-low": '"no"',
    "demounted": '"yes"',
    "findings": "[none]",
    "tread-depth": "9/32 in",
    "self-supporting": '"no"',
    "sealant": '"no"',
    "earlier-repairs": "[]",
}
INJURY = {
    "injury-depth": "through",
    "injury-zone": "crown",
    "injury-size": "6 mm",
    "injury-angle": "10 deg",
    "inside-signs": "[none]",
}


@lru_cache(maxsize=4)
def judge_of(rules: str = "us-road") -> Judge:
    """The judge of a shipped rule set."""
    return Judge(load_rule_set(find_rule_set(rules)))


def case_text(tire: dict[str, str] | None = None, *injuries: dict[str, str], rules: str = "us-road") -> str:
    """A case file: the sound tire and a nail hole, with these answers in their place; an empty one leaves it out."""
    older = older_answers(judge_of(rules).rules)
    lines = ["answers:"]
    lines += [f"  {key}: {value}" for key, value in {**older["tire"], **TIRE, **(tire or {})}.items() if value]
    lines.append("injuries:")
    for injury in injuries or ({},):
        rows = [f"{key}: {value}" for key, value in {**INJURY, **older["injuries"], **injury}.items() if value]
        lines += [f"  {'- ' if number == 0 else '  '}{row}" for number, row in enumerate(rows)]
    return "\n".join(lines) + "\n"


def judged(tire: dict[str, str] | None = None, *injuries: dict[str, str], rules: str = "us-road") -> Judgement:
    """The judgement of such a case."""
    judge = judge_of(rules)
    (text,) = split_cases(case_text(tire, *injuries, rules=rules), "case.yaml")
    return judge.judge(read_case(text, judge.rules, TODAY))


def step_says(judgement: Judgement, step: str, rules: str = "us-road") -> str:
    """What a step says for this tire."""
    return next(each.says for each in judge_of(rules).methods.plan(judgement) if each.step.id == step)
