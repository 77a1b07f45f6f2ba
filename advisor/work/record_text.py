"""The report in blocks; a face lays them out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from advisor.wording.blocks import Block, Said
from advisor.work.record_model import ReasonLine, RecordPart, RepairRecord, Report
from advisor.work.step_text import StepLine

#: Lines to write on.
LONG_LINE, SHORT_LINE = "______________________________", "______________"
BOX, DONE = "[ ]", "[x]"
TEAR_OFF = "- - - - - - - - - - - - - - - - - - - - - - - - - - - - tear off here"


def report_blocks(report: Report) -> Iterator[Said]:
    """The whole report: the first page, then all that it rests on; an empty text stands between its parts."""
    yield from first_page_blocks(report)
    yield from ("", "ANNEX: ALL ANSWERS, REASONS AND STEPS")
    for part in report.parts:
        yield from _titled(part.title, _rows(part))
    yield from _titled("Distances between repair units", _items(report.distances))
    yield from _titled("Drawings, in words", _items(f"{each.title}: {each.says}" for each in report.pictures))
    yield from _titled("Reasons", _reasons(report.reasons))
    yield from _titled(f"The work: {report.method}" if report.method else "The work", _steps(report.steps))
    yield from _titled("Notes during the work", _items(report.notes))
    yield from _titled("Cautions", _items(f"{hazard}: {says}" for hazard, says in report.cautions))
    if report.record:
        yield from _titled(report.record.title, _record(report.record))


def first_page_blocks(report: Report) -> Iterator[Said]:
    """What stands on the first page, with the driver's part to tear off."""
    page = report.page
    yield report.title.upper() + (f" - {report.day.isoformat()}" if report.day else "")
    if report.name:
        yield f"Case: {report.name}"
    yield from (f"NOTE: {mark}" for mark in report.marks)
    yield from ("", f"{report.sign}: {report.headline}")
    if not report.finished:
        yield "Not everything needed was answered; what is open is shown below."
    yield from _titled("Restrictions", _items(report.restrictions))
    yield from _titled("Why, and by which rule", (Block(why.says, (why.rests_on,), "item") for why in page.why))
    yield from _titled("What could still be done", _items(page.still))
    yield from _titled(report.tire_title, (f"{row.name}: {row.value}" for row in page.tire))
    for injury in page.injuries:
        yield from _titled(injury.title, (f"{row.name}: {row.value}" for row in injury.rows))
    if page.stages:
        done = (f"{stage.heading}: {stage.when}" for stage in page.stages)
        notes = (Block(note, role="item") for stage in page.stages for note in stage.notes)
        open_ = [f"Not done, or not all of it: {', '.join(page.not_done)}"] if page.not_done else []
        title = ", ".join(filter(None, (report.method, page.progress)))
        yield from _titled(f"The work: {title}" if title else "The work", (*done, *open_, *notes))
    yield from _titled("Found at the work", _items(page.found))
    yield from _titled("Written down at the work", (f"{row.name}: {row.value}" for row in page.readings))
    yield from _titled("By these rules", _items(report.rules))
    yield from _record_mark(report)
    yield from ("", f"Technician: {report.technician or LONG_LINE}", "")
    yield from (f"Signature: {LONG_LINE}   Date: {SHORT_LINE}", "")
    yield from _tear_off(report)


def _record_mark(report: Report) -> Iterator[str]:
    if report.kept_as:
        yield from ("", f"Record {report.kept_as}, hash {report.hash}" if report.hash else f"Record {report.kept_as}")


def _titled(title: str, said: Iterable[Said]) -> Iterator[Said]:
    if found := tuple(said):
        yield from ("", Block(f"{title}:", found))


def _items(texts: Iterable[str]) -> Iterator[Block]:
    return (Block(text, role="item") for text in texts)


def _rows(part: RecordPart) -> Iterator[str]:
    return (f"{row.name}: {row.value}" for row in part.rows)


def _record(record: RepairRecord) -> Iterator[Said]:
    yield from (f"{row.name}: {row.value or SHORT_LINE}" for row in record.rows)
    yield from _items(record.keep)
    yield record.rests_on


def _reasons(reasons: Iterable[ReasonLine]) -> Iterator[Block]:
    return (Block(f"{reason.verdict.upper()}: {reason.says}", (reason.rests_on,), "item") for reason in reasons)


def _steps(steps: Iterable[StepLine]) -> Iterator[Said]:
    heading = ""
    for step in steps:
        if step.heading != heading:
            heading = step.heading
            yield f"{heading}:"
        done = f" - {step.done}" if step.done else ""
        details = (
            *(f"HOLD: {hold}" for hold in step.holds),
            *step.restrictions,
            *(f"Figure: {figure}" for figure in step.figures),
            *(f"Note: {note}" for note in step.notes),
        )
        number = f"{step.number}. " if step.number else ""
        yield Block(f"{DONE if step.done else BOX} {number}{step.says} ({step.standing}){done}", details, "step")


def _tear_off(report: Report) -> Iterator[Said]:
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
