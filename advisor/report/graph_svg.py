"""A rule set's question graph as one A3 page in SVG: parts in columns, layers from the top, as large as it fits.

The places are grandalf's (a layered layout after Sugiyama): questions and the words on their ways are its vertices, so
that neither lies over the other and ways run round both. A part too long for a column goes on in the next one; a way
out of a column ends at the name of the question that it leads to.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import accumulate, pairwise

from grandalf.graphs import Edge, Graph, Vertex
from grandalf.layouts import SugiyamaLayout, VertexViewer
from grandalf.routing import EdgeViewer
from msgspec import Struct, field

from advisor.model.decision_graph import END
from advisor.report.svg_text import FONT, broken, safe, text_at, text_width
from advisor.tools.graph_export import COLOURS
from advisor.tools.graph_view import Chip, GraphPicture, NodeCard, PartPicture, Way

#: ISO 216 A3, across, in mm.
WIDE, TALL, EDGE = 420.0, 297.0, 6.0
_TOP, _ROOM, _BETWEEN = 17.0, 275.0, 2.0
#: Sizes of the letters that are tried, in mm; the first at which all fits is taken, else the last.
SIZES = tuple(tenths / 10 for tenths in range(34, 9, -1))
#: A way past more cards than this is told by the name of the question that it leads to.
_FAR = 4
BLACK, GREY = "#111111", "#5c5c5c"
_INK, _BOLD_INK = f'fill="{BLACK}"', f'font-weight="bold" fill="{BLACK}"'
_RESTRICTS = ("#efe8f6", "#4a2a6a")
#: In letter sizes: from line to line, the width of a card and of the words on a way, how much wider bold letters are.
_LINE, _CARD, _WORDS, _BOLD = 1.25, 18.0, 10.2, 1.12


#: The nodes that a way leads from and to; None on its first line where words part it in two.
_Ends = tuple[str, str] | None
#: An edge of the layout, and whether the case went it.
_Joined = tuple[Edge, bool, _Ends]
#: Texts beside each other; one with a chip stands on its colour.
_Row = list[tuple[str, Chip | None]]


class _Box(Struct, eq=False):
    """A card, or the words on a way: lines of text in a box, whose middle the layout places."""

    card: NodeCard | None
    title: str
    rows: list[_Row]
    width: float
    height: float
    x: float = 0.0
    y: float = 0.0
    says: str = ""
    beside: str = ""


class _Piece(Struct, eq=False):
    """What of a part stands in one column, laid out from (0, 0)."""

    heading: list[str]
    boxes: list[_Box] = field(default_factory=list)
    paths: list[tuple[list[tuple[float, float]], bool, _Ends]] = field(default_factory=list)
    width: float = 0.0
    height: float = 0.0


def graph_svg(picture: GraphPicture) -> str:
    """The page."""
    for size in SIZES:
        columns = list(_columns(picture, size))
        if _total(columns) <= WIDE - 2 * EDGE or size == SIZES[-1]:
            break
    title = f"Question graph of {picture.title}{f', around {picture.around}' if picture.around else ''}"
    spare = (WIDE - 2 * EDGE - _total(columns)) / max(1, len(columns))
    tip = size * 0.8
    rows = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE:g} {TALL:g}" width="{WIDE:g}mm" '
        f'height="{TALL:g}mm" role="img" aria-labelledby="graph-title graph-desc" font-family="{safe(FONT)}">',
        f'<title id="graph-title">{safe(title)}</title>',
        f'<desc id="graph-desc">{safe(_described(picture))}</desc>',
        f'<defs><marker id="tip" viewBox="0 0 6 6" refX="6" refY="3" markerWidth="{tip:g}" markerHeight="{tip:g}" '
        f'markerUnits="userSpaceOnUse" orient="auto"><path d="M0 0L6 3L0 6z" fill="{BLACK}"/></marker></defs>',
        f'<rect class="page" width="{WIDE:g}" height="{TALL:g}" fill="#ffffff"/>',
        text_at(EDGE, EDGE + 4.5, broken(title, 5 * _BOLD, WIDE - 2 * EDGE, 1)[0], 5, _BOLD_INK),
        text_at(EDGE, EDGE + 10, broken(_legend(picture), 3, WIDE - 2 * EDGE, 1)[0], 3, _INK),
    ]
    x = EDGE
    for column in columns:
        y = _TOP
        for piece in column:
            rows += _piece_drawn(piece, x, y, size, bool(picture.case))
            y += piece.height + _BETWEEN
        x += max(piece.width for piece in column) + _BETWEEN + spare
    return "\n".join([*rows, "</svg>"]) + "\n"


def _total(columns: Sequence[Sequence[_Piece]]) -> float:
    return sum(max(piece.width for piece in column) + _BETWEEN for column in columns) - _BETWEEN


def _legend(picture: GraphPicture) -> str:
    if picture.case:
        return f"{picture.case} Its way is thick, its questions numbered; what counted is filled."
    plain = "Each question with what it can bring; dashed: when it can't be told or is in doubt. ×2: by two rulings."
    return picture.headline or plain


def _described(picture: GraphPicture) -> str:
    cards = [card for part in picture.parts for card in part.cards]
    way = [card.id for card in sorted(cards, key=lambda card: card.step) if card.step]
    said = f"{len(picture.parts)} parts, {len(cards)} questions and places of rulings. {picture.case}"
    return f"{said} The way: {', '.join(way)}." if way else said


def _columns(picture: GraphPicture, size: float) -> Iterator[list[_Piece]]:
    """The parts cut into pieces, column by column; after them, as a part of one card, how a case ends of itself."""
    ends = [PartPicture("end", "at the end", (NodeCard("the end", "where no ruling decides", picture.ends),))]
    column: list[_Piece] = []
    room = _ROOM
    for part, following in pairwise((*picture.parts, *(ends if picture.ends else []), None)):
        assert part is not None
        cards = list(part.cards)
        while cards:
            piece = _longest(part, f"then {following.id}" if following else "the end", cards, room, size)
            if piece is None:
                yield column
                column, room = [], _ROOM
            else:
                column.append(piece)
                room -= piece.height + _BETWEEN
                del cards[: sum(box.card is not None for box in piece.boxes)]
    yield column


def _longest(part: PartPicture, then: str, cards: Sequence[NodeCard], room: float, size: float) -> _Piece | None:
    """As many cards as fit a room, three of them or more; at the head of a column one at least."""
    alone = list(accumulate(_card_box(card, size).height + size for card in cards))
    for count in range(len(cards), 0 if room == _ROOM else min(3, len(cards)) - 1, -1):
        last = room == _ROOM and count == 1
        if alone[count - 1] <= room or last:
            piece = _laid_out(part, then, cards[:count], size)
            if piece.height <= room or last:
                return piece
    return None


def _laid_out(part: PartPicture, then: str, cards: Sequence[NodeCard], size: float) -> _Piece:
    """A piece of a part, placed by grandalf; what hangs apart stands one under the other."""
    more = f"{part.id}, continued" if cards[0] is not part.cards[0] else part.heading
    boxes = {card.id: _card_box(card, size) for card in cards}
    vertices = {id(box): _vertex(box) for box in boxes.values()}
    edges: list[_Joined] = []

    def joined(start: _Box, end: _Box, lit: bool, ends: _Ends) -> None:
        for box in (start, end):
            vertices.setdefault(id(box), _vertex(box))
        edge = Edge(vertices[id(start)], vertices[id(end)])
        edge.view = EdgeViewer()
        edges.append((edge, lit, ends))

    for place, card in enumerate(cards):
        near = {each.id for each in cards[max(0, place - _FAR) : place + _FAR + 1] if each is not card}
        for way in card.ways:
            ends = (card.id, f"part:{part.id}" if way.to == END else way.to)
            here = boxes.get(way.to) if way.to in near else None
            words = _words_box(way, then if way.to == END else "" if here else way.to, size)
            if words is None and here is not None:
                joined(boxes[card.id], here, way.lit, ends)
            elif words is not None:
                joined(boxes[card.id], words, way.lit, None if here else ends)
                if here is not None:
                    joined(words, here, way.lit, ends)
    piece = _Piece(broken(more, size * _BOLD, size * (_CARD - 1)), width=size * _CARD)
    top = _heading_height(piece, size) + size * 0.7
    graph = Graph(list(vertices.values()), [edge for edge, *_ in edges])
    for core in graph.C:
        layout = SugiyamaLayout(core)
        layout.xspace, layout.yspace = size * 0.8, size * 1.1
        layout.dw, layout.dh = size * 0.6, size
        layout.route_edge = lambda edge, points: None
        first = next(vertex for vertex in vertices.values() if vertex in core.sV)
        layout.init_all(roots=[v for v in core.sV if not v.e_in()] or [first])
        layout.draw(3)
        top = _moved(piece, layout, [each for each in edges if each[0] in core.sE], top, size)
    piece.height = top
    return piece


def _vertex(box: _Box) -> Vertex:
    vertex = Vertex(box)
    vertex.view = VertexViewer(box.width, box.height)
    return vertex


def _moved(piece: _Piece, layout: SugiyamaLayout, edges: list[_Joined], top: float, size: float) -> float:
    """Takes the places of one layout into a piece below what stands there; gives where it ends."""
    vertices = list(layout.g.sV)
    lines = [list(_steered(edge, layout)) for edge, *_ in edges]
    left = min([*(v.view.xy[0] - v.view.w / 2 for v in vertices), *(x for line in lines for x, _ in line)])
    upper = min(v.view.xy[1] - v.view.h / 2 for v in vertices)
    for vertex in vertices:
        box: _Box = vertex.data
        box.x, box.y = vertex.view.xy[0] - left, vertex.view.xy[1] - upper + top
        piece.boxes.append(box)
        piece.width = max(piece.width, box.x + box.width / 2)
    for line, (_, lit, ends) in zip(lines, edges, strict=True):
        piece.paths.append(([(x - left, y - upper + top) for x, y in line], lit, ends))
        piece.width = max(piece.width, *(x - left for x, _ in line))
    return max(box.y + box.height / 2 for box in piece.boxes) + size * 0.5


def _steered(edge: Edge, layout: SugiyamaLayout) -> Iterator[tuple[float, float]]:
    """A way through its layers: straight down in each of them, aslant only between two, where no box is."""
    start, end = (vertex.view for vertex in edge.v)
    points = getattr(edge.view, "_pts", None) or [start.xy, end.xy]
    down = 1 if start.xy[1] <= end.xy[1] else -1
    high = {layer[0].view.xy[1]: max(vertex.view.h for vertex in layer) for layer in layout.layers}
    for place, (x, y) in enumerate(points):
        half = high[y] / 2
        first = y + down * start.h / 2 if place == 0 else y - down * half
        last = y - down * end.h / 2 if place == len(points) - 1 else y + down * half
        yield x, first
        if last != first:
            yield x, last


def _card_box(card: NodeCard, size: float) -> _Box:
    room = size * (_CARD - 1)
    title = broken(f"{card.step}  {card.id}" if card.step else card.id, size * _BOLD, room, 1)[0]
    beside = not card.said and text_width(title, size * _BOLD) + text_width(card.name, size) + size <= room
    lines = [] if beside else broken(card.name, size, room, 2)
    lines += broken(f"said: {card.said}", size, room, 2) if card.said else []
    lines += [] if card.reached else ["no way leads here"]
    rows: list[_Row] = [[(line, None)] for line in lines]
    rows += _chip_rows(card.chips, size, room)
    height = (1 + len(rows)) * size * _LINE + size * 0.5
    return _Box(card, title, rows, size * _CARD, height, beside=card.name if beside else "")


def _chip_rows(chips: Sequence[Chip], size: float, room: float) -> Iterator[_Row]:
    """Chips beside each other as far as they fit."""
    row: _Row = []
    used = 0.0
    for chip in chips:
        text = broken(f"{'? ' if chip.doubt else ''}{chip.text}", size, room, 1)[0]
        width = _chip_width(text, size)
        if row and used + width > room + size * 0.4:
            yield row
            row, used = [], 0.0
        row.append((text, chip))
        used += width + size * 0.3
    if row:
        yield row


def _chip_width(text: str, size: float) -> float:
    return text_width(text, size) + size * 0.5


def _words_box(way: Way, to: str, size: float) -> _Box | None:
    """The words on a way, with the name of what it leads to where that is not drawn below it."""
    says = f"{way.short} " if way.short else ""
    text = f"{says}► {to}" if to else way.short
    if not text:
        return None
    lines = broken(text, size, size * _WORDS)
    width = max(text_width(line, size) for line in lines) + size * 0.4
    height = len(lines) * size * _LINE + size * 0.2
    return _Box(None, "", [[(line, None)] for line in lines], width, height, says=way.says)


def _heading_height(piece: _Piece, size: float) -> float:
    return len(piece.heading) * size * _LINE + size * 0.3


def _piece_drawn(piece: _Piece, x: float, y: float, size: float, lighted: bool) -> Iterator[str]:
    placed = f'x="{x:.2f}" y="{y:.2f}" width="{piece.width:.2f}" height="{_heading_height(piece, size):.2f}"'
    yield f'<rect class="heading" {placed} fill="#dddddd"/>'
    for number, text in enumerate(piece.heading, 1):
        yield text_at(x + size * 0.4, y + size * (number * _LINE - 0.2), text, size, _BOLD_INK)
    for line, lit, ends in piece.paths:
        points = "L".join(f"{px + x:.2f} {py + y:.2f}" for px, py in line)
        thick, colour = (size * 0.2, BLACK) if lit else (size * 0.08, GREY if lighted else BLACK)
        stroke = f'stroke="{colour}" stroke-width="{thick:.2f}" marker-end="url(#tip)"'
        named = f' data-from="{safe(ends[0])}" data-to="{safe(ends[1])}"' if ends else ""
        yield f'<path class="way" d="M{points}" fill="none" {stroke}{named}/>'
    for box in piece.boxes:
        yield from _box_drawn(box, x, y, size, lighted)


def _box_drawn(box: _Box, x: float, y: float, size: float, lighted: bool) -> Iterator[str]:
    left, top = x + box.x - box.width / 2, y + box.y - box.height / 2
    placed = f'x="{left:.2f}" y="{top:.2f}" width="{box.width:.2f}" height="{box.height:.2f}"'
    card = box.card
    if card is None:
        yield f'<g class="words"><title>{safe(box.says)}</title><rect {placed} fill="#ffffff"/>'
    else:
        pale = lighted and not card.step
        dash = "" if card.asks else f' stroke-dasharray="{size * 0.5:.2f} {size * 0.3:.2f}"'
        thick = size * (0.25 if card.step or card.near else 0.1)
        yield (
            f'<g class="card"><rect {placed} rx="{size * 0.3:.2f}" fill="#ffffff" stroke="{GREY if pale else BLACK}" '
            f'stroke-width="{thick:.2f}"{dash}/>'
        )
    line = top + size * 0.25
    if box.title:
        yield text_at(left + size * 0.5, line + size, box.title, size, _BOLD_INK)
        if box.beside:
            along = left + size + text_width(box.title, size * _BOLD)
            yield text_at(along, line + size, box.beside, size, _INK)
        line += size * _LINE
    for row in box.rows:
        along = left + size * (0.3 if card else 0.0)
        for text, chip in row:
            colour = BLACK
            if chip is not None:
                tint, colour = COLOURS[chip.verdict] if chip.verdict is not None else _RESTRICTS
                fill, colour = (colour, "#ffffff") if chip.lit else (tint, colour)
                yield _chip_drawn(chip, card.id if card else "", along, line, _chip_width(text, size), size, fill)
            yield text_at(along + size * 0.25, line + size * 0.93, text, size, f'fill="{colour}"')
            along += _chip_width(text, size) + size * 0.3
        line += size * _LINE
    yield "</g>"


def _chip_drawn(chip: Chip, node: str, x: float, y: float, width: float, size: float, fill: str) -> str:
    stroke = (COLOURS[chip.verdict] if chip.verdict is not None else _RESTRICTS)[1]
    dash = f' stroke-dasharray="{size * 0.4:.2f} {size * 0.3:.2f}"' if chip.doubt else ""
    placed = f'x="{x:.2f}" y="{y:.2f}" width="{width:.2f}" height="{size * (_LINE - 0.1):.2f}"'
    ends = f'data-from="{safe(node)}" data-to="ending:{safe(chip.name)}"'
    return (
        f'<rect class="chip" {placed} fill="{fill}" stroke="{stroke}" stroke-width="{size * 0.08:.2f}"{dash} {ends}/>'
    )
