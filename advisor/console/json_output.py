"""The JSON answer: one object a case, every field always there, lists always lists."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import lru_cache, partial
from operator import itemgetter
from typing import Any
from weakref import WeakKeyDictionary

import msgspec
from msgspec import Struct

from advisor.engine.conditions import limit_named
from advisor.engine.evaluator import Judge, label_of
from advisor.engine.facts import Facts, OneOf, Value
from advisor.engine.judgement_types import Judgement, PartVerdict, PlannedStep, Reason
from advisor.model.case import TIRE, Choice, Text
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


class Slots(Struct, frozen=True):
    """The worked-out values of an answer: what writes each of a part, and what puts all of them in their order.

    `lacking`: those that the contract names and the rules lack; they come first, then the tire's and the injuries'.
    """

    lacking: tuple[str, ...]
    written: Mapping[str, Sequence[Callable[[Facts], str]]]
    in_order: Callable[[Sequence[str]], Sequence[str]]


class Pieces:
    """What was written of answers by one judge: each part is taken again where it comes again in another answer."""

    #: So many are kept before all are let go.
    MOST = 20_000

    def __init__(self) -> None:
        self._known: dict[object, tuple[object, str]] = {}
        self._slots: dict[int, Slots] = {}

    def _made(self, of: object, key: object, function: Callable[..., dict[str, Any]], *args: object) -> str:
        """What a function gives, as JSON; `key` says all that it hangs on, `of` is what that goes by."""
        found = self._known.get(key)
        return found[1] if found else self._keep(key, of, json_shown(function(*args)))

    def _keep(self, key: object, of: object, text: str) -> str:
        if len(self._known) >= self.MOST:
            self._known.clear()
        self._known[key] = of, text
        return text

    def line(self, judgement: Judgement, judge: Judge) -> str:
        """The answer for a case that was judged, as JSON on one line."""
        rules = judge.rules
        plan = judge.methods.plan(judgement)
        named = dict.fromkeys((*judgement.cautions, *(name for step in plan for name in step.cautions)))
        said = {name: judge.caution_in_words(name, judgement) for name in named}
        reasons = {id(each): self._made(each, id(each), _reason, each, rules) for each in judgement.reasons}
        because = _because(judgement)
        parts = {
            "verdict": _scalar(str(judgement.verdict)),
            "ending": _scalar(judgement.ending or None),
            "method": _scalar(judgement.method or None),
            "also_allowed": _names(judgement.also_allowed),
            "restrictions": _names(judgement.restrictions),
            "settled": _scalar(judgement.settled),
            "could_end": _names(map(str, judgement.could_end)),
            "reasons": _list(reasons.values()),
            "injuries": _list([_injury(part, reasons) for part in judgement.injuries]),
            "missing": _names(labels_of(judgement.not_given, rules)),
            "measure_again": _names(labels_of(judgement.measure_again, rules)),
            "worked_out": self._worked_out(judgement, judge),
            "cautions": _list([self._caution(name, said[name], because.get(name, [])) for name in judgement.cautions]),
            "steps": _list([self._step(step, judgement, judge, said) for step in plan]),
            "rules": self._made(rules, id(rules), _rules, rules),
            "passed_over": "[]",
            "problems": "[]",
        }
        return _object(parts)

    def _caution(self, name: str, says: str, because: list[str]) -> str:
        return self._made(None, (name, says, *because), lambda: {"id": name, "says": says, "because": because})

    def _worked_out(self, judgement: Judgement, judge: Judge) -> str:
        tire, count = judgement.walk.tire, len(judgement.each_injury)
        slots = self._slots.get(count)
        if slots is None:
            slots = self._slots[count] = _slots(judge, count)
        found = list(slots.lacking)
        for facts in (tire, *[tire.part("injuries", index) for index in range(count)]):
            found += facts.each_made("worked out", slots.written[facts.over])
        return f"{{{', '.join(slots.in_order(found))}}}"

    def _step(self, planned: PlannedStep, judgement: Judgement, judge: Judge, said: Mapping[str, str]) -> str:
        step, figures = planned.step, "{}"
        if step.figures:
            facts = judgement.walk.tire.part("injuries", planned.injury or 0)
            how = "figures", step.id, planned.method.id, planned.injury is None, bool(judgement.each_injury)
            figures = facts.remembered(how, partial(_figures, planned, bool(judgement.each_injury), judge))
        cautions = tuple([(name, said[name]) for name in planned.cautions])
        key = id(step), planned.method.id, planned.injury, planned.says, figures, cautions, planned.held
        found = self._known.get(key)
        if found:
            return found[1]
        parts = {
            "id": _scalar(step.id),
            "method": _scalar(planned.method.id),
            "injury": _scalar(planned.injury),
            "says": _scalar(planned.says),
            "figures": figures,
            "standing": _scalar(step.basis.standing),
            "cautions": json_shown([{"id": name, "says": says} for name, says in cautions]),
            "held": _names(planned.held),
        }
        return self._keep(key, step, _object(parts))


_OF_JUDGES: WeakKeyDictionary[Judge, Pieces] = WeakKeyDictionary()


def line_of(judgement: Judgement, judge: Judge) -> str:
    """The answer for a case that was judged, as JSON on one line."""
    pieces = _OF_JUDGES.get(judge)
    if pieces is None:
        pieces = _OF_JUDGES[judge] = Pieces()
    return pieces.line(judgement, judge)


def answer_of(judgement: Judgement, judge: Judge) -> dict[str, Any]:
    """The answer for a case that was judged."""
    text = line_of(judgement, judge)
    try:
        found: dict[str, Any] = msgspec.json.decode(text)
    except msgspec.DecodeError:  # half of a sign that takes two
        from json import loads

        found = loads(text)
    return found


def _object(parts: Mapping[str, str]) -> str:
    each = [f'"{name}": {text}' for name, text in parts.items()]
    return f"{{{', '.join(each)}}}"


def _list(parts: Iterable[str]) -> str:
    return f"[{', '.join(parts)}]"


def _names(texts: Iterable[str]) -> str:
    return _list(map(_scalar, texts))


@lru_cache(maxsize=8192, typed=True)
def _scalar(data: str | float | bool | None) -> str:
    return json_shown(data)


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


def _injury(part: PartVerdict, reasons: Mapping[int, str]) -> str:
    return _object(
        {
            "verdict": _scalar(str(part.verdict)),
            "ending": _scalar(part.ending or None),
            "method": _scalar(part.method or None),
            "reasons": _list([reasons[id(reason)] for reason in part.reasons]),
        }
    )


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


def _slots(judge: Judge, injuries: int) -> Slots:
    """The worked-out values of the answer for a case with so many injuries."""
    each, values = range(injuries), judge.rules.values
    of_tire, of_injury = ([n for n, value in values.items() if value.over == over] for over in ("tire", "injuries"))
    labels = [*TIRE_VALUES, *(f"{name}[{index}]" for index in each for name in INJURY_VALUES)]
    for name, value in values.items():
        labels += [name] if value.over == "tire" else [f"{name}[{i}]" for i in each if value.over == "injuries"]
    there = [*of_tire, *(f"{name}[{index}]" for index in each for name in of_injury)]
    lacking = [label for label in dict.fromkeys(labels) if label not in there]
    at = {label: place for place, label in enumerate((*lacking, *there))}
    written = {
        over: [partial(_written_value, name, judge.units[name]) for name in names]
        for over, names in (("tire", of_tire), ("injuries", of_injury))
    }
    in_order = itemgetter(*[at[label] for label in dict.fromkeys(labels)])
    return Slots(tuple(_labelled(label, None, None) for label in lacking), written, in_order)


def _written_value(name: str, unit: str | None, facts: Facts) -> str:
    label = name if facts.index == TIRE else f"{name}[{facts.index}]"
    return _labelled(label, facts.get(name), unit)


@lru_cache(maxsize=8192)
def _labelled(label: str, value: Value | None, unit: str | None) -> str:
    return f"{json_shown(label)}: {json_shown(_value(value, unit))}"


def _figures(planned: PlannedStep, injured: bool, judge: Judge, facts: Facts) -> str:
    """The figures of a step as they stand in an answer; one that is done for the tire has those of the first injury."""
    for_limits = facts.part("tire", TIRE) if planned.injury is None else facts
    return json_shown({name: _figure(name, for_limits, facts, injured, judge) for name in planned.step.figures})


def _figure(name: str, for_limits: Facts, facts: Facts, injured: bool, judge: Judge) -> dict[str, Any]:
    limit = limit_named(name, for_limits, judge.rules)
    if name in judge.rules.tables and limit is None:
        return {**_value(None, None), "standing": None}
    if limit:
        basis = {"standing": limit.basis.standing, "source": list(limit.basis.sources), "clause": limit.basis.clause}
        return {**measure_in_json(limit.figures[0]), **basis}
    value = facts.get(name) if injured or judge.rules.over_of(name) == "tire" else None
    return {**_value(value, judge.units[name]), "standing": "derived"}
