"""What a sidewall's print says beside the size: words, service description, class and load range.

Every text is in the form of `parser.even`. What pulls both ways is left open.
"""

from __future__ import annotations

import re
from fractions import Fraction

from msgspec import Struct, field
from msgspec.structs import replace

from advisor.domain.code_tables import HIGHEST
from advisor.domain.sidewall.size import READ, Size

_FULL = re.compile(
    r"(?<![A-Z0-9./-])(?P<open>\(?) ?(?P<single>\d{2,3})(?: ?[/-] ?(?P<dual>\d{2,3}))?"
    r" ?(?P<symbol>A[1-8]|\( ?Y ?\)|[B-HJ-NP-WY])(?![A-Z0-9+&]|\.[A-Z])\)?",
    re.ASCII,
)
_PAIR = re.compile(r"(?<![A-Z0-9./-])(?P<single>\d{2,3}) ?/ ?(?P<dual>\d{2,3})(?![A-Z0-9/.])", re.ASCII)
_ALONE = re.compile(r"\| *(?P<single>\d{2,3}) *(?=\||$)", re.ASCII)
#: A second service description, set apart in brackets (on the tire: in a circle), after the one that counts.
_SECOND = re.compile(r"(?<=[0-9A-Z]) ?\( ?(\d{2,3}(?: ?/ ?\d{2,3})? ?[B-HJ-NP-WY]) ?\)", re.ASCII)
_NO_SLASH = re.compile(
    r"(?<![A-Z0-9./-])(?:(\d{2,3}) (?=(\d{2,3}) ?[B-HJ-NP-WY](?![A-Z0-9+&]))"
    r"|(1\d\d)(?=(1\d\d) ?[B-HJ-NP-WY](?![A-Z0-9+&])))",
    re.ASCII,
)
#: Two numbers with no slash are taken for a pair when the second is at most this much lower.
_PAIR_SPAN = 8
#: A number below this (106 kg) is taken for something else that was printed.
_LOWEST_READ = 30


class Service(Struct, frozen=True):
    """A service description: load index of one tire alone, of one in a dual pair, and speed symbol."""

    single: int | None = None
    dual: int | None = None
    symbol: str | None = None


def find_service(text: str, alone_too: bool) -> tuple[Service, str]:
    """The service description of a print: load index, single and dual, and speed symbol.

    Parameters
    ----------
    text : what sizes and words have left over
    alone_too : whether a bare number next to the size counts as a load index

    Returns
    -------
    the description, and the text without it. Two that differ tell nothing: both stay in the text. Nothing is raised. A
    second one in brackets after the one that counts stays in the text

    References
    ----------
    UN R54 for order and meaning (published, read in copies); brackets for open-ended Y from UN R30 (second-hand). That
    a number below 30 is something else, and two numbers with no slash a pair when the second is at most 8 lower, is
    this project's own reading.

    Examples
    --------
    >>> find_service("148/145M", alone_too=False)[0]
    Service(single=148, dual=145, symbol='M')
    >>> find_service("91", alone_too=False)[0], find_service("| 91", alone_too=True)[0].single
    (Service(single=None, dual=None, symbol=None), 91)
    """
    text = _NO_SLASH.sub(_with_slash, text)
    second = _SECOND.search(text) if text.count("(") == 1 else None
    if second and _FULL.search(text[: second.start()]) and "Y" not in second[1]:
        known, rest = find_service(text[: second.start()] + text[second.end() :], alone_too)
        return known, f"{rest} ({second[1]})"
    for pattern in (_FULL, _PAIR, _ALONE) if alone_too else (_FULL, _PAIR):
        found = {service for match in pattern.finditer(text) if (service := _service(match)) is not None}
        if len(found) == 1:
            return found.pop(), pattern.sub(lambda match: READ if _service(match) else match[0], text)
        if found:
            break
    return Service(), text


def _service(match: re.Match[str]) -> Service | None:
    groups = match.groupdict()
    single, dual, symbol = int(groups["single"]), groups.get("dual"), groups.get("symbol")
    if not _LOWEST_READ <= single <= HIGHEST or (dual and not _LOWEST_READ <= int(dual) <= single):
        return None
    if symbol and "Y" in symbol:
        symbol = "(Y)" if "(" in symbol or groups["open"] else "Y"
    return Service(single, int(dual) if dual else None, symbol)


def _with_slash(match: re.Match[str]) -> str:
    single, dual = match[1] or match[3], match[2] or match[4]
    return f"{single}/" if int(single) - _PAIR_SPAN <= int(dual) <= int(single) else match[0]


