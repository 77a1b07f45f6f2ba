"""The screen to look through the recorded casings: search as you type, and a casing's history on a page of its own.

What the screen of casings shows, as lines and paragraphs: the list found, and one casing's page. Knows no widget.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import ClassVar

from rich.cells import cell_len, set_cell_size
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.screen import Screen
from textual.widgets import Input

from advisor.drawings.selection import left_out_lines, places_together, terminal_lines
from advisor.engine.evaluator import Judge
from advisor.journal.casing_history import (
    CasingVisit,
    details_of,
    overview,
    same_code,
    visit_of,
    visits_of,
    visits_put_together,
)
from advisor.journal.queries import STATES, Summary, local_minute, tire_of_record
from advisor.journal.search import found_by
from advisor.journal.store import UNUSABLE, Connection
from advisor.model.problems import shown
from advisor.tui.answer_input import AnswerLine
from advisor.tui.keymap import KeyHint
from advisor.tui.lines_view import LinesView
from advisor.tui.reading_screen import ReadingScreen
from advisor.tui.status import KeysBar, Sign, Standing
from advisor.tui.text_blocks import AS_IT_IS, BLANK, Line, Para, wrap
from advisor.wording.blocks import under

#: Columns of the list with their widths; what is left over goes to the last one.
_COLUMNS = (
    ("day", 16),
    ("verdict", 12),
    ("casing", 14),
    ("tire", 28),
    ("technician", 14),
    ("plate", 10),
    ("record", 17),
)
_GAP = "  "
WIDEST_DRAWING = 100
#: More rows than any screen has above or below the arrows.
NEAR = 100


def heading(width: int) -> str:
    """The names of the columns."""
    return set_cell_size(_GAP.join(set_cell_size(name, room) for name, room in _columns(width)), width)


def list_rows(found: Sequence[Summary], at: int, width: int, tire: Callable[[Summary], str]) -> list[Line]:
    """A line each; the one at which the arrows stand is marked by a sign as well.

    `tire` says what tire it was, which is looked up for the rows near the arrows alone.
    """
    rows = []
    for place, each in enumerate(found):
        mark, style = ("> ", "at") if place == at else ("  ", "row")
        said = tire(each) if abs(place - at) <= NEAR else ""
        rows.append(Line(((mark + _row(each, width - cell_len(mark), said), style),), place))
    return rows


def _columns(width: int) -> list[tuple[str, int]]:
    """The columns that fit; the last of them fall out first."""
    columns, used = list[tuple[str, int]](), 0
    for name, room in _COLUMNS:
        if columns and used + len(_GAP) + room > width:
            break
        used += room + (len(_GAP) if columns else 0)
        columns.append((name, room))
    return columns


def _row(each: Summary, width: int, tire: str) -> str:
    cells = {
        "day": local_minute(each.decided or each.begun),
        "verdict": each.verdict.upper() or STATES.get(each.state, each.state),
        "casing": each.casing or "-",
        "tire": tire,
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
    head = overview(chosen.casing or f"not named, record {chosen.id}", visits)
    yield Para(head.text, "title", indent=1)
    yield from (Para(each.said, "strong", indent=3) for each in under(head))
    if others := same_code(db, visits, judge.rules):
        names = ", ".join(each.id for each in others[:5])
        yield Para(f"Without a name and with the same code, so it may be this casing: {names}.", "note", indent=1)
    yield BLANK
    yield from _drawn(visits, judge, width)
    for visit in details_of(visits, judge):
        yield BLANK
        yield Para(visit.text, "title", indent=1)
        for detail in under(visit):
            yield Para(detail.text, "", f"{detail.lead}: " if detail.lead else "", "label", 3)


def _drawn(visits: list[CasingVisit], judge: Judge, width: int) -> Iterator[Para]:
    """All places together on the unrolled tread; and why not, where they can't be drawn."""
    case, labels = visits_put_together(visits, judge)
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


MOST_LISTED = 500
HINT = "number, casing, plate, day, verdict, technician, or any word noted"
_OPEN = KeyHint("enter", "Enter", "open", "history", "The history of the casing at the arrow.")
_MOVE = KeyHint("down", "Up/Down", "move", "choose", "Move in the list.")
_BACK = KeyHint("escape", "Esc", "back", "back", "Empty the line, or leave this screen.")
_TAKE = KeyHint("f4", "F4", "take", "this tire is that casing", "Put the open consultation under this casing.")
_READ = KeyHint("pagedown", "PgUp/PgDn", "read", "read", "Read on.")

