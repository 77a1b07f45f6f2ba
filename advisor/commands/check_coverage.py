"""`advisor check --coverage`: what of a rule set some cases exercise, what none does, and cases for that."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

from advisor.commands.command_parser import usage_error
from advisor.loader.case_file import CaseText, read_case
from advisor.loader.kept_cases import CASE_FILES, DAY, FOLDER, case_texts_in, kept_texts, read_kept
from advisor.loader.ruleset_loader import base_folder
from advisor.loader.yaml_nodes import read_text
from advisor.model.case import Case
from advisor.model.exit_code import ExitCode
from advisor.model.problems import shown
from advisor.model.ruleset import RuleSet
from advisor.tools.coverage import Coverage, CoverageItem

#: Where the project keeps cases besides those that stand beside its rules; taken where none are named.
USUAL = ("tests/replay/further", "transcripts_demo")


def check_coverage(rules: RuleSet, home: Path, names: list[str], folder: str) -> ExitCode:
    """Says what the named cases, else the usual ones, exercise and what stays bare; gives the exit code."""
    into = _into(home, folder) if folder else None
    coverage, count = Coverage(rules), 0
    for _, case in cases_in(names, coverage) if names else usual_cases(home, coverage):
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
        _propose(coverage, into)
    return ExitCode.FOUND if bare else ExitCode.DONE


def _into(home: Path, folder: str) -> Path:
    """Where proposed cases go: beside the rules, where their folder is named. Raises Problems for other rules' one."""
    if not (Path(folder) / "about.yaml").is_file():
        return Path(folder)
    if Path(folder).resolve() != home.resolve():
        found = f'"{shown(folder)}", which holds other rules than those that are checked'
        raise usage_error("bad-option", f"{found}, as --cases", "the folder of the rules, or one for cases", "")
    return home / FOLDER


def usual_cases(home: Path, coverage: Coverage, root: Path = Path()) -> Iterator[tuple[str, Case]]:
    """The cases beside the rules and beside those that they build on, and the project's further ones if they are there.

    Raises Problems.
    """
    folder: Path | None = home
    while folder is not None:
        for text in kept_texts(folder):
            yield _where(text), read_kept(text, coverage.rules)
        folder = base_folder(folder)
    yield from cases_in([str(root / name) for name in USUAL if (root / name).exists()], coverage)


def _where(text: CaseText) -> str:
    """The file of a case; of a row, its line too."""
    return f"{text.file}:{text.line}" if text.file.endswith(".csv") else text.file


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
                for text in case_texts_in(each, str(each)):
                    if text.node is None or (text.rules or "us-road") in wanted:
                        yield _where(text), read_case(text, coverage.rules, DAY)
            elif each == path:
                expected = "case files, tables or transcripts, or folders of them"
                raise usage_error("no-cases", f'"{shown(name)}"', expected, "")


def _of_transcript(path: Path, wanted: set[str], coverage: Coverage) -> Iterator[tuple[str, Case]]:
    from advisor.console.replaying import case_typed, read_transcript

    transcript = read_transcript(read_text(path, str(path)), str(path))
    if transcript.rules in wanted:
        yield str(path), case_typed(transcript, coverage.judge)


def _propose(coverage: Coverage, folder: Path | None) -> None:
    """Writes a case for each bare thing where one is known, or says that `--cases` would. No file is overwritten."""
    from advisor.tools.case_ends import how_it_ends
    from advisor.tools.case_generation import proposed
    from advisor.tools.case_writer import free_name, kept_case_text, write_case

    out = sys.stdout.write
    without: list[CoverageItem] = []
    rules = coverage.rules
    for item, case in proposed(coverage):
        if case is None:
            without.append(item)
            continue
        ends = how_it_ends(coverage.judge.judge(case))
        text = f"# {item.kind} {item.name}\n" + kept_case_text(case, rules, ends, proposed=True)
        name = f"{item.kind}-{item.name}".replace(" ", "-").replace("/", "-").replace("'", "")
        if folder is not None:
            out(f"proposed  {write_case(folder, free_name(folder, name), text)}\n")
        else:
            out(f"\nproposed  {name}.yaml\n" + "".join(f"    {line}\n" for line in text.splitlines()))
    if without:
        names = ", ".join(f"{item.kind} {item.name}" for item in without)
        out(f"no example is known for: {names}\n")
