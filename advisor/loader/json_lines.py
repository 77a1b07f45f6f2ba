"""JSON lines read the quick way: a case as every line should be. Anything else is left to the careful reader."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import date
from typing import Any

from advisor.loader.case_constraints import impossible
from advisor.loader.case_rows import Cells, whole_case
from advisor.loader.reader import Diagnostics
from advisor.model.case import TIRE, Answer, Case, Choice
from advisor.model.ruleset import Question, RuleSet

_PLAIN = ("answers", "injuries", "today", "rules")


class _Careful(Exception):
    """The line is one for the careful reader."""


def quick_case(line: str, rules: RuleSet, cells: Cells, today: date, rules_name: str) -> Case | None:
    """The case in a line; None where the line has to be read with care (then nothing is said of it yet)."""
    try:
        data = json.loads(line, object_pairs_hook=_pairs, parse_int=str, parse_float=str, parse_constant=_refused)
        case = _case(data, rules, cells, today, rules_name)
    except (ValueError, RecursionError, _Careful):
        return None
    return None if impossible(case, rules) else case


def _pairs(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        raise _Careful
    return found


def _refused(word: str) -> Any:
    raise _Careful


def _case(data: Any, rules: RuleSet, cells: Cells, today: date, rules_name: str) -> Case:
    if not isinstance(data, dict) or not set(data) <= set(_PLAIN) or data.get("rules", rules_name) != rules_name:
        raise _Careful
    if "today" in data:
        today = _day(data["today"])
    answers = data.get("answers", {})
    injuries = data.get("injuries", [])
    if not isinstance(answers, dict) or not isinstance(injuries, list):
        raise _Careful
    notes = Diagnostics("")
    own = {name: value for name, value in answers.items() if name != "earlier-repairs"}
    tire = _answers(own, "tire", rules, cells, notes)
    repairs = answers.get("earlier-repairs")
    items: list[Any] = []
    if isinstance(repairs, list) and all(isinstance(item, dict) for item in repairs):
        items = repairs
        tire["earlier-repairs"] = Choice("yes" if items else "no")
    elif repairs is not None:
        raise _Careful
    parts = {
        "tire": {TIRE: tire},
        "earlier-repairs": _parts(items, "earlier-repairs", rules, cells, notes),
        "injuries": _parts(injuries, "injuries", rules, cells, notes),
    }
    if notes.problems:
        raise _Careful
    return whole_case(parts, today, rules)


def _parts(
    items: list[Any], over: str, rules: RuleSet, cells: Cells, notes: Diagnostics
) -> dict[int, dict[str, Answer]]:
    return {place: _answers(item, over, rules, cells, notes) for place, item in enumerate(items)}


def _answers(items: Any, over: str, rules: RuleSet, cells: Cells, notes: Diagnostics) -> dict[str, Answer]:
    if not isinstance(items, Mapping):
        raise _Careful
    found = {}
    for key, value in items.items():
        question = cells.question(rules, over, key)
        if question is None:
            raise _Careful
        answer = cells.answer(question, _text(value, question), notes)
        if answer is None:
            raise _Careful
        found[question.id] = answer
    return found


def _text(value: Any, question: Question) -> str:
    """A value as a cell of a batch; only texts, and lists of texts where several can be given."""
    if isinstance(value, str) and value.strip() and (question.kind not in ("choices", "readings") or ";" not in value):
        return value
    several = question.kind in ("choices", "readings") and isinstance(value, list) and value
    if several and all(isinstance(item, str) and item.strip() and ";" not in item for item in value):
        if any(item.startswith(("no ", "the ")) or item == "cant-tell" for item in value):
            raise _Careful
        return "; ".join(value)
    raise _Careful


def _day(value: Any) -> date:
    if isinstance(value, str) and len(value) == len("2026-03-14"):
        return date.fromisoformat(value)
    raise _Careful
