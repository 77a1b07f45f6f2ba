"""The symbols of a tire identification number: which of them are the date, and what the rest tells.

Source: 49 CFR 574.5 (a)(1), (a)(2), (b): 13 symbols on a new tire, 7 on a retread, in force from 2015;
earlier numbers are shorter or vary, so length alone rejects nothing. The R ahead of a retread's number: from
memory. The triangle after a three-digit date of the 1990s: second-hand, a retread association's answers.
"""

from __future__ import annotations

import re
from typing import Literal

from advisor.errors import Misread
from advisor.quick import dataclass

Kind = Literal["new", "retread", "unknown"]

NEW_LENGTH, RETREAD_LENGTH = 13, 7
_MOST_TYPED = 60
_MARK = re.compile(r"(?:(?P<retread>R[ -]?DOT|DOT-R|DOTR(?=[ -])|DOT[ ]R(?=[ -])|R(?=[ -]))|DOT)[ :.-]*", re.ASCII)
_TRIANGLE = re.compile("[◁▷△▽▲▼◀▶◂▸◃▹∆Δ]|\\bTRIANGLE\\b")
_PARTED = re.compile(r"[ ./,:_-]+")
_FULL_YEAR = re.compile(r"\d\d? (?:19|20)\d\d", re.ASCII)
_IN_WORDS = re.compile(r"(?:WEEK|WK)[ .]*(\d\d?)[ ,/-]*(?:(?:OF|YEAR|YR)[ .]*)*(?:19|20)?(\d\d)", re.ASCII)
_LIKE_DIGITS = {"O": "0", "Q": "0", "D": "0", "I": "1", "L": "1", "Z": "2", "S": "5", "G": "6", "B": "8"}
_EXPECTED = "week and year in four digits, such as 2318; three before 2000"
_OTHER_SIDE = "look on the other sidewall too: the full number may stand on one side only"


@dataclass(frozen=True, slots=True)
class Symbols:
    """The date's digits, the kind of tire, the count of symbols, and whether digits ran into the date."""

    code: str
    kind: Kind
    count: int
    triangle: bool
    run_together: bool


def retread_prefix(text: str) -> str:
    """The mark of a retread ahead of the number, `R`, `R-DOT` or `DOT-R`, in that form; "" when none.

    It is no part of the number and is not counted among its symbols.

    >>> retread_prefix("dot-r 1AB AB 2312"), retread_prefix("R 1AB 2318"), retread_prefix("DOT 1AB 2318")
    ('DOT-R', 'R', '')
    """
    found = _MARK.match(text.strip().upper())
    written = (found["retread"] or "") if found else ""
    if written in ("", "R"):
        return written
    return "R-DOT" if written.startswith("R") else "DOT-R"


def find_symbols(text: str) -> Symbols:
    """The date's digits in a whole number, in its end, or alone. Raises Misread when none can be read."""
    if len(text) > _MOST_TYPED:
        raise Misread(f"a text of {len(text)} characters", _EXPECTED, "give the identification number only")
    plain = " ".join(text.upper().split())
    if in_words := _IN_WORDS.fullmatch(plain):
        plain = in_words[1].zfill(2) + in_words[2]
    marked = _MARK.match(plain)
    number = plain[marked.end() :] if marked else plain
    triangle = _TRIANGLE.search(number) is not None
    groups = [group for group in _PARTED.split(_TRIANGLE.sub(" ", number)) if group]
    if not groups:
        raise Misread("no number", _EXPECTED, _OTHER_SIDE)
    odd = [sign for group in groups for sign in group if not (sign.isascii() and sign.isalnum())]
    if odd:
        raise Misread(f"{odd[0]!r} in the number", "letters and digits only", "read the number again")
    count = sum(map(len, groups))
    code = _date_in(_whole_date(groups), count)
    run_together = count not in (NEW_LENGTH, RETREAD_LENGTH) and _digits_at_end(groups[-1]) > 4
    return Symbols(code, _kind(plain, count, code), count, triangle, run_together)


def _whole_date(groups: list[str]) -> str:
    """The last group; a date typed with a gap (`23 18`) is put together."""
    if [len(group) for group in groups[-2:]] == [2, 2] and all(group.isdigit() for group in groups[-2:]):
        return "".join(groups[-2:])
    if len(groups) in (3, 4) and all(len(group) == 1 for group in groups):
        return "".join(groups)
    if _FULL_YEAR.fullmatch(" ".join(groups)):
        do = "give the week and the last two digits of the year"
        raise Misread(f"{groups[0]} and {groups[1]}", _EXPECTED, do)
    return groups[-1]


def _date_in(last: str, count: int) -> str:
    """The three or four digits at the end of the last group."""
    digits = _digits_at_end(last)
    if digits >= 4 or (digits == len(last) == 3):
        return last[-4:]
    end = last[-4:]
    letters = [sign for sign in end if not sign.isdigit()]
    if len(last) < 3 or len(letters) > 2 or (len(letters) == 2 and len(last) > 4 and count != NEW_LENGTH):
        raise Misread(f"no date at the end, but {last}", _EXPECTED, _OTHER_SIDE)
    glued = digits == 3 and len(last) > 4 and count not in (NEW_LENGTH, RETREAD_LENGTH)
    if glued and letters[0] not in _LIKE_DIGITS:
        return last[-3:]
    raise Misread(f"the letter {letters[0]} in the date {end}", _EXPECTED, _again(letters[0]))


def _again(letter: str) -> str:
    digit = _LIKE_DIGITS.get(letter)
    return f"read it again: {letter} may be a {digit}" if digit else "read it again"


def _digits_at_end(group: str) -> int:
    return len(group) - len(group.rstrip("0123456789"))


def _kind(plain: str, count: int, code: str) -> Kind:
    if retread_prefix(plain) or (count == RETREAD_LENGTH and len(code) == 4):
        return "retread"
    if count == NEW_LENGTH or (plain.startswith("DOT") and count > RETREAD_LENGTH):
        return "new"
    return "unknown"
