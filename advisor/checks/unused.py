"""Unused: every question, limit, caution, source and restriction that a rule set defines is used somewhere in it. What
nothing uses is a slip, or the remains of one. Two kinds are no slip: a worked-out value, since every one stands in the
JSON answer, and a question that every case file may answer, though this rule set never asks it."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from typing import Any

from advisor.errors import Problem
from advisor.model.rules import RuleSet

#: Ids of the case file that a rule set takes in even where it has no use for them.
TAKEN_IN = frozenset(
    {"load-range", "tread-width", "bulge-mark", "bulge-height", "lean", "casing-thickness", "cut-depth"}
)


def check(rules: RuleSet) -> Iterator[Problem]:
    """Everything defined and named nowhere else."""
    used = _names_used(rules.content)
    homes: dict[str, Iterable[str]] = {
        "sources.yaml": rules.sources,
        "limits.yaml": rules.limits,
        "questions.yaml": rules.questions,
        "cautions.yaml": rules.cautions,
        "restrictions.yaml": rules.restrictions,
    }
    for file, names in homes.items():
        for name in names:
            if name not in used and name not in TAKEN_IN:
                yield Problem(
                    "unused",
                    rules.place_of(file, name),
                    f'"{name}", which nothing uses',
                    "a use for it",
                    "name it where it belongs, or take it out",
                )


def _names_used(content: Any) -> set[str]:
    """Every word that stands as a value, a condition's subject or between braces."""
    words: set[str] = set()
    for file, tree in content.items():
        for top, value in tree.items():
            if file == "paths.yaml":
                words |= set(_words(value))
            else:
                words |= set(_words(value)) - {top}
    return words


def _words(tree: Any) -> Iterator[str]:
    if isinstance(tree, dict):
        for key, value in tree.items():
            yield key
            yield from _words(value)
    elif isinstance(tree, list):
        for item in tree:
            yield from _words(item)
    else:
        yield from json.dumps(tree).replace("{", " ").replace("}", " ").replace('"', " ").replace(",", " ").split()
