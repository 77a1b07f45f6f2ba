"""The parser that every command declares its options on, and the house form for what is wrong with a typed line."""

from __future__ import annotations

import sys
from argparse import SUPPRESS as SUPPRESS
from argparse import ArgumentError, ArgumentParser, Namespace, RawDescriptionHelpFormatter
from collections.abc import Callable, Iterable, Sequence
from datetime import date
from functools import partial
from typing import Any, NoReturn

from advisor.loader.paths import DEFAULT_RULES
from advisor.model.problems import Place, Problem, Problems, closest, shown

_HELP_COLUMN, _HELP_WIDTH = 26, 100


def _formatter(width: int) -> Any:
    """What lays the help out in so many columns; without a width it would ask the terminal at each option declared."""
    return partial(RawDescriptionHelpFormatter, max_help_position=_HELP_COLUMN, width=width)


class CommandParser(ArgumentParser):
    """The options of one command, which may stand before, between and after its words; `--rules` is on every one.

    A word that does not fit raises Problems; `--help` ends the program, as argparse does it.
    """

    def __init__(self, prog: str, words: str = "", description: str = "", **more: object) -> None:
        self._after, self._example = tuple[str, ...](), ""
        usage = " ".join(filter(None, (prog, words, "[options]")))
        super().__init__(
            prog, usage, description, formatter_class=_formatter(_HELP_WIDTH), allow_abbrev=False, exit_on_error=False
        )
        self.values("--rules", "ID|FOLDER", f"the rule set (default {DEFAULT_RULES})")

    def flag(self, name: str, says: str) -> None:
        """Declares an option without a value."""
        self.add_argument(name, action="store_true", help=says)

    def value(self, name: str, metavar: str, says: str, **more: Any) -> None:
        """Declares an option with a value; where it is given more than once, the last one counts."""
        self.add_argument(name, metavar=metavar, help=says, **more)

    def values(self, name: str, metavar: str, says: str, **more: Any) -> None:
        """Declares an option with a value that may be given more than once, each of them counting."""
        self.value(name, metavar, says, action="append", default=[], **more)

    def words(self, metavar: str, says: str) -> None:
        """Declares the words that stand beside the options; how many there have to be is for the command to say."""
        self.add_argument_group("words").add_argument("words", metavar=metavar, nargs="*", help=says)

    def journal_folder(self) -> None:
        """Declares `--data`."""
        says = "where the journal is kept (default: this user's data folder, or ADVISOR_DATA)"
        self.value("--data", "FOLDER", says, default="")

    def after(self, *paragraphs: str, example: str) -> None:
        """What stands in the help below the options: paragraphs, and last an example that works."""
        self._after, self._example = paragraphs, example

    def read(self, words: Sequence[str]) -> Namespace:
        """The options in the words of a command line. Raises Problems."""
        words = self._with_values(words)
        try:
            options, unknown = self.parse_known_intermixed_args(words)
        except ArgumentError as error:
            raise self._misfit(error, words) from None
        for word in unknown:
            raise self._unknown(word)
        return options

    def error(self, message: str) -> NoReturn:
        """Whatever else argparse finds, in the house form."""
        raise usage_error("bad-option", message, self.usage or self.prog)

    def format_help(self) -> str:
        """The help, as wide as the terminal is."""
        from shutil import get_terminal_size
        from textwrap import fill

        width = min(get_terminal_size((_HELP_WIDTH, 24)).columns, _HELP_WIDTH) - 2
        self.formatter_class = _formatter(width)
        paragraphs = (fill(text, width) for text in self._after)
        self.epilog = "\n\n".join((*paragraphs, f"example:\n  {self._example}"))
        return super().format_help()

    def _with_values(self, words: Sequence[str]) -> list[str]:
        """A value that begins with a hyphen and is no option is tied to the option before it."""
        found: list[str] = []
        for word in words:
            takes = self._option_string_actions.get(found[-1]) if found else None
            if takes is not None and takes.nargs is None and self._begins_as_an_option(word):
                found[-1] += f"={word}"
            else:
                found.append(word)
        return found

    def _begins_as_an_option(self, word: str) -> bool:
        return len(word) > 1 and word[0] == "-" and word.partition("=")[0] not in self._option_string_actions

    def _misfit(self, error: ArgumentError, words: Sequence[str]) -> Problems:
        """A known option that does not stand as it should: with another, with a value, or without one."""
        name = error.argument_name or ""
        others = [word for word in error.message.split() if word in self._option_string_actions]
        if others:
            return usage_error("bad-option", " and ".join((*others, name)), "one of them at a time")
        names = name.split("/")
        if self._option_string_actions[names[0]].nargs == 0:
            return self._unknown(next(word for word in words if word not in names and word.startswith(tuple(names))))
        return usage_error("bad-option", f"{name} without a value", "a value after it")

    def _unknown(self, word: str) -> Problems:
        known = sorted(self._option_string_actions)
        nearest = closest(word.partition("=")[0], known)
        return usage_error("bad-option", f'"{shown(word, 60)}"', f"one of: {', '.join(known)}", nearest=nearest)


def declare_cluster(parser: CommandParser) -> None:
    """The options of a run on a cluster."""
    says = "judge a dataset, a Parquet file or a folder of them, on the Dask cluster there (extra fleet)"
    parser.value("--cluster", "ADDRESS", f"{says}; local: one begun here; needs --into FOLDER", default="")
    parser.values("--carry", "COLUMN", "with --cluster: a column that is no answer, carried into the results")


def rules_named(options: Namespace) -> str:
    """The rule set that counts: the last one named, or the default one."""
    return str((options.rules or [DEFAULT_RULES])[-1])


def a_number(option: str, most: int = 0) -> Callable[[str], int]:
    """Reads an option's value as a number from 1 on. Raises Problems."""

    def read(text: str) -> int:
        if text.isascii() and text.isdigit() and 0 < int(text[:12]) <= (most or 10**12):
            return int(text[:12])
        expected = f"a number from 1 to {most}" if most else "a number from 1 on"
        raise usage_error("bad-option", f'"{shown(text, 40)}" as {option}', expected)

    return read


def a_day(text: str) -> date:
    """Reads the value of `--today`. Raises Problems."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise usage_error("bad-date", f'"{shown(text, 40)}" as --today', "a date such as 2026-03-14") from None


def usage_error(
    problem_id: str, found: str, expected: str = "", do: str = "see --help", nearest: tuple[str, ...] = ()
) -> Problems:
    """A problem with what was typed on the command line."""
    return Problems([Problem(problem_id, Place("command line"), found, expected, do, nearest)])


def complain(problems: Iterable[Problem]) -> None:
    """Writes problems to standard error, one block each."""
    for problem in problems:
        sys.stderr.write(f"{problem}\n")
