"""Recorded consultations as plain lines: a list, and a casing's history with all places in one drawing."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from advisor.console.printers import drawing_lines
from advisor.console.verdict_lines import wrapped
from advisor.engine.evaluator import Judge
from advisor.journal.casing_history import CasingVisit, details_of, overview, visits_put_together
from advisor.journal.queries import STATES, Summary, local_minute
from advisor.model.problems import shown
from advisor.wording.blocks import Block, blocks_of


def list_lines(found: Sequence[Summary], most: int, tire_of: Callable[[str], str]) -> Iterator[str]:
    """One line a consultation: id, local time, verdict, tire with position and injury, casing, technician, plate."""
    rows = [_row(each, tire_of(each.id)) for each in found]
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))] if rows else []
    for row in rows:
        cells = (cell.ljust(width) for cell, width in zip(row, widths, strict=True) if width)
        yield "  ".join(cells).rstrip()
    if len(found) >= most:
        yield f"The latest {most} are shown; more words narrow it down."


def _row(each: Summary, tire: str) -> tuple[str, ...]:
    verdict = each.verdict or STATES.get(each.state, each.state)
    words = (shown(word, 40) for word in (each.casing, each.technician, each.plate))
    return (each.id, local_minute(each.decided or each.begun), verdict, shown(tire, 80), *words)


def history_page(casing: str, visits: list[CasingVisit], others: Sequence[Summary], judge: Judge) -> Iterator[str]:
    """A casing's history on one page: a line each time, all places in one drawing, then all that is recorded."""
    yield from _laid_out(overview(casing, visits))
    if others:
        names = ", ".join(each.id for each in others[:5])
        more = " and more" if len(others) > 5 else ""
        yield from wrapped(f"Without a name, and with the same code, so it may be this casing: {names}{more}.")
    case, labels = visits_put_together(visits, judge)
    drawn = drawing_lines(judge.judge(case), judge)
    if drawn:
        yield ""
        yield "All places together:"
        yield from drawn
        yield from (f"  {label}" for label in labels)
    for visit in details_of(visits, judge):
        yield ""
        yield from _laid_out(visit)


def _laid_out(block: Block, indent: str = "") -> Iterator[str]:
    """A block, and what belongs to it set in by two more at each depth."""
    yield from wrapped(block.said, indent, "    ")
    for detail in blocks_of(block.details):
        yield from _laid_out(detail, f"{indent}  ")
