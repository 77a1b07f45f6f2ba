"""`advisor sidewall`: what a sidewall's print and the date in a tire's number tell."""

from __future__ import annotations

import sys
from argparse import Namespace
from datetime import date

from advisor.commands.command_parser import CommandParser, a_day, usage_error
from advisor.console.sidewall_lines import BASIS, date_data, date_lines, sidewall_data, sidewall_lines
from advisor.console.verdict_lines import wrapped
from advisor.domain.dot_code import read_date_code
from advisor.domain.sidewall.parser import read_sidewall
from advisor.model.exit_code import ExitCode
from advisor.model.problems import Misread, json_shown


def declare(parser: CommandParser) -> None:
    """The options of the command."""
    parser.words("TEXT", "what stands on the sidewall")
    parser.value("--code", "NUMBER", "also reads the date in a tire's number, the whole of it or its last figures")
    parser.value("--today", "YYYY-MM-DD", "the day that the age counts to (default: today)", type=a_day)
    parser.flag("--json", "one object: lengths in mm, loads in kg, speed in km/h")
    parser.after(
        "Exit code 2: a date that can't be read.",
        example='advisor sidewall "11r22.5 148/145 L lrh tubeless" --code 2319',
    )


def run(options: Namespace) -> ExitCode:
    """Reads what was given; gives the exit code."""
    if not options.words and options.code is None:
        raise usage_error("bad-option", "nothing to read", "what stands on the sidewall, or --code NUMBER")
    return _read(" ".join(options.words), options.code or "", options.today or date.today(), options.json)


def _read(text: str, code: str, today: date, as_json: bool) -> ExitCode:
    sidewall = read_sidewall(text) if text.strip() else None
    try:
        found = read_date_code(code, today) if code else None
    except Misread as error:
        found_there = f"{error.found} in --code"
        raise usage_error("bad-option", found_there, error.expected, error.do or "see --help") from None
    if as_json:
        data = {
            "sidewall": sidewall_data(sidewall) if sidewall else None,
            "date": date_data(found) if found else None,
        }
        sys.stdout.write(json_shown(data) + "\n")
        return ExitCode.DONE
    lines = [*(sidewall_lines(sidewall) if sidewall else ()), *(date_lines(found) if found else ())]
    if sidewall:
        lines += ["", *wrapped(BASIS)]
    sys.stdout.write("\n".join(lines) + "\n")
    return ExitCode.DONE
