"""A picture as SVG 1.1: black on white, lines told apart by dashes, a title and a description, no links."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from html import escape

from advisor.drawings.labels import Box, Named, placed
from advisor.drawings.outlines import hatching
from advisor.drawings.render_terminal import wrapped_label
from advisor.drawings.scene import Fill, Label, Name, Picture, SceneSpan, Spot, Stroke

_WIDE_PX, _EDGE_PX, _ROW_PX = 960, 24, 22
_TITLE_PX, _NOTE_PX = 34, 18
_UNSCALED_PX, _MOST_PX = 300, 420
_LETTER_PX, _HIGH_PX = 7.4, 15
_NOTE_COLUMNS = 120
_APART_PX, _SIGN_PX = 11, 6
_HATCH_PX, _CROSS_PX = 9, 5
_STROKE = {
    "solid": 'stroke-width="1.6"',
    "thick": 'stroke-width="3"',
    "thin": 'stroke-width="0.8"',
    "dashed": 'stroke-width="1.6" stroke-dasharray="8 5"',
    "dotted": 'stroke-width="1.2" stroke-dasharray="1.5 4"',
}
_FONT = 'font-family="Helvetica, Arial, sans-serif" fill="black"'


class _Frame:
    """Where mm come to lie in px."""

    def __init__(self, picture: Picture) -> None:
        self.picture = picture
        self.left_px = _EDGE_PX + max((len(text) * _LETTER_PX + 12 for _, text in picture.beside), default=0.0)
        self.right_px = float(_WIDE_PX - _EDGE_PX)
        self.top_px = float(_EDGE_PX + _TITLE_PX + _ROW_PX * len(picture.above))
        wide, tall = picture.right - picture.left, picture.bottom - picture.top
        self.across = (self.right_px - self.left_px) / wide
        self.down = _UNSCALED_PX / tall
        if picture.to_scale:
            self.across = self.down = min(self.across, _MOST_PX / tall)
        self.bottom_px = self.top_px + tall * self.down
        self._start = (self.left_px + self.right_px - wide * self.across) / 2

    def x(self, mm: float) -> float:
        return self._start + (mm - self.picture.left) * self.across

    def y(self, mm: float) -> float:
        return self.top_px + (mm - self.picture.top) * self.down


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
    notes = wrapped_label(picture.notes, _NOTE_COLUMNS)
    after = frame.bottom_px + _ROW_PX * len(picture.below) + 24
    height = round(after + _NOTE_PX * len(notes) + _EDGE_PX)
    mark = escape(prefix)
    title = f'<text x="{_EDGE_PX}" y="{_EDGE_PX + 16}" {_FONT} font-size="18" font-weight="bold">'
    rows = [
        *_head(height, mark, f'y="{top}" ' if top else ""),
        f'<title id="{mark}-title">{_safe(picture.title)}</title>',
        f'<desc id="{mark}-desc">{_safe(picture.says)}</desc>',
        f'<rect width="{_WIDE_PX}" height="{height}" fill="white"/>',
        f"{title}{_safe(picture.title)}</text>",
        *(_fill(frame, fill) for fill in picture.fills),
        *(_line(frame, line) for line in picture.lines),
        *_rows(frame, picture),
        *(_spot(frame, spot) for spot in picture.spots if not _hidden(frame, spot, picture.spots)),
        *_names(frame, picture),
        *(_text(frame.left_px - 10, frame.y(y) + 4, text, "end") for y, text in picture.beside),
        *(_text(_EDGE_PX, after + _NOTE_PX * row, note, "start") for row, note in enumerate(notes)),
        "</svg>",
    ]
    return "\n".join(rows) + "\n", height


def _fill(frame: _Frame, fill: Fill) -> str:
    corners = [(frame.x(x), frame.y(y)) for x, y in fill.corners]
    step = _CROSS_PX if fill.crossed else _HATCH_PX
    ways = (True, False) if fill.crossed else (True,)
    parts = [line for rising in ways for line in hatching(corners, step, rising)]
    drawn = "".join(f"M{line.x1:.1f} {line.y1:.1f}L{line.x2:.1f} {line.y2:.1f}" for line in parts)
    return f'<path d="{drawn or "M0 0"}" stroke="black" stroke-width="0.5" fill="none"/>'


def _line(frame: _Frame, line: Stroke) -> str:
    return _stroke(frame.x(line.x1), frame.y(line.y1), frame.x(line.x2), frame.y(line.y2), _STROKE[line.style])


def _stroke(x1: float, y1: float, x2: float, y2: float, look: str) -> str:
    return (
        f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" stroke="black" stroke-linecap="round" {look}/>'
    )


def _rows(frame: _Frame, picture: Picture) -> Iterator[str]:
    first = frame.top_px - _ROW_PX * len(picture.above) + 10
    rows = [(first + _ROW_PX * row, items) for row, items in enumerate(picture.above)]
    rows += [(frame.bottom_px + _ROW_PX * row + 16, items) for row, items in enumerate(picture.below)]
    for y, items in rows:
        for item in items:
            if isinstance(item, SceneSpan):
                yield from _span(frame, y, item)
            elif item.room is None or len(item.text) * _LETTER_PX <= item.room * frame.across:
                yield _label(frame, y, item)


def _label(frame: _Frame, y: float, label: Label) -> str:
    x = min(max(frame.x(label.x), _EDGE_PX), _WIDE_PX - _EDGE_PX)
    return _text(x, y + 4, label.text, label.anchor)


def _span(frame: _Frame, y: float, span: SceneSpan) -> Iterator[str]:
    """A dimension line with a tick at each end; words that do not fit between stand beside it."""
    left, right = sorted((frame.x(span.x1), frame.x(span.x2)))
    half = len(span.text) * _LETTER_PX / 2 + 6
    fits = right - left > 2 * half + 8
    thin = _STROKE["thin"]
    for x in (left, right):
        yield _stroke(x, y - 6, x, y + 6, thin)
    if not fits:
        yield _stroke(left, y, right, y, thin)
        if span.band:
            return
        beside = right + 8 + 2 * half < _WIDE_PX
        yield _text(right + 8 if beside else left - 8, y + 4, span.text, "start" if beside else "end")
        return
    middle = (left + right) / 2
    yield _stroke(left, y, middle - half, y, thin)
    yield _stroke(middle + half, y, right, y, thin)
    yield _text(middle, y + 4, span.text, "middle")


def _hidden(frame: _Frame, spot: Spot, spots: Sequence[Spot]) -> bool:
    """Whether an inner end lies so close to an outer one that its sign would cover it."""
    x, y = frame.x(spot.x), frame.y(spot.y)
    outer = (other for other in spots if other.mark == "x")
    return spot.mark == "o" and any(
        math.hypot(frame.x(other.x) - x, frame.y(other.y) - y) < _APART_PX for other in outer
    )


def _spot(frame: _Frame, spot: Spot) -> str:
    x, y = frame.x(spot.x), frame.y(spot.y)
    if spot.mark == "x":
        drawn = f"M{x - 4.5:.1f} {y - 4.5:.1f}l9 9m0 -9l-9 9"
    else:
        drawn = f"M{x - 4:.1f} {y:.1f}a4 4 0 1 0 8 0a4 4 0 1 0 -8 0"
    return f'<path d="{drawn}" stroke="black" stroke-width="1.8" fill="{"none" if spot.mark == "x" else "white"}"/>'


def _names(frame: _Frame, picture: Picture) -> Iterator[str]:
    """Each name on a white ground, where it covers no mark and no other name."""
    marks: list[Box] = [_around(frame.x(spot.x), frame.y(spot.y), _SIGN_PX) for spot in picture.spots]
    things = [
        Named(_box(frame, name), len(name.text) * _LETTER_PX + 4, _HIGH_PX, name.left_first) for name in picture.named
    ]
    sheet = (frame.left_px - 4, frame.top_px, frame.right_px + 4, frame.bottom_px)
    for name, (left, top, right, bottom) in zip(picture.named, placed(things, marks, sheet, 3), strict=True):
        yield (
            f'<rect x="{left:.1f}" y="{top:.1f}" width="{right - left:.1f}" height="{bottom - top:.1f}" fill="white"/>'
        )
        yield _text((left + right) / 2, bottom - 3.5, name.text, "middle", ' font-weight="bold"')


def _box(frame: _Frame, name: Name) -> Box:
    """What a named thing takes, in px; a mere cross as much as its sign."""
    left, top, right, bottom = frame.x(name.left), frame.y(name.top), frame.x(name.right), frame.y(name.bottom)
    return _around(left, top, _SIGN_PX) if (left, top) == (right, bottom) else (left, top, right, bottom)


def _around(x: float, y: float, half: float) -> Box:
    return x - half, y - half, x + half, y + half


def _text(x: float, y: float, text: str, anchor: str, look: str = "") -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" {_FONT} font-size="13"{look}>{_safe(text)}</text>'


def _safe(text: str) -> str:
    """The text fit for XML: its signs escaped, control characters left out."""
    return escape("".join(sign for sign in text if sign.isprintable()))
