"""Entries by way of which something comes out otherwise: what is told names them, or what it names does."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from advisor.model.ruleset import RuleSet

#: Files whose entries a ruling or a method can go by.
_GONE_BY = ("endings.yaml", "limits.yaml", "values.yaml", "methods.yaml")
#: Behind these keys stand words, not ids.
_WORDS = frozenset(
    {"because", "says", "note", "name", "headline", "do-now", "tell-driver", "clause", "source", "steps"}
)


def entries_behind(told: Iterable[str], editions: Iterable[RuleSet]) -> set[str]:
    """The ids of endings, limits, values and methods that what is told goes by, in either of two rule sets."""
    entries: dict[str, list[Any]] = {}
    starts: dict[str, list[Any]] = {}
    for rules in editions:
        for file in _GONE_BY:
            for name, entry in rules.content.get(file, {}).items():
                entries.setdefault(name, []).append(entry)
        for name, content in _told_of(rules):
            starts.setdefault(name, []).append(content)
    found = set[str]()
    rest = [content for name in told for content in (*starts.get(name, ()), *entries.get(name, ()))]
    while rest:
        named = {name for name in _named(rest.pop()) if name in entries} - found
        found |= named
        rest += [entry for name in named for entry in entries[name]]
    return found


def _told_of(rules: RuleSet) -> Iterator[tuple[str, Any]]:
    """What rulings say by their ids, and by the question of a node when it is asked and what "can't tell" means."""
    for name, node in rules.content.get("paths.yaml", {}).get("nodes", {}).items():
        yield node.get("ask", name), {key: node[key] for key in ("asked", "cant-tell") if key in node}
        yield from ((ruling.get("id", ""), ruling) for ruling in node.get("rulings", ()))


def _named(tree: Any) -> Iterator[str]:
    if isinstance(tree, Mapping):
        for key, value in tree.items():
            if key not in _WORDS:
                yield key
                yield from _named(value)
    elif isinstance(tree, list):
        for each in tree:
            yield from _named(each)
    else:
        yield str(tree)
