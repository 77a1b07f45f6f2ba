"""`advisor check`: looks for problems in a rule set."""

from __future__ import annotations

import shlex
import sys
from collections.abc import Sequence
from pathlib import Path

from advisor.commands.options import DEFAULT_RULES, complain, read_options
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.problems import Place, Problem, Problems, shown

HELP = """advisor check [RULES] - look for problems in a rule set, all at once

  --explain NAME        what a check looks for; "all" for every one
  --cases FOLDER        write the case that shows a problem as a case file there, one for each problem that has one
  --coverage [FILE...]  instead: which rulings, ways on, limits and endings the cases of files and folders exercise
                        (case files, tables of cases, transcripts), what none does, and cases for that

Exit code 0: nothing found. 1: a check found something. 2: the files can't be read as rules.

example:
  advisor check us-road
"""


def run(words: list[str]) -> int:
    """Checks the rule set named; gives the exit code."""
    try:
        options = read_options(words, ("--coverage",), ("--explain", "--cases"), HELP)
        if options is None:
            return 0
        from advisor.tools.checks import problems_of

        if "--explain" in options.values:
            return _explain(options.values["--explain"][-1])
        name, *files = [*options.rules[-1:], *options.words] or [DEFAULT_RULES]
        rules, folder = load_rule_set(find_rule_set(name)), options.values.get("--cases", [""])[-1]
        if "--coverage" in options.flags:
            from advisor.commands.check_coverage import check_coverage

            return check_coverage(rules, files, folder)
        _only_one(files)
        problems = problems_of(rules)
        _show(problems, folder, name)
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


def _only_one(more: Sequence[str]) -> None:
    if more:
        found = f"more than one rule set: {', '.join(shown(name) for name in more)}"
        raise Problems([Problem("bad-option", Place("command line"), found, "one; files go with --coverage")])


def _show(problems: Sequence[Problem], folder: str, name: str) -> None:
    """Writes each problem, and the case that shows it where there is one; `name` is what was checked."""
    from advisor.tools.case_writer import write_case

    for number, problem in enumerate(problems, 1):
        complain([problem])
        case = getattr(problem, "case", "")
        if case and folder:
            sys.stderr.write(f"  case      {write_case(Path(folder), f'{number:02d}-{problem.id}.yaml', case)}\n")
        elif case:
            sys.stderr.write(f"  case      (save it, and run: advisor decide FILE --rules {shlex.quote(name)})\n")
            sys.stderr.writelines(f"    {line}\n" for line in case.splitlines())


def _explain(name: str) -> int:
    from advisor.tools.checks import CHECKS, explanation

    if name in CHECKS or name == "all":
        for each in CHECKS if name == "all" else [name]:
            sys.stdout.write(f"{each}: {explanation(each)}\n")
        return 0
    sys.stderr.write(f"no check of that name; known: {', '.join(CHECKS)}\n")
    return 2
