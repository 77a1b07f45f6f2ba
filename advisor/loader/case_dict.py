"""A case as plain data of the program that calls, read like a case file; a problem's place is the way to the value."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

import yaml

from advisor.loader.case_file import CaseText
from advisor.loader.reader import FileMark
from advisor.model.problems import Place, Problem

#: So deep a case never goes; data that holds itself ends here.
_DEEPEST = 6


def case_of_dict(data: Mapping[str, Any]) -> CaseText:
    """The case in a mapping as a case file has it: `answers` and `injuries`, with texts, lists, numbers, yes or no."""
    problems: list[Problem] = []
    node = _node(data, "case", problems)
    return CaseText("case", None if problems else node, tuple(problems))


def _node(value: Any, way: str, problems: list[Problem], depth: int = 0) -> yaml.Node:
    mark, below = FileMark(way, 0, 0), "" if way == "case" else f"{way}."
    if depth < _DEEPEST and isinstance(value, Mapping):
        pairs = [
            (_scalar(str(key), f"{below}{key}", style=None), _node(item, f"{below}{key}", problems, depth + 1))
            for key, item in value.items()
        ]
        return yaml.MappingNode("", pairs, mark, mark)
    if depth < _DEEPEST and isinstance(value, list | tuple):
        items = [_node(item, f"{way}[{place}]", problems, depth + 1) for place, item in enumerate(value)]
        return yaml.SequenceNode("", items, mark, mark)
    text = as_written(value)
    if text is None:
        expected = "a text, a number, yes or no, a date, a list or a mapping"
        problems.append(Problem("wrong-kind", Place(way), f"a value of the kind {type(value).__name__}", expected))
    return _scalar(text or "", way, style='"' if text else None)


def _scalar(text: str, way: str, style: str | None) -> yaml.ScalarNode:
    mark = FileMark(way, 0, 0)
    return yaml.ScalarNode("", text, mark, mark, style=style)


def as_written(value: Any) -> str | None:
    """A plain value as it is written in a case file; None where there is no way to write it."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(value) if isinstance(value, str | int | float | date) else None
