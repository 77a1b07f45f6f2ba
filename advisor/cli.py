"""The command line: finds the command, sets the exit code. Each command imports only what it needs."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Iterator, Sequence
from importlib import import_module
from typing import TYPE_CHECKING

from advisor import __version__, start
from advisor.commands import COMMANDS

if TYPE_CHECKING:
    from typing import TextIO

HELP = """advisor - may this tire be repaired, by which method, or is it scrap?

  advisor                     the consultation, on the terminal
  advisor --plain             the same in plain lines, for pipes, logs and screen readers
  advisor decide CASE...      judge cases from files; - reads standard input
  advisor draw CASE|RULES     the drawings of a case, or a rule set's question graph; in the terminal or as SVG
  advisor report CASE|RECORD  the report, as text or as a page to print
  advisor replay FILE...      play demo transcripts and show what changed
  advisor casings [WORDS]     recorded consultations: find, show, verify, export, import, merge
  advisor check [RULES]       look for problems in a rule set
  advisor compare OLD NEW     what a new edition changes for cases
  advisor new RULES           begin an overlay of your own on a rule set
  advisor schemas RULES       JSON Schemas of its files, for editors that complete and underline
  advisor sources             every limit with its source and standing
  advisor hear "SENTENCE"     what a sentence says, as a case
  advisor ask CASE "QUESTION" why, why not, what if, how sure
  advisor sidewall "TEXT"     what a sidewall's print and a date code tell
  advisor words [TERM...]     the trade's terms explained

  --rules ID-or-FOLDER        the rule set (default us-road); works with every command
  --help                      help, also after a command, with an example that works
  --version                   the version, and the editions of the rule sets

example:
  advisor --plain --rules us-road
"""

#: Commands that say themselves when their start is done.
ENDS_ITS_START = ("consult", "decide")
#: Exit codes: done (hold and scrap are verdicts, not errors); a check found something; bad input; Ctrl-C.
DONE, FOUND, BAD_INPUT, INTERRUPTED = 0, 1, 2, 130


def main(arguments: Sequence[str] | None = None) -> int:
    """Runs the program with the given arguments, or those of the process; gives the exit code."""
    words = list(sys.argv[1:] if arguments is None else arguments)
    try:
        _forgive((sys.stdout, sys.stderr))
        return _run(words)
    except KeyboardInterrupt:
        return INTERRUPTED
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return DONE
    except MemoryError:
        sys.stderr.write(
            "advisor: there is not enough memory for what was given\n  do        give it in smaller files\n"
        )
        return BAD_INPUT
    except Exception as error:
        if os.environ.get("ADVISOR_TRACE"):
            raise
        sys.stderr.write(f"advisor: a fault of the program itself: {type(error).__name__}: {str(error)[:200]}\n")
        sys.stderr.write("  do        tell its maintainers what was typed; ADVISOR_TRACE=1 shows where it happened\n")
        return BAD_INPUT


def _forgive(streams: Iterable[TextIO | None]) -> None:
    """Lets a stream that can't hold a sign name it instead of failing: a degree sign on an ASCII terminal."""
    for stream in streams:
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None and str(getattr(stream, "encoding", "")).lower() not in ("utf-8", "utf8"):
            reconfigure(errors="backslashreplace")


def _editions() -> Iterator[str]:
    """The rule sets that come with the program: id, edition, digest."""
    from advisor.loader.paths import shipped
    from advisor.loader.ruleset_loader import find_rule_set, load_rule_set

    for name in shipped():
        rules = load_rule_set(find_rule_set(name))
        yield f"{name}, edition {rules.about.edition}, digest {rules.digest}"


def _run(words: list[str]) -> int:
    if words and words[0] in ("--help", "-h"):
        sys.stdout.write(HELP)
        return DONE
    if words == ["--version"]:
        sys.stdout.write(f"advisor {__version__}\n")
        sys.stdout.writelines(f"{line}\n" for line in _editions())
        return DONE
    command = words[0] if words and not words[0].startswith("-") else "consult"
    if command not in (*COMMANDS, "consult") or words[:1] == ["consult"]:
        from advisor.commands.consult import unknown_command

        sys.stderr.write(f"{unknown_command(words[0])}\n")
        return BAD_INPUT
    if command in ENDS_ITS_START:
        start.begin()
    module = import_module(f"advisor.commands.{command}")
    try:
        code: int = module.run(words if command == "consult" else words[1:])
        return code
    finally:
        if command in ENDS_ITS_START:
            start.done()  # a start that broke off has not said so itself
