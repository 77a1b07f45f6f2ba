"""A rule set's question graph as one A3 page in SVG: parts in columns as large as they fit, the signs, all endings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from advisor.model.ruleset import Verdict
from advisor.report.graph_cards_svg import BLACK, Block, CardLook
from advisor.report.graph_signs import INKS, chip_drawn, chip_width, sign
from advisor.report.svg_text import FONT, broken, safe, text_at, text_width
from advisor.tools.graph_layout import RESTRICTS, Chip, GraphPicture
from advisor.wording.verdict_card import VERDICT_SIGNS

#: ISO 216 A3, across, in mm.
WIDE, TALL, EDGE = 420.0, 297.0, 7.0
_BETWEEN, _LARGEST, _SMALLEST, _STEP = 7.0, 3.8, 1.0, 0.1
_HEAD, _FOOT = 14.0, 7.0
_SHARES = (0.42, 0.38, 0.34)
#: Letters under this many mm (6 points) are hard to read on paper.
LEGIBLE = 2.1


def graph_svg(picture: GraphPicture) -> str:
    """The page."""
    look, columns = _best(picture)
    title = f"Question graph of {picture.title}{f', around {picture.around}' if picture.around else ''}"
    rows = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE:g} {TALL:g}" width="{WIDE:g}mm" '
        f'height="{TALL:g}mm" role="img" aria-labelledby="graph-title graph-desc" font-family="{safe(FONT)}">',
        f'<title id="graph-title">{safe(title)}</title>',
        f'<desc id="graph-desc">{safe(_described(picture))}</desc>',
        f'<rect width="{WIDE:g}" height="{TALL:g}" fill="#ffffff"/>',
        text_at(EDGE, EDGE + 4.5, title, 5, f'font-weight="bold" fill="{BLACK}"'),
        *_second_line(picture),
        *_drawn(picture, look, columns),
        *_signs(),
        "</svg>",
    ]
    return "\n".join(rows) + "\n"


def letter_size(picture: GraphPicture) -> float:
    """How large the lesser letters of the page come out, in mm."""
    return _best(picture)[0].small


def _described(picture: GraphPicture) -> str:
    cards = [card for part in picture.parts for card in part.cards]
    way = [card.id for card in sorted(cards, key=lambda card: card.step) if card.step]
    said = f"{len(picture.parts)} parts, {len(cards)} questions and places of rulings. {picture.case}"
    return f"{said} The way: {', '.join(way)}." if way else said


def _second_line(picture: GraphPicture) -> Iterator[str]:
    plain = "From top to bottom in each part, then the next part; every question with what it can bring."
    says = picture.case or picture.headline or plain
    if picture.case:
        says += " Its way is numbered and boxed thick; what counted is filled."
    yield text_at(EDGE, EDGE + 10, broken(says, 3, WIDE - 2 * EDGE, 1)[0], 3, f'fill="{BLACK}"')


TextColumn = list[Block]


def _best(picture: GraphPicture) -> tuple[CardLook, list[TextColumn]]:
    """The largest letters, and the columns with them, that fit the page."""
    for look, count in _looks(picture):
        blocks = [Block(part, look) for part in picture.parts]
        fit = all(block.fits for block in blocks)
        for clean in (True, False) if fit else ():
            columns = _columns(blocks, _ends_height(picture, look), count, clean)
            if columns is not None:
                return look, columns
    return look, [[Block(part, look)] for part in picture.parts]


def _looks(picture: GraphPicture) -> Iterator[tuple[CardLook, int]]:
    """Looks to try with a number of columns each, the largest letters first."""
    for step in range(round((_LARGEST - _SMALLEST) / _STEP) + 1):
        size = _LARGEST - step * _STEP
        for count in range(1, 6):
            width = (WIDE - 2 * EDGE - _BETWEEN * (count - 1)) / count
            yield from ((CardLook(size, min(width, size * 75), share, bool(picture.case)), count) for share in _SHARES)


def _room() -> float:
    return TALL - 2 * EDGE - _HEAD - _FOOT


def _columns(blocks: Sequence[Block], ends: float, count: int, clean: bool) -> list[TextColumn] | None:
    """Blocks in columns one after another, broken where they may be, the endings last; None where they don't fit."""
    columns: list[TextColumn] = [[]]
    used = 0.0
    for block in blocks:
        start, size = 0, block.look.size
        breaks = block.breaks(clean)
        while start < breaks[-1]:
            pieces = (block.piece(start, end) for end in reversed(breaks) if end > start)
            piece = next((piece for piece in pieces if used + piece.height <= _room()), None)
            if piece is None:
                if not columns[-1] or len(columns) == count:
                    return None
                columns.append([])
                used = 0.0
                continue
            columns[-1].append(piece)
            used += piece.height + size
            start += len(piece.rows)
    if ends and used + ends > _room():
        columns.append([])
    return columns if len(columns) <= count and ends <= _room() else None


