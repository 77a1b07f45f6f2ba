"""Rim code: the number at the end of a size, which stands for a diameter in mm.

Source: list of codes and mm in the definitions of UN R30 and UN R54. Standing: published in the regulations,
figures from memory; each equals code x 25.4 rounded to 1 mm. The mm are looked up, never worked out from
inches: 22.5 is 572 mm, not 571.5.
"""

from __future__ import annotations

from fractions import Fraction

from advisor.errors import Misread

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
    """Whether a text such as `22.5` is a rim code of the list."""
    return code in _MM_BY_CODE


def rim_figure(code: str) -> Fraction:
    """A rim code as an exact figure: `22.5` is 45/2. Raises Misread for a code that is not in the list."""
    if code not in _FIGURES:
        raise _unknown(code)
    return _FIGURES[code]


def rim_mm(code: str) -> int:
    """The diameter in mm that a rim code stands for. Raises Misread for a code that the list does not have.

    >>> rim_mm("22.5"), rim_mm("16")
    (572, 406)
    """
    if code not in _MM_BY_CODE:
        raise _unknown(code)
    return _MM_BY_CODE[code]


def _unknown(code: str) -> Misread:
    expected = "a rim code such as 16 or 22.5"
    return Misread(f"rim code {code[:20]!r}", expected, "read the end of the size again")
