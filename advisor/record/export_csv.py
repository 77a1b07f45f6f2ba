"""Records as CSV: a row a consultation, answers in columns named as in a batch, no cell that starts a formula."""

from __future__ import annotations

import csv
import io
import sqlite3
from collections.abc import Iterator

from advisor.loading.batch_rows import Cells, guarded
from advisor.model.rules import RuleSet
from advisor.record.csv_cells import ABOUT, PERSONAL, answered_columns, cell_of, keys_in, left_out_cell
from advisor.record.history import visit_of
from advisor.record.reading import all_consultations


def csv_lines(db: sqlite3.Connection, rules: RuleSet, anonymous: bool = False) -> Iterator[str]:
    """The records of a rule set's questions, row by row. Reads the journal twice: first for the columns."""
    used = {key for summary in all_consultations(db) for key in keys_in(visit_of(db, summary).case)}
    columns = answered_columns(rules, used)
    buffer = io.StringIO()
    writer = csv.writer(buffer, lineterminator="\r\n")
    cells = Cells()
    writer.writerow([*ABOUT, *(column.name for column in columns)])
    yield _taken(buffer)
    for summary in all_consultations(db):
        visit = visit_of(db, summary)
        about = {name: getattr(summary, name, "") for name in ABOUT}
        about |= {
            "consultation": summary.id,
            "rules": summary.rules_id,
            "method": str(visit.decided.get("method", "")),
            "today": visit.case.today.isoformat() if visit.case.today else "",
            "left-out": left_out_cell(visit.case),
        }
        if anonymous:
            about |= dict.fromkeys(PERSONAL, "")
        row = [about[name] for name in ABOUT]
        for column in columns:
            key = (column.question.id, column.index)
            answer = visit.case.get(column.question.over, key)
            row.append("" if answer is None else cell_of(answer, column.question, cells))
        writer.writerow([guarded(cell) for cell in row])
        yield _taken(buffer)


def _taken(buffer: io.StringIO) -> str:
    text = buffer.getvalue()
    buffer.seek(0)
    buffer.truncate()
    return text
