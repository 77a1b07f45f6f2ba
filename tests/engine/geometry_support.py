"""Cases in which only the geometry is of interest: two tires that pass everything else, judged as case files."""

from __future__ import annotations

import json
from datetime import date
from functools import lru_cache
from typing import Any

from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.loader.case_file import read_case, split_cases
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from tests.laws.support import as_kept

TODAY = date(2026, 3, 14)
Data = dict[str, Any]

_SOUND: Data = {
    "wheel-position": "drive",
    "retread": "no",
    "run-low": "no",
    "demounted": "yes",
    "findings": ["none"],
    "tread-depth": "9/32 in",
    "self-supporting": "no",
    "sealant": "no",
    "earlier-repairs": [],
}
_TIRES: dict[str, Data] = {
    "truck": {
        "vehicle": "truck",
        "sidewall": "275/70R22.5 148/145M LOAD RANGE H TUBELESS",
        "found-pressure": "100 psi",
        "set-pressure": "110 psi",
    },
    "car": {
        "vehicle": "car",
        "sidewall": "P215/65R16 96H TUBELESS",
        "found-pressure": "33 psi",
        "set-pressure": "35 psi",
    },
}
_INJURY: Data = {
    "injury-depth": "through",
    "injury-size": "4 mm",
    "injury-angle": "0 deg",
    "inside-signs": ["none"],
}


def case_of(tire: str, injuries: list[Data], **answers: Any) -> Data:
    """A whole case: the tire's answers with those given (`_` for `-`), and each injury laid over a plain one."""
    given = {name.replace("_", "-"): value for name, value in answers.items()}
    case = {
        "today": TODAY.isoformat(),
        "answers": {**_TIRES[tire], **_SOUND, **given},
        "injuries": [{**_INJURY, **injury} for injury in injuries],
    }
    return as_kept(case)


@lru_cache(maxsize=1)
def judge() -> Judge:
    """One judge by the shipped rules for US roads."""
    return Judge(load_rule_set(find_rule_set("us-road")))


def judged(case: Data) -> Judgement:
    """The judgement of a case that goes in as a case file; raises Problems where it can't be read."""
    (text,) = split_cases(json.dumps(case), "case.json")
    return judge().judge(read_case(text, judge().rules, TODAY))
