"""`advisor today`: the day's list of tires; with a number it goes on with one of them."""

from __future__ import annotations

import os
import sys
from argparse import Namespace
from contextlib import closing
from datetime import datetime

from advisor.commands.command_parser import CommandParser, usage_error
from advisor.commands.consult import consult_on
from advisor.console.session_lines import message_lines
from advisor.dialogue.day_list import day_blocks, day_rows
from advisor.engine.evaluator import Judge
from advisor.journal.data_folder import FILE_NAME, data_folder
from advisor.journal.store import UNUSABLE, DamagedJournal, NewerJournal, opened_to_read
from advisor.journal.tires_of_day import TireOfDay, tires_of_day
from advisor.loader.cache import copies_folder, ready_rule_set
from advisor.loader.paths import DEFAULT_RULES, find_rule_set
from advisor.model.exit_code import ExitCode
from advisor.model.problems import shown
from advisor.wording.messages import Message


def declare(parser: CommandParser) -> None:
    """The options of the command."""
    parser.words("NUMBER", "a tire of the list, to go on with where it was left")
    parser.flag("--plain", "plain lines instead of the screen")
    parser.journal_folder()
    parser.after(
        "Listed is what was kept in the last hours, and what is not finished from before; each tire is judged by "
        "--rules. In the consultation the same list comes by Ctrl+Y or the word today.",
        example="advisor today --data ./shop-journal",
    )


def run(options: Namespace) -> ExitCode | int:
    """Prints the list, or goes on with one of its tires; gives the exit code."""
    name, now = (options.rules[-1] if options.rules else DEFAULT_RULES), datetime.now()
    judge = Judge(ready_rule_set(find_rule_set(name), copies_folder(os.environ))).on(now.date())
    tires = _tires(options.data, now)
    if options.words:
        tire = tires[_place(options.words, len(tires))]
        rules = options.rules or [tire.summary.rules_id]
        return consult_on(tire.summary.id, rules, options.data, options.plain)
    how = ("To go on with one, type its number: advisor today 1.",) if tires else ()
    for line in message_lines(Message("work", (*day_blocks(day_rows(tires, judge, now), now), *how))):
        sys.stdout.write(f"{line}\n")
    return ExitCode.DONE


def _tires(folder: str, now: datetime) -> list[TireOfDay]:
    path = data_folder(folder, os.environ) / FILE_NAME
    if not path.exists():
        return []
    try:
        with closing(opened_to_read(path)) as db:
            return tires_of_day(db, now)
    except (NewerJournal, DamagedJournal, *UNUSABLE) as error:
        found = f"a journal that can't be read: {shown(str(error), 200)}"
        raise usage_error("journal-not-read", found, "a journal of this program", "see advisor casings") from None


def _place(words: list[str], count: int) -> int:
    """The place of a number in the list. Raises Problems."""
    word = words[0]
    if len(words) == 1 and word.isascii() and word.isdigit() and 1 <= int(word[:4]) <= count:
        return int(word[:4]) - 1
    there = f"a number from 1 to {count}" if count else "no number, as the list is empty"
    raise usage_error("no-such-tire", f'"{shown(" ".join(words), 60)}"', there, "type advisor today for the list")
