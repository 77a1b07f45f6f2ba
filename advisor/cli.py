# PYTHON_ARGCOMPLETE_OK
"""The command line: finds the command, reads its options, sets the exit code. Only that command is imported."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Sequence
from importlib import import_module
from typing import TYPE_CHECKING

from advisor import start
from advisor.commands import COMMANDS, full_terminal
from advisor.model.exit_code import ExitCode

if TYPE_CHECKING:
    from typing import TextIO

    from advisor.commands.command_parser import CommandParser

#: Commands that say themselves when their start is done.
ENDS_ITS_START = ("check", "consult", "decide")


def main(arguments: Sequence[str] | None = None) -> int:
    """Runs the program with the given arguments, or those of the process; gives the exit code."""
    words = list(sys.argv[1:] if arguments is None else arguments)
    try:
        if "_ARGCOMPLETE" in os.environ:
            _complete()
        _forgive((sys.stdout, sys.stderr))
        return _run(words)
    except KeyboardInterrupt:
        return ExitCode.INTERRUPTED
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return ExitCode.DONE
    except MemoryError:
        sys.stderr.write(
            "advisor: there is not enough memory for what was given\n  do        give it in smaller files\n"
        )
        return ExitCode.BAD_INPUT
    except Exception as error:
        if os.environ.get("ADVISOR_TRACE"):
            raise
        sys.stderr.write(f"advisor: a fault of the program itself: {type(error).__name__}: {str(error)[:200]}\n")
        sys.stderr.write("  do        tell its maintainers what was typed; ADVISOR_TRACE=1 shows where it happened\n")
        return ExitCode.BAD_INPUT


def _forgive(streams: Iterable[TextIO | None]) -> None:
    """Lets a stream that can't hold a sign name it instead of failing: a degree sign on an ASCII terminal."""
    for stream in streams:
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None and str(getattr(stream, "encoding", "")).lower() not in ("utf-8", "utf8"):
            reconfigure(errors="backslashreplace")


def _run(words: list[str]) -> int:
    """Reads the words of one command and carries it out. `consult` is what runs without a command's name."""
    command = words[0] if words and not words[0].startswith("-") else "consult"
    if words[:1] == [command]:
        words = words[1:]
        if command not in COMMANDS:
            from advisor.commands.consult import unknown_command

            sys.stderr.write(f"{unknown_command(command)}\n")
            return ExitCode.BAD_INPUT
    if command in ENDS_ITS_START:
        start.begin()
    try:
        return _carry_out(command, words)
    finally:
        if command in ENDS_ITS_START:
            start.done()  # a start that broke off has not said so itself


def _carry_out(command: str, words: list[str]) -> int:
    if command == "consult" and not words and full_terminal():
        from advisor.commands.consult import on_screens

        return on_screens()
    from advisor.commands.command_parser import complain
    from advisor.model.problems import Problems

    module = import_module(f"advisor.commands.{command}")
    try:
        options = parser_of(command).read(words)
        code: int = module.run(options)
    except Problems as error:
        complain(error.problems)
        return ExitCode.BAD_INPUT
    except SystemExit:  # the help was asked for
        return ExitCode.DONE
    return code


def parser_of(command: str) -> CommandParser:
    """The branch of the tree that a start needs: one command's parser, or the consultation's, whose words are none."""
    from advisor.commands.command_parser import SUPPRESS, CommandParser

    if command == "consult":
        parser = CommandParser("advisor")
        parser.words("", SUPPRESS)
    else:
        words, says = COMMANDS[command]
        parser = CommandParser(f"advisor {command}", words, says)
    import_module(f"advisor.commands.{command}").declare(parser)
    return parser


def parser_tree() -> CommandParser:
    """The whole command line: the consultation's options, and every command below them."""
    from advisor.commands import consult
    from advisor.commands.command_parser import CommandParser

    tree = CommandParser("advisor")
    consult.declare(tree)
    commands = tree.add_subparsers(prog="advisor", metavar="COMMAND")
    for command, (words, says) in COMMANDS.items():
        below = commands.add_parser(command, words=words, description=says)
        import_module(f"advisor.commands.{command}").declare(below)
    return tree


def _complete() -> None:
    """What the shell asks for when the Tab key is pressed; ends the program where it was asked."""
    from argcomplete import autocomplete

    autocomplete(parser_tree())
