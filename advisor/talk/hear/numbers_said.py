"""Numbers as people say them: 3.5, 1 1/2, three eighths, one and a half, twenty-five, a hundred and ten."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.quick import dataclass
from advisor.talk.hear.tokens import NUMBER_WORDS, OF_AN_INCH, SPLITS, TENS, Token

_ARTICLES = ("a", "an", "one")
_HUNDRED = ("hundred", "hundert")


@dataclass(frozen=True, slots=True)
class Number:
    """A number as a case file writes it, where it ends, and whether it counts only with a unit (said in words)."""

    text: str
    end: int
    needs_unit: bool = False


def number_at(tokens: Sequence[Token], place: int, sign: str = "") -> Number | None:
    """The number that begins here, or None."""
    token = tokens[place] if place < len(tokens) else None
    if token is None:
        return None
    if token.kind == "number":
        return _with_part(tokens, Number(f"{sign}{token.text.replace(',', '.')}", place + 1))
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
    if first not in (*_ARTICLES, "two") or _text(tokens, place + 1) not in _HUNDRED:
        return None
    whole, after = (200 if first == "two" else 100), place + 2
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
    if _text(tokens, after) == "point":
        tenth = _plain(tokens, after + 1)
        if tenth is not None and tenth[0] <= 9:
            return Number(f"{whole}.{tenth[0]}", tenth[1], True)
    return _with_part(tokens, Number(str(whole), after, True))


def _with_part(tokens: Sequence[Token], number: Number) -> Number:
    """One and a half, 2 and three quarters."""
    after = number.end
    if _text(tokens, after) != "and" or not number.text.isdigit():
        return number
    part = _part(tokens, after + (2 if _text(tokens, after + 1) in _ARTICLES else 1))
    if part is None and _plain(tokens, after + 1) is not None:
        part = _small_part(tokens, after + 1)
    return Number(f"{number.text} {part.text}", part.end, True) if part else number


def _small_part(tokens: Sequence[Token], place: int) -> Number | None:
    found = _plain(tokens, place)
    split = SPLITS.get(_text(tokens, found[1]), 0) if found else 0
    return Number(f"{found[0]}/{split}", found[1] + 1, True) if found and split else None


def _part(tokens: Sequence[Token], place: int) -> Number | None:
    """Half, a quarter, an eighth."""
    split = SPLITS.get(_text(tokens, place), 0)
    plural = _text(tokens, place).endswith("s") or _text(tokens, place) == "halves"
    return Number(f"1/{split}", place + 1, True) if split and not plural else None
