"""`advisor words`: the trade's terms explained."""

from __future__ import annotations

import os
import sys
from argparse import Namespace
from datetime import date

from advisor.commands.command_parser import CommandParser, rules_named
from advisor.console.verdict_lines import wrapped
from advisor.engine.evaluator import Judge
from advisor.explain.why import explain_word, word_lines
from advisor.loader.cache import ready
from advisor.model.exit_code import ExitCode


def declare(parser: CommandParser) -> None:
    """The options of the command."""
    parser.words("TERM", "what is to be explained")
    parser.after(
        "Exit code 1: a term is not known.",
        example='advisor words "inner liner"',
    )


def run(options: Namespace) -> ExitCode:
    """Explains the terms named, or all; gives the exit code."""
    judge = Judge(ready(rules_named(options), os.environ)).on(date.today())
    messages = [explain_word(term, judge) for term in options.words]
    for line in [line for message in messages for line in message.texts] if messages else word_lines(judge):
        sys.stdout.write("\n".join(wrapped(line, "", "  ")) + "\n")
    return ExitCode.FOUND if any(message.kind == "complaint" for message in messages) else ExitCode.DONE
