"""Figures with a unit that stand in wording.

Looked for in reasons, headlines, cautions, steps and questions. Examples of how to type an answer, notes, and what a
limit or source says of itself are left alone.

figure-in-wording (error): a figure with a unit in the wording of an entry.
Why it is bad: it is a limit without a source, and whoever changes the limit leaves the old figure standing here.
PASS:
  endings.yaml: {scrap-hole/headline: "The hole is wider than {largest-hole}."}
FAIL:
  endings.yaml: {scrap-hole/headline: The hole is wider than 6 mm.}
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from advisor.loader.overlay import listed
from advisor.model.problems import Problem
from advisor.model.quantity import UNITS
from advisor.model.ruleset import RuleSet

_UNITS = "|".join(sorted((re.escape(name) for name in UNITS if name not in ("in", "C", "F", "m", "times")), key=len))
_FIGURE = re.compile(rf"(?<![\w{{.])\d+(?:[.,/]\d+)?\s?(?:{_UNITS}|/32|inch(?:es)?|in)(?![\w-])(?!\s\d)")
_FILES = (
    "terms.yaml",
    "questions.yaml",
    "endings.yaml",
    "cautions.yaml",
    "steps.yaml",
    "methods.yaml",
    "restrictions.yaml",
)
_LEFT_ALONE = frozenset({"example", "plausible", "clause", "source", "also", "choices", "note", "phrases", "counts-as"})


def check(rules: RuleSet) -> Iterator[Problem]:
    """Wording with a figure of its own."""
    for file in _FILES:
        told: set[tuple[str, str]] = set()
        for name, entry in rules.content.get(file, {}).items():
            for part, text in _texts(entry):
                if file != "methods.yaml" or (part, text) not in told:  # a step stands in each method that has it
                    yield from _figures(text, rules, file, name, part)
                told.add((part, text))
    for name, node in rules.content.get("paths.yaml", {}).get("nodes", {}).items():
        for part, text in _texts(node):
            yield from _figures(text, rules, "paths.yaml", name, part)


def _texts(tree: Any, part: str = "") -> Iterator[tuple[str, str]]:
    """Every text, with the id of the ruling or step that it belongs to."""
    if isinstance(tree, dict):
        named = [each for key in ("id", "ending", "restriction", "caution") for each in listed(tree, key)]
        part = next((each for each in named if isinstance(each, str) and each), part)
        for key, value in tree.items():
            if key not in _LEFT_ALONE:
                yield from _texts(value, part if isinstance(part, str) else "")
    elif isinstance(tree, list):
        for item in tree:
            yield from _texts(item, part)
    elif isinstance(tree, str):
        yield part, tree


def _figures(text: str, rules: RuleSet, file: str, name: str, part: str) -> Iterator[Problem]:
    step = rules.places.get(f"steps.yaml#{part}") if file == "methods.yaml" else None
    for match in _FIGURE.finditer(text):
        yield Problem(
            "figure-in-wording",
            rules.place_of(file, f"{name}/{part}"),
            f'the figure "{match[0]}" in the wording of {part if step else name}',
            "a limit in braces",
            "give the figure a name and a source in limits.yaml, and write {its-name} here",
            see=((step, "the step"),) if step else (),
        )
