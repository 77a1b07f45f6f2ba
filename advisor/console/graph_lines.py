"""The question graph in a terminal: one question under the other by layers, lanes at the left for ways that pass some.

Every verdict has its word and its sign; colour only comes on top, where it is wanted.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from msgspec import Struct

from advisor.model.problems import shown
from advisor.model.ruleset import Verdict
from advisor.tools.graph_layout import Chip, GraphPicture, NodeCard, PartPicture

SIGNS = {Verdict.REPAIR: "o", Verdict.REFER: ">", Verdict.HOLD: "=", Verdict.SCRAP: "x", None: "!"}
COLUMNS = 80
_LEAST_COLUMNS = 60
MARK_COLUMNS = 4
_COLOURS = {Verdict.REPAIR: "32", Verdict.REFER: "34", Verdict.HOLD: "33", Verdict.SCRAP: "31", None: "35"}


class _Pen(Struct, frozen=True):
    """How lines are drawn: the signs for corners and strokes, the columns, and whether colour may come on top."""

    columns: int
    ascii_only: bool
    colour: bool

    def strokes(self, text: str) -> str:
        """Strokes as they are wanted."""
        return text.translate(_TO_ASCII) if self.ascii_only else text

    def ink(self, text: str, code: str) -> str:
        """A text in a colour, or bold."""
        return f"\x1b[{code}m{text}\x1b[0m" if self.colour else text


STROKES = "│╭╰─├┼▼►●×…"
_TO_ASCII = str.maketrans(STROKES, "|,`-++v>*x~")


def graph_lines(
    picture: GraphPicture, columns: int = COLUMNS, ascii_only: bool = False, colour: bool = False
) -> Iterator[str]:
    """The drawing as lines of at most `columns`."""
    pen = _Pen(max(_LEAST_COLUMNS, columns), ascii_only, colour)
    yield from _wrapped(picture.title, pen)
    if picture.around:
        yield from _wrapped(f"Around {picture.around}{': ' if picture.headline else ''}{picture.headline}", pen)
    if picture.case:
        yield from _wrapped(picture.case, pen)
        yield from _wrapped(pen.strokes("On its way: ● before the question, with the answer; (*) on what counts."), pen)
    yield from _wrapped(
        "Signs: o REPAIR   > REFER   = HOLD   x SCRAP   ! RESTRICTS   ? when it can't be told or is in doubt", pen
    )
    for part in picture.parts:
        yield ""
        yield from (pen.ink(line, "1") for line in _wrapped(part.heading, pen))
        yield from _part(part, pen, bool(picture.case))
    if picture.ends:
        yield ""
        yield pen.ink("at the end, where no ruling decides", "1")
        yield from _chips(picture.ends, "  ", pen)


def _part(part: PartPicture, pen: _Pen, lighted: bool) -> Iterator[str]:
    lanes = max((way.lane for way in part.stretch.ways), default=0)
    width = 2 * lanes
    for row, card in enumerate(part.cards):
        gutter = pen.strokes(_gutter(part, row, lanes, head=True))
        under = pen.strokes(_gutter(part, row, lanes, head=False))
        mark = pen.strokes("● ") if card.step else "  " if lighted else ""
        head = f"{mark}{card.id}"
        yield f"{gutter}{pen.ink(head, '1') if not lighted or card.step else head}{_beside(card, pen, width, head)}"
        inner = f"{under}{' ' * (MARK_COLUMNS if lighted else 2)}"
        yield from _details(card, inner, pen)
        if row + 1 < len(part.cards):
            yield f"{under}{pen.strokes(_down(part, row))}".rstrip()


def _beside(card: NodeCard, pen: _Pen, width: int, head: str) -> str:
    """What stands beside a question's id: its name, or the answer of the case."""
    says = f"said: {card.said}" if card.said else card.name
    room = pen.columns - width - len(f"{head} - ")
    text = shown(says, 200)
    return f" - {text if len(text) <= room else text[: max(0, room - 1)] + pen.strokes('…')}"


def _details(card: NodeCard, inner: str, pen: _Pen) -> Iterator[str]:
    if not card.reached:
        yield f"{inner}(no way leads here)"
    for note in card.notes:
        yield from _wrapped(note, pen, inner)
    if any(chip.says for chip in card.chips):
        for chip in card.chips:
            yield f"{inner}{_chip(chip, pen)}"
            for says in chip.says:
                yield from _wrapped(says, pen, f"{inner}    ")
    else:
        yield from _chips(card.chips, inner, pen)
    for way in card.ways:
        yield from _wrapped(f"{pen.strokes('►')} {way}", pen, inner)


def _chips(chips: tuple[Chip, ...], inner: str, pen: _Pen) -> Iterator[str]:
    """Chips beside each other as far as they fit."""
    line, used = "", len(inner)
    for chip in chips:
        size = len(f"{_chip_text(chip)}   ")
        if line and used + size > pen.columns:
            yield f"{inner}{line}".rstrip()
            line, used = "", len(inner)
        line += f"{_chip(chip, pen)}   "
        used += size
    if line:
        yield f"{inner}{line}".rstrip()


def _chip(chip: Chip, pen: _Pen) -> str:
    text = pen.strokes(_chip_text(chip))
    return pen.ink(text, f"{'1;7;' if chip.lit else ''}{_COLOURS[chip.verdict]}")


def _chip_text(chip: Chip) -> str:
    return f"{'?' if chip.doubt else ''}{SIGNS[chip.verdict]} {chip.text}{' (*)' if chip.lit else ''}"


def _wrapped(text: str, pen: _Pen, lead: str = "") -> Iterator[str]:
    yield from textwrap.wrap(
        shown(text, 2000), pen.columns, initial_indent=lead, subsequent_indent=f"{lead}  ", break_on_hyphens=False
    ) or [lead]


def _gutter(part: PartPicture, row: int, lanes: int, head: bool) -> str:
    """The lanes beside a row: ways that pass it, begin at it (at its head) or end at it."""
    cells = [_stroke(part, row, lane, head) for lane in range(lanes, 0, -1)]
    first = next((place for place, cell in enumerate(cells) if cell in _JOINED), lanes)
    text = ""
    for place, cell in enumerate(cells):
        over = place > first
        text += {" ": "─", "│": "┼"}.get(cell, cell) if over else cell
        text += "─" if over or place == first else " "
    ends = head and any(way.lane and way.end == row for way in part.stretch.ways)
    return f"{text[:-1]}►" if ends else text


#: The stroke of a lane at a row: by whether it goes up, goes down, and joins the row there.
_STROKES = {
    (False, False, False): " ",
    (True, True, False): "│",
    (False, True, True): "╭",
    (True, False, True): "╰",
    (True, True, True): "├",
}
_JOINED = "╭╰├"


def _stroke(part: PartPicture, row: int, lane: int, head: bool) -> str:
    spans = [sorted((way.start, way.end)) for way in part.stretch.ways if way.lane == lane]
    if not head:
        return "│" if any(top <= row < bottom for top, bottom in spans) else " "
    up, down = any(t < row <= b for t, b in spans), any(t <= row < b for t, b in spans)
    return _STROKES[up, down, any(row in span for span in spans)]


def _down(part: PartPicture, row: int) -> str:
    """The stroke from a row to the next one."""
    ways = [way for way in part.stretch.ways if not way.lane and way.start == row]
    if not ways:
        return ""
    return "…" if ways[0].far else "▼"
