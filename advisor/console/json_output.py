"""The JSON answer: one object a case, every field always there, lists always lists."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import lru_cache
from typing import Any

from advisor.engine.conditions import limit_named
from advisor.engine.evaluator import Judge, label_of
from advisor.engine.facts import OneOf, Value
from advisor.engine.judgement_types import Judgement, PartVerdict, PlannedStep, Reason
from advisor.model.case import Choice, Text
from advisor.model.problems import Problem, json_shown
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


class WrittenPiece(str):
    """A part of an answer written as JSON already."""

    __slots__ = ()


class Plain:
    """Makes each part of an answer as plain data."""

    def made(self, of: object, key: object, function: Callable[..., dict[str, Any]], *args: object) -> Any:
        """What a function gives of its arguments; `key` says all that it hangs on, `of` is what the key goes by."""
        return function(*args)


class Pieces(Plain):
    """Writes each part of an answer as JSON once, and takes it again where it comes again in another answer."""

    #: So many are kept before all are let go.
    MOST = 20_000

    def __init__(self) -> None:
        self._known: dict[object, tuple[object, WrittenPiece]] = {}

    def made(self, of: object, key: object, function: Callable[..., dict[str, Any]], *args: object) -> WrittenPiece:
        """The same as a text."""
        found = self._known.get(key)
        if found is None:
            if len(self._known) >= self.MOST:
                self._known.clear()
            found = self._known[key] = of, WrittenPiece(json_shown(function(*args)))
        return found[1]

    def line(self, judgement: Judgement, judge: Judge) -> str:
        """The answer for a case as `json_shown` writes it."""
        return _written(_answer(judgement, judge, self))


def _written(data: Any) -> str:
    if isinstance(data, list):
        return f"[{', '.join([each if each.__class__ is WrittenPiece else _written(each) for each in data])}]"
    if isinstance(data, dict):
        each = [
            f"{_scalar(key)}: {value if value.__class__ is WrittenPiece else _written(value)}"
            for key, value in data.items()
        ]
        return f"{{{', '.join(each)}}}"
    return _scalar(data)


@lru_cache(maxsize=8192, typed=True)
def _scalar(data: str | float | bool | None) -> str:
    return json_shown(data)


def answer_of(judgement: Judgement, judge: Judge) -> dict[str, Any]:
    """The answer for a case that was judged."""
    return _answer(judgement, judge, Plain())


def _answer(judgement: Judgement, judge: Judge, pieces: Plain) -> dict[str, Any]:
    rules = judge.rules
    plan = judge.methods.plan(judgement)
    named = dict.fromkeys((*judgement.cautions, *(name for step in plan for name in step.cautions)))
    said = {name: judge.caution_in_words(name, judgement) for name in named}
    reasons = {id(each): pieces.made(each, id(each), _reason, each, rules) for each in judgement.reasons}
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
        "worked_out": _worked_out(judgement, judge.units, pieces),
        "cautions": [_caution(name, said[name], because.get(name, []), pieces) for name in judgement.cautions],
        "steps": [_step(step, judgement, judge, said) for step in plan],
        "rules": pieces.made(rules, id(rules), _rules, rules),
        "passed_over": [],
        "problems": [],
    }


def _caution(name: str, says: str, because: list[str], pieces: Plain) -> Any:
    return pieces.made(None, (name, says, *because), lambda: {"id": name, "says": says, "because": because})


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


def _again(reason: Any) -> Any:
    """A reason that stands in an answer twice: each its own data."""
    return dict(reason) if isinstance(reason, dict) else reason


def _injury(part: PartVerdict, reasons: Mapping[int, Any]) -> dict[str, Any]:
    return {
        "verdict": str(part.verdict),
        "ending": part.ending or None,
        "method": part.method or None,
        "reasons": [_again(reasons[id(reason)]) for reason in part.reasons],
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


def _worked_out(judgement: Judgement, units: Mapping[str, str | None], pieces: Plain) -> dict[str, Any]:
    made = pieces.made
    found: dict[str, Any] = {name: made(None, (name, None), _value, None, units.get(name)) for name in TIRE_VALUES}
    for index in range(len(judgement.injuries)):
        for name in INJURY_VALUES:
            found[f"{name}[{index}]"] = made(None, (name, None), _value, None, units.get(name))
    for label, value in judgement.values.items():
        name = label if label in units else label.partition("[")[0]
        found[label] = made(None, (name, value), _value, value, units.get(name))
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
