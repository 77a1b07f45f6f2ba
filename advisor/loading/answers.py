"""Reads one answer of a case file as its question wants it."""

from __future__ import annotations

import yaml

from advisor.errors import Misread, shown
from advisor.loading.plausible import LONGEST_TEXT, MOST_READINGS, checked, clock_direction, said_figure, with_unit
from advisor.loading.sections import Notes, closest, items_of, pairs_of, text_of
from advisor.model.case import CANT_TELL, Answer, Choice, Choices, Readings, Text
from advisor.model.rules import Question
from advisor.tire.clock import read_clock

CANT_TELL_WORD = "cant-tell"
NONE_WORD = "none"


def read_answer(question: Question, node: yaml.Node, notes: Notes) -> Answer | None:
    """The answer in a node, or None with a problem noted."""
    if isinstance(node, yaml.ScalarNode) and node.value == CANT_TELL_WORD:
        return CANT_TELL
    try:
        return _READERS[question.kind](question, node, notes)
    except Misread as error:
        found = f"{error.found} for {question.key}"
        notes.add("bad-answer", node, found, error.expected, error.do or "correct it", error.nearest)
        return None


def _choice(question: Question, node: yaml.Node, notes: Notes) -> Answer | None:
    word = text_of(node, notes, question.key)
    if not word:
        return None
    if question.choice(word):
        return Choice(word)
    if direction := clock_direction(question, word):
        return direction
    known = [choice.id for choice in question.choices]
    others = "cant-tell, or a clock direction as 1:30" if question.or_clock else "cant-tell"
    raise Misread(
        f'"{shown(word, 60)}"',
        f"one of: {', '.join(known)}, {others}",
        "correct it",
        closest(word, [*known, CANT_TELL_WORD]),
    )


def _choices(question: Question, node: yaml.Node, notes: Notes) -> Answer | None:
    if isinstance(node, yaml.MappingNode):
        return _looked_for(question, node, notes)
    words = _words(question, node, notes)
    if CANT_TELL_WORD in words:
        return Choices(frozenset(words) - {CANT_TELL_WORD}, frozenset())
    if NONE_WORD in words and len(words) > 1:
        raise Misread('"none" beside something found', '"none" alone, or what was found', "take one of them out")
    return Choices(frozenset(words) - {NONE_WORD}) if words else None


def _looked_for(question: Question, node: yaml.Node, notes: Notes) -> Answer:
    """`{absent: […]}`: looked for and not found; the rest was not looked for yet. `present` may stand beside it."""
    sets: dict[str, frozenset[str]] = {"present": frozenset(), "absent": frozenset()}
    for key, key_node, value in pairs_of(node, notes, question.key):
        if key in sets:
            sets[key] = frozenset(_words(question, value, notes)) - {NONE_WORD, CANT_TELL_WORD}
        else:
            notes.add(
                "unknown-key",
                key_node,
                f'the key "{shown(key, 60)}" in {question.key}',
                "absent, or present and absent",
                "correct it",
                closest(key, sets),
            )
    if both := sorted(sets["present"] & sets["absent"]):
        raise Misread(f"{', '.join(both)} both found and not found", "each finding once", "take one out")
    everything = frozenset(choice.id for choice in question.choices)
    whole = everything <= sets["present"] | sets["absent"]
    return Choices(sets["present"], None if whole else sets["absent"])


def _words(question: Question, node: yaml.Node, notes: Notes) -> list[str]:
    known = [choice.id for choice in question.choices]
    allowed = {*known, NONE_WORD, CANT_TELL_WORD}
    words = []
    for item in items_of(node, notes, question.key):
        word = text_of(item, notes, question.key)
        if word in allowed:
            words.append(word)
        elif word:
            notes.add(
                "bad-answer",
                item,
                f'"{shown(word, 60)}" for {question.key}',
                f"one of: none, {', '.join(known)}, cant-tell",
                "correct it",
                closest(word, known),
            )
    return words


def _measure(question: Question, node: yaml.Node, notes: Notes) -> Answer | None:
    text = text_of(node, notes, question.key)
    if not text:
        return None
    return checked(with_unit(text, question), question)


def _readings(question: Question, node: yaml.Node, notes: Notes) -> Answer | None:
    items = items_of(node, notes, question.key)
    if len(items) > MOST_READINGS:
        raise Misread(f"{len(items)} readings", f"at most {MOST_READINGS}", "give the lowest ones")
    readings = []
    for item in items:
        try:
            text = text_of(item, notes, question.key)
            if text:
                said = said_figure(question, text)
                readings.append(said or checked(with_unit(text, question), question))
        except Misread as error:
            notes.add("bad-answer", item, f"{error.found} for {question.key}", error.expected, error.do or "correct it")
    return Readings(tuple(readings)) if readings else None


def _text(question: Question, node: yaml.Node, notes: Notes) -> Answer | None:
    text = text_of(node, notes, question.key)
    if len(text) > LONGEST_TEXT:
        raise Misread(f"{len(text)} characters", f"at most {LONGEST_TEXT}", "shorten it")
    return Text(text) if text else None


def _clock(question: Question, node: yaml.Node, notes: Notes) -> Answer | None:
    text = text_of(node, notes, question.key)
    return read_clock(text) if text else None


_READERS = {
    "choice": _choice,
    "choices": _choices,
    "measure": _measure,
    "readings": _readings,
    "text": _text,
    "clock": _clock,
}
