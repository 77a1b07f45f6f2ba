"""`advisor draw RULES`: the question graph of a rule set, in the terminal, as SVG, as DOT or Mermaid text."""

from __future__ import annotations

import os
import shutil
import sys
from argparse import Namespace
from collections.abc import Iterator
from datetime import date
from pathlib import Path

from advisor.commands.command_parser import usage_error
from advisor.commands.decide import case_texts
from advisor.console.graph_lines import STROKES, graph_lines
from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.loader.cache import ready
from advisor.loader.case_file import read_case
from advisor.loader.reader import closest
from advisor.loader.ruleset_loader import find_rule_set
from advisor.model.problems import Problems, shown
from advisor.model.ruleset import RuleSet
from advisor.tools.graph_export import dot_text, mermaid_text
from advisor.tools.graph_view import GraphPicture, graph_picture, known_names

NARROWEST, WIDEST, IN_A_PIPE = 60, 120, 80


def names_rules(name: str) -> bool:
    """Whether a word names a rule set, by id or by folder, rather than a case file."""
    try:
        find_rule_set(name)
    except Problems:
        return name != "-" and Path(name).is_dir()
    return True


def draw_rules(name: str, options: Namespace) -> list[tuple[Path, str]]:
    """Draws the rule set named in the terminal; gives the files that were asked for. Raises Problems."""
    rules = ready(name, os.environ)
    around = options.around or ""
    if around and around not in known_names(rules):
        raise _unknown(around, rules)
    judgement = _judged(rules, options.case)
    picture = graph_picture(rules, around, judgement)
    to_terminal = sys.stdout.isatty()
    columns = min(WIDEST, max(NARROWEST, shutil.get_terminal_size().columns)) if to_terminal else IN_A_PIPE
    colour = to_terminal and not os.environ.get("NO_COLOR") and os.environ.get("TERM", "dumb") != "dumb"
    plain = options.ascii or not _can_draw(sys.stdout.encoding or "utf-8")
    lines = graph_lines(picture, columns, plain, colour)
    sys.stdout.write("\n".join(lines) + "\n")
    return list(_files(options, rules, picture))


def _files(options: Namespace, rules: RuleSet, picture: GraphPicture) -> Iterator[tuple[Path, str]]:
    """What is to be written where. Raises Problems where the package for a page is lacking."""
    yield from ((Path(name), dot_text(rules)) for name in options.dot)
    yield from ((Path(name), mermaid_text(rules)) for name in options.mermaid)
    if options.svg:
        try:
            from advisor.report.graph_svg import graph_svg
        except ModuleNotFoundError:
            found = "no package grandalf, which lays the page out"
            do = "install it with: pip install 'tire-repair-advisor[graph]', or write --dot or --mermaid"
            raise usage_error("no-package", found, "a page only where it is installed", do) from None
        page = graph_svg(picture)
        yield from ((Path(name), page) for name in options.svg)


def _can_draw(encoding: str) -> bool:
    """Whether an output can hold the strokes."""
    try:
        STROKES.encode(encoding)
    except (UnicodeEncodeError, LookupError):
        return False
    return True


def _judged(rules: RuleSet, file: str | None) -> Judgement | None:
    if file is None:
        return None
    case = next(iter(case_texts([file])))
    return Judge(rules).judge(read_case(case, rules, date.today()))


def _unknown(around: str, rules: RuleSet) -> Problems:
    nearest = closest(around, known_names(rules))
    found, expected = f'"{shown(around, 60)}" as --around', f"a question, ending, ruling or limit of {rules.about.id}"
    return usage_error("unknown-name", found, expected, "advisor draw RULES shows them all", nearest)
