"""`advisor decide`: judges cases from files or standard input."""

from __future__ import annotations

import os
import sys
from argparse import Namespace
from collections.abc import Iterator
from datetime import date
from pathlib import Path

from msgspec.structs import replace

from advisor import start
from advisor.api import CaseJudgement, Rules, load
from advisor.commands.command_parser import CommandParser, a_day, a_number, complain, declare_cluster, usage_error
from advisor.console.json_output import answer_of_problems
from advisor.console.verdict_lines import verdict_lines
from advisor.loader.case_file import CaseText, names_read, passed_over, split_cases
from advisor.loader.paths import DEFAULT_RULES
from advisor.loader.yaml_nodes import decoded, read_text
from advisor.model.exit_code import ExitCode
from advisor.model.problems import Problems, json_shown, shown
from advisor.model.ruleset import RuleSet


def declare(parser: CommandParser) -> None:
    """The options of the command."""
    parser.words("CASE", "files in YAML, JSON, JSON lines, CSV or Parquet, or - for standard input")
    parser.flag("--json", "one JSON object a line for each case")
    parser.value("--today", "YYYY-MM-DD", "the day to judge on (default: the case's own, else the clock's)", type=a_day)
    parser.flag(
        "--brief",
        "one line a case: line in the file, verdict, ending, method; outside a batch also the file and the rule set",
    )
    parser.values(
        "--map",
        "COLUMN=QUESTION",
        "what a column of CSV or Parquet holds, where its name is no question's id; COLUMN= leaves it out",
        type=_column_meant,
    )
    parser.value(
        "--from", "N", "of a batch: begin with the Nth case, after a stop", dest="first", type=a_number("--from")
    )
    parser.value(
        "--into",
        "FILE",
        "of a batch: write the results into FILE; the same command goes on behind the last whole line there; with "
        "--cluster a folder",
    )
    parser.value(
        "--cores",
        "N",
        "of a batch: how many cores (default: all)",
        default=os.cpu_count() or 1,
        type=a_number("--cores"),
    )
    declare_cluster(parser)
    parser.after(
        "The rule set named wins over the case's own. Given more than once, the same case is judged under each, "
        "and side by side at the end stands where and why they differ. An answer that one of them has no question or "
        "choice for is passed over by it, and told; one that none of them asks for is a problem.",
        "A file may hold several cases: YAML documents, or one JSON object a line, or rows of CSV or Parquet. For rows "
        "and for long files of JSON lines (a name in .csv, .parquet, .jsonl) all cores are used, results in order; a "
        "bad row is told and the rest goes on.",
        "With --cluster a dataset of Parquet files is judged partition by partition, each partition's results written "
        "whole into FOLDER or not at all; what is there of the same rules, day and dataset is not done again.",
        "Exit code 0: every case was judged, hold and scrap included. 2: something could not be read.",
        example="printf 'answers: {vehicle: car}\\n' | advisor decide -",
    )


def _column_meant(text: str) -> tuple[str, str]:
    column, equals, question = text.rpartition("=")
    if not equals:
        raise usage_error("bad-option", f'"{shown(text, 60)}" as --map', "COLUMN=QUESTION")
    return column.strip(), question


def run(options: Namespace) -> ExitCode:
    """Judges the cases named; gives the exit code."""
    if not options.words:
        raise usage_error("no-case", "no case file", "a file, or - for standard input")
    today = options.today or date.today()
    if options.cluster:
        from advisor.commands.fleet import decide_fleet

        return decide_fleet(options, today)
    if any(name.endswith((".csv", ".parquet", ".jsonl", ".ndjson")) for name in options.words):
        from advisor.commands.batch import rows_taken, run_batch

        if all(rows_taken(name, options) for name in options.words):
            return max(run_batch(name, options, today) for name in options.words)
    if options.into is not None:
        expected = "one file that ends in .csv, .parquet or .jsonl, and one rule set at most"
        raise usage_error("bad-option", "--into with such cases", expected)
    form = "json" if options.json else "brief" if options.brief else ""
    return _decide_all(options.words, Judges(options.rules, today), form)


