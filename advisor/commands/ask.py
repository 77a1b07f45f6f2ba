"""`advisor ask`: a question about a case, for people and scripts."""

from __future__ import annotations

import os
import sys
from argparse import Namespace

from advisor.commands.command_parser import CommandParser, complain, rules_named, usage_error
from advisor.console.session_lines import message_lines, says_of
from advisor.engine.evaluator import Judge
from advisor.loader.cache import ready
from advisor.model.exit_code import ExitCode
from advisor.model.problems import json_shown, shown
from advisor.wording.messages import Message

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
    judge = judge.on(case.today)
    from advisor.dialogue.intents import told

    question = " ".join(options.words[1:])
    found_answer = told(judge, case, judge.judge(case), question)
    if found_answer is None or found_answer.kind == "complaint":
        answer = found_answer or Message("complaint", (_KNOWN,))
        complain(usage_error("not-understood", f'"{shown(question, 80)}"', " ".join(answer.texts)).problems)
        if options.json:
            _print(question, answer)
        return ExitCode.BAD_INPUT
    if options.json:
        _print(question, found_answer)
    else:
        sys.stdout.writelines(f"{line}\n" for line in message_lines(found_answer))
    return ExitCode.DONE


def _print(question: str, answer: Message) -> None:
    kind = answer.kind if answer.kind != "complaint" else None
    row = {"question": question, "kind": kind, "says": says_of(answer), "parts": list(answer.parts)}
    sys.stdout.write(json_shown(row) + "\n")
