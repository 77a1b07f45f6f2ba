"""Runs the plain consultation on standard input and output."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from datetime import date

from advisor.engine.judge import Judge
from advisor.errors import Problems
from advisor.loading.case_file import DEFAULT_RULES
from advisor.loading.rule_set import find_rule_set, load_rule_set
from advisor.plain.consultation_lines import PROMPT, converse
from advisor.talk.consultation import Consultation


def run_plain(rules: list[str]) -> int:
    """The consultation in plain lines; gives the exit code. End of input says what is known so far."""
    try:
        judge = Judge(load_rule_set(find_rule_set(rules[-1] if rules else DEFAULT_RULES)))
    except Problems as error:
        sys.stderr.write(f"{error}\n")
        return 2
    consultation = Consultation(judge, date.today())
    on_terminal = sys.stdin.isatty()
    for line in converse(consultation, _typed(on_terminal), lambda text: _echo(text, on_terminal)):
        sys.stdout.write(f"{line}\n")
    return 0


def _typed(on_terminal: bool) -> Iterator[str]:
    """The lines typed; bytes that are not UTF-8 are taken as signs for them, nothing is lost."""
    while True:
        sys.stdout.write(PROMPT if on_terminal else "")
        sys.stdout.flush()
        line = sys.stdin.buffer.readline()
        if not line:
            if on_terminal:
                sys.stdout.write("\n")
            return
        yield line.decode("utf-8", "backslashreplace").rstrip("\r\n")


def _echo(text: str, on_terminal: bool) -> None:
    """In a pipe or log the line taken is written out, so that the log can be read by itself."""
    if not on_terminal:
        from advisor.errors import shown

        sys.stdout.write(f"{PROMPT}{shown(text)}\n")
