"""The JSON answer: one object a case, every field always there, lists always lists."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import lru_cache
from typing import Any

from advisor.engine.conditions import limit_named
from advisor.engine.evaluator import Judge, label_of
from advisor.engine.facts import OneOf, Value
from advisor.engine.judgement_types import Judgement, PartVerdict, PlannedStep, Reason
from advisor.model.case import Choice, Text
from advisor.model.problems import Problem
from advisor.model.quantity import Measure
from advisor.model.ruleset import RuleSet

#: Names of the contract that a rule set need not define; they stand in every answer.
TIRE_VALUES = (
    "tire-group",
    "section-width",
    "overall-diameter",
    "load-single",
    "load-dual",
    "top-speed",
    "made-week",
    "made-year",
    "age",
    "lowest-tread",
    "pressure-share",
    "repair-area",
    "nearest-repair",
    "dew-point",
    "stored-energy",
)
INJURY_VALUES = ("channel-length", "inner-offset", "zone", "stem-length")


def answer_of(judgement: Judgement, judge: Judge) -> dict[str, Any]:
    """The answer for a case that was judged."""
    rules = judge.rules
    plan = judge.methods.plan(judgement)
    named = dict.fromkeys((*judgement.cautions, *(name for step in plan for name in step.cautions)))
    said = {name: judge.caution_in_words(name, judgement) for name in named}
    reasons = {id(reason): _reason(reason, rules) for reason in judgement.reasons}
    because = _because(judgement)
    return {
        "verdict": str(judgement.verdict),
        "ending": judgement.ending or None,
        "method": judgement.method or None,
        "also_allowed": list(judgement.also_allowed),
        "restrictions": list(judgement.restrictions),
        "settled": judgement.settled,
        "could_end": [str(verdict) for verdict in judgement.could_end],
        "reasons": list(reasons.values()),
        "injuries": [_injury(part, reasons) for part in judgement.injuries],
        "missing": labels_of(judgement.not_given, rules),
        "measure_again": labels_of(judgement.measure_again, rules),
        "worked_out": _worked_out(judgement, judge.units),
        "cautions": [{"id": name, "says": said[name], "because": because.get(name, [])} for name in judgement.cautions],
        "steps": [_step(step, judgement, judge, said) for step in plan],
        "rules": _rules(rules),
        "passed_over": [],
        "problems": [],
    }


def answer_of_problems(problems: Iterable[Problem], rules: RuleSet | None) -> dict[str, Any]:
    """The answer for a case that could not be read: every field, and its problems."""
    return {
        "verdict": None,
        "ending": None,
        "method": None,
        "also_allowed": [],
        "restrictions": [],
        "settled": False,
        "could_end": [],
        "reasons": [],
        "injuries": [],
        "missing": [],
        "measure_again": [],
        "worked_out": {},
        "cautions": [],
        "steps": [],
        "rules": _rules(rules) if rules else {"id": None, "edition": None, "digest": None},
        "passed_over": [],
        "problems": [_problem(problem) for problem in problems],
    }


def reasons_of(judgement: Judgement, rules: RuleSet) -> list[dict[str, Any]]:
    """Every ruling that counts, in words."""
    return [_reason(reason, rules) for reason in judgement.reasons]


def _rules(rules: RuleSet) -> dict[str, str]:
    return {"id": rules.about.id, "edition": rules.about.edition, "digest": rules.digest}


def labels_of(keys: Iterable[tuple[str, int]], rules: RuleSet) -> list[str]:
    """Answers as a case names them, each once."""
    return list(dict.fromkeys(label_of(key, rules) for key in keys))


def _problem(problem: Problem) -> dict[str, Any]:
    return {
        "id": problem.id,
        "file": problem.place.file,
        "line": problem.place.line,
        "column": problem.place.column,
        "found": problem.found,
        "expected": problem.expected,
        "do": problem.do,
        "nearest": list(problem.nearest),
    }


def _reason(reason: Reason, rules: RuleSet) -> dict[str, Any]:
    return {
        "ruling": reason.ruling,
        "question": rules.questions[reason.question].key if reason.question else None,
        "injury": reason.injury,
        "answer": reason.answer,
        "says": reason.says,
        "limit": _limit(reason),
        "verdict": str(reason.verdict) if reason.verdict is not None else None,
        "restriction": next(iter(reason.restrictions), None),
        **({"restrictions": list(reason.restrictions)} if len(reason.restrictions) > 1 else {}),
        "terms": list(reason.terms),
        "in_doubt": labels_of(sorted(reason.doubt), rules),
        "standing": reason.basis.standing or None,
        "source": list(reason.basis.sources),
        "clause": reason.basis.clause or None,
    }


def _because(judgement: Judgement) -> dict[str, list[str]]:
    """What brings each caution."""
    found: dict[str, list[str]] = {}
    for reason in judgement.caution_reasons:
        for name in dict.fromkeys(reason.cautions):
            found.setdefault(name, []).append(reason.says)
    return found


def _limit(reason: Reason) -> dict[str, Any] | None:
    limit, figure = reason.limit, reason.figure
    if limit is None or figure is None:
        return None
    return {
        "id": limit.id,
        **measure_in_json(figure),
        "standing": limit.basis.standing,
        "source": list(limit.basis.sources),
        "clause": limit.basis.clause,
    }


def _injury(part: PartVerdict, reasons: Mapping[int, dict[str, Any]]) -> dict[str, Any]:
    return {
        "verdict": str(part.verdict),
        "ending": part.ending or None,
        "method": part.method or None,
        "reasons": [dict(reasons[id(reason)]) for reason in part.reasons],
    }


def measure_in_json(measure: Measure) -> dict[str, Any]:
    """Value and unit of a measure; `[low, high]` where it is in doubt."""
    low, high = _ends(measure, measure.unit)
    return {"value": low if high is None else [low, high], "unit": measure.unit}


@lru_cache(maxsize=8192)
def _ends(measure: Measure, unit: str) -> tuple[float, float | None]:
    """The ends of a measure in a unit; just one where it is in no doubt."""
    here = measure.to(unit)
    return _number(here.low), None if here.exact else _number(here.high)


def _number(figure: Any) -> int | float:
    over, under = figure.as_integer_ratio()
    return int(over) if under == 1 else round(over / under, 6)


def _value(value: Value | None, unit: str | None) -> dict[str, Any]:
    if value is None:
        return {"value": None, "unit": unit}
    if isinstance(value, Measure):
        low, high = _ends(value, unit or value.unit)
        return {"value": low if high is None else [low, high], "unit": unit}
    if isinstance(value, Choice):
        return {"value": value.id, "unit": unit}
    if isinstance(value, Text):
        return {"value": value.text, "unit": unit}
    return {"value": [value.possible[0], value.possible[-1]] if isinstance(value, OneOf) else None, "unit": unit}


def _worked_out(judgement: Judgement, units: Mapping[str, str | None]) -> dict[str, Any]:
    found: dict[str, Any] = {name: {"value": None, "unit": units.get(name)} for name in TIRE_VALUES}
    for index in range(len(judgement.injuries)):
        found.update({f"{name}[{index}]": {"value": None, "unit": units.get(name)} for name in INJURY_VALUES})
    for name, value in judgement.values.items():
        found[name] = _value(value, units[name] if name in units else units.get(name.partition("[")[0]))
    return found


def _step(planned: PlannedStep, judgement: Judgement, judge: Judge, said: Mapping[str, str]) -> dict[str, Any]:
    return {
        "id": planned.step.id,
        "method": planned.method.id,
        "injury": planned.injury,
        "says": planned.says,
        "figures": {name: _figure(name, planned, judgement, judge) for name in planned.step.figures},
        "standing": planned.step.basis.standing,
        "cautions": [{"id": name, "says": said[name]} for name in planned.cautions],
        "held": list(planned.held),
    }


def _figure(name: str, planned: PlannedStep, judgement: Judgement, judge: Judge) -> dict[str, Any]:
    tire = judgement.walk.tire
    limit = limit_named(name, tire if planned.injury is None else tire.part("injuries", planned.injury), judge.rules)
    if name in judge.rules.tables and limit is None:
        return {**_value(None, None), "standing": None}
    if limit:
        basis = {"standing": limit.basis.standing, "source": list(limit.basis.sources), "clause": limit.basis.clause}
        return {**measure_in_json(limit.figures[0]), **basis}
    indexed = f"{name}[{planned.injury or 0}]"
    value = judgement.values.get(name, judgement.values.get(indexed))
    return {**_value(value, judge.units[name]), "standing": "derived"}