#: Load range letter by ply rating. From memory.
LETTER_BY_PLY_RATING = {
    4: "B", 6: "C", 8: "D", 10: "E", 12: "F", 14: "G", 16: "H", 18: "J", 20: "L", 22: "M", 24: "N",
}  # fmt: skip

_WORDS = re.compile(
    r"""(?<![A-Z0-9])(?P<no>(?:NOT|NON|NO)[ -])?(?:
      (?:LOAD[ ]?RANGE|L[ ]?[./]?[ ]?R|RANGE)[ .:"'(-]*(?P<range>SL|XL|[A-HJ-N])[)"']?(?![A-Z0-9+&])
    | (?P<ply>\d\d?)[ ]?-?[ ]?(?:PR|PLY(?:[ -]?RATING)?)(?![ ](?:STEEL|POLYESTER|NYLON|RAYON|ARAMID|CORD))
    | PLY[ -]?RATING[ :]*(?P<rated>\d\d?)
    | (?P<xl>XL|EXTRA[ -]?LOAD|REINFORCED|REINF)
    | (?P<sl>SL|STANDARD[ -]?LOAD)
    | (?P<radial>RADIAL)
    | (?P<bias>BIAS(?:[ -]?(?:BELTED|PLY))?|DIAGONAL|CROSS[ -]?PLY)
    | (?P<tubeless>TUBE[ -]?LESS|TL)
    | (?P<tubed>TUBE[ -]?TYPE|TT)
    | (?P<regroovable>RE-?GROOVE?ABLE)
    | (?P<snow>M[ ]?(?:[+&./]|AND)[ ]?S)
    | (?P<cycle>M/C)
    | (?P<label>LI(?=[ :]+\d)|S[IS](?=[ :]+[A-Z](?![A-Z]))
        |LOAD[ ]?INDEX|SPEED[ ]?(?:SYMBOL|RATING|INDEX)|SERVICE[ ]?DESCRIPTION)
    | (?P<number>(?:R-?DOT|DOT-?R|DOT)(?:[ ][A-Z0-9]{8,13}|(?:[ ][A-Z0-9]{1,8}){0,5}?[ ]\d{3,4}(?!/)))
    )(?![A-Z0-9])""",
    re.ASCII | re.VERBOSE,
)


_GAPS = re.compile(" {2,}")


class Words(Struct):
    """What the words say, each thing as often as it was printed; `unread` are phrases set aside whole."""

    said: set[str] = field(default_factory=set)
    ranges: set[str] = field(default_factory=set)
    ply_ratings: set[int] = field(default_factory=set)
    unread: list[str] = field(default_factory=list)

    def one_of(self, first: str, second: str) -> str | None:
        """The one that was said, when the other was not."""
        if (first in self.said) == (second in self.said):
            return None
        return first if first in self.said else second


def find_words(text: str) -> tuple[Words, str]:
    """The words of the trade in a print: load range, ply rating, tube, construction and the like.

    Parameters
    ----------
    text : in the form of `parser.even`

    Returns
    -------
    the words, and the text with each replaced by a mark. Phrases that are denied and identification numbers are set
    aside whole. Nothing is raised

    References
    ----------
    Marking clauses of UN R54 (TUBELESS, REGROOVABLE, M+S, radial and diagonal: published, read in a copy) and UN R30
    (REINFORCED, EXTRA LOAD: from memory).

    Examples
    --------
    >>> words, left = find_words("LOAD RANGE H TUBELESS 16PR NOT REGROOVABLE")
    >>> words.ranges, words.said, words.ply_ratings, words.unread
    ({'H'}, {'tubeless'}, {16}, ['NOT REGROOVABLE'])
    """
    words = Words()

    def take(found: re.Match[str]) -> str:
        kind = found.lastgroup or ""
        if kind == "number" or found["no"]:
            words.unread.append(found[0])
        elif kind == "range":
            words.ranges.add(found["range"])
        elif kind in ("ply", "rated"):
            if _of_a_layer(found):
                return found[0]
            words.ply_ratings.add(int(found[kind]))
        elif kind == "label":
            return " "
        else:
            words.said.add(kind)
        return READ

    left = _WORDS.sub(take, text)
    return words, _GAPS.sub(" ", left) if "  " in left else left


