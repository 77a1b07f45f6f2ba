"""Reads cases from a table: a CSV with the columns `base` and `changes`, and base_cases.json beside it.

`changes` is a JSON object of dotted keys into the base case, as `{"injuries[0].injury-size": "6 mm"}`; null takes one
out, and a list may grow by one. Columns `verdict`, `method` and `restrictions` say how it ends,
`source` and `clause` what has it so.
"""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import yaml

from advisor.loader.case_file import CaseText
from advisor.loader.yaml_nodes import read_text
from advisor.model.problems import Place, Problem, Problems, shown

BASES = "base_cases.json"
#: The columns that say how a case ends; in a cell, `;` stands between two.
_ENDS = ("verdict", "ending", "method", "restrictions")
_SOURCE = ("source", "clause")


def table_cases(path: Path, label: str = "") -> Iterator[CaseText]:
    """The cases of a table, each at its row; one that is none comes with its problem. Raises Problems without a base.

    Columns are counted in cells.
    """
    label = label or str(path)
    bases = _json(read_text(path.parent / BASES, BASES), Place(BASES))
    written = {name: json.dumps(base) for name, base in bases.items()} if isinstance(bases, dict) else {}
    reader = csv.DictReader(io.StringIO(read_text(path, label)))
    for row in reader:
        place = Place(label, reader.line_num)
        try:
            case = json.loads(written[row["base"]])
            for dotted, value in _json(row["changes"], place).items():
                _set(case, dotted, value)
            yield _at_row(case, row, place)
        except (KeyError, IndexError, TypeError, AttributeError) as error:
            found = f"a row that makes no case: {shown(str(error))}"
            bad = Problem("bad-row", place, found, f"a base of {BASES} and changes to it")
            yield CaseText(label, None, (bad,))
        except Problems as error:
            yield CaseText(label, None, error.problems)


def _at_row(case: Any, row: Mapping[str, str], place: Place) -> CaseText:
    """The case with how it ends, its places those of the row's cells."""
    columns = list(row)
    node = _node(case, _mark(columns.index("changes")))
    if isinstance(node, yaml.MappingNode):
        given = [name for name in _ENDS if row.get(name) is not None] if row.get("verdict") else []
        pairs = [(_scalar(name, mark), _cell(name, row[name], mark))
                 for name in given for mark in [_mark(columns.index(name))]]  # fmt: skip
        if pairs:
            mark = pairs[0][0].start_mark
            node.value.append((_scalar("ends", mark), yaml.MappingNode("", pairs, mark, mark)))
        source = [name for name in _SOURCE if row.get(name)]
        if source:
            mark = _mark(columns.index(source[0]))
            node.value.append((_scalar("says", mark), _scalar(", ".join(row[name] for name in source), mark)))
    return CaseText(place.file, node, first_line=place.line - 1)


def _mark(column: int) -> yaml.Mark:
    return yaml.Mark("", 0, 0, column, "", 0)


def _scalar(text: str, mark: yaml.Mark, style: str | None = None) -> yaml.ScalarNode:
    return yaml.ScalarNode("", text, mark, mark, style)


def _cell(name: str, text: str, mark: yaml.Mark) -> yaml.Node:
    if name != "restrictions":
        return _scalar(text, mark)
    return yaml.SequenceNode("", [_scalar(each, mark) for each in text.split(";") if each], mark, mark)


def _node(value: Any, mark: yaml.Mark) -> yaml.Node:
    """JSON as the nodes that reading it as a case file gives, all at one place."""
    if isinstance(value, dict):
        pairs = [(_scalar(key, mark, '"'), _node(item, mark)) for key, item in value.items()]
        return yaml.MappingNode("", pairs, mark, mark)
    if isinstance(value, list):
        return yaml.SequenceNode("", [_node(item, mark) for item in value], mark, mark)
    return _scalar(value, mark, '"') if isinstance(value, str) else _scalar(json.dumps(value), mark)


def _json(text: str, place: Place) -> Any:
    try:
        return json.loads(text)
    except ValueError as error:
        raise Problems([Problem("not-json", place, shown(str(error)), "JSON")]) from None


def _set(case: Any, dotted: str, value: Any) -> None:
    *way, last = [int(name) if name.isdigit() else name for name in re.findall(r"[^.\[\]]+", dotted)]
    for name in way:
        case = case[name]
    if isinstance(case, list) and last == len(case):
        case.append(value)
    elif value is None:
        del case[last]
    else:
        case[last] = value
