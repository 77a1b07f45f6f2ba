"""What is known of a case, less and more: answers taken out, said to be unknown, widened, given after all."""

from __future__ import annotations

import copy
import re
from collections.abc import Iterator
from typing import Any

from hypothesis import strategies as st

from advisor.engine.evaluator import label_of
from advisor.engine.judgement_types import Judgement
from advisor.model.ruleset import Verdict
from tests.laws.cases import CANT_TELL, PRINTS, answers_to, questions_over
from tests.laws.support import CaseData, judged, rules

#: An answer's place in a case file: the lists and keys that lead to it.
Path = tuple[Any, ...]

#: Never needed for a verdict by the case file's contract, so taking one out may lift what it brought to light.
NOT_NEEDED = frozenset({
    "sidewall", "tread-width", "casing-thickness", "dot-code", "shop-temperature", "humidity",
    "lean", "injury-length", "kind", "clock", "offset", "unit-length", "unit-width",
    "own-diameter", "pair-diameter", "own-girth", "pair-girth", "run-low-inside",
    "in-commerce", "rated-weight", "regroove-mark", "urban-service", "next-stop", "other-kind", "inside-grooves",
})  # fmt: skip
MOST_ROUNDS = 40
#: How many names lead to an answer of the tire itself: `answers` and its key.
IN_ANSWERS = 2


def answered_paths(case: CaseData) -> Iterator[Path]:
    """The place of every answer in a case file."""
    answers = case.get("answers", {})
    for key in answers:
        yield ("answers", key)
    if isinstance(answers.get("earlier-repairs"), list):
        for index, repair in enumerate(answers["earlier-repairs"]):
            yield from (("answers", "earlier-repairs", index, key) for key in repair)
    for index, injury in enumerate(case.get("injuries", [])):
        yield from (("injuries", index, key) for key in injury)


def at(case: CaseData, path: Path) -> Any:
    """The answer at a place."""
    holder: Any = case
    for name in path:
        holder = holder[name]
    return holder


def put(case: CaseData, path: Path, value: Any) -> CaseData:
    """The case with another answer at a place; None takes it out."""
    case = copy.deepcopy(case)
    holder = at(case, path[:-1])
    if value is None:
        del holder[path[-1]]
    else:
        holder[path[-1]] = value
    return case


def let_off(known: Verdict, unknown: Verdict) -> bool:
    """Whether not knowing gives a better verdict than the better of hold and the one that knowing gives."""
    return unknown < min(Verdict.HOLD, known)


def path_of(label: str, case: CaseData) -> Path:
    """The place in a case file that a label of the JSON answer names: `injury-size[0]`, `earlier-repairs[0].clock`."""
    repair = re.fullmatch(r"earlier-repairs\[(\d+)\]\.(.+)", label)
    if repair:
        return ("answers", "earlier-repairs", int(repair[1]), repair[2])
    injury = re.fullmatch(r"(.+)\[(\d+)\]", label)
    if injury:
        return ("injuries", int(injury[2]), injury[1])
    return ("answers", label)


def question_at(path: Path) -> Any:
    """The question that a place in a case file answers."""
    over = "injuries" if path[0] == "injuries" else "earlier-repairs" if len(path) > IN_ANSWERS else "tire"
    return questions_over(over)[path[-1]]


def _with_place(case: CaseData, path: Path) -> CaseData:
    """The case with room for an answer at a place."""
    case = copy.deepcopy(case)
    case.setdefault("answers", {})
    if path[0] == "injuries":
        case.setdefault("injuries", [])
        while len(case["injuries"]) <= path[1]:
            case["injuries"].append({})
    return case


def still_open(judgement: Judgement) -> list[str]:
    """The labels of what is missing, and of what is in doubt and decides."""
    keys = dict.fromkeys((*judgement.missing, *judgement.measure_again))
    return [label_of(key, rules()) for key in keys]


def completed(draw: st.DrawFn, case: CaseData) -> CaseData:
    """The case with everything answered that was missing, and told for sure where doubt decides."""
    for _ in range(MOST_ROUNDS):
        labels = [label for label in still_open(judged(case)) if not label.startswith("more-")]
        paths = [path for path in (path_of(label, case) for label in labels) if _open_at(case, path)]
        if not paths:
            return case
        for path in paths:
            case = _with_place(case, path)
            if path[0] == "answers" and len(path) > IN_ANSWERS and not case["answers"].get("earlier-repairs"):
                case["answers"]["earlier-repairs"] = [{}]
            case = put(case, path, _sure(draw, case, path))
    return case


def _open_at(case: CaseData, path: Path) -> bool:
    """Whether nothing certain was said at a place."""
    try:
        given = at(case, path)
    except (KeyError, IndexError, TypeError):
        return True
    if isinstance(given, dict) or (isinstance(given, list) and CANT_TELL in given):
        return True
    return given == CANT_TELL


def _sure(draw: st.DrawFn, case: CaseData, path: Path) -> Any:
    """A certain answer that does not take back what was said."""
    try:
        given = at(case, path)
    except (KeyError, IndexError, TypeError):
        given = None
    question = question_at(path)
    if question.id == "sidewall":
        return PRINTS.get(case["answers"].get("tire-class", ""), "words that say nothing")
    if question.kind != "choices":
        return draw(answers_to(question, cant_tell=False))
    found, absent = _so_far(given)
    rest = [choice.id for choice in question.choices if choice.id not in (*found, *absent)]
    more = draw(st.lists(st.sampled_from(rest), unique=True, max_size=1)) if rest else []
    return [*found, *more] or ["none"]


def _so_far(given: Any) -> tuple[list[str], list[str]]:
    if isinstance(given, dict):
        return list(given.get("present", [])), list(given.get("absent", []))
    return [name for name in given if name not in (CANT_TELL, "none")] if isinstance(given, list) else [], []
