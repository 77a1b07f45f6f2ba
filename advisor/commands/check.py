"""`advisor check`: looks for problems in a rule set."""

from __future__ import annotations

import sys

from advisor.commands.options import DEFAULT_RULES, complain, read_options
from advisor.errors import Problems
from advisor.loading.rule_set import find_rule_set, load_rule_set

HELP = """advisor check [RULES] - look for problems in a rule set, all at once

  --explain NAME        what a check looks for

Exit code 0: nothing found. 1: a check found something. 2: the files can't be read as rules.

example:
  advisor check us-road
"""


def run(words: list[str]) -> int:
    """Checks the rule set named; gives the exit code."""
    try:
        options = read_options(words, (), ("--explain",), HELP)
        if options is None:
            return 0
        from advisor.checks import CHECKS, explanation

        if "--explain" in options.values:
            return _explain(options.values["--explain"][-1], list(CHECKS), explanation)
        name = (options.words or options.rules or [DEFAULT_RULES])[-1]
        rules = load_rule_set(find_rule_set(name))
    except Problems as error:
        complain(error.problems)
        return 2
    problems = [problem for check in CHECKS.values() for problem in check(rules)]
    complain(problems)
    found = f"{len(problems)} found" if problems else "nothing found"
    sys.stdout.write(
        f"{rules.about.id}, edition {rules.about.edition}, digest {rules.digest}: {found} "
        f"({len(rules.questions)} questions, {len(list(rules.rulings()))} rulings, {len(rules.limits)} limits, "
        f"{len(rules.endings)} endings)\n"
    )
    return 1 if problems else 0


def _explain(name: str, known: list[str], explanation: object) -> int:
    if name in known and callable(explanation):
        sys.stdout.write(f"{name}: {explanation(name)}\n")
        return 0
    sys.stderr.write(f"no check of that name; known: {', '.join(known)}\n")
    return 2
