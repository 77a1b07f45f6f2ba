"""`advisor ask`: a question about a case, for people and scripts."""

from __future__ import annotations

import os
import sys
from argparse import Namespace
from collections.abc import Iterable

from advisor.commands.command_parser import CommandParser, complain, rules_named, usage_error
from advisor.engine.evaluator import Judge
from advisor.loader.cache import ready
from advisor.model.exit_code import ExitCode
from advisor.model.problems import json_shown, shown

_KNOWN = "Ask why, why not …, what if …, how sure, least change, what could it still be, how …, or what is …"


def declare(parser: CommandParser) -> None:
    """The options of the command."""
    parser.words('CASE "QUESTION"', "a file with a case, or - for standard input; and what is asked about it")
    parser.flag("--json", "one JSON object: question, kind, says, parts")
    parser.after(
        "It answers: why? · why not repair? · why not one-piece? · what if the angle were 30 degrees? · how sure?"
        " · least change · what could it still be? · why do you ask about the angle? · how do I measure the "
        "angle? · what is a liner? Nothing in the case is changed.",
        example="""printf 'answers: {vehicle: car, findings: [bulge]}\\n' | advisor ask - "why not repair?\"""",
    )


def run(options: Namespace) -> ExitCode:
    """Answers the question; gives the exit code."""
    if len(options.words) < 2:
        found = "no case and no question" if not options.words else "no question"
        raise usage_error("no-question", found, 'a case and a question: CASE "why?"')
    from advisor.commands.hear import one_case

    judge = Judge(ready(rules_named(options), os.environ))
    case = one_case(options.words[0], judge.rules)
    from advisor.dialogue.intents import told

    question = " ".join(options.words[1:])
    found_answer = told(judge, case, judge.judge(case), question)
    if found_answer is None or not found_answer.kind:
        lines = found_answer.lines if found_answer else (_KNOWN,)
        complain(usage_error("not-understood", f'"{shown(question, 80)}"', " ".join(lines)).problems)
        if options.json:
            _print(question, "", lines, ())
        return ExitCode.BAD_INPUT
    if options.json:
        _print(question, found_answer.kind, found_answer.lines, found_answer.parts)
    else:
        _write(found_answer.lines)
    return ExitCode.DONE


def _print(question: str, kind: str, lines: Iterable[str], parts: Iterable[object]) -> None:
    row = {"question": question, "kind": kind or None, "says": "\n".join(lines), "parts": list(parts)}
    sys.stdout.write(json_shown(row) + "\n")


def _write(lines: Iterable[str]) -> None:
    from advisor.console.session_lines import message_lines
    from advisor.wording.messages import Message

    sys.stdout.writelines(f"{line}\n" for line in message_lines(Message("why", tuple(lines))))
