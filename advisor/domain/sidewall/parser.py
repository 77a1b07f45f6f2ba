"""What is printed on a sidewall, read as the trade reads it: size, class, load, speed, construction, pressures.

Nothing is guessed: what the print does not give is None and is named in `missing`; words that were not understood are
in `not_read`. What was typed is first made even.
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache

from msgspec import Struct
from msgspec.structs import replace

from advisor.domain import code_tables
from advisor.domain.code_tables import SPEED_SYMBOLS, rim_mm
from advisor.domain.sidewall import service as sidewall_class
from advisor.domain.sidewall.service import Service, Words, find_service, find_words
from advisor.domain.sidewall.size import (
    READ,
    TABLE_SIZES,
    Size,
    find_sizes,
    height_from_diameter_mm,
    overall_diameter_mm,
    section_height_mm,
)
from advisor.model.quantity import Measure

#: Characters that are read; what stands after them is named as not read.
MOST_READ = 300

_SIGNS: dict[int, str | None] = {
    **dict.fromkeys((*range(32), *range(127, 160)), " "),
    **dict.fromkeys((0xAD, *range(0x200B, 0x2010), *range(0x202A, 0x202F), *range(0x2060, 0x206A), 0xFEFF)),
    **{ord(sign): "X" for sign in "×✕✖╳*"},
    **{ord(sign): "-" for sign in "‐‑‒–—−"},
    **{ord(sign): "/" for sign in "⁄∕／\\"},
    **{ord(sign): " " for sign in "|;"},
    ord("½"): " 1/2",
}
_ZERO = re.compile(r"(?<=[0-9])O+(?=(?:ZR|PR|PLY|[A-Z])?(?![A-Z]))|(?<=[0-9O][./])O+(?=[0-9RD /-]|$)")
_ONE = re.compile(r"(?<=[0-9])I(?=[0-9])|(?<=[0-9][R/])I(?=[0-9])")
_COMMA = re.compile(r"(?<=[0-9]),(?=5(?![0-9])|(?:00|25|50|75) ?[RD-])")
_HALF = re.compile(r"(?<=[0-9]) 1/2(?![0-9])")


def even(text: str) -> str:
    """A print in one even form: capitals, single spaces, one x, slash and point.

    Parameters
    ----------
    text : as typed; the first 300 characters count

    Returns
    -------
    the text; it understands ×, *, ½, a decimal comma, the letters O for 0 and I for 1

    Examples
    --------
    >>> even("2o5/55 r16   91v"), even("11 r 22,5"), even("9½")
    ('205/55 R16 91V', '11 R 22.5', '9.5')
    """
    plain = text[:MOST_READ].upper().translate(_SIGNS)
    plain = " ".join(plain.split())
    if "O" in plain:
        plain = _ZERO.sub(lambda found: "0" * len(found[0]), plain)
    if "I" in plain:
        plain = _ONE.sub("1", plain)
    if "," in plain:
        plain = _COMMA.sub(".", plain)
    if "1/2" in plain:
        plain = _HALF.sub(".5", plain)
    return plain


_PUNCTUATION = " ,;:.!?/()[]{}<>\"'-+&"


class Sidewall(Struct, frozen=True):
    """What a sidewall says. Lengths in mm, loads in kg for one tire, speed in km/h; all figures exact.

    For an inch size `nominal_width_mm` is the table's section width. `top_speed_kmh` for ZR and (Y) is the
    speed they go beyond. `missing` names, of size, class, load range, load index and speed symbol, what was
    not given.
    """

    size: str | None
    tire_class: str | None
    construction: str | None
    load_range: str | None
    load_index_single: int | None
    load_index_dual: int | None
    speed_symbol: str | None
    tube: str | None
    regroovable: bool | None
    nominal_width_mm: int | None
    aspect: int | None
    rim_code: Fraction | None
    section_height_mm: int | None
    overall_diameter_mm: int | None
    load_single_kg: Fraction | None
    load_dual_kg: Fraction | None
    top_speed_kmh: int | None
    not_read: tuple[str, ...]
    missing: tuple[str, ...]

    @property
    def tells(self) -> bool:
        """Whether anything was read: a size, a load or speed, a class or load range, a construction, a tube."""
        found = (self.size, self.tire_class, self.construction, self.load_range, self.load_index_single)
        return any(value is not None for value in (*found, self.speed_symbol, self.tube, self.regroovable))


def read_sidewall(text: str) -> Sidewall:
    """What is printed on a sidewall, in any order and with the usual slips.

    Parameters
    ----------
    text : any text; the first 300 characters count

    Returns
    -------
    lengths in mm, loads in kg for one tire, speed in km/h, all exact; None for what the print does not give, and its
    name in `missing`; words that were not understood in `not_read`. Nothing is guessed and nothing raised; two sizes
    that differ tell nothing

    References
    ----------
    Marking clauses of UN R30 and UN R54, and the tables of `code_tables` and `size`; load range letters:
    rim-association tables, from memory.

    Examples
    --------
    >>> tire = read_sidewall("275/70r22.5 148/145m")
    >>> tire.size, tire.tire_class, int(tire.load_single_kg or 0), tire.overall_diameter_mm, tire.missing
    ('275/70R22.5', 'medium-truck', 3150, 958, ('load range',))
    >>> read_sidewall("205/55R16 225/45R17").not_read
    ('225/45R17', '205/55R16')
    """
    sizes, left = find_sizes(even(text))
    size, unread = _only_one([sidewall_class.mark_commercial(size) for size in sizes])
    words, left = find_words(left)
    service, left = find_service(left, alone_too=size is not None and sidewall_class.car_like(size))
    left_over = _left_over(left)
    if size is not None and (letter := sidewall_class.letter_behind(size, service, left_over)):
        size, left_over = replace(size, lone=letter), [word for word in left_over if word != letter]
    kind = sidewall_class.judge(size, words, service)
    unread += [*words.unread, *kind.unread, *left_over]
    if len(text) > MOST_READ:
        unread.append(f"what follows the first {MOST_READ} characters")
    return _put_together(size, words, service, kind, tuple(unread))


def _only_one(sizes: list[Size]) -> tuple[Size | None, list[str]]:
    """The size when there is one; two that differ tell nothing and are handed back as not read."""
    if len(sizes) > 1 and len({size.written() for size in sizes}) > 1:
        return None, [size.written() for size in sizes]
    return (max(sizes, key=lambda size: size.lone) if sizes else None), []


def _left_over(text: str) -> list[str]:
    words = (word.strip(_PUNCTUATION) for word in text.replace(READ.strip(), " ").split())
    return [word for word in words if word]


def _put_together(
    size: Size | None, words: Words, service: Service, kind: sidewall_class.ServiceKind, unread: tuple[str, ...]
) -> Sidewall:
    build = _construction(size, words)
    symbol = service.symbol or kind.symbol
    written = size.written(build == "radial") if size else None
    found = (written, kind.tire_class, kind.load_range, service.single, symbol)
    names = ("size", "class", "load range", "load index", "speed symbol")
    return Sidewall(
        written,
        kind.tire_class,
        build,
        kind.load_range,
        service.single,
        service.dual,
        symbol,
        {"tubeless": "tubeless", "tubed": "tube-type"}.get(words.one_of("tubeless", "tubed") or ""),
        True if "regroovable" in words.said else None,
        *_dimensions(size, build),
        None if service.single is None else code_tables.load_kg(service.single),
        None if service.dual is None else code_tables.load_kg(service.dual),
        SPEED_SYMBOLS[symbol].kmh if symbol else None,
        unread,
        tuple(name for name, value in zip(names, found, strict=True) if value is None),
    )


def _construction(size: Size | None, words: Words) -> str | None:
    """Radial or bias: the letter in the size and the words must agree; a mere dash gives way to a word."""
    said = words.one_of("radial", "bias")
    if {"radial", "bias"} <= words.said or size is None or size.sign == "":
        return said
    by_sign = "radial" if size.sign == "R" else "bias"
    if said in (None, by_sign):
        return by_sign
    return said if size.sign == "-" else None


def _dimensions(
    size: Size | None, build: str | None
) -> tuple[int | None, int | None, Fraction | None, int | None, int | None]:
    """Width, aspect, rim code, section height and overall diameter; by table where the size has no aspect."""
    if size is None:
        return None, None, None, None, None
    width = int(size.first) if size.metric else None
    if width is not None and size.aspect is not None:
        height = section_height_mm(width, size.aspect)
        return width, size.aspect, size.rim_code, height, overall_diameter_mm(rim_mm(size.rim), height)
    in_table = TABLE_SIZES.get(size.bare(radial=True)) if build == "radial" else None
    if in_table is None:
        return width, None, size.rim_code, None, None
    height = height_from_diameter_mm(in_table[1], rim_mm(size.rim))
    return width or in_table[0], None, size.rim_code, height, in_table[1]


_UNITS = {"PSI": "psi", "KPA": "kPa", "BAR": "bar"}
_FIGURE = re.compile(r"(?P<figure>(?<![0-9.])[0-9]{1,4}(?:\.[0-9])?) ?(?P<unit>PSI|KPA|BAR)(?![A-Z])", re.ASCII)
_PLACE = re.compile(r"(?<![A-Z])(?:SINGLE|DUAL)(?![A-Z])")


class PrintedPressures(Struct, frozen=True):
    """The pressures printed for a single tire, in a dual pair, and without saying which; each in every unit given."""

    single: tuple[Measure, ...] = ()
    dual: tuple[Measure, ...] = ()
    either: tuple[Measure, ...] = ()

    def least(self, paired: bool, unit: str) -> Measure | None:
        """The lowest figure that may count, in this unit where it is printed in it; None where nothing is printed.

        `paired`: the tire may be one of a pair, so that either figure may count.
        """
        found = (*self.single, *self.either, *(self.dual if paired else ()))
        if not found:
            return None
        own = [figure for figure in found if figure.unit == unit]
        return min(own or found, key=lambda figure: figure.to("kPa").low)


@lru_cache(maxsize=256)
def printed_pressures(text: str) -> PrintedPressures:
    """Every pressure in a print, by the word before it.

    Parameters
    ----------
    text : any text; the first 300 characters count

    Returns
    -------
    gauge pressures for a single tire, in a dual pair, and without saying which; each in every unit given. Nothing is
    raised

    References
    ----------
    49 CFR 571.119 S6.5(d): the load marked with its pressure, single and dual apart (from memory).

    Examples
    --------
    >>> found = printed_pressures("MAX LOAD SINGLE 3150 KG AT 900 KPA (130 PSI) COLD DUAL 2900 KG AT 830 KPA (120 PSI)")
    >>> str(found.least(False, "psi")), str(found.least(True, "psi")), str(found.least(True, "kPa"))
    ('130 psi', '120 psi', '830 kPa')
    """
    plain = even(text)
    places = [(match.end(), match[0].lower()) for match in _PLACE.finditer(plain)]
    found: dict[str, list[Measure]] = {"single": [], "dual": [], "either": []}
    for match in _FIGURE.finditer(plain):
        before = [place for end, place in places if end <= match.start()]
        figure = Fraction(match["figure"])
        if figure > 0:
            found[before[-1] if before else "either"].append(Measure(figure, figure, _UNITS[match["unit"]]))
    return PrintedPressures(*(tuple(figures) for figures in found.values()))
