"""Records as CSV: a row a consultation, answers in columns named as in a batch, no cell that starts a formula."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator

from advisor.loading.batch_rows import guarded
from advisor.record.export_rows import Rows


def csv_lines(rows: Rows) -> Iterator[str]:
    """The rows as lines of CSV, the columns' names first."""
    buffer = io.StringIO()
    writer = csv.writer(buffer, lineterminator="\r\n")
    writer.writerow(rows.header)
    yield _taken(buffer)
    for row in rows:
        writer.writerow([guarded(cell) for cell in row])
        yield _taken(buffer)


def _taken(buffer: io.StringIO) -> str:
    text = buffer.getvalue()
    buffer.seek(0)
    buffer.truncate()
    return text
