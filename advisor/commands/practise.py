"""`advisor practise`: made-up tires, the learner's own verdict first, then the rules'; and the trainer's side of it."""

from __future__ import annotations

import os
import sys
from argparse import Namespace
from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path
from threading import Thread

from advisor.commands import full_terminal
from advisor.commands.command_parser import CommandParser, a_number, rules_named, usage_error
from advisor.console.session_lines import message_lines
from advisor.journal.data_folder import data_folder, write_private
from advisor.loader.cache import copies_folder, ready_rule_set
from advisor.loader.paths import find_rule_set
from advisor.model.exit_code import ExitCode
from advisor.model.problems import closest, shown
from advisor.model.ruleset import RuleSet
from advisor.practise.learned import Learned, checked_name, names_kept, read_record
from advisor.practise.made_up import Workshop
from advisor.practise.own_cases import own_tires
from advisor.practise.picks import EXAMPLE, FreePick, TireSet, check_edition, set_of, tires_of
from advisor.practise.results import (
    compared_people,
    learned_blocks,
    reach_blocks,
    results_csv,
    rows_of_file,
    rows_of_records,
)
from advisor.practise.sitting import Sitting, closing
from advisor.practise.tire_maker import TireMaker
from advisor.practise.tire_plan import MIXED, THEMES, TirePlan, empty_plan, first_plan, plan_for, plan_is_kept
from advisor.wording.blocks import Said
from advisor.wording.messages import Message

_MOST_TIRES = 200
_MAKING = "Making the tires of this edition ready; that is done once and takes some seconds."


def declare(parser: CommandParser) -> None:
    """The options of the command."""
    parser.words("FILE", "with --compare: results as CSV, each of one person or of several")
    parser.value("--name", "NAME", "keep what was learned under a name of your choice, apart from the journal")
    parser.value("--theme", "THEME", f"what the tires are about: {', '.join(THEMES)} (default {MIXED})", default=MIXED)
    parser.value("--level", "1|2|3", "only easy, middling or hard ones", type=a_number("--level", 3), default=0)
    parser.value("--tires", "N", "so many tires", type=a_number("--tires", _MOST_TIRES), default=0)
    parser.value("--seed", "SEED", "the same tires again: letters and digits")
    parser.value("--set", "LINE", f'the fixed set that a line names, such as "{EXAMPLE}"')
    parser.flag(
        "--hand-out", "print the line of the set that --theme, --level, --tires and --seed make, and go no further"
    )
    parser.values("--cases", "FILE", "the cases of a file instead, each with how it ends; - is not taken here")
    parser.flag("--learned", "print what was learned under --name: by ruling and limit, what is due")
    parser.value("--results", "FILE", "write what was answered as CSV: under --name, or by everybody who is kept here")
    parser.flag(
        "--compare", "print side by side what several people said of the same tires: of files, or of all names kept"
    )
    parser.value("--page", "FILE", "with --learned or --compare: as a page to print as well")
    parser.flag("--reach", "print which rulings and limits tires can be made for, and why not for the rest")
    parser.value("--forget", "NAME", "delete all that is kept of a name; it is asked first")
    parser.flag("--yes", "with --forget: without asking")
    parser.flag("--plain", "plain lines, also on a terminal")
    parser.journal_folder()
    parser.after(
        "Everything about these tires is made up. It trains judgement by the rules named; it replaces no training and "
        "is no proof of anything. Nothing of it enters the journal.",
        "Exit code 0: done. 2: something could not be read or kept.",
        example='printf "outside\\ngauge\\ndemount\\ninside\\nsize\\nquit\\n" | advisor practise --theme size --seed 7',
    )


def run(options: Namespace) -> int:
    """Practises, or carries out what a trainer asks; gives the exit code. Raises Problems."""
    folder = data_folder(options.data, os.environ)
    if options.forget is not None:
        return _forget(options, folder)
    if options.results is not None or (options.compare and options.words):
        return _of_everybody(options, folder)
    wanted = set_of(options.set) if options.set is not None else None
    workshop, home = _workshop(options, wanted)
    if options.learned or options.compare:
        return _shown_to_a_trainer(options, folder, workshop.rules)
    if options.hand_out:
        sys.stdout.write(f"{_set_made(options, workshop.rules).line}\n")
        return ExitCode.DONE
    if options.reach:
        maker = _whole(workshop, home)
        return _print(
            options, "Practice: what can be made", [("", reach_blocks(maker.plan, maker.rules, maker.fewest()))]
        )
    return _talk(_sitting(options, folder, workshop, home, wanted), options.plain or not full_terminal())


