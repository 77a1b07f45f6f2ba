"""The report as plain text of at most 78 columns."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.plain.verdict_lines import wrapped
from advisor.talk.work_print import report_lines
from advisor.talk.work_report import Report


def text_lines(report: Report) -> list[str]:
    """The report's lines, wrapped, with no control codes."""
    return list(_wrapped(report))


def _wrapped(report: Report) -> Iterator[str]:
    for line in report_lines(report):
        text = line.lstrip(" ")
        indent = line[: len(line) - len(text)]
        hanging = indent + ("  " if text.startswith("- ") else "    " if indent else "")
        yield from wrapped(text, indent, hanging) if text else ("",)
