"""`advisor`: the consultation, on the terminal or in plain lines."""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from advisor.journal.signing import Signer
    from advisor.model.problems import Problem
    from advisor.tui.recording import ScreenRecording

HELP = """advisor - the consultation: questions about one tire, ending in repair, refer, hold or scrap

  --plain               plain lines instead of the screen, for pipes, logs and screen readers
  --rules ID-or-FOLDER  the rule set (default us-road)
  --data FOLDER         where the journal of consultations is kept (default: this user's data folder, or ADVISOR_DATA)
  --resume              take up the latest unfinished consultation
  --no-journal          keep nothing
  --key FILE            sign each record when it is brought to its end (advisor casings --make-key FILE)
  --watch               look at the rules while it goes on: an edit that is saved counts at once, answers stay, and what
                        it changed in the verdict is said; with problems the last good rules go on judging
  --casing NAME  --technician NAME  --plate NUMBER
                        what the consultation is kept under; all may be left out

Everything answered is on disk before the next question shows. In a pipe it is kept only with --data.
Plain lines are taken of themselves where there is no full terminal. For the commands: advisor --help

example:
  advisor --plain --rules us-road
"""

_ABOUT = ("--casing", "--technician", "--plate")


def run(words: list[str]) -> int:
    """Runs the consultation; gives the exit code."""
    if words == [] and full_terminal():
        return _screens([], "", False, {})
    from advisor.commands.options import complain, read_options
    from advisor.model.problems import Problems

    try:
        flags = ("--plain", "--resume", "--no-journal", "--watch")
        options = read_options(words, flags, ("--data", "--key", *_ABOUT), HELP)
        if options is None:
            return 0
        if options.words:
            raise Problems([unknown_command(options.words[0])])
        signer = _signer(options.values["--key"][-1]) if "--key" in options.values else None
    except Problems as error:
        complain(error.problems)
        return 2
    about = {name[2:]: options.values[name][-1] for name in _ABOUT if name in options.values}
    folder, resume = options.values.get("--data", [""])[-1], "--resume" in options.flags
    watch = "--watch" in options.flags
    if "--plain" in options.flags or not full_terminal():
        from advisor.console.runner import Kept, run_plain

        kept = Kept(folder, resume, "--no-journal" in options.flags, about, signer, watch)
        return run_plain(options.rules, kept)
    if "--no-journal" in options.flags:
        from advisor.tui.base_app import run_screens

        return run_screens(options.rules[-1] if options.rules else "", watch=watch)
    return _screens(options.rules, folder, resume, about, signer, watch)


def unknown_command(word: str) -> Problem:
    """A word where a command was expected, with the nearest ones."""
    from advisor.commands import COMMANDS
    from advisor.model.problems import Place, Problem, closest, shown

    return Problem(
        "unknown-command",
        Place("command line"),
        f'"{shown(word, 60)}" where a command was expected',
        f"{', '.join(COMMANDS)}, or none for the consultation",
        "see advisor --help",
        closest(word.casefold(), COMMANDS),
    )


def _signer(name: str) -> Signer:
    """The key that records are signed with. Raises Problems."""
    from pathlib import Path

    from advisor.journal.signing import signer
    from advisor.model.problems import Misread, Place, Problem, Problems

    try:
        return signer(Path(name))
    except Misread as error:
        do = error.do or "see --help"
        raise Problems([Problem("bad-key", Place("command line"), error.found, error.expected, do)]) from None


def full_terminal() -> bool:
    """Whether standard input and output are a terminal that can take a full screen."""
    ends = (sys.stdin, sys.stdout, sys.stderr)
    return all(end.isatty() for end in ends) and os.environ.get("TERM", "") not in ("", "dumb")


def _screens(
    rules: list[str],
    folder: str,
    resume: bool,
    about: dict[str, str],
    signer: Signer | None = None,
    watch: bool = False,
) -> int:
    from advisor.tui.base_app import run_screens

    def record() -> ScreenRecording:
        """Runs after the first paint."""
        from datetime import datetime

        from advisor.journal.data_folder import data_folder
        from advisor.tui.recording import ScreenRecording

        return ScreenRecording(data_folder(folder, os.environ), datetime.now, resume, about, signer)

    return run_screens(rules[-1] if rules else "", record, watch)
