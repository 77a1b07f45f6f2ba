"""The code tables of a sidewall: rim codes, load indices, speed symbols.

A rim code is the number at the end of a size and stands for a diameter in mm; a load index, printed before the speed
symbol, for the mass that a tire may carry; a speed symbol, the letter after it, for the top speed that it is marked
for. Sources and standing are told by `rim_mm`, `load_kg` and `speed_symbol`.
"""

from __future__ import annotations

from fractions import Fraction

from msgspec import Struct

from advisor.model.problems import Misread

#: Tenths of a kilogram, by load index; ten to a line.
_TENTHS_KG = (
    450, 462, 475, 487, 500, 515, 530, 545, 560, 580,  # 0
    600, 615, 630, 650, 670, 690, 710, 730, 750, 775,  # 10
    800, 825, 850, 875, 900, 925, 950, 975, 1000, 1030,  # 20
    1060, 1090, 1120, 1150, 1180, 1210, 1250, 1280, 1320, 1360,  # 30
    1400, 1450, 1500, 1550, 1600, 1650, 1700, 1750, 1800, 1850,  # 40
    1900, 1950, 2000, 2060, 2120, 2180, 2240, 2300, 2360, 2430,  # 50
    2500, 2570, 2650, 2720, 2800, 2900, 3000, 3070, 3150, 3250,  # 60
    3350, 3450, 3550, 3650, 3750, 3870, 4000, 4120, 4250, 4370,  # 70
    4500, 4620, 4750, 4870, 5000, 5150, 5300, 5450, 5600, 5800,  # 80
    6000, 6150, 6300, 6500, 6700, 6900, 7100, 7300, 7500, 7750,  # 90
    8000, 8250, 8500, 8750, 9000, 9250, 9500, 9750, 10000, 10300,  # 100
    10600, 10900, 11200, 11500, 11800, 12150, 12500, 12850, 13200, 13600,  # 110
    14000, 14500, 15000, 15500, 16000, 16500, 17000, 17500, 18000, 18500,  # 120
    19000, 19500, 20000, 20600, 21200, 21800, 22400, 23000, 23600, 24300,  # 130
    25000, 25750, 26500, 27250, 28000, 29000, 30000, 30750, 31500, 32500,  # 140
    33500, 34500, 35500, 36500, 37500, 38750, 40000, 41250, 42500, 43750,  # 150
    45000, 46250, 47500, 48750, 50000, 51500, 53000, 54500, 56000, 58000,  # 160
    60000, 61500, 63000, 65000, 67000, 69000, 71000, 73000, 75000, 77500,  # 170
    80000, 82500, 85000, 87500, 90000, 92500, 95000, 97500, 100000, 103000,  # 180
    106000, 109000, 112000, 115000, 118000, 121500, 125000, 128500, 132000, 136000,  # 190
    140000, 145000, 150000, 155000, 160000, 165000, 170000, 175000, 180000, 185000,  # 200
    190000, 195000, 200000, 206000, 212000, 218000, 224000, 230000, 236000, 243000,  # 210
    250000, 257500, 265000, 272500, 280000, 290000, 300000, 307500, 315000, 325000,  # 220
    335000, 345000, 355000, 365000, 375000, 387500, 400000, 412500, 425000, 437500,  # 230
    450000, 462500, 475000, 487500, 500000, 515000, 530000, 545000, 560000, 580000,  # 240
    600000, 615000, 630000, 650000, 670000, 690000, 710000, 730000, 750000, 775000,  # 250
    800000, 825000, 850000, 875000, 900000, 925000, 950000, 975000, 1000000, 1030000,  # 260
    1060000, 1090000, 1120000, 1150000, 1180000, 1215000, 1250000, 1285000, 1320000, 1360000,  # 270
)  # fmt: skip

#: The highest load index of the series.
HIGHEST = len(_TENTHS_KG) - 1


def load_kg(load_index: int) -> Fraction:
    """The load that a load index stands for, for one tire.

    Parameters
    ----------
    load_index : code from 0 to 279, as printed before the speed symbol

    Returns
    -------
    mass in kg, exact

    Raises
    ------
    Misread : an index outside 0 to 279

    References
    ----------
    Load index series of ISO 4000-1, ISO 4209-1 and UN R54 Annex 4 (not read). Standing: 20 to 180 second-hand (open
    public lists agree), 0 to 19 and most of 181 to 279 from memory.

    Examples
    --------
    >>> int(load_kg(148)), int(load_kg(145)), float(load_kg(1))
    (3150, 2900, 46.2)
    """
    if not 0 <= load_index <= HIGHEST:
        expected = f"a load index from 0 to {HIGHEST}"
        raise Misread(f"load index {load_index}", expected, "read the sidewall again")
    return Fraction(_TENTHS_KG[load_index], 10)


