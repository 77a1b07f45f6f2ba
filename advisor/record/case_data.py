"""A case as plain data for JSON and back, exact: figures as fractions, what was typed, what was left out."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from fractions import Fraction
from functools import lru_cache
from typing import Any

from advisor.errors import Misread, shown
from advisor.model.case import CANT_TELL, Answer, Answers, Case, Choice, Choices, Key, Readings, Text
from advisor.units import UNITS, Measure

CANT_TELL_WORD = "cant-tell"
LONGEST_TEXT = 2000
MOST_ITEMS = 200
_FRACTION = re.compile(r"-?[0-9]{1,40}(?:/[0-9]{1,40})?")


def answer_data(answer: Answer) -> Any:
    """An answer as plain data."""
    if answer is CANT_TELL:
        return CANT_TELL_WORD
    if isinstance(answer, Choice):
        return {"choice": answer.id}
    if isinstance(answer, Choices):
        absent = None if answer.absent is None else sorted(answer.absent)
        return {"present": sorted(answer.present), "absent": absent}
    if isinstance(answer, Readings):
        return {"readings": [_measure_data(reading) for reading in answer.readings]}
    if isinstance(answer, Measure):
        return _measure_data(answer)
    return {"text": str(answer)}


def _measure_data(measure: Measure) -> dict[str, str]:
    data = {"low": str(measure.low), "unit": measure.unit}
    if not measure.exact:
        data["high"] = str(measure.high)
    if measure.typed:
        data["typed"] = measure.typed
    return data


def answer_from(data: Any) -> Answer:
    """The answer in plain data. Raises Misread for anything that `answer_data` does not give."""
    if data == CANT_TELL_WORD:
        return CANT_TELL
    keys = frozenset(_mapping(data, "an answer"))
    if keys == {"choice"}:
        return Choice(_text(data["choice"]))
    if keys == {"text"}:
        return Text(_text(data["text"]))
    if keys == {"present", "absent"}:
        absent = data["absent"]
        return Choices(_names(data["present"]), None if absent is None else _names(absent))
    if keys == {"readings"}:
        return Readings(tuple(_measure(item) for item in _list(data["readings"], "readings")))
    return _measure(data)


def _measure(data: Any) -> Measure:
    keys = frozenset(_mapping(data, "a measure"))
    if not {"low", "unit"} <= keys <= {"low", "high", "unit", "typed"}:
        raise _bad(data, "a measure with low, unit, and high and typed where needed")
    low = _fraction(data["low"])
    high = _fraction(data.get("high", data["low"]))
    unit = _text(data["unit"])
    if unit not in UNITS or low > high:
        raise _bad(data, "a known unit, and low not above high")
    return Measure(low, high, unit, _text(data.get("typed", "")))


def _fraction(data: Any) -> Fraction:
    found = _read_fraction(data) if isinstance(data, str) else None
    if found is None:
        raise _bad(data, "a figure such as 8 or 5/2")
    return found


@lru_cache(maxsize=10_000)
def _read_fraction(text: str) -> Fraction | None:
    """A figure as it was written; the same ones come again and again."""
    try:
        return Fraction(text) if _FRACTION.fullmatch(text) else None
    except ZeroDivisionError:
        return None


def case_data(case: Case) -> dict[str, Any]:
    """A case as plain data, the same for the same case whatever order it was answered in."""
    return {
        "today": case.today.isoformat() if case.today else None,
        "answers": _answers_data(case.answers),
        "repairs": [_answers_data(item) for item in case.repairs],
        "injuries": [_answers_data(item) for item in case.injuries],
        "skipped": [[name, index] for name, index in sorted(case.skipped)],
    }


def _answers_data(answers: Answers) -> dict[str, Any]:
    return {name: answer_data(answers[name]) for name in sorted(answers)}


def case_from(data: Any) -> Case:
    """The case in plain data. Raises Misread for anything that `case_data` does not give."""
    if frozenset(_mapping(data, "a case")) != {"today", "answers", "repairs", "injuries", "skipped"}:
        raise _bad(data, "a case with today, answers, repairs, injuries and skipped")
    return Case(
        answers=_answers(data["answers"]),
        repairs=tuple(_answers(item) for item in _list(data["repairs"], "repairs")),
        injuries=tuple(_answers(item) for item in _list(data["injuries"], "injuries")),
        today=day_from(data["today"]),
        skipped=frozenset(key_from(item) for item in _list(data["skipped"], "skipped")),
    )


def day_from(data: Any) -> date | None:
    """A day written as 2026-03-14, or None. Raises Misread."""
    if data is None:
        return None
    try:
        if len(_text(data)) == len("2026-03-14"):
            return date.fromisoformat(data)
    except ValueError:
        pass
    raise _bad(data, "a date such as 2026-03-14")


def key_data(key: Key) -> list[Any]:
    """An answer's address as plain data."""
    return [key[0], key[1]]


def key_from(data: Any) -> Key:
    """An answer's address in plain data. Raises Misread."""
    if isinstance(data, list) and len(data) == 2 and type(data[1]) is int and -1 <= data[1] < MOST_ITEMS:
        return _text(data[0]), data[1]
    raise _bad(data, "a question's id and a number")


def _answers(data: Any) -> dict[str, Answer]:
    return {_text(name): answer_from(value) for name, value in _mapping(data, "answers").items()}


def _names(data: Any) -> frozenset[str]:
    return frozenset(_text(name) for name in _list(data, "names"))


def _text(data: Any) -> str:
    if isinstance(data, str) and len(data) <= LONGEST_TEXT:
        return data
    raise _bad(data, f"a text of at most {LONGEST_TEXT} characters")


def _list(data: Any, what: str) -> list[Any]:
    if isinstance(data, list) and len(data) <= MOST_ITEMS:
        return data
    raise _bad(data, f"{what} as a list of at most {MOST_ITEMS}")


def _mapping(data: Any, what: str) -> Mapping[str, Any]:
    if isinstance(data, dict) and len(data) <= MOST_ITEMS:
        return data
    raise _bad(data, f"{what} as keys and values")


def _bad(data: Any, expected: str) -> Misread:
    return Misread(shown(repr(data)[:80], 60), expected, "correct it")