LIST_CSS = """
CasingsScreen, CasingPage { layout: vertical; }
CasingsScreen #found, CasingPage #page { width: 100%; height: 1fr; }
#casings-title, #page-title { height: 1; width: 100%; color: $text-accent; text-style: bold; }
#columns { height: 1; width: 100%; color: $foreground 75%; }
#casings-entry { layout: horizontal; height: 1; }
#casings-sign { width: 6; height: 1; color: $text-accent; text-style: bold; }
#casings-line { width: 1fr; height: 1; background: $background; }
#casings-line:focus { background: $background; background-tint: $foreground 0%; }
#casings-line > .input--placeholder { color: $foreground 60%; }
#casings-line > .input--cursor { background: $background; color: $foreground; text-style: reverse; }
#casings-keys, #page-keys { height: 1; background: $surface; color: $foreground; }
"""

Take = Callable[[str], None]
#: Takes up a record: for its work, or where the second is true as a new consultation with its answers.
Reopen = Callable[[Summary, bool], None]
_WORK = KeyHint("f5", "F5", "reopen", "its work", "Take this consultation up again, for its work.")
_COPY = KeyHint("f6", "F6", "copy", "as a new one", "Begin a new consultation with these answers, to change some.")


class CasingsScreen(Screen[None]):
    """The list found by the words in the line. `take` puts an open consultation under a casing; None without one."""

    CSS = LIST_CSS
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "back", "back")]

    def __init__(
        self,
        db: Connection,
        judge: Callable[[], Judge],
        words: str = "",
        take: Take | None = None,
        reopen: Reopen | None = None,
    ) -> None:
        super().__init__()
        self.db, self.judge, self.take, self.reopen = db, judge, take, reopen
        self.words = words
        self.found: list[Summary] = []
        self._tires: dict[str, str] = {}
        self.at = 0
        self.rows = LinesView("found")
        self.title_bar = Standing("casings-title")
        self.columns = Sign("", "columns")
        self.line = AnswerLine(self, "casings-line")
        self.line.placeholder = HINT
        self.keys = KeysBar("casings-keys")

    def compose(self) -> ComposeResult:
        """The widgets, from top to bottom."""
        yield self.title_bar
        yield Horizontal(Sign("Find: ", "casings-sign"), self.line, id="casings-entry")
        yield self.columns
        yield self.rows
        yield self.keys

    def on_mount(self) -> None:
        """Begins with the words given, or with the latest."""
        self.line.focus()
        self.line.hold(self.words)
        self.keys.show([_MOVE, _OPEN, _BACK])
        self.search()

    def on_lines_view_resized(self) -> None:
        """Arranges the columns anew."""
        self.show_found()

    def on_input_changed(self, event: Input.Changed) -> None:
        """Searches as the words are typed."""
        event.stop()
        self.search()

    def search(self) -> None:
        """Finds what the words in the line fit."""
        try:
            self.found = found_by(self.db, [self.line.value], MOST_LISTED)
            count = len(self.found)
            says = f"{count} found" if self.line.value.strip() else f"the latest {count}"
            more = f"the latest {MOST_LISTED} are shown; more words narrow it down" if count >= MOST_LISTED else ""
        except UNUSABLE as error:
            self.found, says, more = [], f"the journal can't be read ({shown(str(error), 80)})", ""
        self.at = 0
        self.title_bar.show(f"Recorded casings: {says}", more)
        self.show_found()

    def show_found(self) -> None:
        """Shows the list."""
        width = self.rows.text_width
        self.columns.text = f"  {heading(max(1, width - 2))}"
        self.columns.refresh()
        if self.found:
            self.rows.show(list_rows(self.found, self.at, width, self._tire_of), self.rows.top)
            self.rows.reveal(self.at)
        else:
            self.rows.show(wrap([Para("Nothing in the journal fits these words.", "quiet", indent=2)], width), 0)

    def _tire_of(self, each: Summary) -> str:
        """Size, position and injury of a record; looked up once."""
        if each.id not in self._tires:
            self._tires[each.id] = tire_of_record(self.db, each.id)
        return self._tires[each.id]

    def action_move(self, step: int) -> None:
        """Moves in the list."""
        if self.found:
            self.at = max(0, min(len(self.found) - 1, self.at + step))
            self.show_found()

    def action_page(self, step: int) -> None:
        """Moves in the list by a screenful."""
        self.action_move(step * max(1, self.rows.size.height - 1))

    def action_back(self) -> None:
        """Empties the line, or leaves."""
        if self.line.value:
            self.line.hold("")
        else:
            self.leave()

    def leave(self) -> None:
        """Leaves the screen."""
        if self.take is None:
            self.app.exit(0)
        else:
            self.dismiss(None)

    def take_enter(self) -> None:
        """Opens the page of the casing at the arrow."""
        if self.found:
            page = CasingPage(self.db, self.found[self.at], self.judge(), self.take, self.reopen is not None)
            self.app.push_screen(page, self._taken)

    def _taken(self, casing: str | None) -> None:
        if casing in (_WORK.id, _COPY.id) and self.reopen is not None:
            self.reopen(self.found[self.at], casing == _COPY.id)
            self.dismiss(None)
        elif casing and self.take is not None:
            self.take(casing)
            self.dismiss(None)

    def take_space(self) -> bool:
        """A space is a word to search for."""
        return False

    def take_too_long(self, text: str) -> None:
        """A paste as long as that names no casing."""

    def on_lines_view_row_picked(self, event: LinesView.RowPicked) -> None:
        """A click chooses; one on the chosen row opens it."""
        if event.row == self.at:
            self.take_enter()
        self.at = event.row
        self.show_found()

    def on_keys_bar_pressed(self, event: KeysBar.Pressed) -> None:
        """A click on a key does the same as the key."""
        self.app.simulate_key(event.key.key)


