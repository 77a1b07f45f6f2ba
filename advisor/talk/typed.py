"""Understands a typed answer to a known question: a number from the list, words, figures with units."""

from __future__ import annotations

import re
from collections.abc import Iterable

from advisor.errors import Misread, closest, shown
from advisor.loading.plausible import LONGEST_TEXT, checked, clock_direction, said_figure
from advisor.measure_text import read_measure
from advisor.model.case import CANT_TELL, Answer, Choice, Choices, Readings, Text
from advisor.model.rules import ChoiceText, Question
from advisor.tire.clock import read_clock

CANT_TELL_WORDS = frozenset({
    "can't tell", "cant tell", "cant-tell", "can not tell", "cannot tell", "can't say", "cant say", "don't know",
    "dont know", "do not know", "dunno", "no idea", "not sure", "unsure", "unknown", "no clue", "hard to tell",
})  # fmt: skip
NONE_WORDS = frozenset({"none", "nothing", "no", "none of them", "none of these", "nothing else", "all clear"})
#: A choice may be typed by its beginning from this many letters on; shorter ones are too easily meant otherwise.
SHORTEST_BEGINNING = 4
_ITEM = re.compile(r"\s*(?:[,;]|\band\b|\+)\s+|\s*;\s*|,(?=\D)")


#: A bare figure under one: by itself nobody can say whether inches or millimetres are meant.
_BARE_PART = re.compile(r"0?[.,]\d+")


def plain(text: str) -> str:
    """A text made comparable: lower case, straight apostrophes, single spaces, no closing dot."""
    return " ".join(text.replace("’", "'").casefold().split()).rstrip(".!")


def is_cant_tell(text: str) -> bool:
    """Whether a text says that it can't be told."""
    return plain(text) in CANT_TELL_WORDS


def read_typed(question: Question, text: str) -> Answer:
    """The answer that a typed text gives. Raises Misread with what was found and what was expected."""
    if is_cant_tell(text):
        return CANT_TELL
    return _READERS[question.kind](question, text)


def _choice(question: Question, text: str) -> Answer:
    if plain(text) == str(len(question.choices) + 1):
        return CANT_TELL
    return clock_direction(question, text) or Choice(_one(question, text).id)


def _one(question: Question, text: str) -> ChoiceText:
    word = plain(text)
    if word.isascii() and word.isdigit():
        if 1 <= int(word[:6]) <= len(question.choices):
            return question.choices[int(word[:6]) - 1]
        raise _no_choice(question, text)
    exact = [choice for choice in question.choices if word in _names(choice)]
    begun = exact
    if not exact and len(word) >= SHORTEST_BEGINNING:
        begun = [choice for choice in question.choices if any(name.startswith(word) for name in _names(choice))]
    if len(begun) == 1:
        return begun[0]
    if begun:
        fits = ", ".join(choice.says for choice in begun)
        raise Misread(f'"{shown(text, 60)}", which fits several', f"one of: {fits}", "type its number")
    raise _no_choice(question, text)


def _names(choice: ChoiceText) -> list[str]:
    says = plain(choice.says)
    return [choice.id.casefold(), choice.id.replace("-", " "), says, says.partition(" (")[0], *map(plain, choice.also)]


def _no_choice(question: Question, text: str) -> Misread:
    words = [name for choice in question.choices for name in _names(choice)]
    numbers = f"a number from 1 to {len(question.choices) + (question.kind == 'choice')}, or the words beside it"
    return Misread(f'"{shown(text, 60)}"', numbers, "type it again, or can't tell", closest(plain(text), words))


def _choices(question: Question, text: str) -> Answer:
    if plain(text) in NONE_WORDS or plain(text) == "0":
        return Choices(frozenset())
    present, absent = set[str](), set[str]()
    for item in _items(text):
        word = plain(item)
        if word.startswith("no ") and len(word) > len("no "):
            absent.add(_one(question, item.strip()[len("no ") :]).id)
        else:
            present.add(_one(question, item).id)
    if both := sorted(present & absent):
        raise Misread(f"{', '.join(both)} both found and not found", "each finding once", "type it again")
    return Choices(frozenset(present), frozenset(absent) if absent else None)


def _items(text: str) -> Iterable[str]:
    if re.fullmatch(r"[\d\s,;]+", text):
        return re.findall(r"\d+", text)
    return [item for item in _ITEM.split(text) if item.strip()]


def _measure(question: Question, text: str) -> Answer:
    if question.quantity == "length" and question.unit == "mm" and _BARE_PART.fullmatch(text.strip()):
        bare = text.strip()
        raise Misread(f'"{bare}" without a unit', f"{bare} in or {bare} mm", "type it with its unit")
    return checked(read_measure(text, question.quantity, question.unit), question)


def _readings(question: Question, text: str) -> Answer:
    readings = [
        said_figure(question, item) or checked(read_measure(item, question.quantity, question.unit), question)
        for item in _items(text)
    ]
    if not readings:
        raise Misread(f'"{shown(text, 60)}"', "a reading such as 9/32, or several: 9/32, 8/32", "type it again")
    return Readings(tuple(readings))


def _text(question: Question, text: str) -> Answer:
    words = " ".join(shown(text, LONGEST_TEXT + 1).split())
    if not words or len(text) > LONGEST_TEXT:
        raise Misread(f'"{shown(text, 60)}"', f"some words, at most {LONGEST_TEXT} characters", "type it again")
    return Text(words)


def _clock(question: Question, text: str) -> Answer:
    return read_clock(text)


_READERS = {
    "choice": _choice,
    "choices": _choices,
    "measure": _measure,
    "readings": _readings,
    "text": _text,
    "clock": _clock,
}
