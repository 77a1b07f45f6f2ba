"""`advisor schemas`: JSON Schemas of a rule set's files, so that an editor completes and underlines while one types."""

from __future__ import annotations

import sys
from argparse import Namespace
from collections.abc import Sequence
from pathlib import Path

from advisor.commands.command_parser import CommandParser, usage_error
from advisor.loader.paths import in_checkout, shared_folders, trees_folder
from advisor.loader.ruleset_loader import find_rule_set, shipped
from advisor.loader.schema_files import HIDDEN, write_schemas, write_shared_schemas
from advisor.model.exit_code import ExitCode
from advisor.model.problems import Problems, shown


def declare(parser: CommandParser) -> None:
    """The options of the command."""
    parser.words("RULES", "rule sets, by id or folder; in a checkout without any: those that come with the program")
    parser.value(
        "--out", "FOLDER", f"where to (default: {HIDDEN} in the rule set's folder, where the first line looks for them)"
    )
    parser.after(
        "They know every id of the rule set: an editor completes it, says what it stands for, and underlines one that "
        "is not there. Once they stand beside the rules, advisor check and --watch keep them up to date. "
        "Editors with a YAML language server find a file's schema by its first line, such as:",
        "  # yaml-language-server: $schema=.schemas/limits.json",
        "Exit code 0: written. 2: something could not be read or written.",
        example='advisor schemas us-road --out "$(mktemp -d)"',
    )


def run(options: Namespace) -> ExitCode:
    """Writes the schemas; gives the exit code."""
    names = options.words or options.rules[-1:] or (shipped() if in_checkout() and options.out is None else [])
    if not names or (options.out is not None and len(names) > 1):
        raise _problem(f"{len(names)} names", "one rule set, by id or folder")
    for name in names:
        if options.out is None and name in shipped() and not in_checkout():
            raise _problem(f"{name}, which comes with the program, without --out", "--out FOLDER")
        folder = find_rule_set(name)
        out = folder / HIDDEN if options.out is None else Path(options.out)
        written = _written(folder, out)
        sys.stdout.write(f"{shown(str(out))}: {len(written)} schemas ({', '.join(written)})\n")
    for name in shared_folders() if not (options.words or options.rules) else ():
        write_shared_schemas(trees_folder() / name)
        sys.stdout.write(f"{shown(str(trees_folder() / name / HIDDEN))}: what they share\n")
    return ExitCode.DONE


def _written(folder: Path, out: Path) -> Sequence[str]:
    try:
        return write_schemas(folder, out)
    except OSError as error:
        why = (error.strerror or str(error)).lower()
        raise _problem(f"a folder that can't be written: {why}", "a folder that can be written") from None


def _problem(found: str, expected: str) -> Problems:
    return usage_error("bad-option", found, expected)
