"""The report as lines of text, not wrapped yet: a face wraps each and keeps its indent."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from advisor.work.record_model import ReasonLine, RecordPart, Report
from advisor.work.step_text import StepLine

#: Lines to write on.
LONG_LINE, SHORT_LINE = "______________________________", "______________"
BOX, DONE = "[ ]", "[x]"
TEAR_OFF = "- - - - - - - - - - - - - - - - - - - - - - - - - - - - tear off here"


def report_lines(report: Report) -> Iterator[str]:
    """The whole report, a line each; an empty line stands between its parts."""
    yield report.title.upper() + (f" - {report.day.isoformat()}" if report.day else "")
    if report.name:
        yield f"Case: {report.name}"
    yield from (f"NOTE: {mark}" for mark in report.marks)
    yield from ("", f"{report.sign}: {report.headline}")
    if not report.finished:
        yield "Not everything needed was answered; what is open is shown below."
    yield from _titled("Do now", _items(report.do_now))
    yield from _titled("Restrictions", _items(report.restrictions))
    for part in report.parts:
        yield from _titled(part.title, _rows(part))
    yield from _titled("Distances between repair units", _items(report.distances))
    yield from _titled("Drawings, in words", _items(f"{each.title}: {each.says}" for each in report.pictures))
    yield from _titled("Reasons", _reasons(report.reasons))
    yield from _titled(f"The work: {report.method}" if report.method else "The work", _steps(report.steps))
    yield from _titled("Notes during the work", _items(report.notes))
    yield from _titled("Cautions", _items(f"{hazard}: {says}" for hazard, says in report.cautions))
    yield from _titled("By these rules", _items(report.rules))
    yield from ("", f"Technician: {report.technician or LONG_LINE}", "")
    yield from (f"Signature: {LONG_LINE}   Date: {SHORT_LINE}", "")
    yield from _tear_off(report)


def _titled(title: str, lines: Iterable[str]) -> Iterator[str]:
    found = list(lines)
    if found:
        yield from ("", f"{title}:", *found)


def _items(texts: Iterable[str]) -> Iterator[str]:
    return (f"  - {text}" for text in texts)


def _rows(part: RecordPart) -> Iterator[str]:
    return (f"  {row.name}: {row.value}" for row in part.rows)


def _reasons(reasons: Iterable[ReasonLine]) -> Iterator[str]:
    for reason in reasons:
        yield f"  - {reason.verdict.upper()}: {reason.says}"
        yield f"    {reason.rests_on}"


def _steps(steps: Iterable[StepLine]) -> Iterator[str]:
    heading = ""
    for number, step in enumerate(steps, 1):
        if step.heading != heading:
            heading = step.heading
            yield f"  {heading}:"
        done = f" - {step.done}" if step.done else ""
        yield f"  {DONE if step.done else BOX} {number}. {step.says} ({step.standing}){done}"
        yield from (f"      HOLD: {hold}" for hold in step.holds)
        yield from (f"      {restriction}" for restriction in step.restrictions)
        yield from (f"      Figure: {figure}" for figure in step.figures)
        yield from (f"      Note: {note}" for note in step.notes)


def _tear_off(report: Report) -> Iterator[str]:
    driver = report.driver
    yield from (TEAR_OFF, "", "FOR THE DRIVER", f"{report.sign}: {report.headline}")
    yield from _titled("What was found", _items(driver.found))
    yield from _titled("Why", _items(driver.why))
    yield from _titled("What limits its use", _items(driver.limits))
    yield from _titled("What to do now", _items(driver.now))
    if driver.by:
        yield from ("", f"Where it stands: {driver.by}")
    yield from (f"NOTE: {mark}" for mark in report.marks)
    yield driver.last_word
