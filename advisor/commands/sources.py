"""`advisor sources`: every limit with its source and standing."""

from __future__ import annotations

import os
import sys

from advisor.commands.options import DEFAULT_RULES, complain, read_options
from advisor.errors import Problems
from advisor.loading.kept import ready
from advisor.plain.source_lines import limit_lines, source_lines

HELP = """advisor sources - every limit with its figure, source, clause and standing; what rests on memory or on
common practice only comes first

  --texts               the sources themselves instead
  --audit               each limit as a block to tick off: source, clause, standing, who decides at the limit, which
                        rulings use it, and which test rows check it where the project's tests are at hand
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
        from advisor.plain.audit_lines import audit_lines

        sys.stdout.write("\n".join(audit_lines(rules, _test_rows())) + "\n")
        return 0
    lines = source_lines(rules) if "--texts" in options.flags else limit_lines(rules)
    sys.stdout.write("\n".join(lines) + "\n")
    return 0


def _test_rows() -> dict[str, list[str]]:
    """Rows of the project's test tables by the limit or clause that they name; none where they are not at hand."""
    import csv
    from pathlib import Path

    found: dict[str, list[str]] = {}
    for path in sorted(Path("tests/tables").glob("*cases.csv")):
        with path.open(encoding="utf-8", newline="") as file:
            for number, row in enumerate(csv.DictReader(file), 2):
                names = {row.get("limit") or "", f"clause {row.get('clause') or ''}"}
                for name in names - {"", "clause ", "clause none"}:
                    found.setdefault(name, []).append(f"{path.name}:{number}")
    return found
