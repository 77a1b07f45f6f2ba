"""A table as paragraphs: cells wrap inside their columns, so that nothing is cut."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import zip_longest
from typing import NamedTuple

from rich.cells import set_cell_size

from advisor.tui.text_blocks import Para, wrap

_GAP = "  "


class TextColumn(NamedTuple):
    """A column: its name, its width in columns, or with `share` its part of what is left over."""

    name: str
    width: int
    share: bool = False


def column_paras(
    columns: Sequence[TextColumn], rows: Sequence[tuple[Sequence[str], str]], width: int
) -> Iterator[Para]:
    """Heading and rows, each with its style, as lines that fit the width."""
    free = width - 1 - len(_GAP) * (len(columns) - 1) - sum(each.width for each in columns if not each.share)
    shares = sum(each.width for each in columns if each.share)
    widths = [max(4, free * each.width // shares) if each.share else each.width for each in columns]
    if any(each.name for each in columns):
        yield from _row([each.name for each in columns], widths, "label")
    for cells, style in rows:
        yield from _row(cells, widths, style)


def _row(cells: Sequence[str], widths: Sequence[int], style: str) -> Iterator[Para]:
    filled = [[line.text for line in wrap([Para(cell)], width)] for cell, width in zip(cells, widths, strict=True)]
    for pieces in zip_longest(*filled, fillvalue=""):
        text = _GAP.join(set_cell_size(piece, width) for piece, width in zip(pieces, widths, strict=True))
        yield Para("", "", text.rstrip(), style, 1)
