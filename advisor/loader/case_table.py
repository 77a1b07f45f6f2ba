"""Reads cases from a table: a CSV with the columns `base` and `changes`, and base_cases.json beside it.

`changes` is a JSON object of dotted keys into the base case, as `{"injuries[0].injury-size": "6 mm"}`; null takes one
out, and a list may grow by one.
"""

from __future__ import annotations

import copy
import csv
import io
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from advisor.loader.case_file import CaseText, split_cases
from advisor.loader.yaml_nodes import read_text
from advisor.model.problems import Place, Problem, Problems, shown

BASES = "base_cases.json"


def table_cases(path: Path) -> Iterator[CaseText]:
    """The cases of a table, each as if it stood in a file of its own. Raises Problems for a row that is none."""
    bases = _json(read_text(path.parent / BASES, BASES), Place(BASES))
    for line, row in enumerate(csv.DictReader(io.StringIO(read_text(path, str(path)))), 2):
        place = Place(str(path), line)
        try:
            case = copy.deepcopy(bases[row["base"]])
            for dotted, value in _json(row["changes"], place).items():
                _set(case, dotted, value)
        except (KeyError, IndexError, TypeError, AttributeError) as error:
            found = f"a row that makes no case: {shown(str(error))}"
            raise Problems([Problem("bad-row", place, found, f"a base of {BASES} and changes to it")]) from None
        yield from split_cases(json.dumps(case), f"{path}:{line}")


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
