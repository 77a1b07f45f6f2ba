"""Figures that a question spells out, written as figures: five sixteenths, twelve point seven, half past two.

How numbers are spelled is grammar, like the number words of `nlu/tokenizer.py` on which it goes, and no rule set's.
"""

from __future__ import annotations

import re

from advisor.nlu.tokenizer import NUMBER_WORDS, ONES, SPLITS

_NUMBER = rf"(?:{'|'.join(sorted(NUMBER_WORDS, key=len, reverse=True))})"
_PARTS = "|".join(part for part, of in SPLITS.items() if of > 2)
_TENS_AND_ONE = re.compile(rf"\b(\w+ty)[ -]({'|'.join(ONES)})\b", re.IGNORECASE)
_POINT = re.compile(rf"\b(\d+|{_NUMBER}) point (\d+|{_NUMBER})\b", re.IGNORECASE)
_PART = re.compile(rf"\b({_NUMBER}) ({_PARTS})\b", re.IGNORECASE)
_UNIT = r"(?:mils?|mm|milli\w+|inch(?:es)?|psi|bar|degrees?|deg|percent|32nds?)"
_WITH_UNIT = re.compile(rf"\b({_NUMBER})(?= {_UNIT}\b)", re.IGNORECASE)
_OPENING = r"(?:and|or|then|what about|how about|how bout|ok|so|at|with|it was|,|\s)"
_ALONE = re.compile(rf"^({_OPENING}*)({_NUMBER})(?=\s*\??$|\s+but\b)", re.IGNORECASE)
_PAST = re.compile(rf"\b({_NUMBER}|quarter|half) past (\d+|{_NUMBER})\b(?: o'?\s?clock)?", re.IGNORECASE)
_HALF = re.compile(rf"^({_OPENING}+)half (\d+|{_NUMBER})(?=\s*\??$)", re.IGNORECASE)
_PART_OF_INCH = re.compile(r"\b(?:a )?(half|quarter)(?: an| of an) inch\b", re.IGNORECASE)
_MINUTES = {"quarter": "15", "half": "30"}
#: A mil is the shop's word for a millimeter.
_MILLIMETERS = re.compile(r"(?<=\d)\s*(?:mils?|millimet(?:er|re)s?)\b", re.IGNORECASE)


def in_figures(text: str) -> str:
    """A question with its spelled figures as figures, where a unit or nothing else stands beside them."""
    text = _TENS_AND_ONE.sub(_added, text)
    text = _POINT.sub(lambda match: f"{_value(match[1])}.{_value(match[2])}", text)
    text = _PART.sub(lambda match: f"{_value(match[1])}/{SPLITS[match[2].casefold()]} in", text)
    text = _PART_OF_INCH.sub(lambda match: f"1/{SPLITS[match[1].casefold()]} in", text)
    text = _WITH_UNIT.sub(lambda match: _value(match[1]), text)
    text = _ALONE.sub(lambda match: match[1] + _value(match[2]), text)
    text = _PAST.sub(lambda match: f"{_value(match[2])}:{_minutes(match[1])} o'clock", text)
    text = _HALF.sub(lambda match: f"{match[1]}{_value(match[2])}:30 o'clock", text)
    return _MILLIMETERS.sub(" mm", text)


def _value(word: str) -> str:
    return str(NUMBER_WORDS.get(word.casefold(), word))


def _minutes(word: str) -> str:
    return _MINUTES.get(word.casefold()) or _value(word).zfill(2)


def _added(match: re.Match[str]) -> str:
    tens = NUMBER_WORDS.get(match[1].casefold())
    return match[0] if tens is None else str(tens + ONES[match[2].casefold()])
