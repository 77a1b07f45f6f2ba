"""`advisor casings`: recorded consultations found, and a casing's history shown."""

from __future__ import annotations

import sys
from argparse import Namespace
from functools import partial
from pathlib import Path

from advisor.commands.command_parser import rules_named
from advisor.console.casing_lines import history_page, list_lines
from advisor.drawings.render_svg import sheet
from advisor.drawings.selection import pictures_for
from advisor.engine.evaluator import Judge
from advisor.journal.casing_history import same_code, visits_of, visits_put_together
from advisor.journal.data_folder import write_private
from advisor.journal.queries import tire_of_record
from advisor.journal.search import MOST_SHOWN, found_by
from advisor.journal.store import Connection
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.exit_code import ExitCode
from advisor.model.problems import shown


def list_found(db: Connection, options: Namespace) -> int:
    """Lists what fits the words; on a full terminal the screen to look through it all."""
    from advisor.commands import full_terminal

    if full_terminal() and not (options.plain or options.most is not None):
        return _look_through(db, options)
    most = options.most or MOST_SHOWN
    found = found_by(db, options.words, most)
    if not found:
        sys.stdout.write("Nothing in the journal fits.\n" if options.words else "The journal is empty.\n")
    sys.stdout.writelines(f"{line}\n" for line in list_lines(found, most, partial(tire_of_record, db)))
    return ExitCode.DONE


def _look_through(db: Connection, options: Namespace) -> int:
    """The screen to look through the casings; the rules are read when a page is first opened."""
    from functools import cache

    from advisor.tui.casings_app import run_casings

    @cache
    def judge() -> Judge:
        return Judge(load_rule_set(find_rule_set(rules_named(options))))

    code, farewell = run_casings(db, judge, " ".join(options.words))
    sys.stderr.write(f"{farewell}\n" if farewell else "")
    return code


def show_casing(db: Connection, options: Namespace) -> ExitCode:
    """A casing's history on one page."""
    judge = Judge(load_rule_set(find_rule_set(rules_named(options))))
    casing = options.show
    visits = visits_of(db, casing)
    if not visits:
        sys.stdout.write(f"No casing {shown(casing, 80)} in the journal.\n")
        return ExitCode.DONE
    sys.stdout.writelines(
        f"{line}\n" for line in history_page(casing, visits, same_code(db, visits, judge.rules), judge)
    )
    if options.svg:
        pictures = pictures_for(judge.judge(visits_put_together(visits, judge)[0]), judge)
        write_private(Path(options.svg), [sheet(pictures)])
        sys.stdout.write(f"Written: {shown(options.svg, 200)}\n")
    return ExitCode.DONE