class CasingPage(ReadingScreen[str]):
    """One casing's history. Gives the casing's name when it was taken for the open consultation."""

    CSS = LIST_CSS
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("backspace,enter,q", "leave", "back"),
        Binding("f4", "take", "take"),
        Binding(_WORK.key, f"again('{_WORK.id}')", _WORK.label),
        Binding(_COPY.key, f"again('{_COPY.id}')", _COPY.label),
        Binding("space", "page(1)", "page down"),
        Binding("home", "page(-9999)", "to the top"),
        Binding("end", "page(9999)", "to the end"),
    ]

    def __init__(
        self, db: Connection, chosen: Summary, judge: Judge, take: Take | None, can_reopen: bool = False
    ) -> None:
        super().__init__("page")
        self.can_reopen = can_reopen
        self.db, self.chosen, self.judge, self.can_take = db, chosen, judge, take is not None and bool(chosen.casing)
        self.title_bar = Standing("page-title")
        self.keys = KeysBar("page-keys")

    def compose(self) -> ComposeResult:
        """The widgets, from top to bottom."""
        yield self.title_bar
        yield self.view
        yield self.keys

    def on_mount(self) -> None:
        """Shows the keys; the page itself comes once its width is known."""
        again = [_WORK, _COPY] if self.can_reopen else []
        self.keys.show([_READ, *([_TAKE] if self.can_take else []), *again, _BACK])

    def show(self) -> None:
        """Draws the page at this width."""
        width = self.view.text_width
        try:
            self.view.show(wrap(page_of(self.db, self.chosen, self.judge, width), width), self.view.top)
        except UNUSABLE as error:
            self.view.show(wrap([Para(f"The journal can't be read ({shown(str(error), 80)}).", "wrong")], width), 0)
        self._show_place()

    def _show_place(self) -> None:
        name = shown(self.chosen.casing or self.chosen.id, 60)
        self.title_bar.show(f"History of {name}", "more: PgDn" if self.view.more_below else "")

    def on_lines_view_scrolled(self) -> None:
        """Says whether there is more to read."""
        self._show_place()

    def action_take(self) -> None:
        """Puts the open consultation under this casing."""
        if self.can_take:
            self.dismiss(self.chosen.casing)

    def action_again(self, how: str) -> None:
        """Takes this record up again, or begins a new consultation with its answers."""
        if self.can_reopen:
            self.dismiss(how)

    def action_leave(self) -> None:
        """Back to the list."""
        self.dismiss("")

    def on_keys_bar_pressed(self, event: KeysBar.Pressed) -> None:
        """A click on a key does the same as the key."""
        self.app.simulate_key(event.key.key)
