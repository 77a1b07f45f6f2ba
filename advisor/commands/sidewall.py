"""`advisor sidewall`: what a sidewall's print and the date in a tire's number tell."""

from __future__ import annotations

import sys
from datetime import date

from advisor.commands.options import complain, read_options
from advisor.console.sidewall_lines import BASIS, date_data, date_lines, sidewall_data, sidewall_lines
from advisor.console.verdict_lines import wrapped
from advisor.domain.dot_code import read_date_code
from advisor.domain.sidewall.parser import read_sidewall
from advisor.model.problems import Misread, Place, Problem, Problems, json_shown

HELP = """advisor sidewall TEXT... - what a sidewall's print tells, what was not read, and what it leaves open

  --code NUMBER         also reads the date in a tire's number, the whole of it or its last figures
  --today YYYY-MM-DD    the day that the age counts to (default: today)
  --json                one object: lengths in mm, loads in kg, speed in km/h

Exit code 2: a date that can't be read.

example:
  advisor sidewall "11r22.5 148/145 L lrh tubeless" --code 2319
"""


def run(words: list[str]) -> int:
    """Reads what was given; gives the exit code."""
    try:
        options = read_options(words, ("--json",), ("--code", "--today"), HELP)
        if options is None:
            return 0
        codes = options.values.get("--code", [])
        if not options.words and not codes:
            raise Problems([_problem("nothing to read", "what stands on the sidewall, or --code NUMBER")])
        today = _day(options.values.get("--today", []))
        return _read(" ".join(options.words), codes[-1] if codes else "", today, "--json" in options.flags)
    except Problems as error:
        complain(error.problems)
        return 2


def _read(text: str, code: str, today: date, as_json: bool) -> int:
    sidewall = read_sidewall(text) if text.strip() else None
    try:
        found = read_date_code(code, today) if code else None
    except Misread as error:
        raise Problems([_problem(f"{error.found} in --code", error.expected, error.do)]) from None
    if as_json:
        data = {
            "sidewall": sidewall_data(sidewall) if sidewall else None,
            "date": date_data(found) if found else None,
        }
        sys.stdout.write(json_shown(data) + "\n")
        return 0
    lines = [*(sidewall_lines(sidewall) if sidewall else ()), *(date_lines(found) if found else ())]
    if sidewall:
        lines += ["", *wrapped(BASIS)]
    sys.stdout.write("\n".join(lines) + "\n")
    return 0


def _day(given: list[str]) -> date:
    try:
        return date.fromisoformat(given[-1]) if given else date.today()
    except ValueError:
        raise Problems([_problem(f'"{given[-1][:40]}" as --today', "a day as 2026-03-14")]) from None


def _problem(found: str, expected: str, do: str = "see --help") -> Problem:
    return Problem("bad-option", Place("command line"), found, expected, do)
