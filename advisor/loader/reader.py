"""Takes typed values out of YAML nodes and notes a problem, with its place, for everything that doesn't fit."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, TypeVar

import yaml
from yaml import MappingNode, ScalarNode, SequenceNode

from advisor.model.problems import Misread, Place, Problem, shown
from advisor.model.problems import closest as closest

_T = TypeVar("_T")
_NOTHING_MORE: Mapping[yaml.Node, Mapping[str, str]] = {}


class FileMark(yaml.Mark):
    """Where a node stands that is read as part of another file than its own, which it names."""

    def __init__(self, file: str, line: int, column: int) -> None:
        super().__init__(file, 0, line, column, None, 0)


class Diagnostics:
    """Where problems are gathered while a file is read."""

    def __init__(self, file: str, first_line: int = 0) -> None:
        self.file, self._first_line = file, first_line
        self.problems: list[Problem] = []
        self.places: dict[str, Place] = {}

    def place(self, node: yaml.Node) -> Place:
        """Where a node begins, counted from 1 in the whole file."""
        if isinstance(mark := node.start_mark, FileMark):
            return Place(mark.name, mark.line + 1, mark.column + 1)
        return Place(self.file, self._first_line + node.start_mark.line + 1, node.start_mark.column + 1)

    def add(
        self,
        problem_id: str,
        node: yaml.Node,
        found: str,
        expected: str = "",
        do: str = "",
        nearest: Iterable[str] = (),
        see: Iterable[tuple[Place, str]] = (),
    ) -> None:
        """Notes a problem at a node."""
        self.problems.append(Problem(problem_id, self.place(node), found, expected, do, tuple(nearest), tuple(see)))

    def misread(self, problem_id: str, node: yaml.Node, error: Misread) -> None:
        """Notes a text that could not be read as what it should be."""
        self.add(problem_id, node, error.found, error.expected, error.do, error.nearest)


def described(node: yaml.Node) -> str:
    """A node in words: a text, a list, a mapping, nothing."""
    if isinstance(node, MappingNode):
        return "keys and values"
    if isinstance(node, SequenceNode):
        return "a list"
    if is_empty(node):
        return "no value"
    return f'"{shown(str(node.value), 60)}"'


def plain_data(node: yaml.Node, meant: Mapping[yaml.Node, Mapping[str, str]] = _NOTHING_MORE) -> Any:
    """A node as plain dicts, lists and texts; `meant` is what mappings leave out."""
    value = node.value
    if isinstance(value, str):
        return " ".join(value.split())
    if isinstance(node, MappingNode):
        said = {str(key.value): plain_data(item, meant) for key, item in value}
        return {**said, **meant[node]} if node in meant else said
    return [plain_data(item, meant) for item in value]


def in_file(node: yaml.Node, file: str) -> yaml.Node:
    """A node, and all below it, that names the file in which it stands."""
    at = node.start_mark
    mark = at if isinstance(at, FileMark) else FileMark(file, at.line, at.column)
    if isinstance(node, MappingNode):
        pairs = [(in_file(key, file), in_file(value, file)) for key, value in node.value]
        return MappingNode(node.tag, pairs, mark, mark, node.flow_style)
    if isinstance(node, SequenceNode):
        return SequenceNode(node.tag, [in_file(each, file) for each in node.value], mark, mark)
    return ScalarNode(node.tag, node.value, mark, mark, getattr(node, "style", None))


_NOTHING = frozenset(("", "~", "null"))


_NOWHERE = yaml.Mark("", 0, 0, 0, "", 0)


def text_node(text: str) -> yaml.ScalarNode:
    """A text that stands in no file, as a node."""
    return yaml.ScalarNode("", text, _NOWHERE, _NOWHERE, style='"')


def list_node(texts: Iterable[str]) -> yaml.SequenceNode:
    """Texts that stand in no file, as a list."""
    return yaml.SequenceNode("", [text_node(text) for text in texts], _NOWHERE, _NOWHERE)


def lists_node(lists: Mapping[str, Iterable[str]]) -> yaml.MappingNode:
    """Lists by name that stand in no file."""
    pairs = [(text_node(name), list_node(texts)) for name, texts in lists.items()]
    return yaml.MappingNode("", pairs, _NOWHERE, _NOWHERE)


def is_empty(node: yaml.Node) -> bool:
    """Whether nothing was written after the colon (a quoted empty text is something)."""
    return isinstance(node, ScalarNode) and node.value in _NOTHING and not node.style


def text_of(node: yaml.Node, notes: Diagnostics, what: str) -> str:
    """The text of a scalar, white space folded; notes a problem for anything else."""
    if isinstance(node, ScalarNode):
        value = node.value
        if value not in _NOTHING or node.style:
            return " ".join(value.split())
    notes.add("wrong-kind", node, f"{described(node)} as {what}", "a text", "write it on one line")
    return ""


def items_of(node: yaml.Node, notes: Diagnostics, what: str) -> list[yaml.Node]:
    """The items of a list; a lone scalar counts as a list of one."""
    if isinstance(node, SequenceNode):
        return list(node.value)
    if isinstance(node, ScalarNode) and not is_empty(node):
        return [node]
    notes.add("wrong-kind", node, f"{described(node)} as {what}", "a list", "write [one, two]")
    return []


def value_of(node: yaml.Node | None, key: str) -> yaml.Node | None:
    """What stands behind a key of a mapping; None where there is none, or no mapping."""
    pairs = node.value if isinstance(node, MappingNode) else ()
    return next((value for name, value in pairs if name.value == key), None)


def pairs_of(node: yaml.Node, notes: Diagnostics, what: str) -> Iterator[tuple[str, yaml.Node, yaml.Node]]:
    """Key, key node and value node of a mapping; a key given twice is a problem that shows both places."""
    if not isinstance(node, MappingNode):
        notes.add("wrong-kind", node, f"{described(node)} as {what}", "keys and values", "write key: value")
        return
    seen: dict[str, yaml.Node] = {}
    for key_node, value in node.value:
        if not isinstance(key_node, ScalarNode):
            notes.add("wrong-kind", key_node, f"{described(key_node)} as a key", "a text as the key", "name it")
            continue
        key = str(key_node.value)
        if key in seen:
            first = (notes.place(seen[key]), "first given here")
            notes.add(
                "duplicate-key",
                key_node,
                f'"{shown(key, 60)}" a second time in {what}',
                "each key once",
                "keep one of the two",
                see=(first,),
            )
            continue
        seen[key] = key_node
        yield key, key_node, value


def is_id(word: str) -> bool:
    """Whether a word may be an id: lower-case ASCII letters, digits, hyphens, starting with a letter."""
    return word.replace("-", "").isalnum() and word.isascii() and word == word.lower() and word[0].isalpha()
