"""A case as plain data for JSON and back, exact; its answers as the codec writes them."""

from __future__ import annotations

from datetime import date
from typing import Any

from advisor.loader.answer_codec import MOST_ITEMS, MOST_LEFT_OUT, bad_data, list_in, mapping_in, read, text_in, write
from advisor.model.case import Answer, Answers, Case, Key


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
    return {name: write(answers[name]) for name in sorted(answers)}


def case_from(data: Any) -> Case:
    """The case in plain data. Raises Misread for anything that `case_data` does not give."""
    if frozenset(mapping_in(data, "a case")) != {"today", "answers", "repairs", "injuries", "skipped"}:
        raise bad_data(data, "a case with today, answers, repairs, injuries and skipped")
    return Case(
        answers=_answers(data["answers"]),
        repairs=tuple(_answers(item) for item in list_in(data["repairs"], "repairs")),
        injuries=tuple(_answers(item) for item in list_in(data["injuries"], "injuries")),
        today=day_from(data["today"]),
        skipped=frozenset(key_from(item) for item in list_in(data["skipped"], "skipped", MOST_LEFT_OUT)),
    )


def day_from(data: Any) -> date | None:
    """A day written as 2026-03-14, or None. Raises Misread."""
    if data is None:
        return None
    try:
        if len(text_in(data)) == len("2026-03-14"):
            return date.fromisoformat(data)
    except ValueError:
        pass
    raise bad_data(data, "a date such as 2026-03-14")


def key_data(key: Key) -> list[Any]:
    """An answer's address as plain data."""
    return [key[0], key[1]]


def key_from(data: Any) -> Key:
    """An answer's address in plain data. Raises Misread."""
    if isinstance(data, list) and len(data) == 2 and type(data[1]) is int and -1 <= data[1] < MOST_ITEMS:
        return text_in(data[0]), data[1]
    raise bad_data(data, "a question's id and a number")


def _answers(data: Any) -> dict[str, Answer]:
    return {text_in(name): read(value) for name, value in mapping_in(data, "answers").items()}
