"""Text in an SVG drawing: how wide it comes out about, broken into lines, and fit for XML."""

from __future__ import annotations

from html import escape

#: Widths in em of the widest common sans-serif face (DejaVu Sans), rounded up; narrower faces leave a little air.
_NARROW, _WIDE = frozenset("iljtfr.,:;'|!()[] -"), frozenset("mwMW@%")
_NARROW_EM, _WIDE_EM, _CAPITAL_EM, _OTHER_EM = 0.40, 0.98, 0.72, 0.63
FONT = "Helvetica, Arial, 'DejaVu Sans', sans-serif"


def text_width(text: str, size: float) -> float:
    """About how wide a text comes out, in the unit of its size."""
    return size * sum(_em(sign) for sign in text)


def _em(sign: str) -> float:
    if sign in _NARROW:
        return _NARROW_EM
    return _WIDE_EM if sign in _WIDE else _CAPITAL_EM if sign.isupper() else _OTHER_EM


def broken(text: str, size: float, room: float, most: int = 99) -> list[str]:
    """A text in at most so many lines that fit the room; what is left out is marked by an ellipsis."""
    lines: list[str] = []
    line = ""
    for word in text.split():
        longer = f"{line} {word}".strip()
        if line and text_width(longer, size) > room:
            lines.append(line)
            line = word
        else:
            line = longer
    lines = [*lines, line] if line else lines
    if len(lines) > most:
        lines = [*lines[: most - 1], f"{lines[most - 1]} …"]
    return [_cut(each, size, room) for each in lines]


def _cut(line: str, size: float, room: float) -> str:
    if text_width(line, size) <= room:
        return line
    while line and text_width(f"{line}…", size) > room:
        line = line[:-1]
    return f"{line.rstrip()}…"


def safe(text: str) -> str:
    """The text fit for XML: its signs escaped, control characters left out."""
    return escape("".join(sign for sign in text if sign.isprintable()))


def text_at(x: float, y: float, text: str, size: float, style: str = "", anchor: str = "start") -> str:
    """A line of text at a place; `style` holds further attributes."""
    placed = f'x="{x:.2f}" y="{y:.2f}" font-size="{size:.2f}"'
    ends = f' text-anchor="{anchor}"' if anchor != "start" else ""
    return f"<text {placed}{ends}{f' {style}' if style else ''}>{safe(text)}</text>"
