"""A picture as SVG 1.1: black on white, lines told apart by dashes, a title and a description, no links."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from advisor.tire.drawing import Label, Line, Picture, Spot
from advisor.tire.drawing_terminal import wrapped

_WIDE_PX, _EDGE_PX, _ROW_PX = 960, 20, 18
_UNSCALED_PX = 260
_LETTER_PX = 7.8
_NOTE_COLUMNS = 112
_STROKE = {
    "solid": 'stroke-width="1.5"',
    "thick": 'stroke-width="4"',
    "dashed": 'stroke-width="1.5" stroke-dasharray="8 5"',
    "dotted": 'stroke-width="1" stroke-dasharray="1 4"',
}
_TEXT = 'font-family="monospace" font-size="13" fill="black"'


class _Frame:
    """Where mm come to lie in px."""

    def __init__(self, picture: Picture) -> None:
        self.left_px = _EDGE_PX + max((len(text) * _LETTER_PX + 8 for _, text in picture.beside), default=0.0)
        self.top_px = float(_EDGE_PX + _ROW_PX * (1 + len(picture.above)) + 6)
        self.across = (_WIDE_PX - _EDGE_PX - self.left_px) / (picture.right - picture.left)
        tall = picture.bottom - picture.top
        self.down = self.across if picture.to_scale else _UNSCALED_PX / tall
        self.bottom_px = self.top_px + tall * self.down
        self.left, self.top = picture.left, picture.top

    def x(self, mm: float) -> float:
        return self.left_px + (mm - self.left) * self.across

    def y(self, mm: float) -> float:
        return self.top_px + (mm - self.top) * self.down


def svg(picture: Picture, prefix: str = "drawing") -> str:
    """The picture as a whole SVG document; `prefix` keeps its ids apart from other drawings on a page."""
    return _element(picture, prefix, 0)[0]


def sheet(pictures: Sequence[Picture]) -> str:
    """Several pictures, one under the other, as one SVG document with a title and description of its own."""
    elements, top = [], 0
    for number, picture in enumerate(pictures, 1):
        element, height = _element(picture, f"drawing-{number}", top)
        elements.append(element)
        top += height
    titles = "; ".join(picture.title for picture in pictures) or "No drawing"
    rows = [
        *_head(top, "sheet", ""),
        f'<title id="sheet-title">{_safe(titles)}</title>',
        f'<desc id="sheet-desc">{_safe(" ".join(picture.says for picture in pictures))}</desc>',
    ]
    return "\n".join([*rows, *elements]).rstrip("\n") + "\n</svg>\n"


def _head(height: int, mark: str, place: str) -> list[str]:
    return [
        f'<svg xmlns="http://www.w3.org/2000/svg" {place}viewBox="0 0 {_WIDE_PX} {height}" width="{_WIDE_PX}" '
        f'height="{height}" role="img" aria-labelledby="{mark}-title {mark}-desc">'
    ]


def _element(picture: Picture, prefix: str, top: int) -> tuple[str, int]:
    """The picture as an SVG element `top` px down the page, and its height in px."""
    frame = _Frame(picture)
    notes = wrapped(picture.notes, _NOTE_COLUMNS)
    after = frame.bottom_px + _ROW_PX * (len(picture.below) + 1)
    height = round(after + _ROW_PX * len(notes) + _EDGE_PX)
    mark = escape(prefix)
    rows = [
        *_head(height, mark, f'y="{top}" ' if top else ""),
        f'<title id="{mark}-title">{_safe(picture.title)}</title>',
        f'<desc id="{mark}-desc">{_safe(picture.says)}</desc>',
        f'<rect width="{_WIDE_PX}" height="{height}" fill="white"/>',
        _text(_EDGE_PX, _EDGE_PX + _ROW_PX - 6, picture.title, "start"),
        *(_line(frame, line) for line in picture.lines),
        *_labels(frame, picture),
        *(_spot(frame, spot) for spot in picture.spots),
        *(_text(frame.left_px - 8, frame.y(y) + 4, text, "end") for y, text in picture.beside),
        *(_text(_EDGE_PX, after + _ROW_PX * row, note, "start") for row, note in enumerate(notes)),
        "</svg>",
    ]
    return "\n".join(rows) + "\n", height


def _line(frame: _Frame, line: Line) -> str:
    ends = f'x1="{frame.x(line.x1):.1f}" y1="{frame.y(line.y1):.1f}"'
    ends += f' x2="{frame.x(line.x2):.1f}" y2="{frame.y(line.y2):.1f}"'
    return f'<line {ends} stroke="black" {_STROKE[line.style]}/>'


def _labels(frame: _Frame, picture: Picture) -> list[str]:
    first = frame.top_px - _ROW_PX * len(picture.above) + 6
    rows = [(first + _ROW_PX * row, labels) for row, labels in enumerate(picture.above)]
    rows += [(frame.bottom_px + _ROW_PX * (row + 1) - 3, labels) for row, labels in enumerate(picture.below)]
    return [_label(frame, y, label) for y, labels in rows for label in labels if _fits(frame, label)]


def _fits(frame: _Frame, label: Label) -> bool:
    return label.room is None or len(label.text) * _LETTER_PX <= label.room * frame.across


def _label(frame: _Frame, y: float, label: Label) -> str:
    nudge = {"start": -_LETTER_PX / 2, "middle": 0.0, "end": _LETTER_PX / 2}[label.anchor]
    x = min(max(frame.x(label.x) + nudge, _EDGE_PX), _WIDE_PX - _EDGE_PX)
    return _text(x, y, label.text, label.anchor)


def _spot(frame: _Frame, spot: Spot) -> str:
    x, y = frame.x(spot.x), frame.y(spot.y)
    if spot.text == "x":
        cross = f"M{x - 4:.1f} {y - 4:.1f}l8 8m0 -8l-8 8"
        return f'<path d="{cross}" stroke="black" stroke-width="1.5" fill="none"/>'
    return _text(x, y - 7, spot.text, "middle")


def _text(x: float, y: float, text: str, anchor: str) -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" {_TEXT}>{_safe(text)}</text>'


def _safe(text: str) -> str:
    """The text fit for XML: its signs escaped, control characters left out."""
    return escape("".join(sign for sign in text if sign.isprintable()))
