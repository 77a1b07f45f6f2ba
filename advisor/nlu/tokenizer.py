"""Cuts a sentence into words, numbers, prints and breaks, each with its place in the text."""

from __future__ import annotations

import re
from fractions import Fraction

from msgspec import Struct

from advisor.model.quantity import number_of

#: What a sidewall says as its size, in the forms that are certain without more.
SIZE = (
    r"(?:(?<![A-Z])(?:P|LT|ST|T)\s*)?\d{3}\s*/\s*\d{2,3}\s*Z?[RDB-]\s*\d{2}(?:[.,]5)?(?:\s*LT|C|\s*M/C)?(?!\d|\.\d)"
    r"|(?<![\d.x])\d{1,2}(?:\.\d{2})?\s*R\s*\d{2}(?:[.,]5)?(?!\d|\.\d)"
    r"|(?<![\d.])[1-3]\d5\s*R\s*\d{2}C?(?!\w|\.\d)"
    r"|(?<![\d.])\d{1,2}\.\d{2}\s*-\s*\d{2}(?!\d|\.\d)"
    r"|(?<![\d.])\d{1,2}-(?:22|24|19)\.5(?!\d|\.\d)"
    r"|(?<![\d.])[1-4]\d5\s*/\s*\d[05]\s+(?:17|19|22|24)\.5(?!\d|\.\d)"
)
_SERVICE = (
    r"(?:(?:\s*\(|\s+)(?:(?:[6-9]\d|[12]\d\d)(?:\s*/\s*(?:[6-9]\d|[12]\d\d))?\s*[A-HJ-NP-Y]|[3-5]\d[ABDEG-HJ-NP-Y])"
    r"(?![A-Za-z0-9])\)?)?"
)
_TOKEN = re.compile(
    rf"(?P<print>(?:{SIZE}){_SERVICE})"
    r"|(?P<oclock>(?<![\d:])\d{1,2}:\d{2}(?![\d:]))"
    r"|(?P<item>(?<![^\s,;:])(?:\(?[1-6]\)|#[1-6]:|(?:injury|inj|hole|number|no\.)\s*[1-6]\s*[:)]"
    r"|(?:injury|inj|hole|nail|screw|bolt|cut|puncture)\s*(?:#[1-6][:,]?|[1-6]:))(?=\s|$))"
    r"|(?P<number>\d{1,9}[ -]\d{1,2}/\d{1,3}(?![\d/])|\d{1,9}(?:[.,]\d{1,2})?/\d{1,3}(?![\d/])"
    r"|\d{1,9}[.,]\d{1,9}(?![\d])|(?![1-6](?:st|nd|rd|th)\b|4(?:x|by)4(?![\w.]|\s*(?:mm|cm|in)\b))\d{1,9}|\.\d{1,9})"
    r"|(?P<less>minus(?=\s+\d))"
    r"|(?P<word>4(?:x|by)4(?![\w.]|\s*(?:mm|cm|in)\b)|(?:approx|diam|ca)\.(?=\s)|[1-6](?:st|nd|rd|th)\b"
    r"|(?:(?<=\d)|(?<=\d\s))(?:in|mm|deg|lbs?)\.(?=\s+(?:from|off|of|deep|wide|long|across|in|by|x|towards?|out|along)\b)"
    r"|w/o?|km/h(?![^\W_])|(?<![^\W_])[on]/s(?:/[fr])?(?![^\W_])|[^\W\d_]+(?:'[^\W\d_]+)*)"
    r"|(?P<pm>±|\+/-|\+-)"
    r"|(?P<break>[,;!?\n—:(){}\[\]|•]|\.(?!\d)|\s[-–](?=\s))"
    r"|(?P<sign>[-−+](?=\.?\d))"
    r"|(?P<mark>[-–−]|[\"”″°º%~&/+]|\S)",
    re.IGNORECASE,
)
#: The number or letter of an injury with nothing but a blank about it, and no unit: hole 1 crown 6 mm.
_ITEM = re.compile(
    r"\b(?P<noun>injury|inj|hole|nail|screw|bolt|cut|puncture)(?P<blanks>\s+)(?P<number>[1-6a-f]|one|two|three)"
    r"(?=\s*:|\s+(?!\s|\d|mm\b|cm\b|in\b|inch|deg|psi|x\b|by\b|to\b|or\b|and\b|of\b|mil|[-–/\"°]))",
    re.IGNORECASE,
)
#: A number that a sentence begins with: 1, crown, through. 2, wall.
_LEADING = re.compile(r"(?P<ahead>^|[.;:,]\s+)(?P<number>[1-6])[,.](?=\s+[a-z])", re.IGNORECASE)

