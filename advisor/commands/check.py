"""`advisor check`: looks for problems in a rule set."""

from __future__ import annotations

import os
import shlex
import sys
from argparse import Namespace
from collections.abc import Iterator, Sequence
from datetime import date
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

from advisor import start
from advisor.commands.command_parser import CommandParser, complain, usage_error
from advisor.loader.cache import copies_folder, seal_over
from advisor.loader.check_memory import CheckMemory, keep_said, said_when_checked, seal_of_checked
from advisor.loader.paths import DEFAULT_RULES, find_rule_set
from advisor.model.exit_code import ExitCode
from advisor.model.problems import Problem, closest, shown

if TYPE_CHECKING:
    from advisor.model.ruleset import RuleSet
    from advisor.tools.case_ends import KeptCases


def declare(parser: CommandParser) -> None:
    """The options of the command."""
    parser.words("RULES", "the rule set, by id or folder; with --coverage also files and folders of cases")
    parser.flag("--list", "every id that a problem can have, with what it stands for")
    parser.value("--explain", "ID", 'what an id stands for, why that is bad, and two samples; "all" for every one')
    parser.value(
        "--cases",
        "FOLDER",
        "write the case that shows a problem as a case file there, one for each; with --coverage the "
        "cases proposed: where FOLDER is that of the rules, into its cases folder",
        default="",
    )
    parser.flag(
        "--coverage",
        "instead: which rulings, ways on, limits and endings the cases of files and folders exercise (case files, "
        "tables of cases, transcripts), what none does, and cases for that",
    )
    parser.after(
        "Cases in the rule set's own folder cases say how they end (ends: {verdict: repair}); one that ends otherwise "
        "is a problem, with its place.",
        "Exit code 0: nothing found. 1: a check found something. 2: the files can't be read as rules.",
        example="advisor check us-road",
    )


def run(options: Namespace) -> ExitCode:
    """Checks the rule set named; gives the exit code."""
    if options.list:
        return _list()
    if options.explain is not None:
        return _explain(options.explain)
    name, *files = [*options.rules[-1:], *options.words] or [DEFAULT_RULES]
    folder, copies = find_rule_set(name), copies_folder(os.environ)
    mark = None if options.coverage or files else seal_of_checked(folder)
    if (said := said_when_checked(folder, copies, mark)) is not None:
        sys.stdout.write(said)
        return ExitCode.DONE
    from advisor.loader.kept_language import KeptLanguage
    from advisor.loader.ruleset_loader import load_rule_set
    from advisor.loader.schema_files import renew_schemas

    renew_schemas(folder)
    memory = CheckMemory(folder, copies)
    rules = load_rule_set(folder, kept=KeptLanguage(memory, folder))
    if options.coverage:
        start.done()
        from advisor.commands.check_coverage import check_coverage

        return check_coverage(rules, folder, files, options.cases)
    _only_one(files)
    says, problems = _checked(rules, folder, memory)
    memory.write()
    if not problems:
        keep_said(rules, folder, copies, mark, says)
    *notes, last = says.splitlines(keepends=True)
    sys.stdout.writelines(notes)
    _show(problems, options.cases, name)
    sys.stdout.write(last)
    return ExitCode.FOUND if problems else ExitCode.DONE


def _checked(rules: RuleSet, folder: Path, memory: CheckMemory) -> tuple[str, list[Problem]]:
    """What is said of a rule set, a line each, and every problem that was found.

    What was proved of the same rules by the same program is not proved anew, nor are the same cases judged.
    """
    from advisor.loader.renamed import read_as
    from advisor.loader.ruleset_codec import rule_set_to_json
    from advisor.tools.as_proved import as_proved
    from advisor.tools.case_ends import KeptCaseJudge, judged
    from advisor.tools.checks import PROOFS, failing, problems_of
    from advisor.tools.judged_before import JudgedBefore

    known = as_proved(rules)
    data = seal_over(rule_set_to_json(known))
    before = JudgedBefore(known, memory)
    cases = judged(folder, KeptCaseJudge(rules, known, before))
    before.write()
    keys = {module: memory.key(module.__name__, data) for module in PROOFS}
    failed = failing([module for module, key in keys.items() if not memory.recalled(key)], known, memory)
    for module in keys.keys() - failed:
        memory.keep(keys[module], True)
    problems = [*problems_of(rules, failed), *cases.problems]
    notes = [f"{place}: note: {read_as(old, now)}" for place, old, now in rules.read_as]
    found = f"{len(problems)} found" if problems else "nothing found"
    whole = (
        f"{rules.about.id}, edition {rules.about.edition}, digest {rules.digest}: {found} "
        f"({len(rules.questions)} questions, {len(list(rules.rulings()))} rulings, {len(rules.limits)} limits, "
        f"{len(rules.endings)} endings, {_counted(cases)})"
    )
    return "".join(f"{line}\n" for line in (*notes, *_looser_later(rules), whole)), problems


def _looser_later(rules: RuleSet) -> Iterator[str]:
    """A note for each limit that is looser from a day on."""
    from advisor.loader.strictness import how_looser
    from advisor.model.limits import Later

    for name, limit in rules.limits.items():
        for before, after in pairwise((Later(date.min, limit), *limit.later)):
            found = how_looser(before.limit, after.limit, decides=True)
            if found:
                yield f"{rules.place_of('limits.yaml', name)}: note: from {after.day} on {name} is looser: {found}"


def _counted(cases: KeptCases) -> str:
    """How many cases stand beside the rules, and how many of them nobody has looked at yet."""
    count = f"{cases.count or 'no'} case{'' if cases.count == 1 else 's'}"
    return f"{count}, {cases.proposed} of them proposed: see that each is right" if cases.proposed else count


def _only_one(more: Sequence[str]) -> None:
    if more:
        found = f"more than one rule set: {', '.join(shown(name) for name in more)}"
        raise usage_error("bad-option", found, "one; files go with --coverage")


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


def _list() -> ExitCode:
    """Writes each id with its level and what it stands for."""
    from advisor.tools.checks import check_docs

    docs = check_docs()
    width = max(map(len, docs))
    for doc in docs.values():
        sys.stdout.write(f"{doc.id:{width}}  {doc.level:7}  {doc.finds}\n")
    return ExitCode.DONE


def _explain(name: str) -> ExitCode:
    """Writes what an id stands for, with its samples. Raises Problems for an id that no check has."""
    from advisor.tools.checks import check_docs

    docs = check_docs()
    if name not in docs and name != "all":
        found, expected = f'"{shown(name, 60)}" as --explain', 'an id of a problem that a check finds, or "all"'
        raise usage_error("unknown-name", found, expected, "see --list", closest(name, docs))
    texts = [doc.text for doc in docs.values() if name in (doc.id, "all")]
    note = "The samples are edits of the small rule set in advisor/tools/sample_rules: FILE: {PATH: VALUE}."
    sys.stdout.write("\n\n".join([*texts, note]) + "\n")
    return ExitCode.DONE
