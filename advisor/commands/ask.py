"""`advisor ask`: a question about a case, for people and scripts."""

from __future__ import annotations

import os
import sys

from advisor.commands.options import DEFAULT_RULES, complain, read_options
from advisor.console.session_lines import message_lines, says_of
from advisor.engine.evaluator import Judge
from advisor.loader.cache import ready
from advisor.model.problems import Place, Problem, Problems, json_shown, shown
from advisor.wording.messages import Message

HELP = """advisor ask CASE "QUESTION" - a question about a case; CASE is a file, or - for standard input

  --json                one JSON object: question, kind, says, parts
  --rules ID-or-FOLDER  the rule set (default us-road)

It answers: why? · why not repair? · why not one-piece? · what if the angle were 30 degrees? · how sure? ·
least change · what could it still be? · why do you ask about the angle? · how do I measure the angle? ·
what is a liner? Nothing in the case is changed.

example:
  printf 'answers: {vehicle: car, findings: [bulge]}\\n' | advisor ask - "why not repair?"
"""


_KNOWN = "Ask why, why not …, what if …, how sure, least change, what could it still be, how …, or what is …"


def run(words: list[str]) -> int:
    """Answers the question; gives the exit code."""
    try:
        options = read_options(words, ("--json",), (), HELP)
        if options is None:
            return 0
        if len(options.words) < 2:
            where = Place("command line")
            found = "no case and no question" if not options.words else "no question"
            raise Problems([Problem("no-question", where, found, 'a case and a question: CASE "why?"', "see --help")])
        from advisor.commands.hear import one_case

        judge = Judge(ready((options.rules or [DEFAULT_RULES])[-1], os.environ))
        case = one_case(options.words[0], judge.rules)
    except Problems as error:
        complain(error.problems)
        return 2
    from advisor.dialogue.intents import told

    question = " ".join(options.words[1:])
    found_answer = told(judge, case, judge.judge(case), question)
    if found_answer is None or found_answer.kind == "complaint":
        answer = found_answer or Message("complaint", (_KNOWN,))
        problem = Problem(
            "not-understood", Place("command line"), f'"{shown(question, 80)}"', " ".join(answer.texts), "see --help"
        )
        complain([problem])
        if "--json" in options.flags:
            _print(question, answer)
        return 2
    if "--json" in options.flags:
        _print(question, found_answer)
    else:
        sys.stdout.writelines(f"{line}\n" for line in message_lines(found_answer))
    return 0


def _print(question: str, answer: Message) -> None:
    kind = answer.kind if answer.kind != "complaint" else None
    row = {"question": question, "kind": kind, "says": says_of(answer), "parts": list(answer.parts)}
    sys.stdout.write(json_shown(row) + "\n")
