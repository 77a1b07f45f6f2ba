"""Reads the table of boundary cases, and refuses rows that do not say where they come from."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import dataclass
from typing import Any

from advisor.loader.paths import trees_folder
from advisor.model.ruleset import STANDINGS
from tests.laws.support import TIRES, CaseData, base, changed

TABLE = trees_folder() / "us-road" / "cases" / "boundary_cases.csv"
COLUMNS = [
    "case",
    "about",
    "base",
    "changes",
    "verdict",
    "method",
    "restrictions",
    "cautions",
    "source",
    "clause",
    "standing",
    "why",
]
VERDICTS = ("repair", "refer", "hold", "scrap")
#: Standings whose rows name the place in the text; the others have no text to point into.
NEED_CLAUSE = frozenset({"published"})


class BadRow(ValueError):
    """A row of the table that does not say enough to be believed."""


@dataclass(frozen=True)
class Row:
    """One boundary case: what is changed in a base case, what must come out, and who says so."""

    case: str
    about: str
    base: str
    changes: dict[str, Any]
    verdict: str
    method: str
    restrictions: frozenset[str]
    cautions: frozenset[str]
    source: str
    clause: str
    standing: str
    why: str

    @property
    def data(self) -> CaseData:
        """The case as a case file would hold it."""
        return changed(base(self.base), self.changes)


def rows_of(text: str) -> list[Row]:
    """The rows of a table's text. Raises BadRow for a row that is not whole."""
    reader = csv.DictReader(io.StringIO(text))
    if reader.fieldnames != COLUMNS:
        raise BadRow(f"columns {reader.fieldnames}; expected {COLUMNS}")
    rows = [_row(number, cells) for number, cells in enumerate(reader, 2)]
    names = [row.case for row in rows]
    for name in set(names):
        if names.count(name) > 1:
            raise BadRow(f"the case {name} stands twice")
    return rows


def _row(line: int, cells: dict[str, str]) -> Row:
    for column in ("case", "about", "base", "changes", "verdict", "source", "standing", "why"):
        if not (cells[column] or "").strip():
            raise BadRow(f"line {line}: nothing under {column}")
    for column, known in (("standing", STANDINGS), ("verdict", VERDICTS), ("base", tuple(TIRES))):
        if cells[column] not in known:
            raise BadRow(f"line {line}: {cells[column]} under {column}; expected one of {', '.join(known)}")
    if cells["standing"] in NEED_CLAUSE and not cells["clause"].strip():
        raise BadRow(f"line {line}: published, and no clause")
    return Row(
        cells["case"],
        cells["about"],
        cells["base"],
        json.loads(cells["changes"]),
        cells["verdict"],
        cells["method"],
        _names(cells["restrictions"]),
        _names(cells["cautions"]),
        cells["source"],
        cells["clause"],
        cells["standing"],
        cells["why"],
    )


def _names(cell: str) -> frozenset[str]:
    return frozenset(name for name in cell.split(";") if name)


def boundary_rows() -> list[Row]:
    """Every row of the table."""
    return rows_of(TABLE.read_text(encoding="utf-8"))
