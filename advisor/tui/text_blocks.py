"""Paragraphs and the screen lines they give at a width. Plain text with named styles; no markup."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from rich.cells import cell_len, set_cell_size

from advisor.model.problems import shown

#: Text narrower than this many columns is not indented any more.
LEAST_TEXT = 12
#: A lead up to this many columns stands in its own column; under a longer one the text begins near the edge.
WIDEST_LEAD = 17
LONGEST_PARA = 6000
#: A lead in such a style is a sign of its own, with a gap behind it.
SIGN = "sign-"


class Para(NamedTuple):
    """A paragraph: text and its style, a lead before it, an indent in columns, and the row it stands for, if any.

    One that is `fixed` is a row of a table: a single line with its blanks, cut at the edge.
    """

    text: str
    style: str = ""
    lead: str = ""
    lead_style: str = ""
    indent: int = 0
    row: int = -1
    fixed: bool = False


class Line(NamedTuple):
    """One line of the screen: pieces of text with their styles, and the row it belongs to (-1 for none)."""

    pieces: tuple[tuple[str, str], ...]
    row: int = -1

    @property
    def text(self) -> str:
        """The words of the line."""
        return "".join(piece for piece, _ in self.pieces)


BLANK = Para("")
#: Paragraphs in this style are drawings: cut at the edge, never wrapped.
AS_IT_IS = "drawing"


def wrap(paras: Iterable[Para], width: int) -> list[Line]:
    """The lines of paragraphs at a width in columns."""
    return [line for para in paras for line in wrap_para(para, width)]


def wrap_para(para: Para, width: int) -> Iterator[Line]:
    """The lines of one paragraph; control and direction characters by name."""
    width = max(1, width)
    if para.style == AS_IT_IS:
        yield Line((("", ""), (set_cell_size(f"{' ' * para.indent}{shown(para.text)}", width), AS_IT_IS)))
        return
    lead = shown(para.lead)
    if para.fixed:
        room = max(0, width - para.indent - cell_len(lead))
        text = para.text if cell_len(para.text) <= room else set_cell_size(para.text, room)
        yield Line(((" " * para.indent, ""), (lead, para.lead_style), (text, para.style)), para.row)
        return
    indent = para.indent if width - para.indent >= LEAST_TEXT else 0
    ahead = indent + cell_len(lead) + (1 if para.lead_style.startswith(SIGN) else 0)
    under = ahead if cell_len(lead) <= WIDEST_LEAD else indent + 2
    if width - under < LEAST_TEXT:
        under = min(indent, 1)
    first, *others = _fill(shown(para.text, LONGEST_PARA), width - ahead, max(1, width - under))
    beside = lead if first else lead.rstrip()
    gap = " " * (ahead - indent - cell_len(lead)) if first else ""
    yield Line(((" " * indent, ""), (beside, para.lead_style), (f"{gap}{first}", para.style)), para.row)
    for text in others:
        yield Line(((" " * under, ""), (text, para.style)), para.row)


def _fill(text: str, first_room: int, room: int) -> list[str]:
    """A text in pieces that fit, the first one beside a lead (empty when it does not fit there)."""
    pieces: list[str] = []
    piece, used, free = "", 0, first_room
    for word in text.split():
        for part in _broken(word, room):
            cells = cell_len(part)
            if piece and used + 1 + cells <= free:
                piece, used = f"{piece} {part}", used + 1 + cells
                continue
            if piece or cells > free:
                pieces.append(piece)
                free = room
            piece, used = part, cells
    return [*pieces, piece]


def _broken(word: str, room: int) -> list[str]:
    """A word in parts of at most `room` columns."""
    if cell_len(word) <= room:
        return [word]
    parts, part, used = [], "", 0
    for sign in word:
        cells = cell_len(sign)
        if part and used + cells > room:
            parts.append(part)
            part, used = "", 0
        part, used = part + sign, used + cells
    return [*parts, part]
