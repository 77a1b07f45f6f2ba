"""The size in a sidewall's print: found, checked against the code tables, written in one form, and its arithmetic.

Sizes without an aspect ratio are a table, never worked out.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator
from fractions import Fraction

from msgspec import Struct

from advisor.domain.code_tables import TRUCK_HALF_CODES, is_rim_code, rim_figure
from advisor.model.problems import Misread

#: Radial sizes without an aspect ratio: section width on the measuring rim and overall diameter, both in mm.
#: Source: UN R54 Annex 5 and rim-association tables, from memory; 11R22.5 checked by hand.
TABLE_SIZES: dict[str, tuple[int, int]] = {
    "8R17.5": (208, 784), "8.5R17.5": (215, 802), "9.5R17.5": (240, 842), "8R19.5": (203, 859),
    "9R22.5": (229, 974), "10R22.5": (254, 1019), "11R22.5": (279, 1050), "12R22.5": (300, 1084),
    "13R22.5": (320, 1124), "11R24.5": (279, 1104), "7.50R16": (215, 802), "9.00R20": (258, 1018),
    "10.00R20": (275, 1052), "11.00R20": (286, 1082), "12.00R20": (313, 1122), "12.00R24": (313, 1226),
    "195R14": (198, 666), "31x10.50R15": (268, 775), "33x12.50R15": (318, 826),
}  # fmt: skip


def section_height_mm(nominal_width_mm: int, aspect_percent: int) -> int:
    """Section height: width x aspect / 100, to the nearest mm, half up.

    Parameters
    ----------
    nominal_width_mm : mm, as printed ahead of the slash
    aspect_percent : percent, as printed behind it

    Returns
    -------
    whole mm

    References
    ----------
    UN R54 para 6.1 (the same in UN R30, ISO 4000-1 and ISO 4209-1).

    Examples
    --------
    >>> section_height_mm(275, 70), section_height_mm(205, 70)
    (193, 144)
    """
    return (nominal_width_mm * aspect_percent + 50) // 100


def height_from_diameter_mm(overall_diameter_mm: int, rim_diameter_mm: int) -> int:
    """Section height of a size known by table: half of what the diameter has over the rim, half up.

    Parameters
    ----------
    overall_diameter_mm, rim_diameter_mm : mm

    Returns
    -------
    whole mm; derived

    Examples
    --------
    >>> height_from_diameter_mm(1050, 572), height_from_diameter_mm(859, 495)
    (239, 182)
    """
    return (overall_diameter_mm - rim_diameter_mm + 1) // 2


def overall_diameter_mm(rim_diameter_mm: int, height_mm: int) -> int:
    """Overall diameter: rim diameter plus twice the section height.

    Parameters
    ----------
    rim_diameter_mm : mm as from `rim_mm`
    height_mm : mm as from `section_height_mm`

    Returns
    -------
    whole mm, of the new tire, unloaded

    References
    ----------
    UN R54 para 6.1 (the same in UN R30, ISO 4000-1 and ISO 4209-1).

    Examples
    --------
    >>> overall_diameter_mm(572, 193)
    958
    """
    return rim_diameter_mm + 2 * height_mm


def revolutions_per_km(overall_diameter_mm: Fraction | int) -> float:
    """Turns in a kilometre, from geometry alone: 1 000 000 / (pi x overall diameter in mm).

    Parameters
    ----------
    overall_diameter_mm : mm, > 0

    Returns
    -------
    turns of an unloaded circle, not measured ones: a loaded tire flattens where it stands and turns a few percent more

    Raises
    ------
    Misread : a diameter of 0 or less

    References
    ----------
    The circumference of a circle (derived).

    Examples
    --------
    >>> round(revolutions_per_km(1050), 1)
    303.2
    """
    if overall_diameter_mm <= 0:
        raise Misread(f"a diameter of {overall_diameter_mm} mm", "a diameter above 0 mm", "measure it again")
    return 1e6 / (math.pi * float(overall_diameter_mm))


#: Stands in the text where something was read, so that what follows it directly can be told.
READ = " | "


class Size(Struct, frozen=True):
    """A size as read. `first` is the width or inch figure as written, `lone` a single letter after the size.

    `sign` is R, D, B, "-" or "" (not told); `speed` a speed letter inside the size (S, H, V or Z) or "".
    """

    prefix: str
    over: str
    first: str
    aspect: int | None
    sign: str
    speed: str
    rim: str
    suffix: str
    lone: str = ""
    lone_ply: str = ""

    @property
    def metric(self) -> bool:
        """Whether the width is in mm."""
        return len(self.first) == 3 and "." not in self.first

    @property
    def inch_width(self) -> Fraction | None:
        """The width figure of an inch size, in inches; None for a metric size."""
        return None if self.metric else Fraction(self.first)

    @property
    def half_rim(self) -> bool:
        """Whether the rim code is one of the half codes of medium trucks."""
        return self.rim in TRUCK_HALF_CODES

    @property
    def rim_code(self) -> Fraction:
        """The rim code as an exact figure."""
        return rim_figure(self.rim)

    def written(self, radial: bool = False) -> str:
        """The size in one form, such as `LT245/75R16`; `radial` fills a sign that the print leaves open."""
        return f"{self.prefix}{self.bare(radial)}{self.suffix}"

    def bare(self, radial: bool = False) -> str:
        """The size without prefix, suffix and speed letters other than ZR."""
        first = f"{self.first}/{self.aspect}" if self.aspect else self.first
        sign = ("R" if radial else " ") if self.sign == "" else self.sign
        return f"{self.over and self.over + 'x'}{first}{'Z' if self.speed == 'Z' else ''}{sign}{self.rim}"


_END = (
    r"(?![0-9]|[./][0-9])(?! ?(?:PR|PLY)(?![A-Z]))"
    r"(?: ?(?P<suffix>LT|CP|ST|MH|M/C)(?![A-Z0-9]))?"
    r"(?:[ /]{0,2}\(?(?P<lone>[B-HJ-NP-WY])\)?(?![A-Z0-9.]| ?[+&]|/[^0-9]|/$| AND S| S(?![A-Z0-9])| R [A-N])"
    r"(?:/(?P<ply>\d\d?)(?!\d)(?: ?-?(?:PLY(?: ?-?RATING)?|PR)(?![A-Z]))?)?)?"
)
_RIM = r"(?P<rim>\d\d(?:\.5|5)?)"
_METRIC = re.compile(
    r"(?<![A-Z0-9./])(?:(?P<prefix>P|LT|ST|HL|T)(?P<gap> ?))?"
    r"(?P<first>[1-9]\d\d)(?P<between> ?[/-]? ?)(?P<aspect>[2-9]\d|100)"
    r"(?: ?\(?(?P<sign>[SHVZ]?RF?|D|B|[/-])\)? ?| )" + _RIM + _END,
    re.ASCII,
)
_INCH = re.compile(
    r"(?<![A-Z0-9./-])(?:(?P<prefix>P|LT|ST)(?P<gap> ?))?(?:(?P<over>\d\d(?:\.\d\d?)?) ?X ?)?"
    r"(?P<first>\d\d?\.\d\d?|[1-9]\d{2,3}|\d\d?)"
    r" ?(?P<sign>[SHVZ]?R|D|-) ?(?P<rim>\d\d(?:\.5|5)?|[89])" + _END,
    re.ASCII,
)
_QUARTERS = ("00", "25", "50", "70", "75")


_Check = Callable[[re.Match[str]], Size | None]


def find_sizes(text: str) -> tuple[list[Size], str]:
    """Every size in a print.

    Parameters
    ----------
    text : in the form of `parser.even`

    Returns
    -------
    the sizes as read, and the text with each replaced by a mark. Nothing is raised; what is no size of the code tables
    stays

    References
    ----------
    Marking clauses of UN R30 and UN R54; C and LT marks and the bias-belted B from memory.

    Examples
    --------
    >>> sizes, left = find_sizes("275/70R22.5 148/145M")
    >>> [size.written() for size in sizes], left
    (['275/70R22.5'], ' |  148/145M')
    >>> find_sizes("275/70R27")[0]
    []
    """
    sizes: list[Size] = []
    for pattern, checked in ((_METRIC, _checked_metric), (_INCH, _checked_inch)):
        for found, size in list(_sizes_of(pattern, checked, text))[::-1]:
            start = found.start() if size.prefix else found.start("over" if size.over else "first")
            text = text[:start] + READ + text[found.end() :]
            sizes.append(size)
    return sizes, text


def _sizes_of(pattern: re.Pattern[str], checked: _Check, text: str) -> Iterator[tuple[re.Match[str], Size]]:
    for found in pattern.finditer(text):
        size = checked(found)
        if size is not None:
            yield found, size


def _prefix(found: re.Match[str]) -> str:
    """The letters ahead of the size; a P or T after a figure and a gap may be a speed symbol: left out."""
    prefix: str = found["prefix"] or ""
    if prefix in ("P", "T") and found["gap"] and found.string[: found.start()].rstrip(" )")[-1:].isdigit():
        return ""
    return prefix


def _rim(found: re.Match[str]) -> str | None:
    """The rim code, when it is one; `225` is 22.5 without its point, for the half codes of trucks only."""
    rim: str = found["rim"]
    if len(rim) == 3:
        rim = f"{rim[:2]}.5"
        return rim if rim in TRUCK_HALF_CODES else None
    return rim if is_rim_code(rim) else None


def _size(found: re.Match[str], first: str, aspect: int | None, rim: str, over: str = "") -> Size:
    sign: str = found["sign"] or ""
    speed, kind = (sign[0], "R") if len(sign) > 1 and sign[0] in "SHVZ" else ("", sign[:1])
    if kind == "/" or kind == "-" == found.groupdict().get("between", "").strip():
        kind = ""
    ends = found["suffix"] or "", found["lone"] or "", found["ply"] or ""
    return Size(_prefix(found), over, first, aspect, kind, speed, rim, *ends)


def _checked_metric(found: re.Match[str]) -> Size | None:
    rim, aspect, between = _rim(found), int(found["aspect"]), found["between"].strip()
    if rim is None or aspect % 5:
        return None
    no_parting = found["sign"] in (None, "/") and not found["between"]
    if between != "/" and (no_parting or not found["first"].endswith("5")):
        return None
    return _size(found, found["first"], aspect, rim)


def _checked_inch(found: re.Match[str]) -> Size | None:
    rim, first, over = _rim(found), found["first"], found["over"] or ""
    if rim is None:
        return None
    if over and first[-2:-1] == ".":
        first += "0"
    radial = found["sign"] not in ("D", "-")
    if "." not in first and len(first) > 2:
        if len(first) == 3 and "125" <= first <= "245" and first[2] == "5" and (radial or first < "166"):
            return _size(found, first, None, rim) if not over and float(rim) < 18 else None
        first = f"{first[:-2]}.{first[-2:]}"
        if first[-2:] not in _QUARTERS or not 5 <= float(first) < 15:
            return None
    if "." not in first and not rim.endswith(".5") and not over:
        return None
    return _size(found, first, None, rim, over) if 2 <= float(first) <= 18 else None
