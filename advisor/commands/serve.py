"""`advisor serve`: the consultation in a browser, on a tablet in the van or the shop."""

from __future__ import annotations

import os
import sys
from argparse import Namespace

from advisor.commands.command_parser import CommandParser, a_number, rules_named
from advisor.loader.paths import find_rule_set
from advisor.model.exit_code import ExitCode
from advisor.model.problems import Place, Problem, Problems, shown

THIS_MACHINE = "127.0.0.1"
PORT = 8765
MOST_PORT = 65535
_WARNING = """Anyone on this network who gets hold of a printed address can use the consultation and read what it shows.
The line is not encrypted: use it on a network that you trust, and end it with Ctrl+C when it is not needed."""


def declare(parser: CommandParser) -> None:
    """The options of the command."""
    parser.value(
        "--host",
        "ADDRESS",
        f"where it can be reached (default {THIS_MACHINE}: this machine alone)",
        default=THIS_MACHINE,
    )
    parser.value("--port", "N", f"the port (default {PORT})", default=PORT, type=a_number("--port", MOST_PORT))
    parser.journal_folder()
    parser.flag("--no-journal", "keep nothing")
    parser.after(
        "The same screens as in the terminal, each browser a consultation of its own, all in one journal. It prints an "
        "address with a token that lets one browser in, and the next address once it was used. A connection that "
        "breaks loses no answer: the consultation is offered again.",
        "Needs the extra `web`: pip install 'tire-repair-advisor[web]'.",
        example="advisor serve --help",
    )


def run(options: Namespace) -> int:
    """Serves until Ctrl+C; in a visitor's own process, runs the screens."""
    if os.environ.get("TEXTUAL_DRIVER", "").endswith("WebDriver"):
        return _visit(options)
    folder = find_rule_set(rules_named(options))
    try:
        from advisor.tui.browser import serve_pages
    except ImportError as error:
        raise Problems([_missing(error)]) from None
    if options.host not in (THIS_MACHINE, "localhost", "::1"):
        sys.stdout.write(f"{_WARNING}\n")
    command = [sys.executable, "-m", "advisor", "serve", "--rules", str(folder)]
    command += ["--data", options.data] if options.data else []
    command += ["--no-journal"] if options.no_journal else []
    try:
        serve_pages(command, options.host, options.port, _say)
    except OSError as error:
        found = f"{shown(options.host, 60)}:{options.port} can't be used: {shown(error.strerror or str(error), 120)}"
        raise Problems(
            [Problem("no-port", Place("command line"), found, "a free port", "name another --port")]
        ) from None
    return ExitCode.DONE


def _say(line: str) -> None:
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


def _visit(options: Namespace) -> int:
    from advisor.commands.consult import on_screens
    from advisor.tui.base_app import run_screens

    rules = options.rules[-1] if options.rules else ""
    return run_screens(rules) if options.no_journal else on_screens(rules, options.data)


def _missing(error: ImportError) -> Problem:
    return Problem(
        "extra-missing",
        Place("command line"),
        f"{shown(error.name or 'textual_serve', 60)} is not installed, which the browser needs",
        "the extra `web`",
        "install it with: pip install 'tire-repair-advisor[web]'",
    )
