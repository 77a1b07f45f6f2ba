"""What the tests of judging share: three stated base cases, changes to them, and one way to have them judged."""

from __future__ import annotations

import copy
import json
import re
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import Any

from advisor.console.json_output import answer_of
from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.loader.case_file import read_case, split_cases
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.case import Case
from advisor.model.ruleset import RuleSet

TODAY = date(2026, 3, 14)
CaseData = dict[str, Any]

#: The tires that every boundary is tried on, each a sound one with a nail hole: passenger, light truck to load range E,
#: medium truck. `advisor check --coverage` reads the same file.
TIRES: dict[str, CaseData] = json.loads(
    (Path(__file__).parent.parent / "tables" / "base_cases.json").read_text(encoding="utf-8")
)
#: A straight 4 mm nail hole in the crown, seen from both sides, nothing else found.
NAIL_HOLE: dict[str, Any] = TIRES["passenger"]["injuries"][0]


def base(tire: str) -> CaseData:
    """A fresh case that the rules allow to be repaired: the tire's own answers and one nail hole."""
    return copy.deepcopy(TIRES[tire])


def changed(case: CaseData, changes: dict[str, Any]) -> CaseData:
    """The case with dotted keys set (`answers.tread-depth`, `injuries[0].injury-size`); None takes one out.

    A list may grow by one: `injuries[1]`. Raises KeyError where the way to a key leads nowhere.
    """
    case = copy.deepcopy(case)
    for path, value in changes.items():
        *way, last = [int(name) if name.isdigit() else name for name in re.findall(r"[^.\[\]]+", path)]
        holder: Any = case
        for name in way:
            holder = holder[name]
        if isinstance(holder, list) and last == len(holder):
            holder.append(value)
        elif value is None:
            del holder[last]
        else:
            holder[last] = value
    return case


@lru_cache(maxsize=1)
def rules() -> RuleSet:
    """The shipped rule set for US roads."""
    return load_rule_set(find_rule_set("us-road"))


@lru_cache(maxsize=1)
def judge() -> Judge:
    """One judge for all tests; it is pure."""
    return Judge(rules())


def read(case: CaseData) -> Case:
    """The case as the program reads it from a case file in JSON."""
    (text,) = split_cases(json.dumps(case), "case.json")
    return read_case(text, rules(), TODAY)


def judged(case: CaseData) -> Judgement:
    """The judgement of a case that goes in as a case file."""
    return judge().judge(read(case))


def answered(case: CaseData) -> dict[str, Any]:
    """The JSON answer for a case that goes in as a case file."""
    return answer_of(judged(case), judge())


def method_rank(judgement: Judgement) -> int:
    """How demanding the method is; -1 where there is none."""
    return rules().methods[judgement.method].rank if judgement.method else -1
