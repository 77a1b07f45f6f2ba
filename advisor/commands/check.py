"""`advisor check`: looks for problems in a rule set."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

from advisor.commands.options import DEFAULT_RULES, complain, read_options
from advisor.errors import Problem, Problems
from advisor.loading.rule_set import find_rule_set, load_rule_set

HELP = """advisor check [RULES] - look for problems in a rule set, all at once

  --explain NAME        what a check looks for; "all" for every one
  --cases FOLDER        write the case that shows a problem as a case file there, one for each problem that has one

Exit code 0: nothing found. 1: a check found something. 2: the files can't be read as rules.

example:
  advisor check us-road
"""


def run(words: list[str]) -> int:
    """Checks the rule set named; gives the exit code."""
    try:
        options = read_options(words, (), ("--explain", "--cases"), HELP)
        if options is None:
            return 0
        from advisor.checks import CHECKS

        if "--explain" in options.values:
            return _explain(options.values["--explain"][-1])
        name = (options.words or options.rules or [DEFAULT_RULES])[-1]
        rules = load_rule_set(find_rule_set(name))
        problems = [problem for check in CHECKS.values() for problem in check(rules)]
        _show(problems, options.values.get("--cases", [""])[-1])
    except Problems as error:
        complain(error.problems)
        return 2
    found = f"{len(problems)} found" if problems else "nothing found"
    sys.stdout.write(
        f"{rules.about.id}, edition {rules.about.edition}, digest {rules.digest}: {found} "
        f"({len(rules.questions)} questions, {len(list(rules.rulings()))} rulings, {len(rules.limits)} limits, "
        f"{len(rules.endings)} endings)\n"
    )
    return 1 if problems else 0


def _show(problems: Sequence[Problem], folder: str) -> None:
    """Writes each problem, and the case that shows it where there is one."""
    from advisor.checks.case_text import write_case

    for number, problem in enumerate(problems, 1):
        complain([problem])
        case = getattr(problem, "case", "")
        if case and folder:
            sys.stderr.write(f"  case      {write_case(Path(folder), f'{number:02d}-{problem.id}.yaml', case)}\n")
        elif case:
            sys.stderr.write("  case      (save it, and run: advisor decide FILE)\n")
            sys.stderr.writelines(f"    {line}\n" for line in case.splitlines())


def _explain(name: str) -> int:
    from advisor.checks import CHECKS, explanation

    if name in CHECKS or name == "all":
        for each in CHECKS if name == "all" else [name]:
            sys.stdout.write(f"{each}: {explanation(each)}\n")
        return 0
    sys.stderr.write(f"no check of that name; known: {', '.join(CHECKS)}\n")
    return 2
