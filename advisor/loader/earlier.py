"""A rule set as it stood, read as far as it is written in the language of today.

What is not known any more in a file that judges no case (words, phrases, what is asked) is left out of the comparison
and told. Where a file that judges has such a thing, no case can be judged: then what the other files say is compared.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import yaml
from msgspec import Struct

from advisor.loader.builder import UNREAD, Builder
from advisor.loader.canonical import Read, normalised
from advisor.loader.composed import Composed
from advisor.loader.reader import plain_data
from advisor.loader.ruleset_loader import load_rule_set, read_folder
from advisor.loader.shared import ASKED_FILES, PHRASES
from advisor.model.problems import Place, Problem, Problems
from advisor.model.ruleset import RuleSet

#: Files without a part of which every case is judged as with it.
_JUDGE_NOTHING = frozenset({"words.yaml", PHRASES, *ASKED_FILES})


class NotRead(Struct, frozen=True):
    """What of a file could not be read, and so is not compared: no path stands for the whole file."""

    file: str
    path: tuple[str, ...]
    problem: Problem
    places: int = 1

    def __str__(self) -> str:
        if self.path:
            return f"{': '.join((self.file, *self.path))} ({self.problem.head})"
        more = f" and {self.places - 1} more" if self.places > 1 else ""
        return f"{self.file}, whole ({self.problem.head}{more})"

    def holds(self, file: str, path: tuple[str, ...]) -> bool:
        """Whether something at a path of a file stands in what was not read."""
        return file == self.file and path[: len(self.path)] == self.path


class Earlier(Struct, frozen=True):
    """A rule set as far as it could be read; `rules` are there where cases can be judged."""

    named: str
    content: Mapping[str, Any]
    not_read: tuple[NotRead, ...] = ()
    rules: RuleSet | None = None

    def is_read(self, file: str, path: tuple[str, ...] = ()) -> bool:
        """Whether what may stand at a path of a file could be read; without a path, any of the file."""
        return not any(each.holds(file, path) for each in self.not_read)


def read_earlier(folder: Path) -> Earlier:
    """The rule set in a folder, as far as it can be read. Raises Problems where that is no rule set at all."""
    files = _WithoutParts()
    not_read: list[NotRead] = []
    while True:
        try:
            rules = load_rule_set(folder, files)
        except Problems as error:
            if any(problem.id in UNREAD for problem in error.problems):
                raise
            if any(_file(problem) not in _JUDGE_NOTHING for problem in error.problems):
                return _contents_only(folder, error.problems, files)
            left_out = [each for each in map(files.left_out, error.problems) if each is not None]
            if not left_out:
                raise
            not_read += left_out
        else:
            return Earlier(named(rules), rules.content, tuple(not_read), rules)


def named(rules: RuleSet) -> str:
    """A rule set by its id, edition and digest."""
    return f"{rules.about.id}, edition {rules.about.edition}, digest {rules.digest}"


def _contents_only(folder: Path, problems: Sequence[Problem], files: Composed) -> Earlier:
    read: Read = []
    draft = Builder(documents=files.documents)
    read_folder(folder, draft, read)
    bad: dict[str, list[Problem]] = {}
    for problem in problems:
        bad.setdefault(_file(problem), []).append(problem)
    if "steps.yaml" in bad:
        bad.setdefault("methods.yaml", bad["steps.yaml"])  # which has its steps from there
    about = next(plain_data(node) for name, node, _ in reversed(read) if name == "about.yaml")
    content = normalised([each for each in read if each[0] not in bad], draft.meant)
    not_read = tuple(NotRead(file, (), every[0], len(every)) for file, every in bad.items())
    return Earlier(f"{about.get('id', folder.name)}, edition {about.get('edition', 'not told')}", content, not_read)


def _file(problem: Problem) -> str:
    return Path(problem.place.file).name


class _WithoutParts(Composed):
    """Files as nodes, without the parts that could not be read."""

    def __init__(self) -> None:
        super().__init__()
        self._nodes: dict[str, yaml.Node] = {}

    def documents(self, path: Path, name: str) -> list[yaml.Node]:
        """The documents of a file; read once, so that what was left out of them stays out."""
        found = super().documents(path, name)
        if found:
            self._nodes[name] = found[0]
        return found

    def left_out(self, problem: Problem) -> NotRead | None:
        """Leaves out the smallest entry round the place of a problem; None where there is none."""
        node = self._nodes.get(problem.place.file)
        path = _without(node, problem.place) if node is not None else None
        return NotRead(_file(problem), path, problem) if path else None


def _without(node: yaml.Node, place: Place) -> tuple[str, ...] | None:
    """Takes the smallest entry of a mapping or list at a place out; the keys that lead there, None where none did."""
    for number, item in enumerate(node.value if not isinstance(node, yaml.ScalarNode) else ()):
        key, value = item if isinstance(node, yaml.MappingNode) else (item, item)
        if _mark(key.start_mark) <= (place.line, place.column) < _mark(value.end_mark):
            inner = _without(value, place)
            if inner is None:
                del node.value[number]
            return ((str(key.value),) if key is not value else ()) + (inner or ())
    return None


def _mark(mark: yaml.Mark) -> tuple[int, int]:
    return mark.line + 1, mark.column + 1