class SpeedSymbol(Struct, frozen=True):
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
    """The entry for a speed symbol: its speed and its rank.

    Parameters
    ----------
    symbol : the letters in capitals, as printed behind the load index: `L`, `A8`, `(Y)`, `ZR`

    Returns
    -------
    speed in km/h and rank from 1 (slow) to 29 (fast); `ZR` and `(Y)` are open-ended: their speed is the one that they
    go beyond, and their rank is None. Compare ranks, never letters: H stands between U and V

    Raises
    ------
    Misread : a symbol that is not in the list

    References
    ----------
    Speed category symbols of UN R30, UN R54 and ISO 4000-1. Standing: second-hand, A1 to A7 from memory.

    Examples
    --------
    >>> speed_symbol("H").kmh, speed_symbol("U").rank < speed_symbol("H").rank < speed_symbol("V").rank
    (210, True)
    >>> speed_symbol("ZR")
    SpeedSymbol(symbol='ZR', kmh=240, rank=None)
    """
    found = SPEED_SYMBOLS.get(symbol)
    if found is None:
        expected = "a speed symbol: A1 to A8, or a letter from B to Y (never I, O or X), or ZR"
        raise Misread(f"speed symbol {symbol[:20]!r}", expected, "read the letter after the load index again")
    return found


_MM_BY_CODE = {
    "8": 203, "9": 229, "10": 254, "12": 305, "13": 330, "14": 356, "14.5": 368, "15": 381, "16": 406,
    "16.5": 419, "17": 432, "17.5": 445, "18": 457, "19": 483, "19.5": 495, "20": 508, "20.5": 521, "21": 533,
    "22": 559, "22.5": 572, "23": 584, "24": 610, "24.5": 622, "25": 635, "26": 660, "26.5": 673, "28": 711,
    "30": 762,
}  # fmt: skip

#: Half codes of the tubeless 15-degree drop-centre rims of medium trucks; 14.5 and 16.5 are no trucks'.
TRUCK_HALF_CODES = frozenset({"17.5", "19.5", "22.5", "24.5"})

_FIGURES = {code: Fraction(code) for code in _MM_BY_CODE}


def is_rim_code(code: str) -> bool:
    """Whether a text is a rim code of the list.

    Parameters
    ----------
    code : the number at the end of a size, with a point: `16`, `22.5`

    Returns
    -------
    True for a code of the list, False for any other text

    Examples
    --------
    >>> is_rim_code("22.5"), is_rim_code("225"), is_rim_code("27")
    (True, False, False)
    """
    return code in _MM_BY_CODE


def rim_figure(code: str) -> Fraction:
    """A rim code as an exact figure.

    Parameters
    ----------
    code : as for `is_rim_code`

    Returns
    -------
    the code's own number, no length: for mm ask `rim_mm`

    Raises
    ------
    Misread : a code that is not in the list

    Examples
    --------
    >>> rim_figure("22.5")
    Fraction(45, 2)
    """
    if code not in _FIGURES:
        raise _unknown(code)
    return _FIGURES[code]


def rim_mm(code: str) -> int:
    """The diameter that a rim code stands for.

    Parameters
    ----------
    code : as for `is_rim_code`

    Returns
    -------
    whole mm, looked up and never worked out: 22.5 is 572 mm, not 571.5

    Raises
    ------
    Misread : a code that is not in the list

    References
    ----------
    List of codes and mm in the definitions of UN R30 and UN R54. Standing: published in the regulations, figures from
    memory; each equals code x 25.4 rounded to 1 mm.

    Examples
    --------
    >>> rim_mm("22.5"), rim_mm("16")
    (572, 406)
    """
    if code not in _MM_BY_CODE:
        raise _unknown(code)
    return _MM_BY_CODE[code]


def _unknown(code: str) -> Misread:
    expected = "a rim code such as 16 or 22.5"
    return Misread(f"rim code {code[:20]!r}", expected, "read the end of the size again")
