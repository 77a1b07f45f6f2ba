"""Text to YAML nodes with places; anchors, aliases, tags, and too much of anything are problems.

Scalars stay the text that was written: `no`, `1/4` and `3:30` mean what the writer meant.
"""

from __future__ import annotations

import os
import re
import stat
from collections.abc import Iterator
from pathlib import Path
from typing import Any, BinaryIO

import yaml

from advisor.model.problems import Place, Problem, Problems, shown


class _NoTags(yaml.resolver.BaseResolver):
    """Every scalar stays text, so no pattern needs to be tried on it; a third of the time it takes to compose."""

    def descend_resolver(self, current_node: object, current_index: object) -> None:
        """Nothing depends on where a node stands."""

    def ascend_resolver(self) -> None:
        """Nothing depends on where a node stands."""

    def resolve(self, kind: type[yaml.Node], value: object, implicit: object) -> str:
        """One tag for all: our own readers look at the kind of node."""
        return "text"


def _loader() -> type[Any]:
    """A loader over the C parser, or over the Python one where there is no C parser."""
    base = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
    return type("PlainLoader", (_NoTags, base), {})


LOADER = _loader()
_LARGEST_BYTES = 64 * 2**20
#: One document, as its nodes take a hundred times the room of its text.
LARGEST_DOCUMENT = 4 * 2**20
DEEPEST = 60
#: Where an anchor, an alias or a tag could stand; a hit is looked at with the parser.
_SIGNS = ("&", "*", "!")
_BEFORE_A_SIGN = frozenset("[{,:?-")
_BRACKETS = re.compile(r"[\[\]{}]")
_DEEP_INDENT = re.compile(rf"\n[ ?\t-]{{{DEEPEST // 2 + 1}}}")


def read_text(path: Path, name: str) -> str:
    """The text of a file, UTF-8 with or without a byte-order mark. Raises Problems when it can't be read."""
    with opened(path, name) as file:
        try:
            if (size := os.fstat(file.fileno()).st_size) > _LARGEST_BYTES:
                raise Problems([_unreadable(name, f"a file of {size} bytes", "split the file")])
            data = file.read(_LARGEST_BYTES + 1)
        except OSError as error:
            raise _not_opened(error, name) from None
    if len(data) > _LARGEST_BYTES:
        raise Problems([_unreadable(name, f"more than {_LARGEST_BYTES} bytes", "split it")])
    return decoded(data, name)


def opened(path: Path, name: str) -> BinaryIO:
    """A file opened to read; nothing is waited for. Raises Problems for a named pipe, a folder, a device, or none.

    What another program hands over as an open file (`/dev/fd/63`) is read like standard input.
    """
    handed_over = str(path).startswith(("/dev/fd/", "/dev/stdin", "/proc/self/fd/"))
    try:
        found = os.open(path, os.O_RDONLY | (0 if handed_over else getattr(os, "O_NONBLOCK", 0)))
    except (OSError, ValueError) as error:
        raise _not_opened(error, name) from None
    mode = os.fstat(found).st_mode
    if stat.S_ISREG(mode) or (handed_over and not stat.S_ISDIR(mode)):
        return os.fdopen(found, "rb")
    os.close(found)
    raise Problems([_no_file(mode, name)])


def _no_file(mode: int, name: str) -> Problem:
    if stat.S_ISDIR(mode):
        return _unreadable(name, "a folder where a file was expected", "name a file")
    what = "a named pipe" if stat.S_ISFIFO(mode) else "a device"
    return _unreadable(name, f"{what} where a file was expected", "name a file; - reads standard input")


def _not_opened(error: Exception, name: str) -> Problems:
    reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
    if isinstance(error, IsADirectoryError):
        return Problems([_no_file(stat.S_IFDIR, name)])
    found = f"a file that can't be read: {reason.lower()}"
    return Problems([_unreadable(name, found, "check the name and the rights of the file")])


def decoded(data: bytes, name: str) -> str:
    """Bytes as UTF-8 text. Raises Problems with the place of the first byte that is not."""
    at = data.find(b"\0")
    try:
        if at < 0:
            return data.decode("utf-8-sig")
        data[:at].decode("utf-8-sig")
    except UnicodeDecodeError as error:
        at = error.start
    before = data[:at].decode("utf-8", "replace")
    line = before.count("\n") + 1
    column = len(before) - before.rfind("\n")
    found = f"a byte that is not UTF-8 text (0x{data[at]:02x})"
    problem = Problem("not-text", Place(name, line, column), found, "a text file in UTF-8", "save it as UTF-8")
    raise Problems([problem])


