"""What has been read so far of a rule set, and every name it used that must lead somewhere."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import yaml
from msgspec import Struct, field

from advisor.loader.reader import Diagnostics
from advisor.loader.yaml_nodes import from_file
from advisor.model.asked import AskedKind, AskedSubject, ReadyAnswer
from advisor.model.lexicon_entries import Phrases
from advisor.model.problems import Place, Problem
from advisor.model.repair_units import UnitRow
from advisor.model.ruleset import (
    About,
    Caution,
    Ending,
    Limit,
    LimitTable,
    Method,
    Node,
    Part,
    Question,
    Restriction,
    Source,
    Step,
    Term,
    Word,
    WorkedOut,
)

#: Problems that leave a whole file unread.
UNREAD = frozenset(
    {
        *("not-yaml", "not-text", "unreadable-file", "one-document", "no-entries"),
        *("no-anchor", "no-alias", "no-tag", "too-deep"),
    }
)
#: These, and others of which whatever follows may come.
CAUSES = UNREAD | {"no-file", "changed-meaning"}


class Reference(Struct, frozen=True):
    """A name used at a place in an entry of a file, and the kinds of thing it may name, with spaces between."""

    kinds: str
    name: str
    node: yaml.Node
    notes: Diagnostics
    what: str
    over: str = ""
    subject: str = ""
    entry: str = ""


class Builder(Struct):
    """The parts of a rule set while its files are read."""

    about: About | None = None
    sources: dict[str, Source] = field(default_factory=dict)
    limits: dict[str, Limit] = field(default_factory=dict)
    tables: dict[str, LimitTable] = field(default_factory=dict)
    terms: dict[str, Term] = field(default_factory=dict)
    #: Terms as they were found, until they are first used; those that are being read, one within the other.
    unread: dict[str, Any] = field(default_factory=dict)
    reading: list[str] = field(default_factory=list)
    questions: dict[str, Question] = field(default_factory=dict)
    values: dict[str, WorkedOut] = field(default_factory=dict)
    parts: list[Part] = field(default_factory=list)
    nodes: dict[str, Node] = field(default_factory=dict)
    any_order: list[tuple[str, ...]] = field(default_factory=list)
    endings: dict[str, Ending] = field(default_factory=dict)
    restrictions: dict[str, Restriction] = field(default_factory=dict)
    steps: dict[str, Step] = field(default_factory=dict)
    methods: dict[str, Method] = field(default_factory=dict)
    #: What each method lists, as it was read, for when an overlay words a step anew.
    listed: dict[str, tuple[Any, ...]] = field(default_factory=dict)
    cautions: dict[str, Caution] = field(default_factory=dict)
    words: dict[str, Word] = field(default_factory=dict)
    phrases: Phrases = field(default_factory=Phrases)
    units: dict[str, UnitRow] = field(default_factory=dict)
    intents: dict[str, AskedKind] = field(default_factory=dict)
    subjects: dict[str, AskedSubject] = field(default_factory=dict)
    answers: dict[str, ReadyAnswer] = field(default_factory=dict)
    failed: set[str] = field(default_factory=set)
    #: Ids that entries say they had formerly; `what` is the entry that says so.
    former: list[Reference] = field(default_factory=list)
    #: What an overlay's files may name by a former id of the base: by kind, the former id and the one borne now.
    renamed: dict[str, dict[str, str]] = field(default_factory=dict)
    #: Where an overlay named something so, and as what it was read.
    read_as: list[tuple[Place, str, str]] = field(default_factory=list)
    references: list[Reference] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    places: dict[str, Place] = field(default_factory=dict)
    #: What the files that it shares hold, by file and id, used or not.
    shared: set[tuple[str, str]] = field(default_factory=set)
    #: Standings and clauses that entries leave out, as their sources give them.
    meant: dict[yaml.Node, dict[str, str]] = field(default_factory=dict)
    #: Each limit as written, and the file, for what an overlay does not say anew.
    limit_nodes: dict[str, tuple[yaml.Node, str]] = field(default_factory=dict)
    #: How a file becomes nodes.
    documents: Callable[[Path, str], list[yaml.Node]] = from_file

    def all_problems(self) -> Iterator[Problem]:
        """Every problem noted, in the order of the files; ahead of them what others may come of."""
        return iter(sorted(self.problems, key=lambda problem: (problem.id not in CAUSES, problem.place)))
