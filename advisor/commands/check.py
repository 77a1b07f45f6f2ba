"""`advisor check`: looks for problems in a rule set."""

from __future__ import annotations

import shlex
import sys
from collections.abc import Sequence
from pathlib import Path

from advisor.commands.options import DEFAULT_RULES, complain, read_options
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.problems import Place, Problem, Problems, closest, shown

HELP = """advisor check [RULES] - look for problems in a rule set, all at once

  --list                every id that a problem can have, with what it stands for
  --explain ID          what an id stands for, why that is bad, and two samples; "all" for every one
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
        options = read_options(words, ("--coverage", "--list"), ("--explain", "--cases"), HELP)
        if options is None:
            return 0
        from advisor.tools.checks import problems_of

        if "--list" in options.flags:
            return _list()
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


def _list() -> int:
    """Writes each id with its level and what it stands for."""
    from advisor.tools.checks import check_docs

    docs = check_docs()
    width = max(map(len, docs))
    for doc in docs.values():
        sys.stdout.write(f"{doc.id:{width}}  {doc.level:7}  {doc.finds}\n")
    return 0


def _explain(name: str) -> int:
    """Writes what an id stands for, with its samples. Raises Problems for an id that no check has."""
    from advisor.tools.checks import check_docs

    docs = check_docs()
    if name not in docs and name != "all":
        found, expected = f'"{shown(name, 60)}" as --explain', 'an id of a problem that a check finds, or "all"'
        raise Problems(
            [Problem("unknown-name", Place("command line"), found, expected, "see --list", closest(name, docs))]
        )
    texts = [doc.text for doc in docs.values() if name in (doc.id, "all")]
    note = "The samples are edits of the small rule set in advisor/tools/sample_rules: FILE: {PATH: VALUE}."
    sys.stdout.write("\n\n".join([*texts, note]) + "\n")
    return 0
