"""`advisor sources`: every limit with its source and standing."""

from __future__ import annotations

import os
import sys

from advisor.commands.options import DEFAULT_RULES, complain, read_options
from advisor.console.printers import limit_lines, source_lines
from advisor.loader.cache import ready
from advisor.model.problems import Problems
from advisor.model.ruleset import RuleSet

HELP = """advisor sources - every limit with its figure, source, clause and standing; what rests on memory or on
common practice only comes first

  --texts               the sources themselves instead
  --audit               each limit as a block to print and tick off: source, clause, standing, what counts at the limit
                        and in doubt, which rulings use it, and which test rows hold readings against it, where the
                        project's tests are at hand
  --rules ID-or-FOLDER  the rule set (default us-road)

example:
  advisor sources --rules us-road
"""


def run(words: list[str]) -> int:
    """Lists limits or sources; gives the exit code."""
    try:
        options = read_options(words, ("--texts", "--audit"), (), HELP)
        if options is None:
            return 0
        rules = ready((options.rules or [DEFAULT_RULES])[-1], os.environ)
    except Problems as error:
        complain(error.problems)
        return 2
    if "--audit" in options.flags:
        from advisor.console.audit_lines import audit_lines

        try:
            lines = list(audit_lines(rules, _test_rows(rules)))
        except Problems as error:
            complain(error.problems)
            return 2
        sys.stdout.write("\n".join(lines) + "\n")
        return 0
    said = source_lines(rules) if "--texts" in options.flags else limit_lines(rules)
    sys.stdout.write("\n".join(said) + "\n")
    return 0


def _test_rows(rules: RuleSet) -> dict[str, dict[str, list[str]]] | None:
    """The project's own cases by the limit and the side on which they hold a reading against it; None without any.

    Raises Problems where such a case can't be read.
    """
    from advisor.commands.check_coverage import cases_in, usual
    from advisor.tools.coverage import Coverage

    if not usual():
        return None
    coverage, found = Coverage(rules), dict[str, dict[str, list[str]]]()
    for where, case in cases_in(usual(), coverage):
        for kind, name in sorted(coverage.marks(case)):
            if kind.startswith("limit "):
                rows = found.setdefault(name, {}).setdefault(kind.removeprefix("limit "), [])
                rows.append(where.removeprefix("tests/").removeprefix("tables/"))
    for kind, name in coverage.every:
        if kind == "limit within" and ("limit at its figure", name) not in coverage.every:
            found.setdefault(name, {})["at its figure"] = ["nothing, as no reading can be just that"]
    return found
