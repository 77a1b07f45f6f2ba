"""What the files of a rule set may hold, learned from the loader itself while it reads the shipped rule sets.

The readers ask for every key that they know, whether a file has it or not. So listening to them while they read tells
all keys, the words allowed, what is needed, and which texts are names of what; there is no second list to keep.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

import yaml
from msgspec import Struct, field

from advisor.loader.builder import Builder
from advisor.loader.reader import Notes, Section, items_of, text_of
from advisor.loader.ruleset_loader import FILES, load_rule_set, read_folder, shipped, trees_folder

#: Where an overlay's files are known by; those of a rule set that stands alone go by their own name.
OVERLAY = "overlay "


class LearnedValue(Struct):
    """What stands behind a key. `asked` is in how many mappings it was asked for, `needed` whether always as such.

    `met` holds the kinds of YAML node met there, and among its items (`item …`).
    """

    asked: int = 0
    needed: bool = True
    text: bool = False
    listed: bool = False
    words: set[str] = field(default_factory=set)
    names: set[str] = field(default_factory=set)
    met: set[str] = field(default_factory=set)
    condition: bool = False
    itself: Shape | None = None
    items: Shape | None = None
    entries: Shape | None = None


class Shape(Struct):
    """A mapping: its keys, how many such were read, and in each the keys that stood there and those needed there."""

    read: int = 0
    keys: dict[str, LearnedValue] = field(default_factory=dict)
    seen: list[tuple[frozenset[str], frozenset[str]]] = field(default_factory=list)

    def always_needed(self) -> list[str]:
        """The keys that every such mapping must have."""
        return sorted(key for key, value in self.keys.items() if value.needed and value.asked == self.read)

    def needed_with(self) -> dict[str, list[str]]:
        """Keys that are needed just where one other key stands: by that one."""
        found: dict[str, list[str]] = {}
        for key in self.keys.keys() - self.always_needed():
            wanted = [key in needed for _, needed in self.seen]
            like = [k for k in self.keys if k != key and [k in stood for stood, _ in self.seen] == wanted]
            if any(wanted) and len(like) == 1:
                found.setdefault(like[0], []).append(key)
        return found


class FileShape(Struct):
    """A file: a mapping with fixed keys (`root`), or ids with an entry behind each (`entry`)."""

    root: Shape | None = None
    entry: Shape | None = None


def learned() -> dict[str, FileShape]:
    """The shape of every file, by name; those of an overlay under `overlay NAME`."""
    ear = _Ear()
    for name in shipped():
        ear.read(trees_folder() / name)
    return ear.files


class _Ear:
    """Listens to the readers. Nodes are told apart by identity; `_alive` keeps them from being replaced."""

    def __init__(self) -> None:
        self.files: dict[str, FileShape] = {}
        self._homes: dict[int, tuple[LearnedValue, str]] = {}
        self._values: dict[int, LearnedValue] = {}
        self._alive: list[yaml.Node] = []
        self._overlay = ""

    def read(self, folder: Path) -> None:
        """Listens while a rule set is read. Raises Problems where it is broken."""
        overlays = load_rule_set(folder).about.builds_on
        self._overlay = f"{folder.name}/" if overlays else ""
        draft = Builder()
        draft.listener = self.hear
        read_folder(folder, draft, [])
        for reference in draft.references:
            value = self._values.get(id(reference.node))
            if value is not None and reference.what.startswith("the wording of"):
                continue  # a name inside a text
            if value is not None:
                value.names |= set(reference.kinds.split())
            home = self._homes.get(id(reference.node))
            if home is not None and home[1] == "key" and reference.kinds == "question value":
                home[0].condition = True

    def hear(self, section: Section) -> None:
        """A section begins to be read: learns where it stands, and listens to what it is asked for."""
        shape = self._shape_of(section)
        shape.read += 1
        take, node_of, one_of = section.take, section.node_of, section.one_of
        asked: dict[str, bool] = {}

        def heard_node_of(key: str) -> yaml.Node | None:
            node = node_of(key)
            value = shape.keys.setdefault(key, LearnedValue())
            if node is not None:
                self._met(value, node)
            if key not in asked:
                value.asked += 1
                asked[key] = False
            return node

        def heard_take(key: str, read: Callable[..., Any], default: Any, needed: bool = False) -> Any:
            value = shape.keys.setdefault(key, LearnedValue())
            value.text |= read is text_of
            value.listed |= read is items_of
            found = take(key, read, default, needed)
            value.needed &= needed
            asked[key] = asked.get(key, False) or needed
            return found

        def heard_one_of(key: str, allowed: Iterable[str], default: str = "", needed: bool = False) -> str:
            words, value = list(allowed), shape.keys.setdefault(key, LearnedValue())
            if isinstance(allowed, dict):  # the rule set's own parts
                value.names.add("part")
            else:
                value.words |= set(words)
            return one_of(key, words, default, needed)

        section.take = heard_take  # type: ignore[method-assign]
        section.node_of = heard_node_of  # type: ignore[method-assign]
        section.one_of = heard_one_of  # type: ignore[method-assign]
        finish = section.finish

        def heard_finish() -> None:
            for key, needed in asked.items():
                shape.keys[key].needed &= needed
            stood = frozenset(key for key in asked if node_of(key) is not None)
            shape.seen.append((stood, frozenset(key for key, needed in asked.items() if needed)))
            finish()

        section.finish = heard_finish  # type: ignore[method-assign]

    def _shape_of(self, section: Section) -> Shape:
        home = self._homes.get(id(section.node))
        if home is None:
            return self._of_file(section)
        value, how = home
        shape = getattr(value, how) or Shape()
        setattr(value, how, shape)
        return shape

    def _of_file(self, section: Section) -> Shape:
        notes: Notes = section.notes
        over = OVERLAY if self._overlay and notes.file.startswith(self._overlay) else ""
        name = notes.file.rpartition("/")[2]
        file = self.files.setdefault(f"{over}{name}", FileShape())
        if section.what == name and name in FILES:
            file.root = file.root or Shape()
            return file.root
        file.entry = file.entry or Shape()
        return file.entry

    def _met(self, value: LearnedValue, node: yaml.Node) -> None:
        """Notes a value handed out, and where its parts stand, for the sections that are read of them."""
        self._alive.append(node)
        value.met.add(_kind(node))
        self._homes[id(node)] = value, "itself"
        self._values[id(node)] = value
        if isinstance(node, yaml.MappingNode):
            for key, item in node.value:
                self._homes[id(key)] = value, "key"
                self._homes[id(item)] = value, "entries"
                value.met.add(f"entry {_kind(item)}")
        elif isinstance(node, yaml.SequenceNode):
            for item in node.value:
                self._homes[id(item)] = value, "items"
                self._values[id(item)] = value
                value.met.add(f"item {_kind(item)}")


def _kind(node: yaml.Node) -> str:
    if isinstance(node, yaml.MappingNode):
        return "mapping"
    return "sequence" if isinstance(node, yaml.SequenceNode) else "scalar"
