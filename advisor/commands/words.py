"""`advisor words`: the trade's terms explained."""

from __future__ import annotations

import os
import sys

from advisor.commands.options import DEFAULT_RULES, complain, read_options
from advisor.console.verdict_lines import wrapped
from advisor.engine.evaluator import Judge
from advisor.explain.why import explain_word, word_lines
from advisor.loader.cache import ready
from advisor.model.problems import Problems

HELP = """advisor words [TERM...] - the trade's terms explained; without a term, all of them

  --rules ID-or-FOLDER  the rule set (default us-road)

example:
  advisor words "inner liner"
"""


def run(words: list[str]) -> int:
    """Explains the terms named, or all; gives the exit code: 1 when a term is not known."""
    try:
        options = read_options(words, (), (), HELP)
        if options is None:
            return 0
        rules = ready((options.rules or [DEFAULT_RULES])[-1], os.environ)
    except Problems as error:
        complain(error.problems)
        return 2
    judge = Judge(rules)
    if not options.words:
        for line in word_lines(judge):
            sys.stdout.write("\n".join(wrapped(line, "", "  ")) + "\n")
        return 0
    messages = [explain_word(term, judge) for term in options.words]
    for message in messages:
        for line in message.texts:
            sys.stdout.write("\n".join(wrapped(line, "", "  ")) + "\n")
    return 1 if any(message.kind == "complaint" for message in messages) else 0
