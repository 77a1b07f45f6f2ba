"""Reads phrases.yaml: words and phrases that people say, and the answers that they give."""

from __future__ import annotations

from itertools import product

import yaml

from advisor.loader.builder import Builder
from advisor.loader.reader import Notes, Section, is_empty, items_of, pairs_of, text_of
from advisor.model.lexicon_entries import Given, Phrases, folded
from advisor.model.problems import shown

#: The ways in which a phrase of an answer counts, and the key of each in the file.
WAYS = {
    "answers": "said",
    "doubtful": "doubtful",
    "alone": "alone",
    "when-denied": "denied",
    "nouns": "noun",
    "asks": "asks",
    "of-repair": "repair",
    "of-repair-doubtful": "repair-doubtful",
}
CUES = (
    "no",
    "perhaps",
    "about",
    "bound",
    "cannot-tell",
    "not-yet",
    "supposed",
    "elsewhere",
    "beside",
    "correction",
    "thing",
    "opening",
    "found",
    "another",
    "first",
    "back-to",
    "aside",
    "past",
    "repair-named",
    "cleaned",
    "required",
    "capacity",
    "unit-named",
    "open",
    "side",
    "all",
    "noun-before",
    "noun-after",
    "road",
    "time-of-day",
    "valve-side",
    "warmth",
    "nothing",
    "unsafe",
    "rude",
    "filler",
    "no-misspelling",
)


def spelled_out(text: str) -> tuple[str, ...]:
    """Each phrase that a line with alternatives stands for: `cord|cords is|are|- showing`; `-` leaves a word out."""
    if "|" not in text:
        return (folded(text),)
    ways = [[folded(word.replace("_", " ")) for word in part.split("|")] for part in text.split()]
    return tuple(dict.fromkeys(" ".join(filter(None, chosen)) for chosen in product(*ways)))


def read_phrases(node: yaml.Node, notes: Notes, draft: Builder) -> None:
    """phrases.yaml: phrases by the answer that they give, labels of figures, cues, units, spellings."""
    section = Section(node, notes, "phrases.yaml")
    old = draft.phrases
    reader = _Reader(notes, draft, {how: dict(found) for how, found in old.says.items()})
    for key, how in WAYS.items():
        _each_question(section, key, reader, how)
    for key, how in (("several", "said"), ("several-doubtful", "doubtful")):
        _several(section, reader, key, how)
    labels = dict(old.labels)
    for question, item in _pairs(section, "labels"):
        draft.refer("question", question, item, notes, '"labels" of phrases.yaml')
        for word in reader.phrases(item):
            labels[word] = (*labels.get(word, ()), question)
    cues = dict(old.cues)
    for role, item in _pairs(section, "cues"):
        if role not in CUES:
            notes.add("unknown-word", item, f'"{shown(role, 60)}" as a cue', f"one of: {', '.join(CUES)}", "correct it")
        for word in reader.phrases(item):
            cues[word] = (*cues.get(word, ()), role)
    units = dict(old.units)
    for word, item in _pairs(section, "units"):
        inner = Section(item, notes, f"unit {word}")
        units[folded(word)] = (inner.text("unit", True), inner.text("ask"))
        inner.finish()
    spellings = dict(old.spellings)
    for right, item in _pairs(section, "spellings"):
        spellings.update(dict.fromkeys(reader.phrases(item), folded(right)))
    asked = old.only_when_asked | {folded(word) for word in section.texts("only-when-asked")}
    section.finish()
    draft.phrases = Phrases(reader.says, labels, cues, units, spellings, asked)


def _pairs(section: Section, key: str) -> list[tuple[str, yaml.Node]]:
    node = section.node_of(key)
    if node is None:
        return []
    return [(name, item) for name, _, item in pairs_of(node, section.notes, f'"{key}"') if not is_empty(item)]


def _each_question(section: Section, key: str, reader: _Reader, how: str) -> None:
    for question, node in _pairs(section, key):
        reader.draft.refer("question", question, node, reader.notes, f'"{key}" of phrases.yaml')
        if how == "asks":
            reader.claim(node, ((question, ""),), how)
            continue
        for choice, _, item in pairs_of(node, reader.notes, f"{key} of {question}"):
            if _is_choice(question, choice, reader.draft):
                reader.draft.refer(f"choice:{question}", choice, item, reader.notes, f"{key} of {question}")
            reader.claim(item, ((question, choice),), how)


def _is_choice(question: str, choice: str, draft: Builder) -> bool:
    """Whether a choice has to be one of the question's; `none` goes with every question of several."""
    found = draft.questions.get(question)
    return found is not None and bool(found.choices) and not (found.kind == "choices" and choice == "none")


def _several(section: Section, reader: _Reader, key: str, how: str) -> None:
    """`several:` a phrase that gives more than one answer at once; `several-doubtful:` and they are asked back."""
    for phrase, node in _pairs(section, key):
        gives: list[Given] = []
        for question, _, item in pairs_of(node, reader.notes, f'"{phrase}"'):
            choice = text_of(item, reader.notes, question)
            reader.draft.refer("question", question, item, reader.notes, f'"{phrase}"')
            reader.draft.refer(f"choice:{question}", choice, item, reader.notes, f'"{phrase}"')
            gives.append((question, choice))
        reader.put(spelled_out(phrase), tuple(gives), how, node)


class _Reader:
    def __init__(self, notes: Notes, draft: Builder, says: dict[str, dict[str, tuple[Given, ...]]]) -> None:
        self.notes, self.draft, self.says = notes, draft, says
        self._first: dict[str, dict[str, yaml.Node]] = {}

    def phrases(self, node: yaml.Node) -> list[str]:
        """The phrases of a list, folded."""
        found = (text_of(item, self.notes, "a phrase") for item in items_of(node, self.notes, "phrases"))
        return [phrase for text in found if text for phrase in spelled_out(text)]

    def claim(self, node: yaml.Node, gives: tuple[Given, ...], how: str) -> None:
        """Notes what each phrase of a list gives."""
        for item in items_of(node, self.notes, "phrases"):
            text = text_of(item, self.notes, "a phrase")
            if text:
                self.put(spelled_out(text), gives, how, item)

    def put(self, phrases: tuple[str, ...], gives: tuple[Given, ...], how: str, node: yaml.Node) -> None:
        """Notes what phrases give; a problem where another answer has one already."""
        ways = ("said", "doubtful") if how in ("said", "doubtful") else (how,)
        for way in ways:
            if not self.says.get(way, {}).keys().isdisjoint(phrases):
                phrases = tuple(phrase for phrase in phrases if self._is_free(phrase, gives, way, node))
        self.says.setdefault(how, {}).update(dict.fromkeys(phrases, gives))
        self._first.setdefault(how, {}).update(dict.fromkeys(phrases, node))

    def _is_free(self, phrase: str, gives: tuple[Given, ...], way: str, node: yaml.Node) -> bool:
        there = self.says[way].get(phrase)
        if there is None or there == gives:
            return True
        first = self._first.get(way, {}).get(phrase)
        self.notes.add(
            "phrase-twice",
            node,
            f'the phrase "{shown(phrase, 60)}" for {_named(gives)} and for {_named(there)}',
            "one meaning for each phrase",
            "take it out of one of the two, or put it under several:",
            see=((self.notes.place(first), "the other one"),) if first else (),
        )
        return False


def _named(gives: tuple[Given, ...]) -> str:
    return " and ".join(f"{question}: {choice}" if choice else question for question, choice in gives)