#: A size told with blanks for its slash and its R: 225 45 R17, 205 55 16.
_SPACED_SIZE = re.compile(
    r"(?<![\d./,])([1-3][0-9]5)[ /]([2-9][05])(?: ?(R)|[ /])(1[2-9]|2[0-4])(?![\d./]|,\d|\s*(?:psi|mm|bar|lb|in)\b)",
    re.I,
)
_SPACED_TRUCK = re.compile(r"(?<![\d./,])(8|9|1[0-2]) ((?:17|19|22|24)\.5)(?![\d/])")

#: Questions that are answered right behind, several of them: bulge? no. cords? yep.
_ANSWERED = re.compile(
    r"(?<=[a-z])\?(?=\s*(?:no|none|nope|yes|yep|yeah|yup)\s*(?:[.,;!]|$))", re.IGNORECASE | re.MULTILINE
)
#: 9,350: a comma between thousands.
_THOUSANDS = re.compile(r"[1-9]\d{0,2},\d{3}")
_FIRST_TWO = (("1", "2"), ("a", "b"), ("one", "two"))

ONES = {
    "zero": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9,
    "ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16,
    "seventeen": 17, "eighteen": 18, "nineteen": 19,
}  # fmt: skip
TENS = {"twenty": 20, "thirty": 30, "forty": 40, "fifty": 50, "sixty": 60, "seventy": 70, "eighty": 80, "ninety": 90}
NUMBER_WORDS: dict[str, int] = {**ONES, **TENS}
SPLITS = {
    "half": 2, "halves": 2, "quarter": 4, "quarters": 4, "eighth": 8, "eighths": 8, "sixteenth": 16, "sixteenths": 16,
    "thirtysecond": 32, "thirtyseconds": 32,
}  # fmt: skip
#: The kind of a token that is a clock position, or the time.
CLOCK_TIME = "oclock"
#: Parts that are said of an inch alone in this trade, so that the inch may be left out.
OF_AN_INCH = frozenset({8, 16, 32})


class Token(Struct, frozen=True, gc=False):
    """A word, number, print, clock, sign, mark or break. `text` is folded; `start` and `end` are places in the line."""

    kind: str
    text: str
    start: int
    end: int
    value: Fraction | None = None


def tokens_of(line: str) -> list[Token]:
    """The tokens of a line, in order."""
    even = line.replace("’", "'").replace("‘", "'").replace("`", "'").replace("´", "'")
    if len(_ANSWERED.findall(even)) > 1:
        even = _ANSWERED.sub(":", even)
    even = _numbered(_SPACED_TRUCK.sub(r"\1R\2", _SPACED_SIZE.sub(_with_slash, even)))
    found: list[Token] = []
    for match in _TOKEN.finditer(even):
        kind = match.lastgroup or "mark"
        kind = "sign" if kind == "less" else kind
        text = match[0].strip().casefold() if kind != "print" else match[0]
        text = text.removesuffix(".") if kind == "word" else text
        value = None
        if kind == "number":
            text = text.replace(",", "") if _THOUSANDS.fullmatch(text) else text
            value = _number(text)
            if value is None:
                kind = "mark"
        elif kind == "word" and text in NUMBER_WORDS:
            value = Fraction(NUMBER_WORDS[text])
        found.append(Token(kind, text or "\n", match.start(), match.end(), value))
    return found


def _numbered(line: str) -> str:
    """`hole 1 crown, hole 2 sidewall`, or A and B, with # before the numbers, where there are the first two."""
    if {"1", "2"} <= {match["number"] for match in _LEADING.finditer(line)}:
        line = _LEADING.sub(r"\g<ahead>\g<number>)", line)
    named = {(match["noun"].casefold(), match["number"].casefold()) for match in _ITEM.finditer(line)}
    both = {noun for noun, _ in named if any({(noun, one), (noun, two)} <= named for one, two in _FIRST_TWO)}
    if not both:
        return line
    return _ITEM.sub(lambda match: _with_sign(match) if match["noun"].casefold() in both else match[0], line)


def _with_slash(match: re.Match[str]) -> str:
    """The same in as many letters, as it stands on the tire."""
    return f"{match[1]}/{match[2]}R{match[4]}".rjust(len(match[0]))


def _with_sign(match: re.Match[str]) -> str:
    """The same in as many letters: # and its number behind blanks."""
    said = match["number"].casefold()
    number = said if said.isdigit() else ONES[said] if said in ONES else 1 + "abcdef".index(said)
    blanks = " " * (len(match[0]) - len(match["noun"]) - len(f"#{number}"))
    return f"{match['noun']}{blanks}#{number}"


def _number(text: str) -> Fraction | None:
    try:
        return number_of(text)
    except (ZeroDivisionError, ValueError):
        return None
