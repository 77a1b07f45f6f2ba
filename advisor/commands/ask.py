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
    parser.words(
        'CASE "QUESTION"',
        "a file with a case, or - for standard input; and what is asked of it, or - for a question a line",
    )
    parser.flag("--json", "one JSON object a question: question, kind, intent, subject, says, sources, parts")
    parser.after(
        "It answers: why? · why not repair? · why not one-piece? · what if the angle were 30 degrees? · how sure?"
        " · least change · what could it still be? · why do you ask about the angle? · how do I measure the "
        "angle? · what is a liner? · who says so? · is that law? · may I plug it anyway? · can it explode? · how big "
        "may the hole be? · what do I tell the driver? A question may follow on the one before: and 6? Nothing in the "
        "case is changed.",
        example="""printf 'answers: {vehicle: car, findings: [bulge]}\\n' | advisor ask - "why not repair?\"""",
    )


def run(options: Namespace) -> ExitCode:
    """Answers the questions; gives the exit code."""
    if len(options.words) < 2:
        found = "no case and no question" if not options.words else "no question"
        raise usage_error("no-question", found, 'a case and a question: CASE "why?"')
    from advisor.commands.hear import one_case

    questions = [" ".join(options.words[1:])]
    if questions == ["-"]:
        if options.words[0] == "-":
            raise usage_error("no-question", "the case and the questions both from standard input", "a case in a file")
        questions = sys.stdin.buffer.read().decode("utf-8", "backslashreplace").splitlines()
    judge = Judge(ready(rules_named(options), os.environ))
    case = one_case(options.words[0], judge.rules)
    judge = judge.on(case.today)
    now = judge.judge(case)
    from advisor.dialogue.intents import told
    from advisor.nlu.pipeline import Listener

    listener, before, code = Listener(judge.rules), None, ExitCode.DONE
    for place, question in enumerate(each for each in questions if each.strip() or len(questions) == 1):
        answer = told(judge, case, now, question, listener, before=before, asks=True)
        if answer is None or answer.kind == "complaint":
            code = ExitCode.BAD_INPUT
            answer = answer or Message("complaint", (_KNOWN,))
            complain(usage_error("not-understood", f'"{shown(question, 80)}"', " ".join(answer.texts)).problems)
        else:
            before = answer
        if options.json:
            _print(question, answer, judge)
        else:
            lines = message_lines(answer) if answer.kind != "complaint" else []
            sys.stdout.writelines(f"{line}\n" for line in (*([""] if place else []), *lines))
    return code


def _print(question: str, answer: Message, judge: Judge) -> None:
    kind = answer.kind if answer.kind != "complaint" else None
    sources = [
        {
            "says": label,
            "sources": [judge.rules.sources[name].title for name in basis.sources],
            "clause": "" if basis.clause == "none" else basis.clause,
            "standing": basis.standing,
        }
        for label, basis in answer.sources
    ]
    row = {
        "question": question,
        "kind": kind,
        "intent": answer.intent or None,
        "subject": answer.subject or None,
        "says": says_of(answer),
        "sources": sources,
        "parts": list(answer.parts),
    }
    sys.stdout.write(json_shown(row) + "\n")
