"""`advisor`: the consultation, on the terminal or in plain lines."""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING

from advisor.commands import COMMANDS, full_terminal
from advisor.model.exit_code import ExitCode
from advisor.model.version import __version__

if TYPE_CHECKING:
    from argparse import Namespace
    from collections.abc import Callable, Mapping

    from advisor.commands.command_parser import CommandParser
    from advisor.dialogue.session import Consultation
    from advisor.journal.signing import Signer
    from advisor.model.problems import Problem
    from advisor.practise.sitting import Sitting
    from advisor.tui.recording import ScreenRecording

#: What is said of a consultation beside its answers.
NOTHING_SAID: Mapping[str, str] = {}
_ABOUT = ("casing", "technician", "plate")
_SAYS = """may this tire be repaired, by which method, or is it scrap?

  advisor                     the consultation, on the terminal: questions about one tire, and a verdict
{commands}"""


def declare(parser: CommandParser) -> None:
    """The options of the consultation; its help names the commands as well."""
    commands = (f"  {f'advisor {name} {words}':27} {says}" for name, (words, says) in COMMANDS.items())
    parser.description = _SAYS.format(commands="\n".join(commands))
    parser.flag("--version", "the version, and the editions of the rule sets")
    parser.flag("--plain", "plain lines instead of the screen, for pipes, logs and screen readers")
    parser.flag(
        "--in-order",
        "with --plain: one question after another as they stand in the rules, for lines that a script types",
    )
    parser.journal_folder()
    parser.flag("--resume", "take up the latest unfinished consultation")
    parser.flag("--no-journal", "keep nothing")
    parser.value("--key", "FILE", "sign each record when it is brought to its end (advisor casings --make-key FILE)")
    parser.flag(
        "--watch",
        "look at the rules while it goes on: an edit that is saved counts at once, answers stay, and what it changed "
        "in the verdict is said; with problems the last good rules go on judging",
    )
    parser.value("--casing", "NAME", "what the consultation is kept under; also --technician and --plate")
    parser.value("--technician", "NAME", "whose consultation it is")
    parser.value("--plate", "NUMBER", "the vehicle's plate")
    parser.after(
        "Everything answered is on disk before the next question shows. In a pipe it is kept only with --data. "
        "Plain lines are taken of themselves where there is no full terminal. Each command has a help of its own,"
        " with an example: advisor COMMAND --help",
        example="advisor --plain --rules us-road",
    )


def run(options: Namespace) -> int:
    """Runs the consultation; gives the exit code."""
    if options.version:
        return _say_version()
    if options.words:
        from advisor.model.problems import Problems

        raise Problems([unknown_command(options.words[0])])
    signer = _signer(options.key) if options.key is not None else None
    about = {name: given for name in _ABOUT if (given := getattr(options, name)) is not None}
    if options.plain or not full_terminal():
        from advisor.console.runner import Kept, run_plain

        page = _page_maker(options.data)
        kept = Kept(
            options.data, options.resume, options.no_journal, about, signer, options.watch, options.in_order, page
        )
        return run_plain(options.rules, kept)
    rules = options.rules[-1] if options.rules else ""
    if options.no_journal:
        from advisor.tui.base_app import run_screens

        return run_screens(rules, watch=options.watch, practise=_practice_by(rules), page_of=report_page_of)
    return on_screens(rules, options.data, options.resume, about, signer, options.watch)


def consult_on(record: str, rules: list[str], folder: str, plain: bool) -> int:
    """The consultation, taken up at a record; gives the exit code."""
    if not plain and full_terminal():
        return on_screens(rules[-1] if rules else "", folder, record=record)
    from advisor.console.runner import Kept, run_plain

    return run_plain(rules, Kept(folder, make_page=_page_maker(folder), record=record))


def _say_version() -> ExitCode:
    from advisor.loader.paths import shipped
    from advisor.loader.ruleset_loader import find_rule_set, load_rule_set

    sys.stdout.write(f"advisor {__version__}\n")
    for name in shipped():
        rules = load_rule_set(find_rule_set(name))
        sys.stdout.write(f"{name}, edition {rules.about.edition}, digest {rules.digest}\n")
    return ExitCode.DONE


def unknown_command(word: str) -> Problem:
    """A word where a command was expected, with the nearest ones."""
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

    from advisor.commands.command_parser import usage_error
    from advisor.journal.signing import signer
    from advisor.model.problems import Misread

    try:
        return signer(Path(name))
    except Misread as error:
        raise usage_error("bad-key", error.found, error.expected, error.do or "see --help") from None


def on_screens(
    rules: str = "",
    folder: str = "",
    resume: bool = False,
    about: Mapping[str, str] = NOTHING_SAID,
    signer: Signer | None = None,
    watch: bool = False,
    record: str = "",
) -> int:
    """The consultation on the full screen, kept in the journal; `record` is one of it to take up."""
    from advisor.tui.base_app import run_screens

    def recording() -> ScreenRecording:
        """Runs after the first paint."""
        from datetime import datetime

        from advisor.journal.data_folder import data_folder
        from advisor.tui.recording import ScreenRecording

        return ScreenRecording(data_folder(folder, os.environ), datetime.now, resume, dict(about), signer, record)

    return run_screens(rules, recording, watch, _practice_by(rules), report_page_of, _page_maker(folder))


def report_page_of(consultation: Consultation) -> str:
    """The report of a consultation as a page to print."""
    from advisor.report.html import report_page
    from advisor.work.record_model import report_of

    state = consultation.state
    return report_page(
        [report_of(consultation.judgement, consultation.judge, state.kept_as, state.technician, state.work)]
    )


def _page_maker(folder: str) -> Callable[[str], tuple[str, ...]]:
    """Makes the page of a record; nothing of it is imported before one is wanted."""

    def made(record: str) -> tuple[str, ...]:
        from advisor.commands.report_page import page_maker

        return page_maker(folder)(record)

    return made


def _practice_by(rules: str) -> Callable[[], Sitting]:
    """Makes a sitting of practice by the same rules; nothing of it is imported before it is entered."""

    def made() -> Sitting:
        from advisor.commands.practise import sitting_by

        return sitting_by(rules)

    return made
