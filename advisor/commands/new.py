"""`advisor new`: begins rules of one's own, on top of a rule set or for a country from nothing."""

from __future__ import annotations

import sys
from argparse import Namespace
from collections.abc import Mapping
from datetime import date
from pathlib import Path

from advisor.commands.command_parser import CommandParser, usage_error
from advisor.loader.reader import is_id
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set, shipped
from advisor.loader.schema_files import FIRST_LINE, HIDDEN, write_schemas
from advisor.model.exit_code import ExitCode
from advisor.model.problems import Problems, shown
from advisor.model.ruleset import Limit, RuleSet, leaves, limit_tested

_ABOUT = """\
# Our own rules on top of {base}. What stands here adds to it; nothing here may make it looser.
# After each edit:   advisor check {folder}
# What it changes:   advisor compare {base} {folder}
# To try it as you edit:   advisor --rules {folder} --watch
id: {name}
title: {name}, on top of {base}
edition: {today}
builds-on: {base}
# scope, not-for, defers-to, always-shown: as in the base; what is given here is added to it.
notes:
  - "First edition. Anything that an edition makes looser is named here by its id."
"""
SOURCES = """\
# Where our own figures come from. kind: house rule; read: first hand, second hand or not seen.
house-rules:
  title: Our house rules
  publisher: ourselves
  edition: {today}
  kind: house rule
  read: first hand
"""
LIMITS = """\
# A limit with the base's id takes its place and may only be stricter. This one is still as the base has it:
# make it stricter, or give another id to a figure of your own and name it in a ruling.
{id}:
  says: {says}
  value: [{value}]
  worse: {worse}
  at-limit: {at}
  standing: common practice
  source: house-rules
  clause: none
"""
PATHS = """\
# A node of the base takes further rulings here. This one only cautions; "ending: ID" would count towards a verdict.
# A node of your own says "after: NODE" and follows that one, always or only once "asked: {{when: CONDITION}}" holds.
nodes:
  {node}:
    rulings:
      - id: our-own-{node}
        when: {{{subject}: {{{test}: {limit}}}}}
        caution: our-own-caution
        because: our house rules have a figure of their own here, {{limit}}
"""
_FIRST_CASE = """\
# A sound tire with a small hole, and how it is to end by these rules. For each rule of your own, copy this file, change
# what the rule looks at, and write under `ends` what its source has; `says:` beside it may hold the source's line.
# Whether every case here still ends so:   advisor check {folder}
# What is judged of one, and why:   advisor decide FILE --rules {folder}
"""
CAUTIONS = """\
our-own-caution:
  hazard: authority
  says: Our house rules count here as well; they may be stricter than what is published.
  standing: common practice
  source: house-rules
"""


#: A whole rule set that runs, and that nobody may work by; the words in it that are replaced.
BEGINNING = Path(__file__).resolve().parent.parent / "tools" / "first_rules"
_ID, _TODAY = "RULES-ID", "TODAY"


def declare(parser: CommandParser) -> None:
    """The options of the command."""
    parser.words("FOLDER", "the folder to write; its name is the id of the new rule set")
    parser.value("--builds-on", "ID|FOLDER", "write an overlay on this rule set (without it: rules that stand alone)")
    parser.after(
        "Without --builds-on: the beginning of rules for a country, an association or a fleet: a small set that runs "
        "and passes advisor check, with invented figures, in which nothing ends better than refer until they are "
        "replaced.",
        "With it: an overlay, which may make a limit stricter, add rulings, questions, endings, cautions and "
        "words, and word things anew. It may make nothing looser; advisor check says where it would.",
        "Editors with a YAML language server complete and underline by the schemas in its .schemas folder, which "
        "advisor check keeps up to date.",
        "Exit code 0: written. 2: something could not be read or written.",
        example='advisor new "$(mktemp -d)/our-shop" --builds-on us-road',
    )