def _of_a_layer(found: re.Match[str]) -> bool:
    """Whether plies are counted (`TREAD 4 PLY`) rather than rated."""
    return found.string[: found.start()].rstrip(" :").endswith(("TREAD", "SIDEWALL", "SIDE"))


_LOAD_RANGES = frozenset("BCDEFGHJKLMN")
_CAR_SPEEDS = frozenset("QRSTUHVWY")
#: Widest metric size still taken for a car's by its form alone; wider ones are met on field and crane tires.
_WIDEST_CAR_MM = 355
#: A load index from here on (1 900 kg) is no car's.
_ABOVE_CAR_INDEX = 130
_TRUCK_WIDTHS_IN = (Fraction(7), Fraction(12))
_TRUCK_WHOLE_RIMS = frozenset({"20", "22", "24"})


class ServiceKind(Struct, frozen=True):
    """Class and load range; the speed symbol that stood in or next to the size; marks that found no place."""

    tire_class: str | None
    load_range: str | None
    symbol: str | None
    unread: tuple[str, ...]


def car_like(size: Size) -> bool:
    """Whether a size has the form of a passenger size: metric, on a whole rim code, P or nothing ahead.

    Examples
    --------
    >>> from advisor.domain.sidewall.size import find_sizes
    >>> [car_like(find_sizes(text)[0][0]) for text in ("205/55R16", "LT245/75R16", "275/70R22.5")]
    [True, False, False]
    """
    return size.metric and "." not in size.rim and size.prefix in ("", "P", "HL") and size.suffix == ""


def judge(size: Size | None, words: Words, service: Service) -> ServiceKind:
    """The class, the load range, and what the single letter after the size means.

    Parameters
    ----------
    size : the one size of the print, or None
    words, service : what `find_words` and `find_service` read

    Returns
    -------
    class, load range and speed symbol, each None where the print does not tell or pulls both ways; marks that found no
    place. Nothing is raised

    References
    ----------
    LT, C and half rim codes: UN R54 (C and LT from memory). P, T and ST prefixes, nominal truck sizes, ply rating by
    load range letter: rim-association practice and tables, from memory. That a passenger size with no mark is standard
    load, and from which width or load index a size is no car's: common practice.

    Examples
    --------
    >>> from advisor.domain.sidewall.size import find_sizes
    >>> judge(find_sizes("205/55R16")[0][0], Words(), Service(91, None, "V"))
    ServiceKind(tire_class='passenger', load_range='SL', symbol=None, unread=())
    >>> judge(find_sizes("11R22.5")[0][0], Words(ply_ratings={16}), Service())
    ServiceKind(tire_class='medium-truck', load_range='H', symbol=None, unread=())
    """
    if size is None:
        return ServiceKind(None, _load_range(None, words, "")[0], None, ())
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
            return ServiceKind(None, _load_range(None, words, "")[0], symbol, unread)
    if size.lone_ply:
        words.ply_ratings.add(int(size.lone_ply))
    tire_class = _class(size, words, service, letter)
    load_range, odd = _load_range(tire_class, words, letter)
    return ServiceKind(tire_class, None if size.prefix == "HL" else load_range, symbol, (*unread, *odd))


def letter_behind(size: Size, service: Service, words: list[str]) -> str:
    """A load range that stands alone behind a whole service description (`LT245/75R16 120/116Q E`).

    Parameters
    ----------
    size, service : as read
    words : what was left over, word by word

    Returns
    -------
    the letter, or "" unless nothing else can be meant: the speed symbol is read, no letter stands by the size, one is
    left

    References
    ----------
    Common practice of how prints are typed, no source.

    Examples
    --------
    >>> from advisor.domain.sidewall.size import find_sizes
    >>> light = find_sizes("LT245/75R16")[0][0]
    >>> letter_behind(light, Service(120, 116, "Q"), ["E"]), letter_behind(light, Service(120, 116), ["E"])
    ('E', '')
    """
    letters = [word for word in words if len(word) == 1]
    if car_like(size) or size.lone or service.symbol is None or len(letters) != 1:
        return ""
    return letters[0] if letters[0] in _LOAD_RANGES else ""


def mark_commercial(size: Size) -> Size:
    """The size with C after the rim code, where that is what its single letter means.

    References
    ----------
    UN R54, the C mark (from memory).

    Examples
    --------
    >>> from advisor.domain.sidewall.size import find_sizes
    >>> [mark_commercial(find_sizes(text)[0][0]).written() for text in ("195/75R16 C", "205/55R16 V")]
    ['195/75R16C', '205/55R16']
    """
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
