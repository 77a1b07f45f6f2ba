"""`advisor sources`: every limit with its source and standing."""

from __future__ import annotations

import sys

from advisor.commands.options import DEFAULT_RULES, complain, read_options
from advisor.errors import Problems
from advisor.loading.rule_set import find_rule_set, load_rule_set
from advisor.plain.source_lines import limit_lines, source_lines

HELP = """advisor sources - every limit with its figure, source, clause and standing; what rests on memory or on
common practice only comes first

  --texts               the sources themselves instead
  --rules ID-or-FOLDER  the rule set (default us-road)

example:
  advisor sources --rules us-road
"""


def run(words: list[str]) -> int:
    """Lists limits or sources; gives the exit code."""
    try:
        options = read_options(words, ("--texts",), (), HELP)
        if options is None:
            return 0
        rules = load_rule_set(find_rule_set((options.rules or [DEFAULT_RULES])[-1]))
    except Problems as error:
        complain(error.problems)
        return 2
    lines = source_lines(rules) if "--texts" in options.flags else limit_lines(rules)
    sys.stdout.write("\n".join(lines) + "\n")
    return 0
