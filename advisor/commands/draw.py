"""`advisor draw`: the drawings of a case, or the question graph of a rule set, in the terminal and as SVG."""

from __future__ import annotations

import sys
from argparse import Namespace
from collections.abc import Iterator
from pathlib import Path

from advisor.commands.command_parser import CommandParser, complain, usage_error
from advisor.commands.decide import Judges
from advisor.commands.draw_rules import draw_rules, names_rules
from advisor.console.printers import drawing_lines
from advisor.drawings.render_svg import sheet, svg
from advisor.drawings.scene import Names, Picture
from advisor.drawings.selection import pictures_for
from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.loader.case_file import CaseText, split_cases
from advisor.loader.yaml_nodes import decoded, read_text
from advisor.model.exit_code import ExitCode
from advisor.model.problems import Problems, shown

_UNITS: tuple[Names, ...] = ("mm", "in")


def declare(parser: CommandParser) -> None:
    """The options of the command."""
    parser.words(
        "CASE|RULES",
        "a case file, or - for standard input: the cross-section of each injury and the tread "
        "unrolled; or a rule set: its question graph, with what each question can bring",
    )
    parser.values(
        "--svg",
        "FILE",
        'also writes all drawings to one SVG file (a rule set: one A3 page; needs the extra "graph")',
    )
    parser.values(
        "--out",
        "FOLDER",
        "also writes each drawing to an SVG file of its own in the folder",
    )
    parser.value(
        "--unit", "mm|in", "of all lengths (default: the one that was measured in)", type=_unit, choices=_UNITS
    )
    parser.flag("--ascii", "the terminal drawing in plain ASCII signs")
    parser.value(
        "--around", "NAME", "of a rule set: only a question, ending, ruling or limit with what is next to it, in words"
    )
    parser.value("--case", "FILE", "of a rule set: lights the way of the first case in the file")
    parser.values("--dot", "FILE", "of a rule set: also writes the whole graph as DOT text, for Graphviz")
    parser.values("--mermaid", "FILE", "of a rule set: also writes the whole graph as a Mermaid flowchart")
    parser.after(
        "Injuries are drawn as 1, 2 ...; earlier repairs as R1, R2 ... --rules wins over the case's own rule set."
        " Exit code 2: something could not be read or written.",
        example="advisor draw us-road --around injury-size\n"
        """  printf 'answers: {sidewall: 11R22.5}\\ninjuries: [{clock: "2:00", offset: -35 mm}]\\n' | advisor draw -""",
    )


def run(options: Namespace) -> ExitCode:
    """Draws the cases of a file, or a rule set; gives the exit code."""
    words = options.words or options.rules[-1:]
    if len(words) == 1 and names_rules(words[0]):
        for path, text in draw_rules(words[0], options):
            _write_file(path, text)
        return ExitCode.DONE
    for name in ("around", "case", "dot", "mermaid"):
        if getattr(options, name):
            raise usage_error("bad-option", f"--{name} without a rule set to draw", "advisor draw RULES")
    if len(words) != 1:
        found = f"{len(words)} files" if words else "no case file"
        raise usage_error("no-case", found, "one case file, a rule set, or - for standard input")
    return _draw_all(words[0], options, Judges(options.rules[-1:]))


def _unit(text: str) -> Names:
    for unit in _UNITS:
        if text == unit:
            return unit
    raise usage_error("bad-option", f'"{shown(text, 40)}" as --unit', "mm or in")


def _draw_all(name: str, options: Namespace, judges: Judges) -> ExitCode:
    pictures: list[tuple[str, Picture]] = []
    code = ExitCode.DONE
    cases = list(_cases(name))
    for number, case in enumerate(cases, 1):
        try:
            judge, judgement = _judged(case, judges)
        except Problems as error:
            complain(error.problems)
            code = ExitCode.BAD_INPUT
            continue
        lines = drawing_lines(judgement, judge, case.file, options.unit, options.ascii)
        sys.stdout.write("\n".join([*([""] if number > 1 else []), *lines]) + "\n")
        prefix = f"case-{number}-" if len(cases) > 1 else ""
        pictures += [(prefix + _file_name(each), each) for each in pictures_for(judgement, judge, options.unit)]
    _write(options, pictures)
    return code


def _cases(name: str) -> Iterator[CaseText]:
    label = "standard input" if name == "-" else name
    text = decoded(sys.stdin.buffer.read(), label) if name == "-" else read_text(Path(name), name)
    return split_cases(text, label)


def _judged(case: CaseText, judges: Judges) -> tuple[Judge, Judgement]:
    rules = judges.of_case(judges.names_for(case)[0], case)
    found = rules.judge(rules.read(case))
    return found.judge, found.judgement


def _file_name(picture: Picture) -> str:
    return picture.title.lower().replace(" ", "-")


def _write(options: Namespace, pictures: list[tuple[str, Picture]]) -> None:
    for file in options.svg:
        _write_file(Path(file), sheet([picture for _, picture in pictures]))
    for folder in options.out:
        for name, picture in pictures:
            _write_file(Path(folder) / f"{name}.svg", svg(picture, name))


def _write_file(path: Path, text: str) -> None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    except OSError as error:
        found = f"{shown(str(path))} that can't be written: {error.strerror}"
        raise usage_error("not-written", found, "a place that can be written to") from None
    sys.stdout.write(f"Written: {shown(str(path))}\n")
