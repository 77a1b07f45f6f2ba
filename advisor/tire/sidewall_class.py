"""Class and load range of a tire by its size, words and service description, where they can be told.

Sources: LT, C and half rim codes from UN R54 (C and LT from memory); P, T and ST prefixes and the nominal
truck sizes from rim-association practice (from memory); that a passenger size with no mark is standard load:
common practice. What pulls both ways is left open.
"""

from __future__ import annotations

from fractions import Fraction

from advisor.quick import dataclass, replace
from advisor.tire.sidewall_service import Service
from advisor.tire.sidewall_size import Size
from advisor.tire.sidewall_words import LETTER_BY_PLY_RATING, Words

_LOAD_RANGES = frozenset("BCDEFGHJKLMN")
_CAR_SPEEDS = frozenset("QRSTUHVWY")
#: Widest metric size still taken for a car's by its form alone; wider ones are met on field and crane tires.
_WIDEST_CAR_MM = 355
#: A load index from here on (1 900 kg) is no car's.
_ABOVE_CAR_INDEX = 130
_TRUCK_WIDTHS_IN = (Fraction(7), Fraction(12))
_TRUCK_WHOLE_RIMS = frozenset({"20", "22", "24"})


@dataclass(frozen=True, slots=True)
class Kind:
    """Class and load range; the speed symbol that stood in or next to the size; marks that found no place."""

    tire_class: str | None
    load_range: str | None
    symbol: str | None
    unread: tuple[str, ...]


def car_like(size: Size) -> bool:
    """Whether the size has the form of a passenger size: metric, on a whole rim code, P or nothing ahead."""
    return size.metric and "." not in size.rim and size.prefix in ("", "P", "HL") and size.suffix == ""


def judge(size: Size | None, words: Words, service: Service) -> Kind:
    """Class, load range, and what the single letter after the size means. Raises nothing."""
    if size is None:
        return Kind(None, _load_range(None, words, "")[0], None, ())
    lone, symbol, letter = size.lone, {"S": "S", "H": "H", "Z": "ZR"}.get(size.speed), ""
    unread: tuple[str, ...] = ()
    plain = car_like(size)
    if plain and lone in _CAR_SPEEDS:
        symbol = lone
    elif not plain and "B" <= lone <= "N" and not (service.single and service.symbol is None and lone >= "J"):
        letter = lone
    elif lone:
        unread = (lone,)
        if plain and not size.prefix and "B" <= lone <= "N":
            return Kind(None, _load_range(None, words, "")[0], symbol, unread)
    if size.lone_ply:
        words.ply_ratings.add(int(size.lone_ply))
    tire_class = _class(size, words, service, letter)
    load_range, odd = _load_range(tire_class, words, letter)
    return Kind(tire_class, None if size.prefix == "HL" else load_range, symbol, (*unread, *odd))


def letter_behind(size: Size, service: Service, words: list[str]) -> str:
    """A load range that stands alone behind a whole service description (`LT245/75R16 120/116Q E`), or an empty text.

    Only where nothing else can be meant: the speed symbol is read, no letter stands by the size, and one is left over.
    """
    letters = [word for word in words if len(word) == 1]
    if car_like(size) or size.lone or service.symbol is None or len(letters) != 1:
        return ""
    return letters[0] if letters[0] in _LOAD_RANGES else ""


def mark_commercial(size: Size) -> Size:
    """The size with C after the rim code, where that is what its single letter means."""
    commercial = car_like(size) and size.lone == "C" and size.prefix == ""
    return replace(size, suffix="C", lone="") if commercial else size


def _class(size: Size, words: Words, service: Service, letter: str) -> str | None:
    if size.prefix in ("ST", "T") or size.suffix in ("ST", "MH", "M/C") or "cycle" in words.said:
        return "other"
    if size.prefix == "LT" or size.suffix in ("LT", "C", "CP"):
        return "light-truck"
    if not size.metric:
        return _inch_class(size)
    if size.half_rim:
        return "medium-truck" if int(size.first) < 500 else None
    return _metric_class(size, words, service, letter)


def _inch_class(size: Size) -> str | None:
    width = size.inch_width or Fraction(0)
    if size.over:
        return None
    if size.half_rim:
        return "medium-truck"
    if size.rim in _TRUCK_WHOLE_RIMS and size.first[-3:-2] == ".":
        return "medium-truck" if _TRUCK_WIDTHS_IN[0] <= width <= _TRUCK_WIDTHS_IN[1] else None
    return "other" if width < 4 else None


def _metric_class(size: Size, words: Words, service: Service, letter: str) -> str | None:
    """Class of a metric size on a whole rim code; a width ending in 0 is a motorcycle's or a field tire's."""
    if size.prefix in ("P", "HL"):
        return "passenger"
    if "." in size.rim:
        return None
    width = int(size.first)
    if width % 10 != 5:
        return "other" if width <= 240 else None
    marked_for_load = letter or any(ply > 4 for ply in words.ply_ratings) or words.ranges - {"SL", "XL"}
    heavy = service.dual is not None or (service.single or 0) >= _ABOVE_CAR_INDEX
    return None if marked_for_load or heavy or width > _WIDEST_CAR_MM else "passenger"


def _load_range(tire_class: str | None, words: Words, letter: str) -> tuple[str | None, tuple[str, ...]]:
    """The load range, and marks that do not fit the class. Letters that differ tell nothing."""
    by_word = words.ranges | ({letter} if letter else set())
    marks = {"XL"} if "xl" in words.said else set()
    marks |= {"SL"} if "sl" in words.said else set()
    if tire_class in ("passenger", None):
        by_word |= marks
        odd: tuple[str, ...] = ()
    else:
        odd = tuple(sorted(marks))
    if tire_class != "passenger":
        by_word |= {LETTER_BY_PLY_RATING.get(ply, "?") for ply in words.ply_ratings}
    if not by_word and tire_class == "passenger":
        return "SL", odd
    if len(by_word) != 1 or "?" in by_word:
        return None, (*odd, *sorted(by_word - {"?", *odd}))
    return next(iter(by_word)), odd