def _drawn(picture: GraphPicture, look: CardLook, columns: Sequence[TextColumn]) -> Iterator[str]:
    top = EDGE + _HEAD
    x, y = EDGE, top
    for n, column in enumerate(columns):
        x, y = EDGE + n * (look.width + _BETWEEN), top
        for block in column:
            yield from block.drawn(x, y)
            y += block.height + look.size
    if picture.ends:
        yield from _ends(picture, look, x, y)


def _ends_height(picture: GraphPicture, look: CardLook) -> float:
    return (len(picture.endings) * 1.5 + 5.5) * look.size if picture.ends else 0.0


def _ends(picture: GraphPicture, look: CardLook, x: float, y: float) -> Iterator[str]:
    """How a case ends when no ruling decides, then every ending with its headline."""
    size = look.size
    yield f'<rect x="{x:.2f}" y="{y:.2f}" width="{look.width:.2f}" height="{size * 1.5:.2f}" fill="#e9e9e9"/>'
    bold = f'font-weight="bold" fill="{BLACK}"'
    (heading,) = broken("at the end: what no ruling decides; all endings", size, look.width - size, 1)
    yield text_at(x + size * 0.4, y + size * 1.05, heading, size, bold)
    y += size * 2.1
    lit = {chip.name for part in picture.parts for card in part.cards for chip in card.chips if chip.lit}
    lit |= {chip.name for chip in picture.ends if chip.lit}
    last = {chip.name: chip.doubt for chip in picture.ends}
    for verdict, name, headline in sorted(picture.endings, key=lambda each: each[0]):
        chip = Chip(name, verdict, last.get(name, False), lit=name in lit)
        yield chip_drawn(chip, x, y, look.small, bool(picture.case))
        start = x + chip_width(chip, look.small) + size * 0.6
        mark = "(at the end) " if name in last else ""
        says = broken(f"{mark}{headline}", look.small, x + look.width - start, 1)
        yield from (text_at(start, y + look.small * 1.05, line, look.small, f'fill="{BLACK}"') for line in says)
        y += size * 1.5


def _signs() -> Iterator[str]:
    """What the signs mean, along the foot of the page."""
    x, y, size = EDGE, TALL - EDGE - 1, 2.8
    for verdict in (*Verdict, None):
        word = RESTRICTS if verdict is None else VERDICT_SIGNS[verdict]
        yield sign(verdict, x, y - size * 0.85, size, INKS[verdict].dark)
        yield text_at(x + size * 1.4, y, word, size, f'fill="{INKS[verdict].dark}" font-weight="bold"')
        x += text_width(word, size) + size * 3.2
    says = (
        "? and dashed: when it can't be told or is in doubt.  ×2: by two rulings.  "
        "Dashed box: not asked.  Cautions are not drawn."
    )
    yield text_at(x, y, says, size, f'fill="{BLACK}"')
