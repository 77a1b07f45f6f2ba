"""`advisor draw`: the drawings of a case, or the question graph of a rule set, in the terminal and as SVG."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import cast

from advisor.commands.decide import Judges
from advisor.commands.draw_rules import draw_rules, names_rules
from advisor.commands.options import Options, complain, read_options
from advisor.console.printers import drawing_lines
from advisor.drawings.render_svg import sheet, svg
from advisor.drawings.scene import Names, Picture
from advisor.drawings.selection import pictures_for
from advisor.engine.decision import Judgement
from advisor.engine.evaluator import Judge
from advisor.loader.case_file import CaseText, read_case, split_cases
from advisor.loader.yaml_nodes import decoded, read_text
from advisor.model.problems import Place, Problem, Problems, shown

HELP = """advisor draw CASE - the cross-section of each injury and the tread unrolled; - reads standard input
advisor draw RULES - the question graph of a rule set, with what each question can bring

  --svg FILE            also writes all drawings to one SVG file (a rule set: one A3 page; needs the extra "graph")
  --out FOLDER          also writes each drawing to an SVG file of its own in the folder
  --unit mm|in          the unit of all lengths (default: the one that was measured in)
  --ascii               the terminal drawing in plain ASCII signs
  --rules ID-or-FOLDER  the rule set; wins over the case's own
  --around NAME         of a rule set: only a question, ending, ruling or limit with what is next to it, in words
  --case FILE           of a rule set: lights the way of the first case in the file
  --dot FILE            of a rule set: also writes the whole graph as DOT text, for Graphviz
  --mermaid FILE        of a rule set: also writes the whole graph as a Mermaid flowchart

Injuries are drawn as 1, 2 ...; earlier repairs as R1, R2 ... Exit code 2: something could not be read or written.

example:
  advisor draw us-road --around injury-size
  printf 'answers: {sidewall: 11R22.5}\\ninjuries: [{clock: "2:00", offset: -35 mm}]\\n' | advisor draw -
"""
OF_RULES = ("--around", "--case", "--dot", "--mermaid")
_UNITS = ("mm", "in")


def run(words: list[str]) -> int:
    """Draws the cases of a file; gives the exit code."""
    try:
        options = read_options(words, ("--ascii",), ("--svg", "--out", "--unit", *OF_RULES), HELP)
        if options is None:
            return 0
        options.words = options.words or options.rules[-1:]
        if len(options.words) == 1 and names_rules(options.words[0]):
            for path, text in draw_rules(options):
                _write_file(path, text)
            return 0
        unit = _unit(options)
        for name in OF_RULES:
            if name in options.values:
                raise _problem("bad-option", f"{name} without a rule set to draw", "advisor draw RULES")
        if len(options.words) != 1:
            found = f"{len(options.words)} files" if options.words else "no case file"
            raise _problem("no-case", found, "one case file, a rule set, or - for standard input")
        judges = Judges(options.rules[-1:])
        return _draw_all(options, judges, unit)
    except Problems as error:
        complain(error.problems)
        return 2


def _unit(options: Options) -> Names | None:
    given = options.values.get("--unit", [])
    if given and given[-1] not in _UNITS:
        raise _problem("bad-option", f'"{shown(given[-1], 40)}" as --unit', "mm or in")
    return cast(Names, given[-1]) if given else None


def _draw_all(options: Options, judges: Judges, unit: Names | None) -> int:
    pictures: list[tuple[str, Picture]] = []
    code = 0
    cases = list(_cases(options.words[0]))
    for number, case in enumerate(cases, 1):
        try:
            judge, judgement = _judged(case, judges)
        except Problems as error:
            complain(error.problems)
            code = 2
            continue
        lines = drawing_lines(judgement, judge, case.file, unit, "--ascii" in options.flags)
        sys.stdout.write("\n".join([*([""] if number > 1 else []), *lines]) + "\n")
        prefix = f"case-{number}-" if len(cases) > 1 else ""
        pictures += [(prefix + _file_name(each), each) for each in pictures_for(judgement, judge, unit)]
    _write(options, pictures)
    return code


def _cases(name: str) -> Iterator[CaseText]:
    label = "standard input" if name == "-" else name
    text = decoded(sys.stdin.buffer.read(), label) if name == "-" else read_text(Path(name), name)
    return split_cases(text, label)


def _judged(case: CaseText, judges: Judges) -> tuple[Judge, Judgement]:
    name = judges.names_for(case)[0]
    judge = judges.by_name(name) if name in judges.asked else judges.of_case(name, case)
    return judge, judge.judge(read_case(case, judge.rules, date.today()))


def _file_name(picture: Picture) -> str:
    return picture.title.lower().replace(" ", "-")


def _write(options: Options, pictures: list[tuple[str, Picture]]) -> None:
    for file in options.values.get("--svg", []):
        _write_file(Path(file), sheet([picture for _, picture in pictures]))
    for folder in options.values.get("--out", []):
        for name, picture in pictures:
            _write_file(Path(folder) / f"{name}.svg", svg(picture, name))


def _write_file(path: Path, text: str) -> None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    except OSError as error:
        found = f"{shown(str(path))} that can't be written: {error.strerror}"
        raise _problem("not-written", found, "a place that can be written to") from None
    sys.stdout.write(f"Written: {shown(str(path))}\n")


def _problem(problem_id: str, found: str, expected: str) -> Problems:
    return Problems([Problem(problem_id, Place("command line"), found, expected, "see --help")])