def sitting_by(rules: str) -> Sitting:
    """A sitting as it begins without further options, for a screen that is entered otherwise. Raises Problems."""
    parser = CommandParser("advisor practise")
    declare(parser)
    options = parser.read(["--rules", rules] if rules else [])
    workshop, home = _workshop(options, None)
    return _sitting(options, data_folder(options.data, os.environ), workshop, home, None)


def _records(options: Namespace, folder: Path) -> list[Learned]:
    """What is kept under the name given, or under every name."""
    names = [checked_name(options.name)] if options.name is not None else names_kept(folder)
    return [read_record(folder, name) for name in names]


def _of_everybody(options: Namespace, folder: Path) -> int:
    """Results as CSV, or results of files compared_people."""
    if options.results is not None:
        text = results_csv(_records(options, folder))
        if options.results == "-":
            sys.stdout.write(text)
        else:
            _write(Path(options.results), text)
        return ExitCode.DONE
    rows = [row for file in options.words for row in rows_of_file(file)]
    return _print(options, "Practice compared", [("", compared_people(rows))])


def _shown_to_a_trainer(options: Namespace, folder: Path, rules: RuleSet) -> int:
    records = _records(options, folder)
    if options.compare:
        return _print(options, "Practice compared", [("", compared_people(rows_of_records(records)))])
    sheets = [(record.name, learned_blocks(record, rules, _now())) for record in records]
    return _print(options, "What was learned", sheets)


def _print(options: Namespace, title: str, sheets: list[tuple[str, list[Said]]]) -> int:
    """Prints blocks; with --page as a page as well."""
    for number, (_, blocks) in enumerate(sheets):
        sys.stdout.write("\n" if number else "")
        for line in message_lines(Message("practice", tuple(blocks))):
            sys.stdout.write(f"{line}\n")
    if not sheets:
        sys.stdout.write("Nothing is kept yet; practise with --name NAME.\n")
    if options.page is not None:
        from advisor.report.practice_page import practice_page

        _write(Path(options.page), practice_page(title, sheets))
    return ExitCode.DONE


def _write(path: Path, text: str) -> None:
    try:
        write_private(path, [text])
    except OSError as error:
        found = f"{shown(str(path))} that can't be written: {(error.strerror or str(error)).lower()}"
        raise usage_error("unwritable-file", found, "a place that can be written to") from None
    sys.stdout.write(f"Written: {shown(str(path))}\n")


def _workshop(options: Namespace, wanted: TireSet | None) -> tuple[Workshop, Path]:
    """The rules that are practised, and their folder; what is wrong with a set is said before anything is made."""
    if options.theme not in THEMES:
        found, nearest = f'"{shown(options.theme, 40)}" as --theme', closest(options.theme, THEMES)
        raise usage_error("bad-option", found, f"one of: {', '.join(THEMES)}", nearest=nearest)
    named = wanted.rules if wanted is not None and not options.rules else rules_named(options)
    folder = find_rule_set(named)
    rules = ready_rule_set(folder, copies_folder(os.environ))
    if wanted is not None:
        check_edition(wanted, rules)
    return Workshop(rules, date.today()), folder


def _whole(workshop: Workshop, home: Path) -> TireMaker:
    """The maker with every tire of the rules; making them anew takes a while, and it is said."""
    copies = copies_folder(os.environ)
    if not plan_is_kept(workshop, copies):
        sys.stderr.write(f"{_MAKING}\n")
    return TireMaker(workshop, plan_for(workshop, copies, home))


