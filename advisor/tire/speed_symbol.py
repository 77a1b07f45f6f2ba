"""Speed symbol: the top speed a tire is marked for, as a letter printed after the load index.

Source: speed category symbols of UN R30, UN R54 and ISO 4000-1. Standing: second-hand (open public lists
agree), A1 to A7 from memory. H stands between U and V, so symbols are compared by rank, never by letter.
ZR and (Y) are open-ended: their figure is the speed they go beyond, and they have no rank.
"""

from __future__ import annotations

from advisor.errors import Misread
from advisor.quick import dataclass


@dataclass(frozen=True, slots=True)
class SpeedSymbol:
    """A symbol, its speed in km/h, its place from slow (1) to fast (29); no place when open-ended."""

    symbol: str
    kmh: int
    rank: int | None


_IN_ORDER = (
    ("A1", 5), ("A2", 10), ("A3", 15), ("A4", 20), ("A5", 25), ("A6", 30), ("A7", 35), ("A8", 40),
    ("B", 50), ("C", 60), ("D", 65), ("E", 70), ("F", 80), ("G", 90), ("J", 100), ("K", 110), ("L", 120),
    ("M", 130), ("N", 140), ("P", 150), ("Q", 160), ("R", 170), ("S", 180), ("T", 190), ("U", 200),
    ("H", 210), ("V", 240), ("W", 270), ("Y", 300),
)  # fmt: skip

#: Every symbol by its letters, the open-ended ones too.
SPEED_SYMBOLS: dict[str, SpeedSymbol] = {
    **{symbol: SpeedSymbol(symbol, kmh, rank) for rank, (symbol, kmh) in enumerate(_IN_ORDER, start=1)},
    "ZR": SpeedSymbol("ZR", 240, None),
    "(Y)": SpeedSymbol("(Y)", 300, None),
}


def speed_symbol(symbol: str) -> SpeedSymbol:
    """The entry for a symbol: its speed in km/h and its rank. Raises Misread for one that is not in the list.

    >>> speed_symbol("H").kmh, speed_symbol("U").rank < speed_symbol("H").rank < speed_symbol("V").rank
    (210, True)
    """
    found = SPEED_SYMBOLS.get(symbol)
    if found is None:
        expected = "a speed symbol: A1 to A8, or a letter from B to Y (never I, O or X), or ZR"
        raise Misread(f"speed symbol {symbol[:20]!r}", expected, "read the letter after the load index again")
    return found
