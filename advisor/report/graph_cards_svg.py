"""The cards of a part of the question graph in SVG: boxes under each other, chips beside them, ways between them."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from advisor.engine.question_graph import Way
from advisor.report.graph_signs import PALE, chip_drawn, chip_width
from advisor.report.svg_text import broken, text_at
from advisor.tools.graph_layout import Chip, NodeCard, PartPicture

BLACK = "#111111"
_GAP, _LANE, _LINE = 0.95, 0.9, 1.2


class CardLook(Struct, frozen=True):
    """How large things are drawn, in mm: `size` of the letters, `width` of a column, `share` of it for the boxes.

    `lighted` when a case is lit.
    """

    size: float
    width: float
    share: float
    lighted: bool = False

    @property
    def small(self) -> float:
        """The size of the lesser letters."""
        return self.size * 0.86


class _Row(Struct, frozen=True):
    """A card with its lines broken; how high its box is, and the whole of it."""

    card: NodeCard
    title: list[str]
    under: list[str]
    chips: list[list[Chip]]
    words: list[tuple[int, str]]
    boxed: float
    height: float


class Block:
    """A part laid out for a column, or a piece of it from one row to another: its rows and how high it is."""

    def __init__(self, part: PartPicture, look: CardLook, laid: list[_Row] | None = None, first: int = 0) -> None:
        self.part, self.look, self.first = part, look, first
        size = look.size
        self.lanes = max((way.lane for way in part.stretch.ways), default=0)
        self.left = self.lanes * _LANE * size + size * 0.4
        self.box = min((look.width - self.left) * look.share, size * 22)
        self.beside = look.width - self.left - self.box - size * 0.7
        says = f"{part.id}, continued" if first else part.heading
        self.heading = broken(says, size * 1.05, look.width - size)
        self.rows = [self._row(card) for card in part.cards] if laid is None else laid
        top = len(self.heading) * size * 1.5 + size * 0.6
        self.tops = [top + sum(row.height + _GAP * size for row in self.rows[:n]) for n in range(len(self.rows))]
        self.height = top + sum(row.height + _GAP * size for row in self.rows)

    def piece(self, start: int, end: int) -> Block:
        """The rows from `start` up to `end` as a block of their own."""
        return Block(self.part, self.look, self.rows[start:end], self.first + start)

    @property
    def fits(self) -> bool:
        """Whether no chip is wider than its column, and no id has to be cut."""
        chips = (chip for row in self.rows for chip in row.card.chips)
        whole = all("".join(row.title) == row.card.id for row in self.rows)
        return whole and all(chip_width(chip, self.look.small) <= self.beside for chip in chips)

    def breaks(self, clean: bool) -> list[int]:
        """The rows at which a piece may begin: any, or only where no way in a lane passes. The end belongs to them."""
        lanes = [sorted((way.start, way.end)) for way in self.part.stretch.ways if way.lane and clean]
        rows = range(1, len(self.rows))
        return [n for n in rows if not any(top < n <= bottom for top, bottom in lanes)] + [len(self.rows)]

    def _row(self, card: NodeCard) -> _Row:
        size, small = self.look.size, self.look.small
        room = self.box - size * (1.6 if card.step else 0.8)
        title = broken(card.id, size, room, 2)
        under = broken(f"said: {card.said}" if card.said else card.name, small, self.box - size * 0.8, 3)
        chips = _beside_each_other(card.chips, small, self.beside)
        words = [line for text in self._words(card) for line in text]
        boxed = len(title) * size * _LINE + len(under) * small * _LINE + size * 0.7
        listed = len(chips) * small * 1.7 + len(words) * small * 1.2
        return _Row(card, title, under, chips, words, boxed, max(boxed, listed))

    def _words(self, card: NodeCard) -> Iterator[list[tuple[int, str]]]:
        """Lines under the chips, each with its indent."""
        texts = [(0, note) for note in card.notes]
        for chip in card.chips:
            texts += [(0, f"{chip.word} {chip.name}{' in doubt' if chip.doubt else ''} by") for _ in chip.says[:1]]
            texts += [(1, says) for says in chip.says]
        texts += [(0, way) for way in card.ways]
        texts += [] if card.reached else [(0, "no way leads here")]
        for indent, text in texts:
            size = self.look.small
            lines = broken(text, size, self.beside - size * (1 + indent))
            yield [(indent + bool(n), line) for n, line in enumerate(lines)]

    # Drawing

    def drawn(self, x: float, y: float) -> Iterator[str]:
        """The block with its upper left corner at a place."""
        size, lighted = self.look.size, self.look.lighted
        band = len(self.heading) * size * 1.5
        yield f'<rect x="{x:.2f}" y="{y:.2f}" width="{self.look.width:.2f}" height="{band:.2f}" fill="#e9e9e9"/>'
        for n, line in enumerate(self.heading):
            bold = f'font-weight="bold" fill="{BLACK}"'
            yield text_at(x + size * 0.4, y + size * (1.05 + 1.5 * n), line, size * 1.05, bold)
        first, last = self.first, self.first + len(self.rows) - 1
        spans = [(way, min(way.start, way.end), max(way.start, way.end)) for way in self.part.stretch.ways]
        ways = [way for way, top, bottom in spans if top <= last and bottom >= first]
        for way in sorted(ways, key=lambda way: (way.start, way.end) in self.part.lit):
            yield self._way(way, x, y, (way.start, way.end) in self.part.lit)
        for row, top in zip(self.rows, self.tops, strict=True):
            yield from self._card(row, x + self.left, y + top, lighted and not row.card.step)

    def _card(self, row: _Row, x: float, y: float, pale: bool) -> Iterator[str]:
        size, small, card = self.look.size, self.look.small, row.card
        ink = PALE.dark if pale else BLACK
        thick = size * (0.28 if card.step else 0.2 if card.near else 0.09)
        dash = "" if card.asks else f' stroke-dasharray="{size * 0.5:.2f} {size * 0.35:.2f}"'
        fill = "#fff7c9" if card.step else "#ffffff"
        yield (
            f'<rect x="{x:.2f}" y="{y:.2f}" width="{self.box:.2f}" height="{row.boxed:.2f}" rx="{size * 0.4:.2f}" '
            f'fill="{fill}" stroke="{ink}" stroke-width="{thick:.2f}"{dash}/>'
        )
        for n, line in enumerate(row.title):
            bold = f'font-weight="bold" fill="{ink}"'
            yield text_at(x + size * 0.4, y + size * (1.15 + _LINE * n), line, size, bold)
        if card.step:
            place = (x + self.box - size * 0.4, y + size * 1.1)
            yield text_at(*place, str(card.step), small, f'fill="{BLACK}" font-weight="bold"', "end")
        below = y + len(row.title) * size * _LINE + small * 1.2
        for n, line in enumerate(row.under):
            yield text_at(x + size * 0.4, below + small * _LINE * n, line, small, f'fill="{ink}"')
        yield from self._chips(row, x + self.box + size * 0.7, y, pale)

    def _chips(self, row: _Row, x: float, y: float, pale: bool) -> Iterator[str]:
        small = self.look.small
        for chips in row.chips:
            at = x
            for chip in chips:
                yield chip_drawn(chip, at, y, small, pale)
                at += chip_width(chip, small) + small * 0.6
            y += small * 1.7
        for n, (indent, line) in enumerate(row.words):
            ink = f'fill="{PALE.dark if pale else BLACK}"'
            yield text_at(x + small * indent, y + small * (1.0 + 1.2 * n), line, small, ink)

    def _way(self, way: Way, x: float, y: float, lit: bool) -> str:
        """A way from one box to another: straight down, or round the left in its lane; on into the next piece too."""
        size = self.look.size
        ink = BLACK if lit or not self.look.lighted else PALE.dark
        stroke = f'stroke="{ink}" stroke-width="{size * (0.3 if lit else 0.1):.2f}" fill="none"'
        if way.back or way.far:
            stroke += f' stroke-dasharray="{size * 0.5:.2f} {size * 0.4:.2f}"'
        line, tip, turn = self._round(way, x, y) if way.lane else self._down(way, x, y)
        if not line:
            return ""
        drawn = f'<path d="{line}" {stroke}/>'
        head = f"M{tip[0]:.2f} {tip[1]:.2f}l{-size * 0.35:.2f} {-size * 0.6:.2f}h{size * 0.7:.2f}z"
        at = f' transform="rotate({turn} {tip[0]:.2f} {tip[1]:.2f})"' if turn else ""
        return f'{drawn}<path d="{head}" fill="{ink}"{at}/>'

    def _down(self, way: Way, x: float, y: float) -> tuple[str, tuple[float, float], int]:
        """The line of a way to the next row, the tip of its head, and how far that is turned from pointing down."""
        size, start, end = self.look.size, way.start - self.first, way.end - self.first
        if start < 0:
            return "", (0, 0), 0
        across, out = x + self.left + self.box / 2, y + self.tops[start] + self.rows[start].boxed
        foot = y + self.tops[end] if end < len(self.rows) else y + self.height
        return f"M{across:.2f} {out:.2f}V{foot - size * 0.3:.2f}", (across, foot), 0

    def _round(self, way: Way, x: float, y: float) -> tuple[str, tuple[float, float], int]:
        """The same of a way in a lane."""
        size, left = self.look.size, x + self.left
        lane = left + size * 0.05 - way.lane * _LANE * size
        edge = {True: y + len(self.heading) * size * 1.5, False: y + self.height}
        ends = []
        for row, share in ((way.start - self.first, 0.7), (way.end - self.first, 0.3)):
            inside = 0 <= row < len(self.rows)
            ends.append((inside, y + self.tops[row] + self.rows[row].boxed * share if inside else edge[row < 0]))
        (begins, out), (stops, into) = ends
        line = f"M{left:.2f} {out:.2f}H{lane:.2f}" if begins else f"M{lane:.2f} {out:.2f}"
        if stops:
            return f"{line}V{into:.2f}H{left - size * 0.3:.2f}", (left, into), -90
        down = into > out
        return f"{line}V{into - size * (0.3 if down else -0.3):.2f}", (lane, into), 0 if down else 180


def _beside_each_other(chips: tuple[Chip, ...], size: float, room: float) -> list[list[Chip]]:
    """Chips in rows that fit the room."""
    rows: list[list[Chip]] = []
    used = room
    for chip in chips:
        width = chip_width(chip, size) + size * 0.6
        if used + width > room + size * 0.6 or not rows:
            rows.append([])
            used = 0.0
        rows[-1].append(chip)
        used += width
    return rows