def _at_once(workshop: Workshop, home: Path, free: FreePick) -> TireMaker:
    """The maker with one tire at once where there is no plan yet; the others are made meanwhile."""
    copies = copies_folder(os.environ)
    if plan_is_kept(workshop, copies):
        return _whole(workshop, home)
    first = first_plan(workshop, home, free.theme, free.level, free.seed)
    if not first.tires:
        return _whole(workshop, home)
    made: list[TirePlan] = []
    others = Thread(
        target=lambda: made.append(plan_for(Workshop(workshop.rules, date.today()), copies, home)), daemon=True
    )
    others.start()

    def later() -> TirePlan:
        others.join()
        return made[0] if made else plan_for(workshop, copies, home)

    return TireMaker(workshop, first, later)


def _seed(options: Namespace) -> str:
    if options.seed is None:
        return f"{datetime.now(UTC):%y%m%d%H%M%S}"
    if not options.seed.isascii() or not options.seed.isalnum() or len(options.seed) > 20:
        raise usage_error("bad-option", f'"{shown(options.seed, 40)}" as --seed', "letters and digits, 20 at most")
    return str(options.seed)


def _set_made(options: Namespace, rules: RuleSet) -> TireSet:
    about = rules.about
    return TireSet(
        about.id, about.edition, _seed(options), options.theme, options.tires or 10, options.level, rules.digest
    )


def _sitting(options: Namespace, folder: Path, workshop: Workshop, home: Path, wanted: TireSet | None) -> Sitting:
    name = checked_name(options.name) if options.name is not None else ""
    record = read_record(folder, name) if name else Learned("")
    kept = folder if name else None
    if wanted is not None:
        maker = _whole(workshop, home)
        return Sitting(maker, _now, record, kept, tires_of(wanted, maker), None, wanted.tires, wanted.line)
    if options.cases:
        maker = TireMaker(workshop, empty_plan(workshop))
        own = own_tires(options.cases, maker)
        return Sitting(maker, _now, record, kept, iter(own), None, len(own))
    free = FreePick(options.theme, options.level, _seed(options))
    return Sitting(_at_once(workshop, home, free), _now, record, kept, None, free, options.tires)


def _now() -> datetime:
    return datetime.now(UTC)


def _talk(sitting: Sitting, plain: bool) -> int:
    if not plain:
        from advisor.tui.practise_app import run_practice

        code, said = run_practice(sitting)
        sys.stderr.write(f"{said}\n" if said else "")
        if sitting.attempts:
            sys.stdout.writelines(f"{line}\n" for line in message_lines(closing(sitting)))
        return code
    from advisor.console.practise_lines import practise_lines

    on_terminal = sys.stdin.isatty()
    try:
        for line in practise_lines(sitting, _typed(on_terminal), lambda text: _echo(text, on_terminal)):
            sys.stdout.write(f"{line}\n")
    except OSError as error:
        if isinstance(error, BrokenPipeError):
            raise
        found = f"what was learned can't be kept: {(error.strerror or str(error)).lower()}"
        raise usage_error("unwritable-file", found, "a folder that can be written", "see --data") from None
    return ExitCode.DONE


def _typed(on_terminal: bool) -> Iterator[str]:
    while True:
        sys.stdout.write("> " if on_terminal else "")
        sys.stdout.flush()
        line = sys.stdin.buffer.readline()
        if not line:
            return
        yield line.decode("utf-8", "backslashreplace").rstrip("\r\n")


def _echo(text: str, on_terminal: bool) -> None:
    if not on_terminal:
        sys.stdout.write(f"> {shown(text)}\n")


def _forget(options: Namespace, folder: Path) -> int:
    from advisor.practise.learned import forgotten, record_file

    name = checked_name(options.forget)
    if not record_file(folder, name).exists():
        sys.stdout.write(f"Nothing is kept of {shown(name)}.\n")
        return ExitCode.DONE
    if not options.yes:
        sys.stdout.write(f"Delete all practice kept of {shown(name)}? It can't be taken back. Type yes: ")
        sys.stdout.flush()
        if sys.stdin.readline().strip().casefold() != "yes":
            sys.stdout.write("\nNothing was deleted.\n")
            return ExitCode.DONE
    try:
        forgotten(folder, name)
    except OSError as error:
        raise usage_error("unwritable-file", f"a file that can't be deleted: {error.strerror}", "") from None
    sys.stdout.write(f"Forgotten: {shown(name)}.\n")
    return ExitCode.DONE
