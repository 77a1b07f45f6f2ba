"""Reads a command's words: options known by name, the rest in order. Small on purpose: it is on the start-up path."""

from __future__ import annotations

import sys
from collections.abc import Iterable

from msgspec import Struct, field

from advisor.loader.paths import DEFAULT_RULES as DEFAULT_RULES
from advisor.model.problems import Place, Problem, Problems, closest, shown


class Options(Struct):
    """What was given: flags, values by option (each may come more than once), and the other words."""

    flags: set[str] = field(default_factory=set)
    values: dict[str, list[str]] = field(default_factory=dict)
    words: list[str] = field(default_factory=list)

    @property
    def rules(self) -> list[str]:
        """The rule sets named, or the default one."""
        return self.values.get("--rules", [])


def read_options(given: list[str], flags: Iterable[str], values: Iterable[str], help_text: str) -> Options | None:
    """The options in a command's words; None when help was asked for and printed. Raises Problems."""
    options = Options()
    known_flags, known_values = {*flags}, {"--rules", *values}
    words = iter(given)
    for word in words:
        name, equals, value = word.partition("=")
        if word in ("--help", "-h"):
            sys.stdout.write(help_text)
            return None
        if word in known_flags:
            options.flags.add(word)
        elif name in known_values:
            found = value if equals else next(words, None)
            if found is None:
                raise Problems([_problem(word, f"{word} without a value", "a value after it")])
            options.values.setdefault(name, []).append(found)
        elif word.startswith("-") and word != "-":
            known = sorted(known_flags | known_values)
            raise Problems(
                [_problem(word, f'"{shown(word, 60)}"', f"one of: {', '.join(known)}", closest(word, known))]
            )
        else:
            options.words.append(word)
    return options


def _problem(word: str, found: str, expected: str, nearest: tuple[str, ...] = ()) -> Problem:
    return Problem("bad-option", Place("command line"), found, expected, "see --help", nearest)


def complain(problems: Iterable[Problem]) -> None:
    """Writes problems to standard error, one block each."""
    for problem in problems:
        sys.stderr.write(f"{problem}\n")


def problem(problem_id: str, found: str, expected: str, do: str = "see --help") -> Problems:
    """A problem with what was typed on the command line."""
    return Problems([Problem(problem_id, Place("command line"), found, expected, do)])
