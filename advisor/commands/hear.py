"""`advisor hear`: what a sentence says, as a case."""

from __future__ import annotations

import os
import sys
from argparse import Namespace
from datetime import date
from pathlib import Path

from advisor.commands.command_parser import CommandParser, rules_named, usage_error
from advisor.loader.cache import ready
from advisor.model.case import Case, Key
from advisor.model.exit_code import ExitCode
from advisor.model.problems import json_shown
from advisor.model.ruleset import RuleSet


def declare(parser: CommandParser) -> None:
    """The options of the command."""
    parser.words('"SENTENCE"', "what was said; - reads standard input, a sentence a line")
    parser.flag("--json", "one JSON object a sentence: answers, injuries, proposed, not_understood, asks_back")
    parser.value(
        "--after", "CASE", "the case that the sentence goes on from (a file; what was said there is not printed again)"
    )
    parser.after(
        "Without --json it prints a case file with the words that each answer came from; advisor decide - can "
        "judge it. Nothing is taken from silence. What rests on a hedge, on somebody's word or on a contradiction"
        " is no answer: it is listed as proposed and asked back. What is open is listed as asked back, what was "
        "not understood word by word.",
        example='advisor hear "drive axle, screw dead center, about 8 mm, straight in, tread 9/32, no cord, no bulge"',
    )


def run(options: Namespace) -> ExitCode:
    """Prints what was understood; gives the exit code."""
    if not options.words:
        raise usage_error("no-sentence", "no sentence", "a sentence in quotes")
    rules = ready(rules_named(options), os.environ)
    after, asked = _after(options.after, rules)
    from advisor.nlu.case_of import as_json, as_yaml_lines
    from advisor.nlu.pipeline import Listener

    listener = Listener(rules)
    for number, text in enumerate(_sentences(options.words)):
        heard = listener.hear(text, after, asked)
        if options.json:
            sys.stdout.write(json_shown(as_json(heard, rules)) + "\n")
        else:
            sys.stdout.writelines(f"{line}\n" for line in (*(["---"] if number else []), *as_yaml_lines(heard, rules)))
    return ExitCode.DONE


def _sentences(words: list[str]) -> list[str]:
    """The sentences to hear: one a line of standard input, blank lines left out; or the words themselves."""
    if words == ["-"]:
        lines = sys.stdin.buffer.read().decode("utf-8", "backslashreplace").splitlines()
        return [line for line in lines if line.strip()] or [""]
    return [" ".join(words).encode("utf-8", "backslashreplace").decode()]


def _after(file: str | None, rules: RuleSet) -> tuple[Case | None, Key | None]:
    """The case gone on from, and the question that is open there."""
    if file is None:
        return None, None
    case = one_case(file, rules)
    from advisor.engine.evaluator import Judge

    missing = Judge(rules).judge(case).missing
    return case, missing[0] if missing else None


def one_case(name: str, rules: RuleSet) -> Case:
    """The first case of a file, or of standard input for -. Raises Problems."""
    from advisor.loader.case_file import read_case, split_cases
    from advisor.loader.yaml_nodes import decoded, read_text

    label = "standard input" if name == "-" else name
    text = decoded(sys.stdin.buffer.read(), label) if name == "-" else read_text(Path(name), name)
    return read_case(next(split_cases(text, label)), rules, date.today())
