"""Figures in a sentence: numbers, fractions, ranges, about, bounds, with the unit as typed.

Numbers as people say them: 3.5, 1 1/2, three eighths, one and a half, twenty-five, a hundred and ten.
Places round the tire as people say them: 3 o'clock, 3:30, half past seven, a quarter to four.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache
from typing import TYPE_CHECKING

from msgspec import Struct

from advisor.model.problems import Misread
from advisor.model.quantity import UNITS, read_measure
from advisor.nlu.small_words import said_words
from advisor.nlu.tokenizer import NUMBER_WORDS, OF_AN_INCH, ONES, SPLITS, TENS, Token

if TYPE_CHECKING:
    from advisor.nlu.lexicon import Lexicon


#: Up to here a number and a half may as well be hours.
MOST_HOURS = 12
_ARTICLES = ("a", "an", "one")
_HUNDRED = ("hundred", "hundert")
#: A word that is none of these begins no figure.
_BEGINS = frozenset({*NUMBER_WORDS, *SPLITS, *_ARTICLES, *_HUNDRED, "inch"})
AHEAD_OF_HUNDRED = said_words("ahead-of-hundred")


class Number(Struct, frozen=True, gc=False):
    """A number as a case file writes it, where it ends, and whether it counts only with a unit (said in words)."""

    text: str
    end: int
    needs_unit: bool = False


def number_at(tokens: Sequence[Token], place: int, sign: str = "") -> Number | None:
    """The number that begins here, or None."""
    token = tokens[place] if place < len(tokens) else None
    if token is None:
        return None
    split = SPLITS.get(_text(tokens, place + 1), 0)
    if token.kind == "number" and split and token.text.isdecimal():
        return Number(f"{sign}{token.text}/{split}", place + 2, split not in OF_AN_INCH)
    if token.kind == "number":
        said = _pointed(tokens, token.text, place + 1) if token.text.isdecimal() else None
        return said or _with_part(tokens, Number(f"{sign}{token.text.replace(',', '.')}", place + 1))
    if token.kind != "word":
        return None
    said = _hundreds(tokens, place) or _small(tokens, place) or _part(tokens, place)
    if said is None or not sign:
        return said
    return Number(f"{sign}{said.text}", said.end, said.needs_unit)


def _text(tokens: Sequence[Token], place: int) -> str:
    return tokens[place].text if place < len(tokens) else ""


def _hundreds(tokens: Sequence[Token], place: int) -> Number | None:
    """A hundred and ten, one hundred five."""
    first = _text(tokens, place)
    if _text(tokens, place + 1) == "oh" and first in ONES and _text(tokens, place + 2) in ONES:
        return Number(str(100 * ONES[first] + ONES[_text(tokens, place + 2)]), place + 3)
    short = _plain(tokens, place + 1) if first == "one" else None
    pointed = place > 0 and tokens[place - 1].kind == "word" and tokens[place - 1].text not in AHEAD_OF_HUNDRED
    if short is not None and short[0] > max(range(10)) and not pointed:
        return Number(str(100 + short[0]), short[1])
    bare = first in _HUNDRED
    if not bare and (first not in (*_ARTICLES, "two") or _text(tokens, place + 1) not in _HUNDRED):
        return None
    whole, after = (200 if first == "two" else 100), place + (1 if bare else 2)
    skip = 1 if _text(tokens, after) == "and" else 0
    rest = _plain(tokens, after + skip)
    if rest is None:
        return Number(str(whole), after, True)
    return Number(str(whole + rest[0]), rest[1], True)


def _plain(tokens: Sequence[Token], place: int) -> tuple[int, int] | None:
    """A whole number in one or two words, and where it ends."""
    text = _text(tokens, place)
    if text not in NUMBER_WORDS:
        return None
    ones = NUMBER_WORDS.get(_text(tokens, place + 1), 0)
    if text in TENS and 1 <= ones <= 9:
        split = _text(tokens, place + 2)
        if split not in SPLITS:
            return TENS[text] + ones, place + 2
    return NUMBER_WORDS[text], place + 1


def _small(tokens: Sequence[Token], place: int) -> Number | None:
    found = _plain(tokens, place)
    if found is None:
        return None
    whole, after = found
    split = SPLITS.get(_text(tokens, after), 0)
    if split:
        return Number(f"{whole}/{split}", after + 1, split not in OF_AN_INCH)
    return _pointed(tokens, str(whole), after) or _with_part(tokens, Number(str(whole), after, True))


def _pointed(tokens: Sequence[Token], whole: str, after: int) -> Number | None:
    """Two point five, 1 point 2."""
    tenth = _text(tokens, after + 1)
    tenth = str(NUMBER_WORDS.get(tenth, tenth))
    if _text(tokens, after) != "point" or len(tenth) != 1 or not tenth.isdecimal():
        return None
    return Number(f"{whole}.{tenth}", after + 2)


def _with_part(tokens: Sequence[Token], number: Number) -> Number:
    """One and a half, 2 and three quarters."""
    after = number.end
    if _text(tokens, after) != "and" or not number.text.isdigit():
        return number
    part = _part(tokens, after + (2 if _text(tokens, after + 1) in _ARTICLES else 1))
    if part is None and _plain(tokens, after + 1) is not None:
        part = _small_part(tokens, after + 1)
    typed = tokens[number.end - 1].kind == "number" and int(number.text) > MOST_HOURS
    return Number(f"{number.text} {part.text}", part.end, not typed) if part else number


def _small_part(tokens: Sequence[Token], place: int) -> Number | None:
    found = _plain(tokens, place)
    split = SPLITS.get(_text(tokens, found[1]), 0) if found else 0
    return Number(f"{found[0]}/{split}", found[1] + 1, True) if found and split else None


def _part(tokens: Sequence[Token], place: int) -> Number | None:
    """Half, a quarter, an eighth."""
    split = SPLITS.get(_text(tokens, place), 0)
    plural = _text(tokens, place).endswith("s") or _text(tokens, place) == "halves"
    sure = split in OF_AN_INCH and place > 0 and _text(tokens, place - 1) in _ARTICLES
    return Number(f"1/{split}", place + 1, not sure) if split and not plural else None


_PAST = {"half": 30, "quarter": 15, "five": 5, "ten": 10, "twenty": 20}
_SPOKEN_MINUTES = (["twenty"], ["thirty"], ["forty"], ["fifty"])
_OCLOCK = (("o'clock",), ("oclock",), ("o", "'", "clock"), ("o", "clock"), ("o'", "clock"))


def clock_at(words: Sequence[str], place: int) -> tuple[str, int] | None:
    """The clock position that begins at a word, as a case file writes it, and where it ends."""
    hour = _hour(words, place)
    if not hour and words[place] not in _PAST:
        return None
    if hour:
        for said in _OCLOCK:
            if tuple(words[place + 1 : place + 1 + len(said)]) == said:
                return f"{hour}:00", place + 1 + len(said)
    if hour and words[place + 1 : place + 2] in _SPOKEN_MINUTES:
        for said in (("on", "the", "clock"), ("by", "the", "clock"), *_OCLOCK):
            if tuple(words[place + 2 : place + 2 + len(said)]) == said:
                return f"{hour}:{TENS[words[place + 1]]}", place + 2 + len(said)
    half = _hour(words, place + 1) if words[place] == "half" and words[place - 1 : place] == ["at"] else 0
    if half and words[place + 2 : place + 3] not in (["inch"], ["inches"], ["mm"], ["in"]):
        return f"{half}:30", place + 2
    minutes = _PAST.get(words[place], 0)
    if minutes and words[place + 1 : place + 2] in (["past"], ["to"]):
        then = _hour(words, place + 2)
        end = place + 3
        for said in _OCLOCK:
            if tuple(words[end : end + len(said)]) == said:
                end += len(said)
                break
        if then and words[place + 1] == "past":
            return f"{then}:{minutes:02}", end
        if then and minutes != 30:
            return f"{(then - 2) % 12 + 1}:{60 - minutes}", end
    return None


def _hour(words: Sequence[str], place: int) -> int:
    text = words[place] if place < len(words) else ""
    number = int(text) if text.isascii() and text.isdecimal() and len(text) < 3 else NUMBER_WORDS.get(text, 0)
    return number if 1 <= number <= 12 else 0


#: Pounds are those of a pressure up to here, and a weight above.
POUNDS, MOST_PSI = ("lb", "lbs", "pound", "pounds"), 300
_QUANTITIES = ("length", "pressure", "angle", "temperature", "share", "speed")
_SOME = ("about", "around", "roughly", "approximately")
TO = frozenset({"-", "–", "to", "or"})
AFTER_INCH = said_words("after-inch")
#: Right behind a fraction in words these tell that it is one of an inch, and ahead of it those: by a quarter.
MEASURED_SO = AFTER_INCH - {"in", "or", "to", "off", "from", "hole", "puncture", "cut", "tread", "offset"}
OF_INCHES = frozenset({"long", "wide", "deep", "across"})
CROSSING = frozenset({"by", "x"})
#: Behind one of these "in" is no inch where a pressure may stand: had 31 in.
HAD = frozenset({"had", "has", "got", "found", "still"})
NEVER_UNITS = said_words("never-units")


class Figure(Struct, frozen=True, gc=False):
    """A figure: how it is written with `unit` left open where none was said, and what hangs on it.

    `low` is its number as typed, `high` the other end's or empty. `ask` is why its unit is asked back.
    """

    end: int
    low: str
    high: str = ""
    unit: str = ""
    ask: str = ""
    about: bool = False
    crossed: bool = False
    joint: str = "-"

    @property
    def quantity(self) -> str:
        """What it measures, or empty when no unit was said."""
        return UNITS[self.unit].quantity if self.unit else ""

    @property
    def fraction(self) -> bool:
        """Whether it is a fraction, which without a unit is one of an inch."""
        return "/" in self.low or "/" in self.high

    def written(self, unit: str = "") -> str:
        """As a case file writes it."""
        named = self.unit or unit
        ends = [self.low, self.high] if self.high else [self.low]
        if named == "32nds":
            ends = [end if "/" in end else f"{end}/32" for end in ends]
        if named == "32nds" or (self.fraction and not named):
            named = "in"
        span = self.joint.join(ends)
        return f"{'about ' if self.about else ''}{span} {named}"


def figure_at(tokens: Sequence[Token], place: int, lexicon: Lexicon) -> Figure | None:
    """The figure that begins here, or None."""
    if tokens[place].kind == "word" and tokens[place].text not in _BEGINS:
        return None
    begin, sign = place, ""
    if tokens[place].kind == "sign" and place + 1 < len(tokens):
        begin, sign = place + 1, "" if tokens[place].text == "+" else "-"
    first = _inch_and(tokens, place) or number_at(tokens, begin, sign)
    if first is None:
        return None
    if first.text == "32" and _text(tokens, first.end) in ("nds", "nd"):
        return None
    if first.text.endswith(" in"):
        return Figure(first.end, first.text.removesuffix(" in"), unit="in")
    open_up = 1 if _text(tokens, first.end) in ("+", "plus") and unit_of(_text(tokens, first.end + 1)) else 0
    unit, ask, after = _unit(tokens, first.end + open_up, lexicon, "/" in first.text)
    ish = any(token.text == "ish" for token in tokens[first.end : after])
    if unit == "psi" and tokens[after - 1].text in POUNDS and first.text.isdecimal() and int(first.text) > MOST_PSI:
        unit = "lb"
    if unit == "in" and tokens[after - 1].text == "in" and _of_what_is_in_it(tokens, place, first.text, after, lexicon):
        unit, after = "", after - 1
    figure = Figure(after, _plain_decimal(first.text, unit, tokens[place:after]), unit=unit, ask=ask, about=ish)
    figure = _ranged(tokens, figure, lexicon)
    told_about = place and tokens[place - 1].text in _SOME and first.text != "1"
    across = "/" in first.text and (_text(tokens, figure.end) in MEASURED_SO or _text(tokens, place - 1) in CROSSING)
    if first.needs_unit and not figure.unit and _may_be_no_figure(first.text) and not (told_about or across):
        return None
    return _trimmed(tokens, figure, lexicon)


def _of_what_is_in_it(tokens: Sequence[Token], place: int, text: str, after: int, lexicon: Lexicon) -> bool:
    """Whether "in" is no inch: had 31 in; and with a pressure right behind its comma: 2.2 in, 2.5 bar wanted."""
    if place and tokens[place - 1].text in HAD and text.isdecimal() and len(text) > len("0"):
        return True
    number = number_at(tokens, after + 1) if _text(tokens, after) == "," else None
    return number is not None and _unit(tokens, number.end, lexicon, False)[0] in ("psi", "bar", "kPa")


def _plain_decimal(text: str, unit: str, said: Sequence[Token]) -> str:
    """Five and a half as 5.5 where its unit is not one that is divided in halves and quarters."""
    if (
        "/" not in text
        or any("/" in token.text for token in said)
        or unit in ("", "in", "32nds")
        or text.endswith(" in")
    ):
        return text
    whole, _, part = text.rpartition(" ")
    return f"{float(int(whole or 0) + Fraction(part)):g}"


def _may_be_no_figure(text: str) -> bool:
    """Whether a number in words may as well be none, without a unit: one of them, a quarter; never twenty-five."""
    return not text.isdecimal() or int(text) <= max(ONES.values())


#: What stands with an inch in words: an inch and three eighths.
_INCH_PARTS = ("1/2", "1/4", "3/4", "1/8", "3/8", "5/8", "7/8")


def _inch_and(tokens: Sequence[Token], place: int) -> Number | None:
    """An inch, inch and a half, one inch and a quarter, two inches and a half."""
    first = _text(tokens, place)
    at = place + (first != "inch")
    whole = "1" if first in (*_ARTICLES, "inch") else str(NUMBER_WORDS.get(first, first))
    if whole.isdecimal() and _text(tokens, at) in ("inch", "inches") and _text(tokens, at + 1) == "and":
        part = number_at(tokens, at + (3 if _text(tokens, at + 2) in _ARTICLES else 2))
        if part is not None and part.text in _INCH_PARTS and unit_of(_text(tokens, part.end)) != "in":
            return Number(f"{whole} {part.text} in", part.end)
    if first == "inch" and _text(tokens, place + 1) in OF_INCHES:
        return Number("1 in", place + 1)
    if first in ("a", "an") and _text(tokens, at) == "inch":
        return Number("1 in", place + 2)
    return None


def _unit(tokens: Sequence[Token], place: int, lexicon: Lexicon, fraction: bool) -> tuple[str, str, int]:
    """The unit said here, why it is asked back, and where it ends; empty where none is said."""
    texts = [token.text for token in tokens[place : place + 4]]
    if not texts:
        return "", "", place
    if texts[0] in ("nds", "nd", "ths", "th") and fraction:
        return (
            (*_unit(tokens, place + 1, lexicon, fraction)[:2], place + 1)
            if texts[1:2] != ["in"]
            else ("in", "", place + 2)
        )
    if texts[:2] in (["32", "nds"], ["32", "nd"], ["thirty", "seconds"], ["thirty", "second"]):
        return "32nds", "", place + 2
    skip = 1 if texts[0] in ("of", "ish") else 0
    skip += 1 if texts[skip : skip + 1] and texts[skip] in ("a", "an") else 0
    two = " ".join(texts[skip : skip + 2])
    for word, length in ((two, 2), (texts[skip] if skip < len(texts) else "", 1)):
        if word in lexicon.units and len(word.split()) == length:
            unit, ask = lexicon.units[word]
            return unit, ask, place + skip + length
    word = texts[skip] if skip < len(texts) else ""
    if skip and word not in ("inch", "inches", "mm", "millimeter", "millimeters") and texts[0] != "ish":
        return "", "", place
    if word == "°" and texts[skip + 1 : skip + 2] and texts[skip + 1] in ("c", "f"):
        return texts[skip + 1].upper(), "", place + skip + 2
    unit = unit_of(word)
    if word == "in" and not _is_inch(tokens, place + skip, fraction):
        unit = ""
    return (unit, "", place + skip + 1) if unit else ("", "", place + (1 if texts[0] == "ish" else 0))


def _is_inch(tokens: Sequence[Token], place: int, fraction: bool) -> bool:
    after = tokens[place + 1] if place + 1 < len(tokens) else None
    if after is None or after.kind == "break" or after.kind in ("mark", "sign"):
        return True
    return after.text in AFTER_INCH


@lru_cache(maxsize=2048)
def unit_of(word: str) -> str:
    """The unit that a word names, or an empty text."""
    if not word or word in NEVER_UNITS or any(letter.isdigit() for letter in word):
        return ""
    for quantity in _QUANTITIES:
        try:
            return read_measure(f"1 {word}", quantity).unit
        except Misread:
            continue
    return ""


def _ranged(tokens: Sequence[Token], figure: Figure, lexicon: Lexicon) -> Figure:
    """The figure with its other end, where a range goes on from here."""
    place = figure.end
    between = place >= 2 and any(token.text == "between" for token in tokens[max(0, place - 4) : place])
    joint = tokens[place] if place < len(tokens) else None
    words = [token.text for token in tokens[place : place + 3]]
    if words in _GIVE_OR_TAKE and (spread := number_at(tokens, place + 3)) is not None:
        return _spread(tokens, figure, spread, lexicon)
    if joint is None or not (joint.text in TO or joint.kind in ("pm", "sign") or (between and joint.text == "and")):
        return figure
    other = number_at(tokens, place + 1)
    if other is None or (joint.kind == "sign" and joint.text not in "-–"):
        return figure
    high, needs_unit = other.text, other.needs_unit
    unit, ask, after = _unit(tokens, other.end, lexicon, "/" in high)
    both = "/" in high and "/" in figure.low
    if needs_unit and not (unit or figure.unit or both):
        return figure
    if unit and figure.unit and unit != figure.unit:
        return figure
    joined = "±" if joint.kind == "pm" else "-"
    if figure.fraction != ("/" in high) and (unit or figure.unit) in ("", "in"):
        return _thirty_seconds(figure, high, after)
    return Figure(after, figure.low, high, unit or figure.unit, ask or figure.ask, joint=joined)


_GIVE_OR_TAKE = (["give", "or", "take"], ["plus", "or", "minus"], ["plus", "and", "minus"], ["more", "or", "less"])


def _spread(tokens: Sequence[Token], figure: Figure, spread: Number, lexicon: Lexicon) -> Figure:
    """6 mm give or take 8: from none to 14 mm. Left as it is where it can't be told in one unit."""
    unit, ask, after = _unit(tokens, spread.end, lexicon, "/" in spread.text)
    try:
        middle, by = Fraction(figure.low), Fraction(spread.text)
    except ValueError:
        return figure
    if figure.fraction or "/" in spread.text or (unit and figure.unit and unit != figure.unit):
        return figure
    named = unit or figure.unit
    least = Fraction(1, 10) if named and UNITS[named].quantity == "length" else Fraction(0)
    low, high = (f"{float(end):g}" for end in (max(middle - by, least), middle + by))
    return Figure(after, low, high, named, ask or figure.ask)


def _thirty_seconds(figure: Figure, high: str, after: int) -> Figure:
    """`8 to 9/32` is 8/32 to 9/32; anything else of the kind is left as it is."""
    if "/" in high and not figure.fraction and not figure.unit:
        over, under = high.split("/")
        if over.isdigit() and figure.low.isdigit() and int(figure.low) < int(under):
            return Figure(after, f"{figure.low}/{under}", high)
    return figure


def _trimmed(tokens: Sequence[Token], figure: Figure, lexicon: Lexicon) -> Figure:
    """Notes about and or so, and figures that stand for two dimensions (8 x 12 mm)."""
    place = figure.end
    after = tokens[place].text if place < len(tokens) else ""
    other = number_at(tokens, place + 1) if place + 1 < len(tokens) and tokens[place + 1].kind == "number" else None
    turned = other is not None and _unit(tokens, other.end, lexicon, "/" in other.text)[0] == "deg"
    crossed = after in ("x", "by", "×") and other is not None and not turned
    about = figure.about or after == "ish"
    return Figure(
        figure.end + (1 if after == "ish" else 0), figure.low, figure.high, figure.unit, figure.ask,
        about, crossed, figure.joint,
    )  # fmt: skip
