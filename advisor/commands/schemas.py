"""`advisor schemas`: JSON Schemas of a rule set's files, so that an editor completes and underlines while one types."""

from __future__ import annotations

import json
import sys
from argparse import Namespace
from pathlib import Path

from advisor.commands.command_parser import CommandParser, usage_error
from advisor.loader.builder import Builder
from advisor.loader.json_schema import schemas
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set, read_folder, shipped
from advisor.model.exit_code import ExitCode
from advisor.model.problems import Problems, shown

HIDDEN = ".schemas"
#: The first line by which an editor finds the schema of a file.
FIRST_LINE = "# yaml-language-server: $schema={folder}/{name}.json\n"


def declare(parser: CommandParser) -> None:
    """The options of the command."""
    parser.words("RULES", "the rule set, by id or folder")
    parser.value(
        "--out", "FOLDER", f"where to (default: {HIDDEN} in the rule set's folder, where the first line looks for them)"
    )
    parser.after(
        "They are made from what the program reads, with the names that the rule set has now; write them again after "
        "adding many. Editors with a YAML language server find a file's schema by its first line, such as:",
        "  # yaml-language-server: $schema=.schemas/limits.json",
        "Exit code 0: written. 2: something could not be read or written.",
        example='advisor schemas us-road --out "$(mktemp -d)"',
    )


def run(options: Namespace) -> ExitCode:
    """Writes the schemas; gives the exit code."""
    names = options.words or options.rules[-1:]
    if len(names) != 1:
        raise _problem(f"{len(names)} names", "one rule set, by id or folder")
    folder = find_rule_set(names[0])
    if options.out is None and names[0] in shipped():
        raise _problem(f"{names[0]}, which comes with the program, without --out", "--out FOLDER")
    out = folder / HIDDEN if options.out is None else Path(options.out)
    written = write_schemas(folder, out)
    sys.stdout.write(f"{shown(str(out))}: {len(written)} schemas ({', '.join(written)})\n")
    return ExitCode.DONE


def write_schemas(folder: Path, out: Path) -> list[str]:
    """Writes the schemas of the rule set in a folder to another; gives their file names. Raises Problems."""
    load_rule_set(folder)
    draft = Builder()
    read_folder(folder, draft, [])
    names = []
    try:
        out.mkdir(parents=True, exist_ok=True)
        for file, schema in schemas(draft).items():
            name = f"{Path(file).stem}.json"
            (out / name).write_text(json.dumps(schema, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
            names.append(name)
    except OSError as error:
        why = (error.strerror or str(error)).lower()
        raise _problem(f"a folder that can't be written: {why}", "a folder that can be written") from None
    return names


def _problem(found: str, expected: str) -> Problems:
    return usage_error("bad-option", found, expected)
