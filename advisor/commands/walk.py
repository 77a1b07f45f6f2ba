"""`advisor walk`: the consultation that a case would give, prompt by prompt, and after which one it is settled."""

from __future__ import annotations

import csv
import io
import sys
from argparse import Namespace
from collections.abc import Callable, Iterator
from datetime import date
from functools import partial
from pathlib import Path

from advisor.commands.command_parser import CommandParser, a_day, complain, usage_error
from advisor.commands.decide import Judges, case_texts
from advisor.dialogue.walking import Walked, walked
from advisor.engine.evaluator import Judge, label_of
from advisor.engine.templates import value_in_words
from advisor.loader.case_file import CaseText, read_case
from advisor.loader.case_rows import Cells, Columns, row_case
from advisor.loader.paths import DEFAULT_RULES
from advisor.loader.yaml_nodes import opened
from advisor.model.case import Case
from advisor.model.exit_code import ExitCode
from advisor.model.problems import Place, Problem, Problems, json_shown
from advisor.wording.verdict_card import question_in_words

#: A case that is still to be read: where it stands, and what reads it and gives its judge with it.
_Unread = tuple[str, Callable[[], tuple[Judge, Case]]]
NOTHING_WALKED: dict[str, object] = {
    "prompts": None,
    "questions": None,
    "settled_after_prompts": None,
    "settled_after_questions": None,
    "verdict": None,
    "order": [],
}


def declare(parser: CommandParser) -> None:
    """The options of the command."""
    parser.words("CASE", "files in YAML, JSON, JSON lines or CSV, or - for standard input")
    parser.flag(
        "--json",
        "one JSON object a line for each case: prompts, questions, settled_after_prompts, settled_after_questions, "
        "verdict, order",
    )
    parser.flag("--in-order", "one question after another, as they stand in the rules")
    parser.value("--today", "YYYY-MM-DD", "the day to judge on (default: the case's own, else the clock's)", type=a_day)
    parser.after(
        "A prompt holds one question, or several that are answered in one line. What the case does not answer is left "
        "out, or passed over where it can't be. It is settled where no answer after it can change the verdict; null "
        "where it never is.",
        "Exit code 0: every case was walked. 2: something could not be read.",
        example="printf 'answers: {vehicle: car}\\n' | advisor walk -",
    )


def run(options: Namespace) -> ExitCode:
    """Walks the cases named; gives the exit code."""
    if not options.words:
        raise usage_error("no-case", "no case file", "a file, or - for standard input")
    judges, code = Judges(options.rules), ExitCode.DONE
    for number, (where, read) in enumerate(_cases(options, judges)):
        try:
            judge, case = read()
            found = walked(judge, case, options.in_order)
        except Problems as error:
            complain(error.problems)
            code = ExitCode.BAD_INPUT
            if options.json:
                row = {**NOTHING_WALKED, "problems": [str(problem) for problem in error.problems]}
                sys.stdout.write(json_shown(row) + "\n")
            continue
        if options.json:
            sys.stdout.write(json_shown(_row(found, judge)) + "\n")
        else:
            lines = [""] * bool(number) + list(_lines(found, case, judge, where))
            sys.stdout.write("\n".join(lines) + "\n")
    return code


def _cases(options: Namespace, judges: Judges) -> Iterator[_Unread]:
    today = options.today or date.today()
    for name in options.words:
        if name.endswith(".csv"):
            yield from _rows(name, judges, today, (options.rules or [DEFAULT_RULES])[-1])
            continue
        for text in case_texts([name]):
            for rules in judges.names_for(text):
                yield f"{text.file}:{text.line}", partial(_read, text, rules, judges, today)


def _read(text: CaseText, rules: str, judges: Judges, today: date) -> tuple[Judge, Case]:
    named = judges.by_name(rules) if rules in judges.asked else judges.of_case(rules, text)
    judge = named.judge_of_rules
    case = read_case(text, judge.rules, today)
    return judge.on(case.today), case


def _rows(name: str, judges: Judges, today: date, rules: str) -> Iterator[_Unread]:
    judge, cells = judges.by_name(rules).judge_of_rules, Cells()
    with opened(Path(name), name) as file:
        reader = csv.reader(io.TextIOWrapper(file, "utf-8-sig", "surrogateescape", newline=""), strict=True)
        try:
            columns = Columns(next(reader, []), judge.rules, {}, name)
            for row in filter(None, reader):
                place = Place(name, reader.line_num)
                yield f"{name}:{place.line}", partial(_row_read, row, columns, cells, today, place, judge)
        except csv.Error as error:
            raise Problems([Problem("bad-row", Place(name), f"a row that can't be read: {error}")]) from None


def _row_read(
    row: list[str], columns: Columns, cells: Cells, today: date, place: Place, judge: Judge
) -> tuple[Judge, Case]:
    case = row_case(row, columns, cells, today, place)
    return judge.on(case.today), case


def _row(found: Walked, judge: Judge) -> dict[str, object]:
    prompts, questions = found.settled_after or (None, None)
    return {
        "prompts": len(found.prompts),
        "questions": found.questions,
        "settled_after_prompts": prompts,
        "settled_after_questions": questions,
        "verdict": str(found.verdict),
        "order": [[label_of(key, judge.rules) for key in prompt.keys] for prompt in found.prompts],
    }


def _lines(found: Walked, case: Case, judge: Judge, where: str) -> Iterator[str]:
    rules, settled = judge.rules, found.settled_after
    yield f"{where}: {str(found.verdict).upper()}"
    for number, prompt in enumerate(found.prompts, 1):
        said = []
        for key in prompt.keys:
            question = rules.questions[key[0]]
            answer = case.get(question.over, key)
            words = value_in_words(answer, question) if answer is not None else "left out"
            said.append(f"{question_in_words(key, rules)}: {words}")
        yield f"{number:3}. {'; '.join(said)}"
        if settled and settled[0] == number:
            yield f"     settled here, after {settled[1]} questions"
    if settled is None:
        yield "     not settled: something that decides was not answered, or is in doubt"
