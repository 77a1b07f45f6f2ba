"""Records as rows of texts, one a consultation, for CSV and Parquet: columns named as in a batch."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator

from advisor.loading.answer_codec import cell_of
from advisor.loading.batch_rows import Cells
from advisor.model.rules import RuleSet
from advisor.record.csv_cells import ABOUT, PERSONAL, Answered, answered_columns, keys_in, left_out_cell
from advisor.record.history import Visit, decided_case
from advisor.record.reading import all_consultations


class Rows:
    """The records by one rule set. Reads the journal twice: first for the columns, then for the rows.

    `elsewhere` counts records by other rule sets, `not_asked` answers to questions that these rules don't ask: neither
    has a place in rows, and JSON lines hold both.
    """

    def __init__(self, db: sqlite3.Connection, rules: RuleSet, anonymous: bool = False) -> None:
        self.db, self.rules, self.anonymous = db, rules, anonymous
        self.elsewhere = self.not_asked = 0
        used = set()
        for summary in all_consultations(db):
            if summary.rules_id != rules.about.id:
                self.elsewhere += 1
                continue
            for key in keys_in(decided_case(db, summary).case):
                if key[1][0] in rules.questions:
                    used.add(key)
                else:
                    self.not_asked += 1
        self.columns = answered_columns(rules, used)

    @property
    def header(self) -> list[str]:
        """The names of the columns."""
        return [*ABOUT, *(column.name for column in self.columns)]

    def __iter__(self) -> Iterator[list[str]]:
        cells = Cells()
        for summary in all_consultations(self.db):
            if summary.rules_id == self.rules.about.id:
                visit = decided_case(self.db, summary)
                answers = (self._cell(visit, column, cells) for column in self.columns)
                yield [*self._about(visit), *answers]

    def _about(self, visit: Visit) -> list[str]:
        summary = visit.summary
        about = {name: str(getattr(summary, name, "")) for name in ABOUT}
        about |= {
            "consultation": summary.id,
            "rules": summary.rules_id,
            "method": str(visit.decided.get("method", "")),
            "today": visit.case.today.isoformat() if visit.case.today else "",
            "left-out": left_out_cell(visit.case),
        }
        if self.anonymous:
            about |= dict.fromkeys(PERSONAL, "")
        return [about[name] for name in ABOUT]

    @staticmethod
    def _cell(visit: Visit, column: Answered, cells: Cells) -> str:
        answer = visit.case.get(column.question.over, (column.question.id, column.index))
        return "" if answer is None else cell_of(answer, column.question, cells.answer)
