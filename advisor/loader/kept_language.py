"""What people say and ask as it was read: not read anew while its files and the names in them stay (`check_memory.py`).

These files take most of reading a rule set. They are read last, and by nothing of the rest but names: what bears one,
the choices of each question, and former ids. So they are read into a draft that holds just these, and what comes of it
hangs on them and on the files alone. It is remembered only where no problem was found in them; and where one shows in a
rule set of which this was recalled, all is read anew, so that it is told as ever.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any, Protocol

import msgspec
from msgspec import Struct

from advisor.loader.builder import Builder, Reference
from advisor.loader.canonical import Read
from advisor.loader.reader import Diagnostics, plain_data, text_node
from advisor.loader.shared import ASKED_FILES, PHRASES, Shared
from advisor.model.asked import AskedKind, AskedSubject, ReadyAnswer
from advisor.model.lexicon_entries import Phrases
from advisor.model.problems import Place
from advisor.model.ruleset import ChoiceText, Question

LANGUAGE_FILES = (PHRASES, *ASKED_FILES)


class Remembers(Protocol):
    """What is kept from one time to the next, by what it hangs on."""

    def key(self, of: str, *parts: bytes) -> str:
        """By what something is remembered."""

    def recalled(self, key: str) -> bytes | None:
        """What was kept, as JSON; None where nothing was."""

    def keep(self, key: str, value: object) -> None:
        """Remembers something."""


class NameOnly(Struct):
    """Something of which only the name counts, and those that it had."""

    formerly: tuple[str, ...] = ()
    steps: tuple[()] = ()


class NameUsed(Struct, array_like=True):
    """A name that one of the files uses, to be looked up like any other."""

    file: str
    kinds: str
    name: str
    what: str
    over: str
    subject: str
    entry: str


class LanguageRead(Struct):
    """All that comes of reading the files."""

    phrases: Phrases
    intents: dict[str, AskedKind]
    subjects: dict[str, AskedSubject]
    answers: dict[str, ReadyAnswer]
    names: list[NameUsed]
    places: dict[str, Place]
    content: dict[str, Any]


def of_names(draft: Builder) -> Builder:
    """A draft with just the names of another one; what is noted in it is noted in that one."""
    steps = {step.id for method in draft.methods.values() for step in method.steps}
    names: dict[str, Any] = {
        "questions": {name: _named_question(each) for name, each in draft.questions.items()},
        "steps": {name: NameOnly() for name in (*draft.steps, *sorted(steps - draft.steps.keys()))},
    }
    names["sources"] = draft.sources  # how firm an entry is that does not say it
    for kind in ("values", "tables", "words"):
        names[kind] = {name: NameOnly() for name in getattr(draft, kind)}
    for kind in ("limits", "endings", "restrictions", "methods", "cautions"):
        names[kind] = {name: NameOnly(each.formerly) for name, each in getattr(draft, kind).items()}
    kinds = ("references", "problems", "places", "former", "documents", "meant")
    noted = {kind: getattr(draft, kind) for kind in kinds}
    return Builder(**names, **noted)


def _named_question(question: Question) -> Question:
    choices = tuple(ChoiceText(each.id, "", formerly=each.formerly) for each in question.choices)
    return Question(question.id, "", "", "", "", question.kind, choices=choices, formerly=question.formerly)


class KeptLanguage:
    """The language of the rule set in a folder as it was read before, and as it is read now."""

    def __init__(self, memory: Remembers, folder: Path) -> None:
        self._memory, self._folder = memory, folder
        #: Whether it was recalled, and not read.
        self.recalled = False

    def key(self, names: Builder, shared: Shared | None) -> str | None:
        """By what it is remembered: the files and where they stand, how they are spelled, and the names."""
        kinds = ("questions", "steps", "sources", "values", "tables", "words")
        fields = (*kinds, "limits", "endings", "restrictions", "methods", "cautions")
        where = [self._folder.name, shared.folder.name, shared.spelled] if shared is not None else [self._folder.name]
        paths = [self._folder / name for name in LANGUAGE_FILES]
        paths += [path for name in LANGUAGE_FILES if shared is not None and (path := shared.file(name)) is not None]
        try:
            there = [(str(path), path.read_bytes() if path.exists() else None) for path in paths]
        except OSError:
            return None
        known = {field: getattr(names, field) for field in fields}
        return self._memory.key("language", msgspec.json.encode([where, known, there]))

    def recall(self, key: str | None, draft: Builder, read: Read) -> bool:
        """Puts what is remembered into a draft, and what the files say beside what was read; whether it was there."""
        found = self._memory.recalled(key) if key is not None else None
        if found is None:
            return False
        kept, notes = msgspec.json.decode(found, type=LanguageRead), dict[str, Diagnostics]()
        draft.phrases, draft.intents, draft.subjects, draft.answers = (
            *(kept.phrases, kept.intents),
            *(kept.subjects, kept.answers),
        )
        for used in kept.names:
            if used.file not in notes:
                notes[used.file] = Diagnostics(used.file)
                notes[used.file].problems = draft.problems
            node = text_node(used.name)
            draft.references.append(
                Reference(used.kinds, used.name, node, notes[used.file], used.what, used.over, used.subject, used.entry)
            )
        draft.places.update(kept.places)
        read += [(name, content, False) for name, content in kept.content.items()]
        self.recalled = True
        return True

    def keep(self, key: str | None, names: Builder, shared: Shared | None, read: Read, used: list[Reference]) -> None:
        """Remembers what was read without a problem, unless a file was edited meanwhile."""
        if key is None or self.key(names, shared) != key:
            return
        places = {name: place for name, place in names.places.items() if name.partition("#")[0] in LANGUAGE_FILES}
        self._memory.keep(
            key,
            LanguageRead(
                *(names.phrases, names.intents, names.subjects, names.answers),
                [NameUsed(e.notes.file, e.kinds, e.name, e.what, e.over, e.subject, e.entry) for e in used],
                places,
                {name: plain_data(node, names.meant) for name, node, _ in read},
            ),
        )
