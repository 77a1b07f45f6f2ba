"""The question graph in a terminal: one question under the other, each with what it can bring and its ways on.

Every verdict has its word and its sign; colour only comes on top, where it is wanted.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from msgspec import Struct

from advisor.model.decision_graph import END
from advisor.model.problems import shown
from advisor.model.ruleset import Verdict
from advisor.tools.graph_view import Chip, GraphPicture, NodeCard, PartPicture, Way

SIGNS = {Verdict.REPAIR: "o", Verdict.REFER: ">", Verdict.HOLD: "=", Verdict.SCRAP: "x", None: "!"}
COLUMNS = 80
_LEAST_COLUMNS = 60
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


STROKES = "►●×…"
_TO_ASCII = str.maketrans(STROKES, ">*x~")


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
    below = [*(card.id for card in part.cards[1:]), ""]
    for card, following in zip(part.cards, below, strict=True):
        mark = pen.strokes("● ") if card.step else "  " if lighted else ""
        head = f"  {mark}{card.id}"
        yield f"{pen.ink(head, '1') if not lighted or card.step else head}{_beside(card, pen, head)}"
        yield from _details(card, "      " if lighted else "    ", pen)
        for way in card.ways:
            if way.says or way.to not in (following, END):
                yield from _wrapped(pen.strokes(_way_text(way)), pen, "      " if lighted else "    ")


def _way_text(way: Way) -> str:
    to = "the end of this part" if way.to == END else way.to
    return f"► to {to}{': ' if way.says else ''}{way.says}"


def _beside(card: NodeCard, pen: _Pen, head: str) -> str:
    """What stands beside a question's id: its name, or the answer of the case."""
    says = f"said: {card.said}" if card.said else card.name
    room = pen.columns - len(f"{head} - ")
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