def run(options: Namespace) -> ExitCode:
    """Writes the new rule set's folder; gives the exit code."""
    if len(options.words) != 1:
        raise _problem(f"{len(options.words)} names", "one folder for the new rule set")
    folder = Path(options.words[0])
    if not is_id(folder.name or "-"):
        raise _problem(f'"{shown(folder.name)}" as its id', "lower-case letters, digits and hyphens")
    if folder.name in shipped():
        raise _problem(f'"{folder.name}" as its id, which a rule set of the program has', "an id of its own")
    if options.builds_on is None:
        _write(folder, _beginning(folder.name, date.today()))
        begun = "only a beginning: its figures are invented, and nothing ends better than refer until they are replaced"
    else:
        base = load_rule_set(find_rule_set(options.builds_on))
        _write(folder, texts(folder, base, date.today()))
        _write_first_case(folder)
        begun = f"begun on {options.builds_on}"
    write_schemas(folder, folder / HIDDEN)
    sys.stdout.write(f"{folder}: {begun}. Edit it, then: advisor check {folder}\n")
    return ExitCode.DONE


def _beginning(name: str, today: date) -> dict[str, str]:
    """The files of a rule set that stands alone, cases included."""
    files = sorted(path for path in BEGINNING.rglob("*") if path.suffix in (".yaml", ".csv", ".json"))
    return {
        path.relative_to(BEGINNING).as_posix(): path.read_text(encoding="utf-8")
        .replace(_ID, name)
        .replace(_TODAY, today.isoformat())
        for path in files
    }


def _problem(found: str, expected: str) -> Problems:
    return usage_error("bad-option", found, expected)


def _write(folder: Path, files: Mapping[str, str]) -> None:
    """Writes files into a folder that is not there yet; rule files get the line by which editors find their schema."""
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise _problem(f'"{shown(str(folder))}", which is there already', "a folder that is not there yet")
    try:
        for name, text in files.items():
            path = folder / name
            path.parent.mkdir(parents=True, exist_ok=True)
            first = FIRST_LINE.format(folder=HIDDEN, name=path.stem) if path.parent == folder else ""
            path.write_text(first + text, encoding="utf-8")
    except OSError as error:
        why = (error.strerror or str(error)).lower()
        raise _problem(f"a folder that can't be written: {why}", "a folder that can be written") from None


def _write_first_case(folder: Path) -> None:
    """A sound tire with a small hole and how it ends, as the form for further cases."""
    from advisor.loader.kept_cases import FOLDER
    from advisor.model.case import Case
    from advisor.tools.case_ends import how_it_ends
    from advisor.tools.case_writer import kept_case_text, write_case
    from advisor.tools.verify.workbench import bench_of

    rules = load_rule_set(folder)
    bench = bench_of(rules)
    case = bench.completed(Case())
    text = kept_case_text(case, rules, how_it_ends(bench.judged(case)))
    write_case(folder / FOLDER, "small-hole.yaml", _FIRST_CASE.format(folder=folder) + text)


def texts(folder: Path, base: RuleSet, today: date) -> dict[str, str]:
    """The files of a new overlay: about, a source, a limit as the base has it, and a ruling that cautions."""
    limit, node, subject, test = _example(base)
    return {
        "about.yaml": _ABOUT.format(base=base.about.id, folder=folder, name=folder.name, today=today.isoformat()),
        "sources.yaml": SOURCES.format(today=today.isoformat()),
        "limits.yaml": LIMITS.format(
            id=limit.id,
            says=limit.says,
            value=", ".join(figure.typed or str(figure) for figure in limit.figures),
            worse=limit.worse,
            at="passes" if limit.at_limit_passes else "fails",
        ),
        "paths.yaml": PATHS.format(node=node, subject=subject, test=test, limit=limit.id),
        "cautions.yaml": CAUTIONS,
    }


def _example(base: RuleSet) -> tuple[Limit, str, str, str]:
    """The first limit that a verdict goes by at a node of an injury, and how it is tested there."""
    over = {part.id: part.over for part in base.parts}
    rulings = [ruling for ruling in base.rulings() if ruling.ending and limit_tested(ruling.when)]
    rulings.sort(key=lambda ruling: over[base.nodes[ruling.node].part] != "injuries")
    for ruling in rulings:
        tests = (leaf for leaf in leaves(limit_tested(ruling.when)) if leaf.test in ("beyond", "within"))
        for leaf in tests:
            return base.limits[leaf.operand[0]], ruling.node, leaf.subject, leaf.test
    raise _problem(f'"{base.about.id}", which has no limit', "a rule set with limits")
