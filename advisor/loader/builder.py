"""What has been read so far of a rule set, and every name it used that must lead somewhere."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path

import yaml
from msgspec import Struct, field

from advisor.loader.reader import Notes, Section, text_of
from advisor.loader.yaml_nodes import from_file
from advisor.model.lexicon_entries import Phrases
from advisor.model.problems import Place, Problem
from advisor.model.repair_units import UnitRow
from advisor.model.ruleset import (
    STANDINGS,
    About,
    Basis,
    Caution,
    Ending,
    Limit,
    Method,
    Node,
    Part,
    Question,
    Restriction,
    Source,
    Word,
    WorkedOut,
)

PLACEHOLDER = re.compile(r"\{([a-z0-9-]*)\}")


class Reference(Struct, frozen=True):
    """A name used at a place, and the kinds of thing it may name, with spaces between."""

    kinds: str
    name: str
    node: yaml.Node
    notes: Notes
    what: str
    over: str = ""
    subject: str = ""


class Builder(Struct):
    """The parts of a rule set while its files are read."""

    about: About | None = None
    sources: dict[str, Source] = field(default_factory=dict)
    limits: dict[str, Limit] = field(default_factory=dict)
    questions: dict[str, Question] = field(default_factory=dict)
    values: dict[str, WorkedOut] = field(default_factory=dict)
    parts: list[Part] = field(default_factory=list)
    nodes: dict[str, Node] = field(default_factory=dict)
    any_order: list[tuple[str, ...]] = field(default_factory=list)
    endings: dict[str, Ending] = field(default_factory=dict)
    restrictions: dict[str, Restriction] = field(default_factory=dict)
    methods: dict[str, Method] = field(default_factory=dict)
    cautions: dict[str, Caution] = field(default_factory=dict)
    words: dict[str, Word] = field(default_factory=dict)
    phrases: Phrases = field(default_factory=Phrases)
    units: dict[str, UnitRow] = field(default_factory=dict)
    failed: set[str] = field(default_factory=set)
    references: list[Reference] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    places: dict[str, Place] = field(default_factory=dict)
    #: How a file becomes nodes.
    documents: Callable[[Path, str], list[yaml.Node]] = from_file
    #: Told of every section that is read.
    listener: Callable[[Section], None] | None = None

    def refer(
        self,
        kinds: str,
        name: str,
        node: yaml.Node,
        notes: Notes,
        what: str,
        over: str = "",
        subject: str = "",
    ) -> str:
        """Remembers a name to be checked when everything has been read; gives the name back.

        `over` narrows it to what that part can see; `subject` is what a limit is held against.
        """
        if name:
            self.references.append(Reference(kinds, name, node, notes, what, over, subject))
        return name

    def named(self, section: Section, key: str, kinds: str, needed: bool = False, over: str = "") -> str:
        """The name under a key, to be checked later."""
        name = section.text(key, needed)
        node = section.node_of(key)
        return self.refer(kinds, name, node, section.notes, f'"{key}" of {section.what}', over) if node else ""

    def names(self, section: Section, key: str, kinds: str, needed: bool = False) -> tuple[str, ...]:
        """The names in a list under a key, to be checked later."""
        nodes = section.items(key, needed)
        what = f'"{key}" of {section.what}'
        return tuple(self.refer(kinds, text_of(node, section.notes, what), node, section.notes, what) for node in nodes)

    def wording(self, section: Section, key: str, needed: bool = False, over: str = "") -> str:
        """A text in which `{name}` stands for a figure, an answer or a worked-out value."""
        text = section.text(key, needed)
        node = section.node_of(key)
        if node is not None:
            self.placeholders(text, node, section.notes, section.what, over)
        return text

    def wordings(self, section: Section, key: str, needed: bool = False) -> tuple[str, ...]:
        """A list of texts with `{name}` in them."""
        texts = []
        for node in section.items(key, needed):
            text = text_of(node, section.notes, f'an item of "{key}"')
            self.placeholders(text, node, section.notes, section.what)
            texts.append(text)
        return tuple(texts)

    def placeholders(self, text: str, node: yaml.Node, notes: Notes, what: str, over: str = "") -> None:
        """Remembers every `{name}` of a text."""
        for name in PLACEHOLDER.findall(text):
            if name != "limit":
                self.refer("limit question value", name, node, notes, f"the wording of {what}", over)

    def basis(self, section: Section, needed: bool = True) -> Basis:
        """Standing, source and clause; all three are needed, or none where `needed` is False."""
        given = any(section.node_of(key) is not None for key in ("standing", "source", "clause"))
        wanted = needed or given
        standing = section.one_of("standing", STANDINGS, needed=wanted)
        return Basis(standing, self.names(section, "source", "source", wanted), section.text("clause", wanted))

    def all_problems(self) -> Iterator[Problem]:
        """Every problem noted, in the order of the files."""
        return iter(sorted(self.problems, key=lambda problem: problem.place))