def _unreadable(name: str, found: str, do: str) -> Problem:
    return Problem("unreadable-file", Place(name), found, "a text file that can be read", do)


def documents(text: str, name: str) -> list[yaml.Node]:
    """The documents of a text as nodes. Raises Problems when it isn't YAML or holds what may not be used."""
    return list(each_document(text, name))


def from_file(path: Path, name: str) -> list[yaml.Node]:
    """The documents of a file as nodes. Raises Problems as `read_text` and `documents` do."""
    return documents(read_text(path, name), name)


def each_document(text: str, name: str) -> Iterator[yaml.Node]:
    """The documents one by one; raises Problems at the first that isn't YAML, or at once for what may not be used."""
    if len(text) > LARGEST_DOCUMENT:
        raise Problems([_unreadable(name, f"a document of {len(text)} characters", "a case or a topic a document")])
    refused = list(_refusals(text, name))
    if refused:
        raise Problems(refused)
    try:
        yield from (node for node in yaml.compose_all(text, Loader=LOADER) if node is not None)
    except (yaml.YAMLError, RecursionError) as error:
        raise Problems([_not_yaml(error, text, name)]) from None


def _refusals(text: str, name: str) -> Iterator[Problem]:
    """What YAML allows and a rule or case file may not use, found before any node is built."""
    if not _may_be_refused(text) and not _may_be_deep(text):
        return
    depth = 0
    event: Any
    try:
        for event in yaml.parse(text, Loader=LOADER):
            place = Place(name, event.start_mark.line + 1, event.start_mark.column + 1)
            if isinstance(event, yaml.AliasEvent):
                yield _refused("no-alias", place, f"the alias *{event.anchor}")
            elif getattr(event, "anchor", None):
                yield _refused("no-anchor", place, f"the anchor &{event.anchor}")
            elif getattr(event, "tag", None):
                yield _refused("no-tag", place, f"the tag {event.tag}")
            depth += isinstance(event, yaml.CollectionStartEvent) - isinstance(event, yaml.CollectionEndEvent)
            if depth > DEEPEST:
                yield Problem("too-deep", place, f"lists in lists, {depth} deep", "a flat file", "take levels out")
                return
    except (yaml.YAMLError, RecursionError) as error:
        yield _not_yaml(error, text, name)


def _may_be_refused(text: str) -> bool:
    """Whether an anchor, an alias or a tag could stand in a text; cheap, and never wrong with a no."""
    for sign in _SIGNS:
        at = text.find(sign)
        while at >= 0:
            before = text[at - 1 : at]
            if not before.strip() or before in _BEFORE_A_SIGN:
                return True
            at = text.find(sign, at + 1)
    return False


def _may_be_deep(text: str) -> bool:
    """Whether brackets, dashes or indents could nest deeper than is allowed; cheap, and never wrong with a no."""
    depth = 0
    for bracket in _BRACKETS.findall(text):
        depth += 1 if bracket in "[{" else -1
        if depth > DEEPEST // 2:
            return True
    return _DEEP_INDENT.search(f"\n{text}") is not None


def _refused(problem_id: str, place: Place, found: str) -> Problem:
    return Problem(problem_id, place, found, "plain values only", "write the value out where it is used")


def _not_yaml(error: Exception, text: str, name: str) -> Problem:
    mark = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
    if mark is not None:
        place = Place(name, mark.line + 1, mark.column + 1)
    elif isinstance(error, yaml.reader.ReaderError):
        before = text[: error.position]
        place = Place(name, before.count("\n") + 1, len(before) - before.rfind("\n"))
    else:
        place = Place(name)
    detail = getattr(error, "problem", None) or getattr(error, "reason", None) or "it can't be read"
    return Problem(
        "not-yaml",
        place,
        f"text that is not YAML: {shown(str(detail))}",
        "YAML: keys, colons, spaces for indent",
        "mend the file at this place; tabs may not indent, and brackets and quotes must close",
        see=_begun(error, name),
    )


#: What the parser was in the middle of, in its own words and in ours.
_OPEN = {
    "flow mapping": "the { that is still open",
    "flow sequence": "the [ that is still open",
    "quoted scalar": "the quote that is still open",
    "block mapping": "the keys that stand together begin here",
    "block collection": "the list begins here",
}


def _begun(error: Exception, name: str) -> tuple[tuple[Place, str], ...]:
    """Where that began which the parser could not read to its end; often the slip is there."""
    mark, context = getattr(error, "context_mark", None), str(getattr(error, "context", ""))
    words = next((ours for theirs, ours in _OPEN.items() if theirs in context), "")
    return ((Place(name, mark.line + 1, mark.column + 1), words),) if mark is not None and words else ()
