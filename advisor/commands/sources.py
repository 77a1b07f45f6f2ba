"""`advisor sources`: every limit with its source and standing."""

from __future__ import annotations

import os
import sys
from argparse import Namespace
from collections.abc import Iterable
from pathlib import Path

from advisor.commands.command_parser import SUPPRESS, CommandParser, rules_named
from advisor.console.printers import limit_lines, source_lines
from advisor.loader.cache import ready
from advisor.loader.paths import find_rule_set
from advisor.model.exit_code import ExitCode
from advisor.model.ruleset import RuleSet


def declare(parser: CommandParser) -> None:
    """The options of the command."""
    parser.words("", SUPPRESS)
    parser.flag("--texts", "the sources themselves instead")
    parser.flag(
        "--audit",
        "each limit as a block to print and tick off: source, clause, standing, what counts at the limit and in doubt, "
        "which rulings use it, and which cases beside the rules hold readings against it",
    )
    parser.after(
        example="advisor sources --rules us-road",
    )


def run(options: Namespace) -> ExitCode:
    """Lists limits or sources; gives the exit code."""
    name = rules_named(options)
    rules = ready(name, os.environ)
    if options.audit:
        from advisor.console.audit_lines import audit_lines

        lines: Iterable[str] = list(audit_lines(rules, _test_rows(rules, find_rule_set(name))))
    else:
        lines = source_lines(rules) if options.texts else limit_lines(rules)
    sys.stdout.write("\n".join(lines) + "\n")
    return ExitCode.DONE


def _test_rows(rules: RuleSet, folder: Path) -> dict[str, dict[str, list[str]]] | None:
    """The project's own cases by the limit and the side on which they hold a reading against it; None without any.

    Raises Problems where such a case can't be read.
    """
    from advisor.commands.check_coverage import usual_cases
    from advisor.tools.coverage import Coverage

    coverage, found = Coverage(rules), dict[str, dict[str, list[str]]]()
    cases = list(usual_cases(folder, coverage))
    if not cases:
        return None
    for where, case in cases:
        for kind, name in sorted(coverage.marks(case)):
            if kind.startswith("limit "):
                rows = found.setdefault(name, {}).setdefault(kind.removeprefix("limit "), [])
                rows.append(where.removeprefix("tests/"))
    for kind, name in coverage.every:
        if kind == "limit within" and ("limit at its figure", name) not in coverage.every:
            found.setdefault(name, {})["at its figure"] = ["nothing, as no reading can be just that"]
    return found
