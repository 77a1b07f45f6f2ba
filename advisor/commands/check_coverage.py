"""`advisor check --coverage`: what of a rule set some cases exercise, what none does, and cases for that."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from datetime import date
from pathlib import Path

from advisor.commands.command_parser import usage_error
from advisor.loader.case_file import CaseText, read_case, split_cases
from advisor.loader.yaml_nodes import read_text
from advisor.model.case import Case
from advisor.model.exit_code import ExitCode
from advisor.model.problems import shown
from advisor.model.ruleset import RuleSet
from advisor.tools.coverage import Coverage, CoverageItem

#: Where the project keeps its own cases; taken where none are named and they are there.
USUAL = ("tests/tables/boundary_cases.csv", "tests/cases", "transcripts_demo")
CASE_FILES = (".yaml", ".yml", ".json", ".jsonl")
#: The day of cases that name none: a fixed one, so that the answer is the same tomorrow.
_TODAY = date(2026, 3, 14)


def check_coverage(rules: RuleSet, names: list[str], folder: str) -> ExitCode:
    """Says what the named cases exercise and what stays bare; gives the exit code."""
    coverage, count = Coverage(rules), 0
    for _, case in cases_in(names or usual(), coverage):
        coverage.add(case)
        count += 1
    out = sys.stdout.write
    out(f"{rules.about.id}, edition {rules.about.edition}, digest {rules.digest}: {count} cases\n")
    for kind, (met, every) in coverage.counts().items():
        out(f"  {kind:22}{met:4} of {every:4}{'' if met == every else f'   {every - met} bare'}\n")
    bare = coverage.bare()
    for item in bare:
        out(f"{item.place}: bare: {item.kind} {item.name}, which no case exercises\n")
    if bare:
        _propose(coverage, folder)
    return ExitCode.FOUND if bare else ExitCode.DONE


def usual() -> list[str]:
    """Where the project keeps its own cases, as far as they are there."""
    return [name for name in USUAL if Path(name).exists()]


def cases_in(names: list[str], coverage: Coverage) -> Iterator[tuple[str, Case]]:
    """The cases of files and folders that are for this rule set or for the one it builds on, with where each stands.

    Raises Problems.
    """
    about = coverage.rules.about
    wanted = {about.id, about.builds_on}
    for name in names:
        path = Path(name)
        found = sorted(each for each in path.rglob("*") if each.is_file()) if path.is_dir() else [path]
        for each in found:
            if each.suffix == ".txt":
                yield from _of_transcript(each, wanted, coverage)
            elif each.suffix in CASE_FILES or (each.suffix == ".csv" and each == path):
                for text in _texts(each):
                    if (text.rules or "us-road") in wanted:
                        yield text.file, read_case(text, coverage.rules, _TODAY)
            elif each == path:
                expected = "case files, tables or transcripts, or folders of them"
                raise usage_error("no-cases", f'"{shown(name)}"', expected, "")


def _texts(path: Path) -> Iterator[CaseText]:
    if path.suffix == ".csv":
        from advisor.loader.case_table import table_cases

        yield from table_cases(path)
    else:
        yield from split_cases(read_text(path, str(path)), str(path))


def _of_transcript(path: Path, wanted: set[str], coverage: Coverage) -> Iterator[tuple[str, Case]]:
    from advisor.console.replaying import case_typed, read_transcript

    transcript = read_transcript(read_text(path, str(path)), str(path))
    if transcript.rules in wanted:
        yield str(path), case_typed(transcript, coverage.judge)


def _propose(coverage: Coverage, folder: str) -> None:
    """Writes a case for each bare thing where one is known, or says that `--cases` would."""
    from advisor.tools.case_generation import proposed
    from advisor.tools.case_writer import case_text, write_case
    from advisor.tools.verify.workbench import bench_of

    out = sys.stdout.write
    without: list[CoverageItem] = []
    rules = coverage.rules
    for item, case in proposed(coverage, bench_of(rules)):
        if case is None:
            without.append(item)
            continue
        judgement = coverage.judge.judge(case)
        verdict = f"{judgement.verdict} ({judgement.ending})"
        head = f"# {item.kind} {item.name}: judged {verdict} by edition {rules.about.edition}; see that it is right\n"
        text = head + case_text(case, rules)
        name = f"{item.kind}-{item.name}".replace(" ", "-").replace("/", "-").replace("'", "")
        if folder:
            out(f"proposed  {write_case(Path(folder), f'{name}.yaml', text)}\n")
        else:
            out(f"\nproposed  {name}.yaml\n" + "".join(f"    {line}\n" for line in text.splitlines()))
    if without:
        names = ", ".join(f"{item.kind} {item.name}" for item in without)
        out(f"no example is known for: {names}\n")