class Judges:
    """The rule sets asked for, loaded once each. Raises Problems when one asked for can't be loaded."""

    def __init__(self, names: list[str], today: date | None = None) -> None:
        self.asked, self._today = names, today
        self._loaded: dict[str, Rules] = {}
        for name in names:
            self.by_name(name)

    def by_name(self, name: str) -> Rules:
        """The rule set named by id or folder."""
        if name not in self._loaded:
            self._loaded[name] = load(name, self._today)
            start.done()
        return self._loaded[name]

    def of_case(self, name: str, case: CaseText) -> Rules:
        """The rule set for a case; a name that it says itself and that leads nowhere has its place in the case."""
        try:
            return self.by_name(name)
        except Problems as error:
            if name in self.asked or name != case.rules:
                raise
            raise Problems(
                [
                    replace(problem, place=case.rules_place) if problem.id == "unknown-rule-set" else problem
                    for problem in error.problems
                ]
            ) from None

    def others(self, name: str) -> list[RuleSet]:
        """The other rule sets that were asked for, by which the same case is judged."""
        return [self._loaded[other].rule_set for other in self.asked if other != name]

    def names_for(self, case: CaseText) -> list[str]:
        """The rule sets that a case is judged by."""
        return self.asked or [case.rules or DEFAULT_RULES]


def _decide_all(names: list[str], judges: Judges, form: str) -> ExitCode:
    code = ExitCode.DONE
    several = False
    for case in case_texts(names):
        judged: list[CaseJudgement] = []
        for name in judges.names_for(case):
            if several and not form:
                sys.stdout.write("\n")
            code = max(code, _decide(case, name, judges, form, judged))
            several = True
        if len(judged) > 1 and not form:
            from advisor.console.printers import side_by_side

            sides = [(each.judge, each.judgement) for each in judged]
            sys.stdout.write("\n" + "\n".join(side_by_side(sides)) + "\n")
    return code


def case_texts(names: list[str]) -> Iterator[CaseText]:
    """The cases of files, `-` for standard input; a file that can't be read comes as a case with its problems."""
    for name in names:
        try:
            label = "standard input" if name == "-" else name
            text = decoded(sys.stdin.buffer.read(), label) if name == "-" else read_text(Path(name), name)
            yield from split_cases(text, label)
        except Problems as error:
            yield CaseText(name, None, error.problems)


def _decide(case: CaseText, name: str, judges: Judges, form: str, judged: list[CaseJudgement]) -> ExitCode:
    rules: Rules | None = None
    try:
        rules = judges.of_case(name, case)
        case, over = passed_over(case, rules.rule_set, judges.others(name))
        judgement = rules.judge(rules.read(case))
        judged.append(judgement)
    except Problems as error:
        complain(error.problems)
        if form == "json":
            _print_json(answer_of_problems(error.problems, rules.rule_set if rules else None))
        elif form:
            sys.stdout.write(f"{case.line}\tnot judged\t\t\t{case.file}\t{name}\n")
        return ExitCode.BAD_INPUT
    if form == "json":
        _print_json({**judgement.to_json(), "passed_over": over})
    elif form:
        came = f"{judgement.verdict}\t{judgement.ending}\t{judgement.method}"
        sys.stdout.write(f"{case.line}\t{came}\t{case.file}\t{name}\n")
    else:
        sys.stdout.write("\n".join(verdict_lines(judgement.judgement, judgement.judge, case.file)) + "\n")
        notes = list(_notes_of(over, rules.id))
        sys.stdout.writelines(f"Note: {says}.\n" for says in (*notes, *names_read(case, rules.rule_set)))
    return ExitCode.DONE


def _notes_of(over: list[str], rules: str) -> Iterator[str]:
    """What a rule set passed over, in words: questions that it does not ask, then choices that it does not have."""
    for what, labels in (
        ("question for it", [x for x in over if ": " not in x]),
        ("such choice", [x for x in over if ": " in x]),
    ):
        if labels:
            yield f"passed over, as {rules} has no {what}: {', '.join(labels)}"


def _print_json(answer: dict[str, object]) -> None:
    sys.stdout.write(json_shown(answer) + "\n")
