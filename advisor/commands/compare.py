"""`advisor compare`: what a new edition of a rule set changes for cases."""

from __future__ import annotations

import sys
import tempfile
from argparse import Namespace
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from advisor.commands.command_parser import CommandParser, usage_error
from advisor.commands.revisions import load_as_named
from advisor.model.exit_code import ExitCode
from advisor.model.ruleset import RuleSet

if TYPE_CHECKING:
    from advisor.tools.diff.limit_use import Unshown
    from advisor.tools.diff.ruleset_diff import RuleChange


def declare(parser: CommandParser) -> None:
    """The options of the command."""
    parser.words("OLD NEW", "two rule sets, by id or folder, or as they stood")
    parser.value("--cases", "FOLDER", "write the example of each change as a case file there", default="")
    parser.flag(
        "--records",
        "instead: every recorded case by both, and which would be decided otherwise; exit code 1 where there are any",
    )
    parser.value("--data", "FOLDER", "with --records: where the journal is", default="")
    parser.flag("--json", "with --records: one object a line")
    parser.after(
        "OLD and NEW are rule sets by id or folders; NAME@REVISION is one as it stood in a git revision, "
        "NAME@2026-11-25 the last state of that edition, REVISION:FOLDER a folder of the git repository that you "
        "stand in.",
        "Each change is a group of regions that came out alike before and come out alike now, with one example "
        "case. A figure that decides only by way of a worked-out value is named even where no case tried comes "
        "out otherwise. A change that makes something looser has to be named in the new edition's notes "
        "(about.yaml), by the id of the ruling, limit, question or method.",
        "Exit code 0: nothing looser, or all of it named in the notes. 1: something looser that no note names. 2:"
        " bad input.",
        example="advisor compare us-road demo-shop",
    )


def run(options: Namespace) -> ExitCode:
    """Compares two rule sets; gives the exit code."""
    if len(options.words) != 2:
        raise usage_error("bad-option", f"{len(options.words)} rule sets", "two: the old and the new")
    with tempfile.TemporaryDirectory() as scratch:
        old, new = (load_as_named(name, Path(scratch) / str(number)) for number, name in enumerate(options.words))
    if options.records:
        from advisor.commands.compare_records import compare_records

        return compare_records(old, new, options.data, options.json)
    return _show(old, new, options.cases)


def _show(old: RuleSet, new: RuleSet, folder: str) -> ExitCode:
    from advisor.console.verdict_lines import wrapped
    from advisor.tools.diff.ruleset_diff import compare

    out = sys.stdout.write
    out(f"from {_named(old)}\nto   {_named(new)}\n")
    if old.digest == new.digest:
        out("the same content\n")
        return ExitCode.DONE
    comparison = compare(old, new)
    if comparison.shown:
        shown_otherwise = f"cautions and reasons shown in other cases: {', '.join(comparison.shown)}"
        out("\n".join(wrapped(shown_otherwise, "", "  ")) + "\n")
    if comparison.cut:
        names = ", ".join(comparison.cut)
        out(f"more regions than were looked at: {names}\n")
    for moved in comparison.unshown:
        _show_unshown(moved, new)
    if not comparison.changes and not comparison.unshown:
        what = (
            "only wording, sources, cautions or repair units changed"
            if not comparison.touched
            else "no case comes out otherwise"
        )
        out(f"{what}; {_counted(len(comparison.worded), 'entry differs', 'entries differ')}:\n")
        out("".join(f"  {entry}\n" for entry in comparison.worded))
        return ExitCode.DONE
    changes = sorted(comparison.changes, key=lambda each: (each.direction != "looser", each.about))
    for number, change in enumerate(changes, 1):
        _show_change(change, new)
        if folder:
            _write_example(Path(folder) / f"{number:02d}-{change.direction}.yaml", change, old, new)
    looser = [change.names for change in changes if change.direction == "looser"]
    looser += [(moved.limit,) for moved in comparison.unshown if moved.looser]
    unnamed = sum(not _is_named(names, new.about.notes) for names in looser)
    count = _counted(len(changes) + len(comparison.unshown), "change", "changes")
    out(f"\n{count}, {len(looser)} looser, {unnamed} of those named in no note of {new.about.id}\n")
    return ExitCode.FOUND if unnamed else ExitCode.DONE


def _show_change(change: RuleChange, new: RuleSet) -> None:
    from advisor.console.verdict_lines import wrapped

    looser_by_name = change.direction == "looser" and _is_named(change.names, new.about.notes)
    mark = " (named in the notes)" if looser_by_name else ""
    count = f"{change.regions} region{'s' if change.regions > 1 else ''}"
    sys.stdout.write(f"\n{change.direction.upper()}{mark}: {change.about}, {count}\n")
    sys.stdout.write(f"  from     {change.before}\n  to       {change.after}\n")
    sys.stdout.write("\n".join(wrapped(f"example  {'; '.join(change.example)}", "  ", "           ")) + "\n")


def _show_unshown(moved: Unshown, new: RuleSet) -> None:
    from advisor.console.verdict_lines import wrapped

    mark = " (named in the notes)" if moved.looser and _is_named((moved.limit,), new.about.notes) else ""
    how = f"LOOSER{mark}" if moved.looser else "STRICTER"
    says = moved.looser or f"now {', '.join(str(figure) for figure in new.limits[moved.limit].figures)}"
    goes_by = f"{', '.join(moved.deciding)} by way of {', '.join(moved.values)}"
    sys.stdout.write(f"\n{how}: limit {moved.limit}, by its figure alone\n")
    sys.stdout.write("\n".join(wrapped(f"figure   {says}", "  ", "           ")) + "\n")
    sys.stdout.write("\n".join(wrapped(f"decides  {goes_by}", "  ", "           ")) + "\n")
    sys.stdout.write("  example  none of the cases tried comes out otherwise\n")


def _write_example(file: Path, change: RuleChange, old: RuleSet, new: RuleSet) -> None:
    from advisor.tools.case_writer import case_text, write_case

    rules = old if all(name in old.questions for name in change.case.answers) else new
    write_case(file.parent, file.name, case_text(change.case, rules, new.about.id))


def _counted(number: int, one: str, more: str) -> str:
    return f"{number} {one if number == 1 else more}"


def _named(rules: RuleSet) -> str:
    return f"{rules.about.id}, edition {rules.about.edition}, digest {rules.digest}"


def _is_named(names: Iterable[str], notes: Iterable[str]) -> bool:
    words = {word.strip(".,;:()\"'") for note in notes for word in note.split()}
    return any(name in words for name in names)
