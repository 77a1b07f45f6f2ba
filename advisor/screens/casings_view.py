"""What the screen of casings shows, as lines and paragraphs: the list found, and one casing's page. Knows no widget."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rich.cells import cell_len, set_cell_size

from advisor.engine.judge import Judge
from advisor.errors import shown
from advisor.record.history import Visit, detail_lines, overview_lines, put_together, same_code, visit_of, visits_of
from advisor.record.reading import STATES, Summary
from advisor.record.store import Connection
from advisor.screens.lines import AS_IT_IS, BLANK, Line, Para
from advisor.talk.drawings import left_out_lines, places_together, terminal_lines

#: Columns of the list with their widths; what is left over goes to the last one.
COLUMNS = (("day", 10), ("verdict", 12), ("casing", 18), ("technician", 14), ("plate", 10), ("record", 17))
_GAP = "  "
WIDEST_DRAWING = 100


def heading(width: int) -> str:
    """The names of the columns."""
    return set_cell_size(_GAP.join(set_cell_size(name, room) for name, room in _columns(width)), width)


def list_rows(found: Sequence[Summary], at: int, width: int) -> list[Line]:
    """A line each; the one at which the arrows stand is marked by a sign as well."""
    rows = []
    for place, each in enumerate(found):
        mark, style = ("> ", "at") if place == at else ("  ", "row")
        rows.append(Line(((mark + _row(each, width - cell_len(mark)), style),), place))
    return rows


def _columns(width: int) -> list[tuple[str, int]]:
    """The columns that fit; the last of them fall out first."""
    columns, used = list[tuple[str, int]](), 0
    for name, room in COLUMNS:
        if columns and used + len(_GAP) + room > width:
            break
        used += room + (len(_GAP) if columns else 0)
        columns.append((name, room))
    return columns


def _row(each: Summary, width: int) -> str:
    cells = {
        "day": (each.decided or each.begun)[:10],
        "verdict": each.verdict.upper() or STATES.get(each.state, each.state),
        "casing": each.casing or "-",
        "technician": each.technician,
        "plate": each.plate,
        "record": each.id,
    }
    return set_cell_size(_GAP.join(_cut(shown(cells[name]), room) for name, room in _columns(width)), width)


def _cut(text: str, room: int) -> str:
    return set_cell_size(text, room) if cell_len(text) <= room else f"{set_cell_size(text, room - 1)}…"


def page_of(db: Connection, chosen: Summary, judge: Judge, width: int) -> Iterator[Para]:
    """A casing's page, or a single record's where it names no casing."""
    visits = visits_of(db, chosen.casing) if chosen.casing else [visit_of(db, chosen)]
    first, *rest = overview_lines(chosen.casing or f"not named, record {chosen.id}", visits)
    yield Para(first, "title", indent=1)
    yield from (Para(line.strip(), "strong", indent=3) for line in rest)
    if others := same_code(db, visits):
        names = ", ".join(each.id for each in others[:5])
        yield Para(f"Without a name and with the same code, so it may be this casing: {names}.", "note", indent=1)
    yield BLANK
    yield from _drawn(visits, judge, width)
    for line in detail_lines(visits, judge):
        if line.startswith(" "):
            name, colon, text = line.strip().partition(": ")
            yield Para(text if colon else name, "", f"{name}: " if colon else "", "label", 3)
        else:
            yield BLANK
            yield Para(line, "title", indent=1)


def _drawn(visits: list[Visit], judge: Judge, width: int) -> Iterator[Para]:
    """All places together on the unrolled tread; and why not, where they can't be drawn."""
    case, labels = put_together(visits, judge)
    judgement = judge.judge(case)
    pictures = places_together(judgement, judge)
    if pictures:
        yield Para("All places together", "title", indent=1)
        room = min(WIDEST_DRAWING, max(40, width - 2))
        for picture in pictures:
            yield from (Para(line, AS_IT_IS, indent=1) for line in terminal_lines(picture, room, False))
            yield BLANK
        count = len(case.injuries)
        now = [f"{place}: injury {place} as last seen" for place in range(1, count + 1)]
        yield from (Para(label, "quiet", indent=3) for label in (*now, *labels))
    else:
        yield from (Para(line, "quiet", indent=1) for line in left_out_lines(judgement, judge))
